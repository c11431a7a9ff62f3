"""Real recordings with host times: what they say of the clock of the computer that wrote them.

The truth is what is known of them from outside (recordings/INDEX.md); of the one in local time, its own dates.
"""

from __future__ import annotations

import pytest

from core.clock import ClockMeter, ClockSetup
from core.clock_report import ClockReport, SlotVerdict
from core.model import FixModel
from core.sources.recording import open_recording
from tests.recordings import FOLDER, needs_recordings

pytestmark = needs_recordings


def report(name: str) -> ClockReport:
    model = FixModel(require_checksum=False)
    model.clock = ClockMeter(ClockSetup(require_checksum=False))
    recording = open_recording(FOLDER / name)
    for block in recording.blocks():
        model.feed(block, 0.0)
    recording.close()
    model.finish()
    return model.clock.report()


def test_a_ship_s_recorder_kept_time() -> None:
    found = report("ship-2014-no-checksums-time-prefix.nmea")
    assert found.low_s is not None
    assert found.high_s is not None
    assert found.low_s < 0.0 < found.high_s
    assert found.verdict is SlotVerdict.YES


def test_host_times_in_local_time_are_recognised_and_nothing_is_claimed() -> None:
    found = report("roof-2017-cold-starts-host-prefix.nmea")
    assert found.low_s is None
    assert "+8 h" in found.reasons[0]


@pytest.mark.parametrize(
    "name", ["phone-2022-walk-cold-start.nmea", "mixed-binary.bin", "weak-signal-2017-never-fixes.nmea"]
)
def test_without_host_times_there_is_no_claim(name: str) -> None:
    found = report(name)
    assert (found.low_s, found.at_most_s, found.verdict) == (None, None, SlotVerdict.UNKNOWN)

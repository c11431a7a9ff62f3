"""Our dilutions beside the receivers' own, wherever a recording lists the satellites in the fix with their directions.

Where they differ it is by what the receiver does, looked into file by file:

- the walk of 2022, the drive of 2012 and the standing receiver of 2010 use GPS alone and list all they use: the
  figures are the same, up to whole degrees of direction and one decimal of dilution. Elsewhere:
- car 2005 has an augmentation satellite in the fix; it shares the clock of GPS (`ON_GPS_TIME`), or ours would be twice
  theirs. The rest of the spread: a fix in two dimensions while a height is held.
- boat 2010 goes on listing satellites after they are lost to a bridge or mast: its own figures rise from 1.0 to 1.6
  with the same list of ten.
- the phone of 2022 lists GPS only and uses other systems too: HDOP 0.6 cannot be had from the eight it lists.
- RTK 2024 gives signals weights (by elevation or strength, it does not say): its figures are larger than those of
  equal weights. One clock for all systems would make the difference larger still, so it is not that.
- roof 2017 writes VDOP 0.98 whatever the sky: not worked out from it, and PDOP is made of that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from statistics import median

import pytest

from core.fix import Satellite
from core.geometry import dops, sights_in_fix
from core.model import Finished, FixModel
from core.sky_memory import SkyMemory
from core.sources.recording import has_checksums, open_recording
from tests.recordings import FOLDER, needs_recordings

SAME, LARGER_BY_HALF = (0.95, 1.06), (1.3, 1.7)
EXPECTED = {
    "stationary-2010-text-header.nmea": (SAME, SAME),
    "drive-2012-space-padded-dead-reckoning.nmea": (SAME, SAME),
    "walk-2022-long-cold-start-damaged-lines.nmea": (SAME, SAME),
    "car-2005-void-with-old-position-then-fix.nmea": ((0.9, 1.15), (1.0, 1.3)),
    "boat-2010-route-cr-only.nmea": ((0.5, 0.85), (0.6, 0.95)),
    "phone-2022-walk-cold-start.nmea": (LARGER_BY_HALF, (1.5, 1.9)),
    "rtk-2024-static-under-cover.nmea": ((0.75, 0.98), (0.7, 0.9)),
    "rtk-2024-walking-float.nmea": ((0.75, 0.98), (0.55, 0.8)),
    "roof-2017-cold-starts-host-prefix.nmea": ((1.1, 1.4), (2.4, 3.0)),
}
"""Median of ours over theirs, HDOP and PDOP: between these."""


class _Newest(SkyMemory):
    """Remembers nothing but the sky of the newest epoch."""

    def __init__(self) -> None:
        super().__init__()
        self.satellites: tuple[Satellite, ...] = ()

    def wants(self, at_s: float) -> bool:
        return True

    def take(self, satellites: Iterable[Satellite], at_s: float, *, fixed: bool = True) -> None:
        self.satellites = tuple(satellites)


def ratios(name: str) -> Iterator[tuple[float, float]]:
    """Ours over theirs, HDOP and PDOP, of epochs that list every satellite they use with its direction."""
    path = FOLDER / name
    newest, found = _Newest(), []

    def look(finished: Finished) -> None:
        fix, sights = finished.fix, sights_in_fix(newest.satellites)
        ours = dops(sights)
        if ours and fix.is_satellite_fix and fix.used and len(sights) == len(fix.used) and fix.hdop and fix.pdop:
            found.append((ours.hdop / fix.hdop, ours.pdop / fix.pdop))

    model = FixModel(has_checksums(path), look)
    model.sky_memory = newest
    recording = open_recording(path)
    for piece in recording.pieces():
        model.feed(piece.data, piece.at_s)
    model.finish()
    recording.close()
    yield from found


@needs_recordings
@pytest.mark.parametrize("name", EXPECTED)
def test_our_dilutions_are_the_receivers_own_or_differ_as_explained(name: str) -> None:
    found = list(ratios(name))
    assert len(found) >= 7
    for which, (low, high) in enumerate(EXPECTED[name]):
        assert low <= median(pair[which] for pair in found) <= high

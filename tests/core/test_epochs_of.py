"""A recording read at once: the same epochs and verdicts as in a digest."""

from __future__ import annotations

from collections import Counter
from importlib.resources import files
from pathlib import Path

import pytest

from core.digest import digest
from core.epochs import EpochReader
from core.sources.recording import open_recording, recording_of
from tests.recordings import FOLDER, needs_recordings

WALK = Path(str(files("replays") / "first_walk.nmea.gz"))


def test_every_epoch_comes_once_in_its_order_with_its_verdict() -> None:
    reader = EpochReader(open_recording(WALK), required=True)
    found = list(reader.epochs())
    told = digest(open_recording(WALK).blocks(), True, lambda: None)
    assert len(found) == told["epochs"] == reader.counts().epochs
    assert dict(Counter(one.trust.verdict.words for one in found)) == {k: v for k, v in told["verdicts"].items() if v}
    times = [one.at_s for one in found]
    assert times == sorted(times)
    assert times[-1] == pytest.approx(told["duration_s"], abs=30)
    assert 0 < sum(one.usable for one in found) < len(found)


@needs_recordings
@pytest.mark.parametrize("name", ["phone-2022-walk-cold-start.nmea", "car-2005-void-with-old-position-then-fix.nmea"])
def test_real_recordings_too(name: str) -> None:
    reader = EpochReader(open_recording(FOLDER / name), required=True)
    found = list(reader.epochs())
    told = digest(open_recording(FOLDER / name).blocks(), True, lambda: None)
    assert len(found) == told["epochs"]
    assert [one.at_s for one in found] == sorted(one.at_s for one in found)


def test_an_empty_recording_has_none(tmp_path: Path) -> None:
    empty = tmp_path / "empty.nmea"
    empty.write_bytes(b"")
    with empty.open("rb") as stream:
        assert list(EpochReader(recording_of(stream, empty, 0), required=True).epochs()) == []

"""The trip on the disk: what is kept through crashes, full disks and hostile files. Positions are open ocean."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from core.errors import InputError
from core.fix import Position, Utc
from core.track import TrackPoint
from core.trip_file import HEADER, TripFile

NOON = Utc(43_200_250, date(2031, 5, 4))
FIRST = TrackPoint(Position(10.5, -20.25), 0.0, NOON, 12.5, begins=True)
SECOND = TrackPoint(Position(-10.500000001, 179.999999999), 0.0, None, None, begins=False)


def test_points_come_back_as_they_were(tmp_path: Path) -> None:
    kept = TripFile(tmp_path / "new")
    kept.append([FIRST])
    kept.append([SECOND])
    assert TripFile(tmp_path / "new").points() == [FIRST, SECOND]
    first, *_ = (tmp_path / "new" / "trip.csv").read_text().splitlines()
    assert first == HEADER


def test_a_torn_last_line_costs_itself_alone(tmp_path: Path) -> None:
    kept = TripFile(tmp_path)
    kept.append([FIRST, SECOND])
    path = tmp_path / "trip.csv"
    whole = path.read_bytes()
    for cut in range(len(HEADER) + 1, len(whole)):
        path.write_bytes(whole[:cut])
        kept.append([SECOND])
        points = kept.points()
        complete = whole[:cut].count(b"\n") - 1
        assert points[-1] == SECOND
        assert points[:-1] in ([FIRST, SECOND][:complete], [FIRST, SECOND][: complete + 1])


@pytest.mark.parametrize(
    "line",
    ["x,y", "2031-99-99T00:00:00Z,1,1,,0", ",91,0,,0", ",0,181,,0", ",nan,0,,0", ",1e999,0,,0", "\0" * 40, ",,,,"],
)
def test_lines_that_are_no_points_are_passed_over(tmp_path: Path, line: str) -> None:
    kept = TripFile(tmp_path)
    kept.append([FIRST])
    with (tmp_path / "trip.csv").open("a") as stream:
        stream.write(f"{line}\n")
    kept.append([SECOND])
    assert kept.points() == [FIRST, SECOND]


def test_a_new_trip_sets_the_old_track_aside(tmp_path: Path) -> None:
    kept = TripFile(tmp_path)
    kept.append([FIRST])
    kept.save_totals({"distance_m": 1.0})
    kept.set_aside()
    assert kept.points() == []
    assert "10.5" in (tmp_path / "trip.20310504-120000.csv").read_text()
    assert kept.points("trip.20310504-120000.csv") == [FIRST]
    assert kept.set_aside() == ""  # nothing to set aside is no error
    kept.append([FIRST])
    assert kept.set_aside() == "trip.20310504-120000-2.csv"


@pytest.mark.parametrize("text", ["", "[1]", "{", "[" * 100_000, "3"])
def test_totals_that_are_none_are_named_and_set_aside(tmp_path: Path, text: str) -> None:
    (tmp_path / "trip.json").write_text(text)
    with pytest.raises(InputError, match=r"trip\.json"):
        TripFile(tmp_path).totals()
    TripFile(tmp_path).set_totals_aside()
    assert TripFile(tmp_path).totals() is None
    assert (tmp_path / "trip.json.unreadable").read_text() == text


def test_totals_are_replaced_as_a_whole(tmp_path: Path) -> None:
    kept = TripFile(tmp_path)
    kept.save_totals({"a": 1})
    kept.save_totals({"a": 2})
    assert kept.totals() == {"a": 2}
    assert json.loads((tmp_path / "trip.json.bak").read_text()) == {"a": 1}


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match=r"trip\.csv could not be saved"):
        TripFile(tmp_path / "file").append([FIRST])

"""One fix for scripts: keys as promised, and blank rather than wrong."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from core.model import FixModel, Snapshot
from core.now import now_json
from core.sources.recording import open_recording
from tests.build import LATITUDE, LONGITUDE, gga, gsa, gsv, line, lines, rmc, vtg
from tests.contract import NOW, check_now
from tests.recordings import FOLDER

DATA = Path(__file__).parents[1] / "data" / "synthetic"
FILES = sorted(path for folder in (DATA, FOLDER) if folder.is_dir() for path in folder.glob("*.*"))
NULL_WITHOUT_A_FIX = sorted(NOW - {"mode", "source"})


def now(snapshot: Snapshot, now_s: float = 0.0) -> dict[str, Any]:
    found = now_json(snapshot, now_s, "a file")
    check_now(found)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    return found


def after(*pieces: bytes, later_s: float = 0.0) -> dict[str, Any]:
    """What the last fix is once these pieces came, a second apart."""
    model = FixModel(require_checksum=False)
    for second, piece in enumerate(pieces):
        model.feed(piece, float(second))
    model.finish()
    found = model.last_fix_snapshot()
    assert found is not None
    return now(found, found.at_s + later_s)


def speed(knots: str, course: str) -> bytes:
    return line(f"GNRMC,000001.00,A,1030.0000,N,02015.0000,W,{knots},{course},040531,,,A")


def test_without_a_fix_all_is_null_even_the_age() -> None:
    found = now(Snapshot(at_s=5.0), 9.0)
    assert {name: found[name] for name in NULL_WITHOUT_A_FIX} == dict.fromkeys(NULL_WITHOUT_A_FIX)
    assert found["mode"] == "none"
    assert found["source"] == "a file"


def test_a_full_epoch() -> None:
    found = after(lines(rmc(1), gga(1), gsa(1, 2, 3), gsv(1, 1, 1, 2, 3, 4)))
    expected = {
        "utc": "2031-05-04T00:00:01.000Z",
        "latitude": LATITUDE,
        "longitude": LONGITUDE,
        "altitude_m": 12.5,
        "geoid_separation_m": 30.0,
        "speed_mps": 2.572,
        "course_true": 90.0,
        "mode": "autonomous",
        "dimensions": 3,
        "satellites_in_fix": 3,
        "satellites_in_view": 4,
        "age_s": 0.0,
        "source": "a file",
    }
    assert {name: found[name] for name in expected} == expected


def test_the_age_is_that_of_the_fix() -> None:
    assert after(lines(rmc(1), gga(1)), later_s=12.3456)["age_s"] == 12.346


@pytest.mark.parametrize(
    ("knots", "course", "speed_mps", "course_true"),
    [
        ("1.95", "123.4", 1.003, 123.4),
        ("1.93", "123.4", 0.993, None),
        ("0.0", "123.4", 0.0, None),
        ("", "123.4", None, None),
        ("5.0", "", 2.572, None),
    ],
)
def test_a_course_is_given_only_at_a_speed_that_makes_it_mean_something(
    knots: str, course: str, speed_mps: float | None, course_true: float | None
) -> None:
    found = after(speed(knots, course))
    assert (found["speed_mps"], found["course_true"]) == (speed_mps, course_true)


def test_without_a_list_of_satellites_the_stated_number_counts() -> None:
    assert after(lines(rmc(1), gga(1)))["satellites_in_fix"] == 8
    assert after(lines(rmc(1)))["satellites_in_fix"] is None


def test_satellites_only_listed_as_used_are_not_in_view() -> None:
    found = after(lines(rmc(1), gga(1), gsa(1, 2, 3)))
    assert (found["satellites_in_fix"], found["satellites_in_view"]) == (3, None)


def test_what_comes_less_often_is_given_while_it_is_fresh() -> None:
    full, bare = lines(rmc(0), gga(0)), [lines(rmc(n)) for n in range(1, 9)]
    assert after(full, bare[0], bare[1])["altitude_m"] == 12.5
    assert after(full, *bare)["altitude_m"] is None


def test_a_void_end_leaves_the_last_fix_with_its_age() -> None:
    model = FixModel()
    for second, piece in enumerate([lines(rmc(1), gga(1)), *[lines(rmc(n, status="V", more="N")) for n in (2, 3, 4)]]):
        model.feed(piece, float(second))
    model.finish()
    found = model.last_fix_snapshot()
    assert found is not None
    shown = now(found, 3.0)
    assert (shown["utc"], shown["age_s"], shown["latitude"]) == ("2031-05-04T00:00:01.000Z", 3.0, LATITUDE)


@pytest.mark.parametrize("mode", ["E", "M", "S"])
def test_what_is_no_satellite_fix_is_not_a_last_fix(mode: str) -> None:
    model = FixModel()
    model.feed(lines(rmc(1, more=mode), vtg(mode=mode)), 0.0)
    model.finish()
    assert model.last_fix_snapshot() is None


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_recording_gives_every_key(path: Path) -> None:
    model, at_s, recording = FixModel(require_checksum=False), 0.0, open_recording(path)
    for piece in recording.pieces():
        model.feed(piece.data, piece.at_s)
        at_s = piece.at_s
    recording.close()
    model.finish()
    found = now(model.last_fix_snapshot() or Snapshot(at_s=at_s), at_s)
    assert (found["latitude"] is None) == (found["age_s"] is None) == (found["mode"] == "none")

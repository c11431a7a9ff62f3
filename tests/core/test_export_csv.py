"""The table, read back by Python's csv module; both heights, units in the header, nothing a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.export_plan import Format
from core.fix import Position
from core.formats.track_csv import guarded
from core.formats.waypoints_out import write_waypoint_csv
from core.waypoint import Waypoint
from tests.exported import REAL, exported, fix_lines, fixes_of, recorded
from tests.recordings import needs_recordings
from tests.trips import shifted
from tests.walks import OCEAN, straight


def _read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))


def _number(text: str) -> float | None:
    return float(text) if text else None


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_a_real_recording_comes_back_with_all_that_is_known_of_each_fix(path: Path) -> None:
    wanted = fixes_of(path)
    if not wanted:
        return
    rows = _read(exported(path, Format.CSV)[0])
    assert len(rows) == len(wanted)
    for row, epoch in zip(rows, wanted, strict=True):
        fix, error = epoch.fix, epoch.trust.error
        assert row["utc"] == (fix.utc.iso() if fix.utc else "")
        assert (float(row["latitude_deg"]), float(row["longitude_deg"])) == pytest.approx(fix.position, abs=1e-9)
        altitude = None if fix.dimensions == 2 else fix.altitude_m
        assert _number(row["altitude_above_mean_sea_level_m"]) == altitude
        both = altitude is not None and fix.geoid_separation_m is not None
        assert bool(row["height_above_ellipsoid_m"]) == both
        assert (row["mode"], row["verdict"]) == (fix.mode.value, epoch.trust.verdict.words)
        assert _number(row["speed_mps"]) == pytest.approx(fix.speed_mps, abs=1e-3)
        assert _number(row["error_95_horizontal_m"]) == pytest.approx(error.horizontal_m, abs=0.01)


def test_both_heights_stand_side_by_side_and_lines_end_as_the_standard_has_it(tmp_path: Path) -> None:
    data, _ = exported(recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 3)), Format.CSV)
    row = _read(data)[0]
    assert (row["altitude_above_mean_sea_level_m"], row["height_above_ellipsoid_m"]) == ("12.5", "21")
    assert data.count(b"\r\n") == data.count(b"\n") == 5
    plain = {"segment", "utc", "mode", "dimensions", "satellites_in_fix", "hdop", "vdop", "pdop", "verdict"}
    assert all(name in plain or name.endswith(("_m", "_deg", "_mps", "_s")) for name in row)


def test_segments_are_numbered(tmp_path: Path) -> None:
    walk = straight(OCEAN, 0.0, 5)
    rows = _read(exported(recorded(tmp_path / "a.nmea", [*walk, *shifted(walk, 60.0)]), Format.CSV)[0])
    assert [one["segment"] for one in rows] == ["1"] * 6 + ["2"] * 6


def test_what_is_unknown_is_empty_and_never_zero(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN, altitude=",M,,M").splitlines(keepends=True)[1])
    [row] = _read(exported(path, Format.CSV)[0])
    for name in (
        "altitude_above_mean_sea_level_m",
        "height_above_ellipsoid_m",
        "geoid_separation_m",
        "speed_mps",
        "pdop",
    ):
        assert row[name] == ""
    assert row["utc"] == "T00:00:00.000Z"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "=cmd|' /C calc'!A0"])
def test_a_text_that_could_be_a_formula_is_none(text: str) -> None:
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize("text", ["Hut", "a=b", "", "5-7", "caf\u00e9"])
def test_other_texts_stay_as_they_are(text: str) -> None:
    assert guarded(text) == text


def test_waypoints_are_a_table_of_their_own() -> None:
    time = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    hut = Waypoint('Hut "7", old', Position(1.5, -2.5), 7.0, time, "warm\nand dry", "hut", 4.5, "autonomous")
    bare = Waypoint("=2", Position(-1.0, 179.0))
    first, second = _read(b"".join(write_waypoint_csv([hut, bare])))
    assert (first["name"], first["note"], first["time_utc"]) == (hut.name, hut.note, "2031-05-04T09:30:00Z")
    assert (first["latitude_deg"], first["longitude_deg"], first["error_95_m"]) == (
        "1.500000000",
        "-2.500000000",
        "4.5",
    )
    assert (second["name"], second["altitude_above_mean_sea_level_m"], second["time_utc"]) == ("'=2", "", "")

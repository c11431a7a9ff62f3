"""`fixboard nearest` and `fixboard stations`: the contract, messy lists, exit codes. All stations are invented."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from core.fix import Position
from core.held import HeldPlace
from core.places.magnetic import declination
from tests.cli.running import DEMO, Ask, Run, asker, check_civil
from tui.cli_places import held_place

HEADS = "call,name,output,shift,tone,mode,locator,lat,lon,height,status,verified,notes,keeper"
HERE = (41.0, 179.9)
ROWS = (
    "QX1AA,Ridge,145.6,-0.6,88.5,FM,RN91wa,,,471,on air,2026-03-01,by the hut,Zed",
    "QX1BB,Valley,438.65,-7.6,CC 1,FM / DMR,,41.10000,179.90000,120,,,,",
    "QX1CC,Isle,145.725,-0.6,,C4FM,,40.99000,-179.95000,,off air,2020-01-01,,Orla",
    "QX1DD,Lost,145.75,-0.6,,FM,,,,,,,,",
    "QX1EE,Beacon,10368.9,,,CW,,40.50000,179.00000,30,on air,2026-05-01,,",
)
KEYS = [
    "call", "name", "output_mhz", "input_mhz", "shift_mhz", "tone", "mode", "band", "distance_m", "bearing_true",
    "bearing_magnetic", "uncertainty_deg", "locator", "latitude", "longitude", "radius_m", "height_m",
    "radio_horizon_m", "status", "verified", "notes", "list", "row", "more",
]  # fmt: skip
"""What scripts rely on."""


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Ask]:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    yield asker(capfdbinary)


def written(path: Path, *rows: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join((HEADS, *rows)) + "\n", "utf-8")
    return path


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return written(tmp_path / "mine.csv", *ROWS)


def answer(run: Run) -> dict[str, Any]:
    assert run.code == 0, run.complaint
    check_civil(run)
    found = json.loads(run.out)
    assert isinstance(found, dict)
    return found


def stations(run: Run) -> list[dict[str, Any]]:
    found = answer(run)["stations"]
    assert isinstance(found, list)
    return found


def calls(run: Run) -> list[str]:
    return [one["call"] for one in stations(run)]


def test_the_nearest_come_first_with_every_key_of_the_contract(ask: Ask, mine: Path) -> None:
    found = answer(ask("nearest", "41.0,179.9", "--list", mine, "--json"))
    assert [one["call"] for one in found["stations"]] == ["QX1AA", "QX1BB", "QX1CC", "QX1EE"]
    assert found["without_a_place"] == 1
    assert all(list(one) == KEYS for one in found["stations"])
    valley = found["stations"][1]
    line = Geodesic.WGS84.Inverse(*HERE, 41.1, 179.9)
    assert valley["distance_m"] == pytest.approx(line["s12"], abs=0.06)
    assert valley["bearing_true"] == pytest.approx(line["azi1"], abs=0.006)
    if found["declination_deg"] is None:  # the model of this version ends in 2029
        assert valley["bearing_magnetic"] is None
    else:
        turned = (valley["bearing_true"] - valley["bearing_magnetic"]) % 360
        assert turned == pytest.approx(found["declination_deg"], abs=0.02)
    assert (valley["output_mhz"], valley["input_mhz"], valley["shift_mhz"]) == (438.65, 431.05, -7.6)
    assert (valley["band"], valley["mode"], valley["tone"]) == ("70 cm", "FM / DMR", "CC 1")
    assert (valley["list"], valley["row"], valley["more"]) == ("mine.csv", 3, {})
    assert found["stations"][0]["more"] == {"keeper": "Zed"}


def test_unknown_is_null(ask: Ask, mine: Path) -> None:
    isle = stations(ask("nearest", "41.0,179.9", "--list", mine, "--json"))[2]
    assert isle["tone"] is None
    assert isle["height_m"] is None
    assert isle["radio_horizon_m"] is None
    beacon = stations(ask("nearest", "41.0,179.9", "--list", mine, "--json"))[3]
    assert beacon["input_mhz"] is None
    assert beacon["shift_mhz"] is None


def test_a_coarse_locator_makes_the_bearing_uncertain_and_on_the_spot_there_is_none(ask: Ask, mine: Path) -> None:
    ridge, valley = stations(ask("nearest", "41.00000,179.90000", "--list", mine, "--json"))[:2]
    worst = math.degrees(math.asin(min(1.0, ridge["radius_m"] / ridge["distance_m"])))
    assert ridge["uncertainty_deg"] >= worst * 0.99
    assert valley["uncertainty_deg"] < 0.05
    (spot,) = stations(ask("nearest", "41.10000,179.90000", "--list", mine, "--count", "1", "--json"))
    assert (spot["bearing_true"], spot["bearing_magnetic"], spot["distance_m"]) == (None, None, 0.0)


def test_band_mode_and_count_filter(ask: Ask, mine: Path) -> None:
    place = ("nearest", "41.0,179.9", "--list", mine, "--json")
    assert calls(ask(*place, "--band", "2m")) == ["QX1AA", "QX1CC"]
    assert calls(ask(*place, "--band", "70 cm", "--mode", "dmr")) == ["QX1BB"]
    assert calls(ask(*place, "--mode", "FM")) == ["QX1AA", "QX1BB"]
    assert calls(ask(*place, "--count", "2")) == ["QX1AA", "QX1BB"]
    assert calls(ask(*place, "--mode", "packet")) == []


def test_several_lists_are_searched_and_the_same_station_is_said_once(ask: Ask, mine: Path, tmp_path: Path) -> None:
    other = written(tmp_path / "other.csv", ROWS[0], ROWS[1].replace("438.65", "439.1"))
    found = stations(ask("nearest", "41.0,179.9", "--list", other, "--list", mine, "--json"))
    assert [(one["call"], one["list"]) for one in found] == [
        ("QX1AA", "other.csv"), ("QX1BB", "other.csv"), ("QX1BB", "mine.csv"), ("QX1CC", "mine.csv"),
        ("QX1EE", "mine.csv"),
    ]  # fmt: skip


def test_without_list_those_of_the_folder_are_searched_and_with_one_it_alone(
    ask: Ask, mine: Path, tmp_path: Path
) -> None:
    written(tmp_path / "data" / "stations" / "kept.csv", ROWS[1])
    (tmp_path / "data" / "stations" / "broken.csv").write_text("a,b\n1,2\n")
    kept = ask("nearest", "41.0,179.9", "--json")
    assert calls(kept) == ["QX1BB"]
    assert "left out: broken.csv" in kept.complaint
    assert len(calls(ask("nearest", "41.0,179.9", "--list", mine, "--json"))) == 4


def test_a_recording_says_where_with_its_own_error_and_day(ask: Ask, mine: Path) -> None:
    found = answer(ask("nearest", "--from", DEMO, "--list", mine, "--json"))
    assert found["latitude"] == pytest.approx(-47.302, abs=0.01)
    assert found["radius_m"] is not None
    recorded = date(2027, 5, 15)  # replays/make_first_walk.py
    north = declination(Position(found["latitude"], found["longitude"]), recorded)
    assert found["declination_deg"] == round(north.deg, 2)
    assert len(found["stations"]) == 4


def test_a_station_or_a_waypoint_is_a_place(ask: Ask, mine: Path, tmp_path: Path) -> None:
    assert stations(ask("nearest", "qx1bb", "--list", mine, "--json"))[0]["distance_m"] == 0.0
    written(tmp_path / "data" / "stations" / "kept.csv", *ROWS)
    assert answer(ask("place", "QX1BB", "--json"))["latitude"] == 41.1
    way = answer(ask("bearing", "QX1BB", "Valley", "--json"))
    assert way["distance_m"] == 0.0


def test_a_station_can_be_held_without_claiming_an_error(ask: Ask, tmp_path: Path) -> None:
    del ask  # for its environment
    written(tmp_path / "data" / "stations" / "kept.csv", *ROWS)
    assert held_place("qx1bb") == HeldPlace("QX1BB", Position(41.1, 179.9))


def test_a_name_that_is_also_a_notation_or_stands_in_two_places_is_refused_with_all_of_them(
    ask: Ask, tmp_path: Path
) -> None:
    rows = (
        "RN91,,145.6,,,FM,,41.1,179.9,,,,,",
        "QX1AA,,145.6,,,FM,,41.1,179.9,,,,,",
        "QX1AA,,145.6,,,FM,,45.1,179.9,,,,,",
    )
    written(tmp_path / "data" / "stations" / "kept.csv", *rows)
    both = ask("place", "RN91")
    assert both.code == 1
    assert "can mean 2 things" in both.complaint
    assert "the station of kept.csv, row 2" in both.complaint
    assert "can mean 2 things" in ask("place", "QX1AA").complaint


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("nearest", "41.0,179.9"), (1, "there is no list")),
        (("stations",), (1, "there is no list")),
        (("nearest", "41.0,179.9", "--list", "none.csv"), (1, "cannot be read")),
        (("nearest", "nowhere", "--list", "MINE"), (1, "cannot be read as a place")),
        (("nearest", "QX1DD", "--list", "MINE"), (1, "without a place")),
        (("nearest", "41.0,179.9", "--list", "MINE", "--band", "FM"), (1, "no amateur band")),
        (("nearest", "41.0,179.9", "--from", "x.nmea", "--list", "MINE"), (2, "not both")),
        (("nearest", "41.0,179.9", "--list", "MINE", "--count", "0"), (2, "whole number")),
        (("nearest", "--from", "EMPTY", "--list", "MINE"), (3, "no satellite fix")),
    ],
)
def test_what_cannot_be_done_is_said_with_its_exit_code(
    ask: Ask, mine: Path, arguments: tuple[str, ...], told: tuple[int, str]
) -> None:
    code, words = told
    empty = mine.with_name("empty.nmea")
    empty.write_bytes(b"$GNRMC,120000.00,V,,,,,,,040531,,,N*6A\r\n")
    names = {"MINE": str(mine), "EMPTY": str(empty)}
    run = ask(*(names.get(one, one) for one in arguments))
    assert run.code == code, run.complaint
    assert words in run.complaint
    assert run.out == b""
    check_civil(run)


def test_the_table_says_both_norths_doubts_and_cautions(ask: Ask, mine: Path) -> None:
    text = ask("nearest", "41.0,179.9", "--list", mine).out.decode()
    assert "true  magnetic" in text.splitlines()[0]
    assert "QX1CC: off air: may be off the air, verified 2020-01-01: over a year ago" in text
    assert "QX1BB: status not given, never verified" in text
    assert "1 more could not be placed" in text
    assert "Licence conditions and local band plans go before this list." in text
    assert "not a coverage promise" in text


def test_the_radio_horizon_needs_both_heights(ask: Ask, mine: Path, tmp_path: Path) -> None:
    """4.12 (sqrt 9 + sqrt 471) km: FS-1037C's figure, worked by hand to 101.8 km."""
    (tmp_path / "data").mkdir(exist_ok=True)
    (tmp_path / "data" / "settings.toml").write_text("[stations]\nantenna_m = 9.0\n")
    ridge = stations(ask("nearest", "41.0,179.9", "--list", mine, "--json"))[0]
    assert ridge["radio_horizon_m"] == pytest.approx(101_774, abs=50)
    assert "within both horizons, 102 km" in ask("nearest", "41.0,179.9", "--list", mine).out.decode()
    (tmp_path / "data" / "settings.toml").write_text("[stations]\nantenna_m = -9.0\n")
    assert "0 to 9000" in ask("nearest", "41.0,179.9", "--list", mine).complaint


def test_hostile_text_stays_text(ask: Ask, tmp_path: Path) -> None:
    evil = "\x1b]0;owned\x07[bold]=cmd\u202e"
    path = tmp_path / "evil.csv"
    head = f"call,name,locator,mode,status,notes,{evil}"
    path.write_text(f'{head}\n"{evil}","{evil}",RN91wa,"{evil}","{evil}","{evil}","{evil}"\n', "utf-8")
    (one,) = stations(ask("nearest", "RN91wb", "--list", path, "--json"))
    assert one["name"] == evil
    assert one["more"] == {evil: evil}
    for command in (("nearest", "RN91wb", "--list", path), ("stations", path), ("stations", path, "--json")):
        run = ask(*command)
        assert run.code == 0
        check_civil(run)
        assert "\u202e" not in run.out.decode()


def test_the_report_says_what_was_understood_and_what_not(ask: Ask, mine: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.csv"
    broken.write_text("a,b\n1,2\n")
    text = ask("stations", mine).out.decode()
    assert "5 stations, 4 with a place; UTF-8, separated by commas" in text
    assert "could not be placed: 1" in text
    assert "row 5  QX1DD: it has neither coordinates nor a locator nor a place" in text
    assert "not understood: kept and shown" in text
    run = ask("stations", mine, broken, "--json")
    assert run.code == 1
    good, bad = json.loads(run.out)["lists"]
    assert (good["stations"], good["placed"], good["trouble"]) == (5, 4, None)
    assert {"row": 5, "station": "QX1DD", "doubt": "could not be placed"}.items() <= good["findings"][0].items()
    assert {"header": "keeper", "meaning": None} in good["columns"]
    assert (bad["stations"], bad["findings"]) == (None, [])
    assert "name the columns" in bad["trouble"]

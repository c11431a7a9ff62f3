"""`fixboard sheet` as people use it. Places are open ocean, names invented."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from core.fix import Position
from core.sheet_page import FORM_FEED
from core.waypoints import Waypoint, Waypoints
from tests.cli.running import CONTROLS, Ask, Run, asker, check_civil, command, environment, fixboard, posix
from tests.cli.terminal import Terminal

PLACES = ("47.30000 S 12.70000 W", "47.25000 S 12.71000 W")
WHEN = ("--date", "2026-03-20", "--zone", "UTC")


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path))
    return asker(capfdbinary)


def sheet_of(run: Run) -> str:
    """What was printed, checked for anything that a terminal would obey but the ends of pages."""
    check_civil(run._replace(out=run.out.replace(FORM_FEED.encode(), b"")))
    assert (run.code, run.complaint) == (0, "")
    return run.out.decode("utf-8")


def walked(sheet: str, number: int) -> list[str]:
    table = sheet[sheet.index("On foot") :].splitlines()
    return next(line.split()[1:] for line in table if line.split()[:1] == [str(number)])


def test_a_sheet_on_standard_output(ask: Ask) -> None:
    sheet = sheet_of(ask("sheet", *PLACES, "--target", "46.00000 S 12.00000 W", *WHEN))
    assert sheet.startswith("Trip sheet: 47.30000 S 12.70000 W to 47.2")
    assert sheet.count("page ") == sheet.count(FORM_FEED) + 1
    assert "Friday, 20 Mar 2026, times in UTC" in sheet
    assert "\nT  46.00000 S 12.00000 W ---" in sheet
    assert walked(sheet, 2)[:2] == ["1:07", "1:07"]


def test_departure_pace_and_climb(ask: Ask) -> None:
    """5,610 m at 4 km/h are 1 h 24 min, 120 m up are 12 min: from 08:30 there at 10:06."""
    more = ("--depart", "08:30", "--pace", "4", "--climb", "120/30")
    shown = walked(sheet_of(ask("sheet", *PLACES, *WHEN, *more)), 2)
    assert shown[0] == "1:36"
    assert shown[4] == "10:06"


def test_a_place_that_begins_with_a_minus_sign_and_a_zone_west_work_as_they_stand(ask: Ask) -> None:
    sheet = sheet_of(ask("sheet", "-47.3,-12.7", "--zone", "-01:00", "--date", "2026-03-20", "--target", "-46.0,-12.0"))
    assert "clocks at UTC-01:00" in sheet


def test_the_day_is_today_and_the_zone_the_computer_s(tmp_path: Path) -> None:
    """Asked in another process, in a zone of its own making: POSIX, west positive."""
    sheet = sheet_of(fixboard(tmp_path, "sheet", PLACES[0], env={"TZ": "XYZ-9:30"}))
    assert os.name != "posix" or "clocks at UTC+09:30 (this computer's zone)" in sheet
    assert " 20" in sheet.splitlines()[1]


def test_waypoints_by_name_with_their_error_and_height(ask: Ask, tmp_path: Path) -> None:
    kept = Waypoints(tmp_path / "waypoints.gpx")
    kept.add(Waypoint("Ommery Top", Position(-47.3, -12.7), altitude_m=612.4, error_95_m=25.0))
    kept.add(Waypoint("Ommery <Landing>", Position(-47.28, -12.7), altitude_m=12.0))
    sheet = sheet_of(ask("sheet", "Ommery <Landing>", "Ommery Top", *WHEN))
    assert "1  Ommery <Landing> ---" in sheet
    assert "Marked at 612 m above mean sea level. Known only to about 25 m" in " ".join(sheet.split())
    assert "1-2 600 m up, 0 m down at the least" in " ".join(sheet.split())


def test_the_reserve_is_that_of_the_settings(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[before_dark]\nmargin_min = 90\nfactor = 1.5\n", "utf-8")
    told = " ".join(sheet_of(ask("sheet", *PLACES, *WHEN)).split())
    assert "The way home takes 1 h 07 min; 1.5 times that is 1 h 41 min; with 90 min in hand" in told


def test_settings_that_are_wrong_are_named(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[before_dark]\nmargin_mim = 90\n", "utf-8")
    run = ask("sheet", *PLACES, *WHEN)
    assert (run.code, run.out) == (1, b"")
    assert "did you mean margin_min?" in run.complaint


@pytest.mark.parametrize(
    ("places", "said"),
    [
        (("47,5 11,5",), "can mean 2 things"),
        ((PLACES[0], "Nowhere At All"), "cannot be read as a place"),
        ((PLACES[0], "--target", "47,5 11,5"), "can mean 2 things"),
        ((PLACES[0], "--zone", "Nowhere/Such"), "give one as Pacific/Auckland"),
        ((PLACES[0],) * 100, "1 to 99 places"),
    ],
)
def test_what_cannot_be_used_is_refused_with_words(ask: Ask, places: tuple[str, ...], said: str) -> None:
    run = ask("sheet", *places)
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert said in run.complaint


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--date", "2026-02-30"), "is no date"),
        (("--date", "20.3.2026"), "is no date"),
        (("--date", "1900-12-31"), "from 1901 to 2099"),
        (("--depart", "24:00"), "is no time"),
        (("--depart", "8"), "is no time"),
        (("--pace", "0.5"), "not from 1 to 8"),
        (("--pace", "nan"), "is not a number"),
        (("--climb", "high"), "is no climb"),
        (("--climb", "1", "--climb", "2"), "2 climbs are given for 1 legs"),
        (("--climb", "\x1b[31m"), "is no climb"),
    ],
)
def test_wrong_usage_is_told(ask: Ask, more: tuple[str, ...], said: str) -> None:
    run = ask("sheet", *PLACES, *more)
    check_civil(run)
    assert (run.code, run.out) == (2, b"")
    assert said in run.complaint


def test_without_a_place_it_is_wrong_usage(ask: Ask) -> None:
    assert ask("sheet").code == 2


# Files


def test_a_sheet_in_a_file_is_the_one_that_is_printed(ask: Ask, tmp_path: Path) -> None:
    printed = sheet_of(ask("sheet", *PLACES, *WHEN))
    out = tmp_path / "trip.txt"
    run = ask("sheet", *PLACES, *WHEN, "-o", out)
    assert run.code == 0
    assert "2 places" in run.out.decode()
    assert out.read_bytes().decode("utf-8") == printed


def test_nothing_is_replaced_without_being_asked_for(ask: Ask, tmp_path: Path) -> None:
    out = tmp_path / "trip.txt"
    assert ask("sheet", PLACES[0], *WHEN, "-o", out).code == 0
    first = out.read_bytes()
    run = ask("sheet", PLACES[1], *WHEN, "-o", out)
    assert (run.code, out.read_bytes()) == (1, first)
    assert "exists already" in run.complaint
    assert ask("sheet", PLACES[1], *WHEN, "-o", out, "--force").code == 0
    assert out.read_bytes() != first
    assert (tmp_path / "trip.txt.bak").read_bytes() == first


def test_force_makes_a_new_file_too(ask: Ask, tmp_path: Path) -> None:
    assert ask("sheet", PLACES[0], "-o", tmp_path / "new.txt", "--force").code == 0
    assert (tmp_path / "new.txt").read_bytes().startswith(b"Trip sheet: ")


def test_force_replaces_nothing_but_a_trip_sheet(ask: Ask, tmp_path: Path) -> None:
    other = tmp_path / "only_copy.txt"
    other.write_bytes(b"of something")
    run = ask("sheet", PLACES[0], "-o", other, "--force")
    assert (run.code, other.read_bytes()) == (1, b"of something")
    assert "is no trip sheet" in run.complaint


@pytest.mark.parametrize("name", ["none/such.txt", ".", "a\0b"])
@pytest.mark.parametrize("force", [(), ("--force",)])
def test_a_file_that_cannot_be_written_is_told(ask: Ask, tmp_path: Path, name: str, force: tuple[str, ...]) -> None:
    before = sorted(tmp_path.rglob("*"))
    run = ask("sheet", PLACES[0], "-o", f"{tmp_path}/{name}", *force)
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert sorted(tmp_path.rglob("*")) == before


# Characters


def test_ascii_where_it_is_asked_for(ask: Ask) -> None:
    sheet = sheet_of(ask("sheet", *PLACES, *WHEN, "--ascii"))
    assert sheet.isascii()
    assert "47.30000 deg S 012.70000 deg W" in sheet


def test_ascii_where_standard_output_knows_nothing_else(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "sheet", PLACES[0], *WHEN, env={"PYTHONIOENCODING": "ascii"})
    assert sheet_of(run).isascii()
    assert b" deg S" in run.out
    assert b"\\x" not in run.out


@posix
def test_a_terminal_is_sent_no_form_feed(tmp_path: Path) -> None:
    screen = Terminal(command(["sheet", *PLACES, *WHEN]), environment(tmp_path))
    try:
        run = screen.run()
    finally:
        screen.close()
    assert run.code == 0
    assert b"page 2 of" in run.out
    assert not CONTROLS & set(run.out)

"""`fixboard say` as people and scripts use it. Places are open ocean, invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.build import clock, lines
from tests.cli.running import Ask, check_civil, object_of, printed

HERE = "10.501233 N 20.254333 W"
KEYS = {
    *("script", "for", "text", "form", "second_text", "second_form"),
    *("utc", "age_s", "error_95_m", "verdict", "warning", "check"),
}

pytestmark = pytest.mark.usefixtures("data_here")


def recorded(folder: Path) -> Path:
    """A walk east of 20 s, a good fix a second; a metre and a half each."""
    path = folder / "walk.nmea"
    bodies: list[str] = []
    for n in range(20):
        east = 15.0 - n * 0.0009
        where = f"1030.0740,N,020{east:07.4f},W"
        bodies += [
            f"GNRMC,{clock(43_200 + n)},A,{where},2.9,90.0,040531,,,A",
            f"GNGGA,{clock(43_200 + n)},{where},1,09,0.9,12.5,M,30.0,M,,",
        ]
    path.write_bytes(lines(*bodies))
    return path


@pytest.mark.parametrize(
    ("audience", "text", "words"),
    [
        ("land", "27P WM 8159 6092", "zone      two seven Papa"),
        ("sea", "10° 30.074' N  020° 15.260' W", "ZEERO TOO ZEERO degrees"),
        ("air", "10° 30.074' N  20° 15.260' W", "TREE ZEERO decimal ZEERO SEVEN FOWER minutes, NORTH"),
    ],
)
def test_each_service_hears_its_own_form(ask: Ask, audience: str, text: str, words: str) -> None:
    found = object_of(ask, "say", "--at", HERE, "--for", audience)
    assert set(found) == KEYS
    assert found["text"] == text
    assert words in found["script"]
    assert (found["utc"], found["age_s"], found["verdict"], found["warning"], found["check"]) == (None,) * 5
    assert printed(ask, "say", "--at", HERE, "--for", audience).strip() == found["script"]


def test_the_emergency_number_comes_first_and_a_typed_place_is_no_measurement(ask: Ask) -> None:
    text = printed(ask, "say", "--at", HERE)
    assert text.startswith("Emergency: phone the local emergency number first")
    assert "a place that was typed, not a measurement" in text


def test_a_recording_says_its_time_its_error_and_that_it_is_one(ask: Ask, tmp_path: Path) -> None:
    found = object_of(ask, "say", "--from", str(recorded(tmp_path)), "--for", "air")
    assert found["utc"] == "2031-05-04T12:00:19.000Z"
    assert found["error_95_m"] == pytest.approx(1.730818 * 0.9 * 4.0, abs=0.02)
    assert found["verdict"] in {"doubtful", "usable", "firm"}
    assert "from a recording, not where anybody is now" in found["script"]
    assert found["text"] == "10° 30.074' N  20° 14.983' W"


def test_digits_follow_the_error_of_a_waypoint_and_an_unknown_one_is_said(ask: Ask, tmp_path: Path) -> None:
    places = Waypoints(tmp_path / "waypoints.gpx")
    places.add(Waypoint("Rough", Position(10.501233, -20.254333), error_95_m=120.0))
    places.add(Waypoint("Quay\u202e\u009b2J", Position(10.501233, -20.254333)))
    assert object_of(ask, "say", "--at", "Rough", "--for", "sea")["text"] == "10° 30.07' N  020° 15.26' W"
    found = object_of(ask, "say", "--at", "Quay\u202e\u009b2J")
    assert found["error_95_m"] is None
    assert "How exact it is, is not known." in found["script"]
    assert "\u202e" not in printed(ask, "say", "--at", "Quay\u202e\u009b2J")


def test_leading_zeros_are_a_setting(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[report]\nleading_zeros = false\n")
    assert object_of(ask, "say", "--at", HERE, "--for", "sea")["text"] == "10° 30.074' N  20° 15.260' W"


def test_a_read_back_is_checked(ask: Ask) -> None:
    right = object_of(ask, "say", "--at", HERE, "--for", "air", "--check", "10 30.074 N 20 15.260 W")["check"]
    assert (right["right"], right["slips"], right["off_m"]) == (True, [], 0.0)
    wrong = object_of(ask, "say", "--at", HERE, "--for", "air", "--check", "one zero 30.074 N 20 15.290 W")["check"]
    assert wrong["slips"] == [
        {"group": "minutes of longitude", "place": 5, "kind": "other", "said": "6", "heard": "9"},
    ]
    assert wrong["off_m"] == pytest.approx(0.03 / 60 * 109_460.0, rel=0.01)  # a degree of longitude at 10.5 N
    text = printed(ask, "say", "--at", HERE, "--for", "air", "--check", "10 30.074 N 20 15.290 W")
    assert "Wrong: minutes of longitude, 5th place: 6 became 9." in text
    assert "That is 55 m off." in text
    assert "Right: all of it" in printed(ask, "say", "--at", HERE, "--for", "air", "--check", "10 30.074 N 20 15.260 W")


def test_a_heard_position_is_resolved_near_a_place_and_along_a_recording(ask: Ask, tmp_path: Path) -> None:
    (first, *_) = object_of(ask, "say", "--heard", "10 50.123 N 20 25.433 W", "--near", HERE)["readings"]
    assert (first["latitude"], first["longitude"]) == pytest.approx((10.50123, -20.25433))
    assert "decimal degrees" in first["how"]
    assert first["distance_m"] < 50.0
    along = object_of(ask, "say", "--heard", "10 30 07 N 20 15 00 W", "--from", str(recorded(tmp_path)))["readings"][0]
    assert (along["latitude"], along["longitude"]) == pytest.approx((10 + 30.07 / 60, -20.25))
    assert object_of(ask, "say", "--heard", "10 30.5 N 20 15.2 W")["readings"][0]["distance_m"] is None
    assert "ask again" in printed(ask, "say", "--heard", "10 30.5 N 20 15.2 W", "--near", HERE)
    assert object_of(ask, "say", "--heard", "-10.5 -20.25")["readings"][0]["latitude"] == -10.5


def test_a_blur_gives_less_in_one_form(ask: Ask) -> None:
    found = object_of(ask, "say", "--at", HERE, "--blur", "1km")
    assert (found["text"], found["second_text"], found["second_form"]) == ("27P WM 81 60", None, None)
    assert object_of(ask, "say", "--at", HERE, "--blur", "locator")["text"] == "HK90"


def test_near_home_a_precise_position_is_warned_of_and_a_blurred_one_is_not(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[home]\nplace = "10.502 N 20.254 W"\nradius_m = 400\n')
    run = ask("say", "--at", HERE)
    assert run.code == 0
    assert "Home: this position lies within 400 m of it" in run.complaint
    assert object_of(ask, "say", "--at", HERE)["warning"].startswith("Home:")
    assert object_of(ask, "say", "--at", HERE, "--blur", "1km")["warning"] is None
    assert object_of(ask, "say", "--at", "10.6 N 20.2 W")["warning"] is None


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ('[home]\nplace = "nowhere"', "place of [home]"),
        ("[home]\nradius_m = 400", "place of [home] is wanted too"),
        ('[home]\nplace = "10 N 20 W"\nradius_m = "x"', "metres from 1 to 50000"),
        ('[home]\nplaces = "10 N 20 W"', "did you mean place?"),
        ('[report]\nleading_zeros = "yes"', "true or false"),
    ],
)
def test_a_wrong_setting_is_named(ask: Ask, tmp_path: Path, setting: str, words: str) -> None:
    (tmp_path / "settings.toml").write_text(setting)
    run = ask("say", "--at", HERE)
    check_civil(run)
    assert run.code == 1
    assert words in run.complaint


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("--at", HERE, "--from", "x.nmea"), 2),
        (("--at", HERE, "--for", "space"), 2),
        (("--at", HERE, "--blur", "much"), 2),
        (("--near", HERE, "--at", HERE), 2),
        (("--heard", "10 N 20 W", "--check", "10"), 2),
        (("--at", "nowhere at all"), 1),
        (("--at", HERE, "--check", "\x1b[ hello"), 1),
        (("--heard", "\x1b[2J"), 1),
        (("--from", "missing.nmea"), 1),
    ],
)
def test_what_cannot_be_is_refused_in_words(ask: Ask, arguments: tuple[str, ...], code: int) -> None:
    run = ask("say", *arguments)
    check_civil(run)
    assert run.code == code
    assert run.complaint


def test_a_recording_without_a_fix_has_nothing_to_say(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "void.nmea"
    path.write_bytes(lines("GNRMC,120000.00,V,,,,,,,040531,,,N"))
    run = ask("say", "--from", str(path))
    check_civil(run)
    assert run.code == 3

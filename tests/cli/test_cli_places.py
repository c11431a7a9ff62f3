"""`place` and `bearing` as scripts use them. Places are open ocean or published test points, names invented."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.cli.running import Ask, asker, check_civil, fixboard

PLACE_KEYS = {
    "latitude", "longitude", "decimal", "degrees_minutes", "degrees_minutes_seconds", "utm", "mgrs", "locator",
    "iso6709", "geo_uri", "declination_deg",
}  # fmt: skip
BEARING_KEYS = {
    "distance_m", "initial_bearing_true", "final_bearing_true", "initial_bearing_magnetic", "initial_bearing_grid",
    "back_bearing_true", "long_path_distance_m", "long_path_bearing_true", "uncertainty_deg",
}  # fmt: skip
"""contract.md."""


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path))
    return asker(capfdbinary)


def object_of(ask: Ask, *arguments: str) -> dict[str, Any]:
    run = ask(*arguments, "--json")
    check_civil(run)
    assert run.code == 0, run.complaint
    found: dict[str, Any] = json.loads(run.out)
    return found


def test_a_place_in_every_form(ask: Ask) -> None:
    """47 17 06.76 N 8 33 54.89 E is the worked example of an interface description (nmea-facts.toml, opened)."""
    found = object_of(ask, "place", "47.28521118 N 8.56524738 E")
    assert set(found) == PLACE_KEYS
    assert found["decimal"] == "47.28521° N 008.56525° E"
    assert found["degrees_minutes"] == "47° 17.113' N 008° 33.915' E"
    assert found["degrees_minutes_seconds"] == "47° 17' 06.8\" N 008° 33' 54.9\" E"
    assert found["utm"].startswith("32T 467")
    assert found["mgrs"].startswith("32T MT 67")
    assert found["locator"] == "JN47gg"
    assert found["geo_uri"] == "geo:47.28521,8.56525"
    assert -180 <= found["declination_deg"] <= 180


@pytest.mark.parametrize("text", ["-47.3,-12.7", "-47.3 -12.7", "47.3 S 12.7 W", "s47.3 w12.7"])
def test_a_place_that_begins_with_a_minus_sign_works_as_it_stands(ask: Ask, text: str) -> None:
    found = object_of(ask, "place", text)
    assert (found["latitude"], found["longitude"]) == (-47.3, -12.7)


def test_the_way_from_place_to_place(ask: Ask) -> None:
    """Along the equator a degree is 111,319.491 m of WGS 84: the semi-major axis times pi over 180."""
    found = object_of(ask, "bearing", "0.0000,-30.0000", "0.0000,-29.0000")
    assert set(found) == BEARING_KEYS
    assert found["distance_m"] == pytest.approx(111_319.491, abs=0.01)
    assert found["initial_bearing_true"] == pytest.approx(90.0)
    assert found["back_bearing_true"] == pytest.approx(270.0)
    assert found["long_path_bearing_true"] == pytest.approx(270.0)
    assert found["uncertainty_deg"] < 0.05


def test_a_coarse_place_makes_an_uncertain_bearing(ask: Ask) -> None:
    assert object_of(ask, "bearing", "II32", "II33")["uncertainty_deg"] > 30.0


def test_on_the_spot_there_is_no_direction(ask: Ask) -> None:
    found = object_of(ask, "bearing", "-47.3,-12.7", "-47.3,-12.7")
    assert found["distance_m"] == 0.0
    assert [found[key] for key in sorted(BEARING_KEYS) if key.endswith("_true")] == [None] * 4


def test_near_the_magnetic_pole_there_is_no_magnetic_bearing(ask: Ask) -> None:
    run = ask("bearing", "86.0,140.0", "86.5,140.0", "--json")
    assert json.loads(run.out)["initial_bearing_magnetic"] is None
    assert "no declination" in run.complaint


def test_a_waypoint_is_a_place(ask: Ask, tmp_path: Path) -> None:
    Waypoints(tmp_path / "waypoints.gpx").add(Waypoint("Ommery Top", Position(-47.3, -12.7)))
    assert object_of(ask, "place", "Ommery Top")["latitude"] == -47.3


def test_a_waypoint_of_unknown_error_makes_the_uncertainty_unknown_not_nothing(ask: Ask, tmp_path: Path) -> None:
    places = Waypoints(tmp_path / "waypoints.gpx")
    places.add(Waypoint("Ommery Top", Position(-47.3, -12.7)))
    places.add(Waypoint("Landing", Position(-47.31, -12.7), error_95_m=20.0))
    assert object_of(ask, "bearing", "Landing", "Ommery Top")["uncertainty_deg"] is None
    assert object_of(ask, "bearing", "Landing", "-47.32000000 -12.70000000")["uncertainty_deg"] > 0.5


@pytest.mark.parametrize(
    ("text", "said"),
    [("47,5 11,5", "can mean 2 things"), ("Ommery Top", "cannot be read as a place"), ("\x1b[31m", "cannot be seen")],
)
def test_what_is_no_place_or_several_is_refused_with_words(tmp_path: Path, text: str, said: str) -> None:
    run = fixboard(tmp_path, "place", text)
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert said in run.complaint


def test_a_name_that_is_a_notation_too_is_refused(tmp_path: Path) -> None:
    Waypoints(tmp_path / "waypoints.gpx").add(Waypoint("JJ00aa", Position(-47.3, -12.7)))
    run = fixboard(tmp_path, "place", "JJ00aa")
    assert run.code == 1
    assert "the waypoint of that name" in run.complaint

"""`fixboard beam` as people and scripts use it. Places are open ocean, invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.cli.running import Ask, check_civil, object_of, printed

FROM, TO, AT = "45.00000 N 179.00000 E", "RN95ua", "2026-06-01T20:00"

pytestmark = pytest.mark.usefixtures("data_here")


def test_the_object_agrees_with_the_geodesic_library(ask: Ask) -> None:
    found = object_of(ask, "beam", FROM, TO, "--at", AT)
    # RN95ua: from 179 40' to 179 45' E, from 45 0.0' to 45 2.5' N; its middle is 45.0208333, 179.7083333.
    line = Geodesic.WGS84.Inverse(45.0, 179.0, 45 + 1.25 / 60, 179 + 42.5 / 60)
    assert found["distance_m"] == pytest.approx(line["s12"], abs=0.001)
    assert found["short_path"]["true"] == pytest.approx(line["azi1"], abs=0.001)
    assert found["long_path"]["true"] == pytest.approx(line["azi1"] + 180, abs=0.001)
    assert found["back"]["true"] == pytest.approx((line["azi2"] + 180) % 360, abs=0.001)
    assert found["locators"] == ["RN95ma00", "RN95ua55"]
    assert set(found["by_characters"]) == {"4", "6", "8"}


def test_paper_is_plain_text_of_70_columns_and_says_what_it_must(ask: Ask) -> None:
    text = printed(ask, "beam", FROM, TO, "--at", AT, "--beamwidth", "5")
    assert max(map(len, text.splitlines())) <= 70
    for words in ("short path", "long path", "contest distance", "8 characters needed", "Never look into the sun"):
        assert words in " ".join(text.split())


@pytest.mark.parametrize("plain", [(), ("--ascii",)], ids=["as-usual", "ascii"])
def test_every_angle_has_its_unit_and_what_goes_on_below_is_moved_in(ask: Ask, plain: tuple[str, ...]) -> None:
    text = printed(ask, "beam", FROM, TO, "--at", AT, *plain)
    lines = text.splitlines()
    rows = {name: row for name in ("short path", "bearing may be off", "sun at") for row in lines if name in row}
    if plain:
        assert text.isascii()
        assert "degrees" in lines[lines.index(rows["short path"]) - 1]
        assert "may be off, degrees" in text
        assert rows["sun at"].count(" deg") == 2
    else:
        assert rows["short path"].count("°") == 4
        assert rows["bearing may be off"].split()[4:] == ["any", "4.2°", "0.5°"]
        assert rows["sun at"].count("°") == 2
    assert max(map(len, lines)) <= 70
    assert lines[lines.index(next(row for row in lines if row.startswith("Straight lines"))) + 1].startswith("  ")


def test_ascii_is_ascii(ask: Ask) -> None:
    assert printed(ask, "beam", FROM, TO, "--ascii").isascii()


def test_a_waypoint_of_unknown_error_gives_no_uncertainty(ask: Ask, tmp_path: Path) -> None:
    Waypoints(tmp_path / "waypoints.gpx").add(Waypoint("Quennet", Position(45.2, 179.5)))
    assert object_of(ask, "beam", FROM, "Quennet")["uncertainty_deg"] is None


def test_one_spot_has_no_direction(ask: Ask) -> None:
    found = object_of(ask, "beam", FROM, FROM)
    assert (found["short_path"]["true"], found["characters_needed"], found["sun_in_line"]) == (None, None, [])
    assert "one spot" in printed(ask, "beam", FROM, FROM)


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        ((FROM, TO, "--at", "noon"), 2),
        ((FROM, TO, "--at", "0001-01-01"), 2),
        ((FROM, TO, "--at", "9999-12-31T23:59"), 2),
        ((FROM, TO, "--beamwidth", "0"), 2),
        ((FROM, TO, "--beamwidth", "nan"), 2),
        ((FROM, "nowhere at all"), 1),
        ((FROM,), 2),
    ],
)
def test_what_cannot_be_is_refused_in_words(ask: Ask, arguments: tuple[str, ...], code: int) -> None:
    run = ask("beam", *arguments)
    check_civil(run)
    assert run.code == code
    assert run.complaint


def test_a_name_with_escapes_is_printed_without_them(ask: Ask, tmp_path: Path) -> None:
    Waypoints(tmp_path / "waypoints.gpx").add(Waypoint("Quay\u202e\u009b2J", Position(45.2, 179.5)))
    check_civil(ask("beam", FROM, "Quay\u202e\u009b2J"))

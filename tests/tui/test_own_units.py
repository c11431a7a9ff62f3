"""The user's units where they were missing: thresholds, notes of position texts, blur, findings, settings."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input, Static

from core.fix import Position
from core.navigator import Goal, Going, Route
from core.settings import read_settings
from core.settings.changing import SettingsFile, look
from core.stations import Doubt, Finding
from core.trip import Totals
from core.trust_rules import RULES
from core.units import METRIC, SYSTEMS, Units, in_use, use
from tests.tui.support import (
    ISLE,
    SETTLED,
    Epoch,
    board_app,
    board_state,
    pane_rows,
    position_pane,
    screen_text,
    show,
    walked,
)
from tui.canvas.rows import Row, RowsPane
from tui.handed_on import Choices, box_words
from tui.panes.goto import GoToPane
from tui.panes.trip import TripPane
from tui.panes.why import WhyPane
from tui.screens.help import EVERY_COMMAND
from tui.screens.setting_prompt import SettingPrompt
from tui.setting_rows import Setting, settings_in, wanted, with_unit
from tui.spoken_rows import pane_rows as every_row
from tui.state import BoardState
from tui.station_words import why

PLACE = Position(10.5, -20.25)
METRES = re.compile(r"\d m\b")


@pytest.fixture(autouse=True)
def metric() -> Iterator[None]:
    yield
    use(METRIC)


def speed_row(state: BoardState) -> str:
    (found,) = [row for row in pane_rows(position_pane(), state, (37, 13)) if "speed" in row]
    return found


def lines_of(pane: RowsPane, state: BoardState) -> list[str]:
    return ["".join(span.text for span in row) for row in every_row(pane, state)]


def rows_at(pane: WhyPane, state: BoardState, width: int) -> list[Row]:
    pane.set_reactive(WhyPane.state, state)
    return pane.rows(width, 100)


# Words


@pytest.mark.parametrize(("system", "words"), [("metric", "firm up to 15 m, usable up to 50 m"),
                                               ("statute", "firm up to 49 ft, usable up to 164 ft"),
                                               ("nautical", "firm up to 15 m, usable up to 50 m")])  # fmt: skip
def test_thresholds_of_why_are_in_the_user_s_units(system: str, words: str) -> None:
    use(SYSTEMS[system])
    shown = "\n".join(lines_of(WhyPane(), board_state(walked(12))))  # judged in these units
    assert words in shown
    told = [row for row in shown.splitlines() if METRES.search(row) and "Reference" not in row]
    assert (told == []) is (system == "statute"), told
    assert all(rule.name in shown for rule in RULES)


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_threshold_is_cut_to_another(system: str) -> None:
    """Whatever the width, the figures of a row are the first of its rule's own."""
    use(SYSTEMS[system])
    state = board_state(walked(12))
    known = {rule.name: re.findall(r"[\d.]+", in_use().own_lengths(rule.thresholds)) for rule in RULES}
    for width in range(50, 100):
        for row in rows_at(WhyPane(), state, width):
            if len(row) == 4 and row[0].text.strip() in known:
                figures = re.findall(r"[\d.]+", row[-1].text)
                assert figures == known[row[0].text.strip()][: len(figures)], (width, row[-1].text)


@pytest.mark.parametrize(("system", "plain", "compressed"), [("metric", "18.5 m (0.01')", "50 cm"),
                                                             ("statute", "61 ft (0.01')", "1.6 ft")])  # fmt: skip
def test_what_a_position_text_leaves_open_is_told_in_them(system: str, plain: str, compressed: str) -> None:
    use(SYSTEMS[system])
    assert box_words(PLACE, Choices()) == f"to the nearest {plain}"
    assert box_words(PLACE, Choices(is_compressed=True)) == f"to about {compressed}"


@pytest.mark.parametrize(("system", "words"), [("metric", ["to 100 m", "to 1 km"]),
                                               ("statute", ["to 100 m (328 ft)", "to 1 km (0.62 mi)"]),
                                               ("nautical", ["to 100 m", "to 1 km (0.54 NM)"])])  # fmt: skip
async def test_the_choices_of_blur_say_how_much_they_are(tmp_path: Path, system: str, words: list[str]) -> None:
    (tmp_path / "settings.toml").write_text(f'[units]\nsystem = "{system}"\n', encoding="utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("G")
        told = []
        for _ in words:
            await pilot.press("f4")
            await pilot.pause()
            title = str(app.screen.query_one("#say-title", Static).render())
            told.append(title.rpartition("; ")[2])
        assert told == words


def test_a_distance_in_a_finding_is_ours_and_a_quoted_one_the_list_s() -> None:
    use(SYSTEMS["statute"])
    apart = Finding(1, "QX1AA", Doubt.PLACES_DISAGREE, "the coordinates lie 16.1 km from the middle of HK90vm")
    assert "lie 10 mi from" in why(apart)
    quoted = Finding(1, "QX1AA", Doubt.HEIGHT, "'12 m or 40 ft' is no height")
    assert why(quoted) == quoted.why


# Figures that do not dance


@pytest.mark.parametrize("units", [METRIC, SYSTEMS["statute"], SYSTEMS["nautical"]])
def test_the_units_of_the_speed_stand_still(units: Units) -> None:
    """9.9 and 10.1 m/s; 9.7 and 10.1 km/h; 99.6 and 101 km/h."""
    use(units)
    places = set()
    for knots in ("5.2", "5.5", "19.3", "19.6", "53.8", "54.5"):
        (shown,) = [
            row for row in pane_rows(position_pane(), board_state(walked(4, Epoch(knots=knots)))) if "speed" in row
        ]
        places.add(tuple(found.start() for found in re.finditer(r"m/s|km/h|mph|kn", shown)))
    assert len(places) == 1
    assert len(places.pop()) == (2 if units is METRIC else 1)


@pytest.mark.parametrize("knots", ["2.9", "19.6"])
def test_an_old_speed_and_its_age_have_room_in_the_narrowest_pane(knots: str) -> None:
    shown = speed_row(board_state(walked(4, Epoch(knots=knots)), 9.0))
    assert re.search(r"\d m/s \d+\.\d km/h +9 s old", shown)


def test_closing_speed_and_trip_are_as_steady() -> None:
    places, route = set(), Route((Goal(ISLE.name, ISLE.position, 5.0),))
    for mps in (9.9, 10.1, 27.7, 27.8):
        totals = Totals(distance_m=1000.0, moving_s=1000.0, average_mps=mps, fastest_mps=mps)
        going = Going(route, closing_mps=mps, eta_s=60.0)
        snapshot = replace(SETTLED.snapshot, going=going, trip=SETTLED.trip._replace(totals=totals))
        state = SETTLED.changed(target=ISLE, route=route, snapshot=snapshot)
        shown = [*lines_of(GoToPane(), state), *lines_of(TripPane(), state)]
        places.add(tuple(one.index("km/h") for one in shown if "km/h" in one and "Pace" not in one))
    assert len(places) == 1, places
    assert len(places.pop()) == 3


# Settings


def rows(text: str, folder: Path) -> dict[str, Setting]:
    path = folder / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return {one.id: one for one in settings_in(look(path), EVERY_COMMAND)}


IN_FORCE = {
    "": ("km", "m", "m/s and km/h", "m"),
    '[units]\nsystem = "statute"\n': ("mi", "ft", "mph", "ft"),
    '[units]\nsystem = "Nautical"\n': ("NM", "m", "kn", "m"),
    '[units]\nsystem = "statute"\nspeed = "fast"\n': ("km", "m", "fast", "m"),  # the whole table does not count
    '[units]\nsystem = "imperial"\n': ("km", "m", "m/s and km/h", "m"),
}


@pytest.mark.parametrize(("text", "wanted"), IN_FORCE.items())
def test_units_that_are_not_set_show_what_is_in_force(tmp_path: Path, text: str, wanted: tuple[str, ...]) -> None:
    found = rows(text, tmp_path)
    names = ("distance", "short", "speed", "height")
    units = [found[f"units.{name}"] for name in names]
    assert tuple(with_unit(one.value, one.key) for one in units) == wanted


def test_they_are_those_that_the_board_writes_in(tmp_path: Path) -> None:
    for text in list(IN_FORCE)[:3]:
        found = rows(text, tmp_path)
        own = read_settings(tmp_path / "settings.toml").units
        for name in ("distance", "short", "height", "speed"):
            assert (found[f"units.{name}"].value or "") == getattr(own, name)


def test_a_unit_of_the_system_can_be_left_and_come_back_to(tmp_path: Path) -> None:
    speed = rows("", tmp_path)["units.speed"]
    assert speed.steps[-1] is None
    assert speed._replace(found="kn").step(1) is None
    distance = rows('[units]\nsystem = "statute"\n', tmp_path)["units.distance"]
    assert distance.usual == "mi"
    assert None not in distance.steps


def test_lengths_stand_in_metres_and_in_the_user_s_units() -> None:
    radius = {one.id: one for one in settings_in(SettingsFile(Path("x")), ())}["home.radius_m"]
    assert with_unit(152.4, radius.key) == "152.4 m"
    use(SYSTEMS["statute"])
    assert with_unit(152.4, radius.key) == "152.4 m (500 ft)"
    assert wanted(radius.key) == "1 to 50000 m, or with its unit as 500 ft or 0.5 mi"


async def test_a_length_is_typed_in_feet_and_saved_in_metres(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[units]\nsystem = "statute"\n', encoding="utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("Z")
        await pilot.pause()
        app.screen.query_one("#find", Input).value = "antenna"
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, SettingPrompt)
        assert "or with its unit as 500 ft or 0.5 mi" in " ".join(screen_text(app).split())
        app.screen.query_one(Input).value = "20 ft"
        await pilot.press("enter")
        await pilot.pause()
        assert "6.096 m (20 ft)" in screen_text(app)
    assert read_settings(tmp_path / "settings.toml").stations.antenna_m == pytest.approx(6.096)

"""Settings on the board: at its start, against what was chosen by key, and at once when they change."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from core.before_dark import RESERVE
from core.board_panes import PANES
from core.locations import Locations
from core.settings import read_settings
from core.trip import Totals
from core.units import METRIC, SYSTEMS, UNITS, Units, in_use, use
from tests.tui.support import (
    HERE,
    ISLE,
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    rows_of,
    screen_rows,
    show,
    toasts,
    until,
)
from tui.app import FixboardApp
from tui.bearings import Reference
from tui.canvas.grid import Grid
from tui.canvas.widget import CanvasPane
from tui.commands import COMMANDS, key_names
from tui.dark import _counted, _Way
from tui.first_words import FirstWords
from tui.own_keys import key_of, own_words, screens, wear
from tui.panes.first_frame import FirstFrame
from tui.panes.track_bar import ON_LEG_M, scales_in
from tui.session import Look, Session
from tui.state import Orientation
from tui.wording import ruler_m

SIZE = (120, 40)


def with_settings(folder: Path, text: str, *, epochs: int = 0) -> FixboardApp:
    (folder / "settings.toml").write_text(text, encoding="utf-8")
    opening = ScriptedOpening(ScriptedSource(arrivals_of(*(Epoch(second=n) for n in range(epochs)))))
    return board_app(folder, *((opening,) if epochs else ()), theme="")


def text_of(app: FixboardApp) -> str:
    return "\n".join(screen_rows(app))


async def test_the_board_begins_as_it_is_set(tmp_path: Path) -> None:
    text = (
        '[board]\ntheme = "night"\nnotation = "degrees_minutes"\nbearings = "magnetic"\norientation = "course-up"\n'
        'chart_span = "1 h"\n[units]\nsystem = "nautical"\n[position]\npin_digits = true\n'
        "[before_dark]\nmargin_min = 45\n"
    )
    app = with_settings(tmp_path, text)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        state = app.state
        assert app.theme == "fixboard-night"
        assert state.notation.name == "DEGREES_MINUTES"
        assert state.reference is Reference.MAGNETIC
        assert state.orientation is Orientation.COURSE_UP
        assert state.chart_span == 4
        assert state.units == SYSTEMS["nautical"]
        assert state.pins_digits
        assert state.reserve.margin_min == 45.0


async def test_what_was_chosen_by_key_counts_until_the_settings_say_something_else(tmp_path: Path) -> None:
    for set_to, begins, pressed in (
        ("night", "night", True),  # the settings are where it starts; c goes on to dark
        ("night", "dark", False),  # what was chosen since counts
        ("daylight", "daylight", False),  # until the settings say something else
        ("daylight", "daylight", True),
    ):
        app = with_settings(tmp_path, f'[board]\ntheme = "{set_to}"\n')
        async with app.run_test(size=SIZE) as pilot:
            assert app.theme == f"fixboard-{begins}"
            if pressed:
                await pilot.press("c")
    app = with_settings(tmp_path, "")
    async with app.run_test(size=SIZE):
        assert app.theme == "fixboard-dark"  # night was chosen while the settings said daylight; they say nothing now


async def test_choices_of_a_board_without_settings_are_remembered_as_ever(tmp_path: Path) -> None:
    app = board_app(tmp_path, theme="")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("n", "c")
    app = board_app(tmp_path, theme="")
    async with app.run_test(size=SIZE):
        assert (app.theme, app.state.notation.name) == ("fixboard-daylight", "DEGREES_MINUTES")


async def test_figures_are_in_the_units_that_are_set_and_metric_again_in_the_next_board(tmp_path: Path) -> None:
    app = with_settings(tmp_path, '[units]\nsystem = "statute"\n', epochs=12)
    async with app.run_test(size=SIZE) as pilot:
        await until(pilot, lambda: "3.3 mph" in text_of(app))
        assert "41 ft" in text_of(app)  # 12.5 m
        assert " km/h" not in text_of(app)
    assert in_use() is METRIC


async def test_settings_take_effect_at_once(tmp_path: Path) -> None:
    app = with_settings(tmp_path, "", epochs=12)
    async with app.run_test(size=SIZE) as pilot:
        await until(pilot, lambda: "km/h" in text_of(app))
        path = tmp_path / "changed.toml"
        path.write_text(
            '[units]\nsystem = "nautical"\n[board]\ntheme = "night"\nnotation = "degrees_minutes_seconds"\n'
            'bearings = "grid"\npanes = ["position", "goto", "compass"]\n[before_dark]\nfactor = 2\n'
            '[keys]\nmark_here = "k"\nhold_place = "m"\n[alerts]\nbell = "on"\n[recorder]\nexact = true\n'
        )
        app.apply_settings(read_settings(path, screens()))
        await pilot.pause()
        assert app.theme == "fixboard-night"
        assert "2.9 kn" in text_of(app)
        assert app.state.notation.name == "DEGREES_MINUTES_SECONDS"
        assert app.state.reference is Reference.GRID
        assert app.state.reserve.factor == 2.0
        assert app._rings("lost")
        assert {one.id for one in app.board.query(CanvasPane) if one.display and one.region} >= {"position", "compass"}
        assert not app.board.query_one("#sky").region
        await pilot.press("k")
        assert "Marked" in toasts(app)[-1]
        app.apply_settings(read_settings(tmp_path / "none.toml"))
        await pilot.pause()
        assert "km/h" in text_of(app)
        assert app.board.query_one("#sky").region


async def test_a_choice_by_key_stays_when_another_setting_changes(tmp_path: Path) -> None:
    app = with_settings(tmp_path, "")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("n", "u", "c")
        before = app.state.notation, app.state.orientation, app.theme
        app.apply_settings(replace(app.session.settings, units=SYSTEMS["statute"]))
        assert (app.state.notation, app.state.orientation, app.theme) == before


METRIC_WORDS = re.compile(r"\d (?:cm|m|km|km/h|m/s)\b")


@pytest.mark.parametrize("system", ["metric", "statute", "nautical"])
async def test_every_page_has_its_figures_in_the_user_s_units(tmp_path: Path, system: str) -> None:
    app = with_settings(tmp_path, f'[units]\nsystem = "{system}"\nshort = "{"m" if system == "metric" else "ft"}"\n')
    rows: list[str] = []
    async with app.run_test(size=SIZE) as pilot:
        show(app, SETTLED.changed(target=ISLE, units=app.state.units))
        for page in ("board", "position", "fix", "goto", "why", "charts", "large", "trail", "trip", "averaging"):
            app.board.page = page
            await pilot.pause()
            rows += [f"{page}: {row}" for row in screen_rows(app)]
    found = [row for row in rows if METRIC_WORDS.search(row)]
    if system == "metric":
        assert len(found) > 5
    else:
        assert [row for row in found if not (system == "nautical" and re.search(r"\d m\b", row))] == []


@pytest.mark.parametrize("short", ["m", "yd", "ft"])
@pytest.mark.parametrize("distance", ["km", "mi", "NM"])
def test_the_bar_beside_the_leg_shows_every_distance_well_out_of_its_middle(short: str, distance: str) -> None:
    reaches = [ON_LEG_M, *(reach for reach, _ in scales_in(Units(distance, short)))]
    assert all(1.0 < more / less <= 5.0 + 1e-9 for less, more in pairwise(reaches))


@pytest.mark.parametrize("short", ["m", "yd", "ft"])
@pytest.mark.parametrize("distance", ["km", "mi", "NM"])
def test_a_ruler_is_as_long_as_its_words_say_and_has_room(short: str, distance: str) -> None:
    use(Units(distance, short))
    try:
        for tenth in range(-30, 60):
            metres_per_dot = 10 ** (tenth / 10)
            length_m = ruler_m(metres_per_dot, 40)
            figure, unit = in_use().ruler(length_m).split()
            size = {"cm": 0.01, "in": 0.0254}.get(unit) or UNITS[unit].size
            assert float(figure.replace(",", "")) * size == pytest.approx(length_m)
            assert 40 / 2.5 * 0.999 <= length_m / metres_per_dot <= 40 * 1.001
    finally:
        use(METRIC)


# Panes

CHOSEN = [panes for count in range(1, len(PANES)) for panes in combinations(PANES, count)]


@pytest.mark.parametrize("size", [(120, 40), (90, 40), (80, 24), (120, 24), (50, 40), (50, 16)])
async def test_any_choice_of_panes_fills_the_board(tmp_path: Path, size: tuple[int, int]) -> None:
    app = with_settings(tmp_path, "")
    async with app.run_test(size=size) as pilot:
        for panes in CHOSEN:
            app._show_panes(panes)
            await pilot.pause()
            room = app.board.query_one("#panes").region
            shown = [one for one in app.board.query(CanvasPane) if one.id in PANES and one.region and one.display]
            shown = [one for one in shown if all(above.display for above in one.ancestors if hasattr(above, "display"))]
            assert {one.id for one in shown} <= set(panes)
            assert shown, f"{panes} at {size}: nothing is seen"
            for one in shown:
                assert room.contains_region(one.region), f"{panes}: {one.id}"
            covered = sum(one.region.area for one in shown)
            assert covered >= 0.9 * room.area, f"{panes} at {size}: {[(one.id, one.region) for one in shown]}"


async def test_pages_are_as_ever_on_a_board_without_their_pane(tmp_path: Path) -> None:
    app = with_settings(tmp_path, '[board]\npanes = ["wire"]\n')
    async with app.run_test(size=SIZE) as pilot:
        for key, pane in (("1", "position"), ("2", "fix"), ("4", "compass"), ("5", "goto"), ("6", "wire")):
            await pilot.press(key)
            await pilot.pause()
            assert app.board.query_one(f"#{pane}").region.height > 20
        await pilot.press("0")
        await pilot.pause()
        assert not app.board.query_one("#words").region


def test_the_first_frame_announces_no_panes_that_will_stand_elsewhere(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[board]\npanes = ["goto"]\n')
    for folder, words in ((tmp_path, 0), (tmp_path / "none", 1)):
        session = Session(Locations(folder), Look())
        grid = Grid(*SIZE)
        FirstFrame(FirstWords(), has_all_panes=session.has_all_panes).paint(grid)
        assert "".join(rows_of(grid)).count("Go-to") == words


def test_the_way_back_is_told_in_the_units_in_use_and_not_in_those_of_before() -> None:
    totals = Totals(distance_m=5000.0, moving_s=3600.0)
    way = _Way(HERE, None, 5000.0, totals, RESERVE, METRIC)
    try:
        for units, word in ((METRIC, "km/h"), (SYSTEMS["statute"], "mph"), (METRIC, "km/h")):
            use(units)
            assert any(word in one for one in _counted(way._replace(units=units)).assumptions)
    finally:
        use(METRIC)


# Keys


async def test_keys_that_are_set_work_and_the_usual_ones_of_the_command_no_longer(tmp_path: Path) -> None:
    app = with_settings(tmp_path, '[keys]\ncycle_notation = "f12"\npage_sky = "+"\nfaster = "f10"\n')
    async with app.run_test(size=SIZE) as pilot:
        before = app.state.notation
        await pilot.press("n")
        assert app.state.notation is before
        await pilot.press("f12")
        assert app.state.notation is not before
        await pilot.press("plus")
        assert app.board.page == "sky"
        await pilot.press("escape")
        assert app.board.page == "board"
        assert "F12" in screen_rows(app)[-1]


async def test_help_and_what_is_said_have_the_user_s_keys(tmp_path: Path) -> None:
    app = with_settings(tmp_path, '[keys]\nmark_here = "g"\ngo_to_mark = "m"\nlist_places = "f12"\n')
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert "g marks here" in text_of(app)
        assert "m goes to the newest mark" in text_of(app)
        assert "F12 lists the waypoints" in text_of(app)
        help_line = next(one for one in COMMANDS if one.id == "list_places")
        assert key_names(help_line) == "F12"
    assert key_names(help_line) == "t"


async def test_a_key_for_two_commands_is_said_and_all_keys_are_as_usual(tmp_path: Path) -> None:
    app = with_settings(tmp_path, '[keys]\nmark_here = "g"\n')
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        assert any("mark_here and go_to_mark have the same key" in one for one in toasts(app))
        assert "m marks here" in text_of(app)


def test_no_two_commands_of_a_screen_have_one_key_by_themselves() -> None:
    for screen in screens():
        keys = [key for one in screen for key in one.keys]
        assert len(keys) == len(set(keys))


def test_texts_are_changed_where_they_name_a_key_and_nowhere_else() -> None:
    wear({"mark_here": "f12", "go_to_mark": "m", "set_mark": "f11"})
    try:
        assert own_words("No mark yet: m marks here.") == "No mark yet: F12 marks here."
        assert own_words("g goes to the newest mark") == "m goes to the newest mark"
        assert own_words("m again: as before. 12 m again") == "F12 again: as before. 12 m again"
        assert key_of("mark_here") == "F12"
        assert key_of("undo_delete") == "F9"
        assert own_words("12 m left of the leg, 5.0 m") == "12 m left of the leg, 5.0 m"
    finally:
        wear({})


# The bell and folders


@pytest.mark.parametrize(
    ("text", "rings", "not_for"),
    [
        ("", False, ()),
        ('bell = "on"', True, ()),
        ('bell = "off"', False, ()),
        ('bell = "on"\nevents = ["arrival"]', True, ("lost", "back", "doubtful", "turn_back")),
    ],
)
async def test_the_bell_rings_for_what_is_set(tmp_path: Path, text: str, rings: bool, not_for: tuple[str, ...]) -> None:
    app = with_settings(tmp_path, f"[alerts]\n{text}\n", epochs=3)  # a replay: silent unless it is asked for
    async with app.run_test(size=SIZE) as pilot:
        await until(pilot, lambda: app.state.position is not None)
        assert app._rings("arrival") is rings
        assert not any(app._rings(event) for event in not_for)


async def test_the_bell_rings_once_when_the_latest_turn_is_past(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = with_settings(tmp_path, '[alerts]\nbell = "on"\n', epochs=3)
    rung: list[int] = []
    async with app.run_test(size=SIZE) as pilot:
        await until(pilot, lambda: app.state.position is not None)
        monkeypatch.setattr(app, "bell", lambda: rung.append(1))
        for words in ("", "overdue 1 min", "overdue 2 min", "", "overdue again"):
            monkeypatch.setattr("tui.actions.watching.overdue_words", lambda _, now=words: now)
            app._watch_turn()
        assert len(rung) == 2


async def test_recordings_and_stations_may_lie_elsewhere(tmp_path: Path) -> None:
    there = tmp_path / "there"
    app = with_settings(tmp_path, f"[folders]\nrecordings = '{there}'\nstations = '{there / 'lists'}'\n")
    assert app.session.recordings == there
    assert app.session.station_folder == there / "lists"
    assert app.session.logbook is not None
    use(METRIC)

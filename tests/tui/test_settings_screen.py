"""The settings screen: all settings listed and found, changed, saved and obeyed at once; damaged files left alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from core.settings import read_settings
from core.settings.changing import SettingsFile, look
from core.settings.table import KEYS
from core.settings.values import parse
from tests.tui.support import ISLE, SETTLED, board_app, pane_text, screen_rows, screen_text, show, toasts, until
from tests.tui.support import rows_of as drawn_rows
from tests.tui.test_panes_hostile import NASTY, assert_harmless
from tui.app import FixboardApp
from tui.bearings import Reference
from tui.canvas.grid import Grid
from tui.canvas.rows import put_row
from tui.panes.goto import GoToPane
from tui.panes.setting_details import SettingDetailsPane, SettingView
from tui.panes.setting_list import SettingListPane
from tui.screens.help import EVERY_COMMAND
from tui.screens.pick import PickScreen
from tui.screens.setting_prompt import SettingPrompt
from tui.screens.settings import SettingsScreen
from tui.setting_rows import Setting, matches, settings_in, typed_text, wanted, with_unit, written

MINE = """\
# of the boat
[before_dark]
margin_min = 45     # she is slow
"""


def rows_of(file: SettingsFile) -> dict[str, Setting]:
    return {one.id: one for one in settings_in(file, EVERY_COMMAND)}


def usual() -> dict[str, Setting]:
    return rows_of(SettingsFile(Path("settings.toml")))


async def opened(pilot: Pilot[None], words: str = "") -> SettingsScreen:
    """The screen, with the first that matches chosen."""
    assert isinstance(pilot.app, FixboardApp)
    show(pilot.app, SETTLED)
    await pilot.press("Z")
    await pilot.pause()
    assert isinstance(pilot.app.screen, SettingsScreen)
    pilot.app.screen.query_one("#find", Input).value = words
    await pilot.pause()
    return pilot.app.screen


async def type_in(pilot: Pilot[None], text: str) -> None:
    assert isinstance(pilot.app.screen, SettingPrompt)
    pilot.app.screen.query_one(Input).value = text
    await pilot.press("enter")
    await pilot.pause()


# The rows


def test_every_key_of_the_table_and_every_command_is_a_row() -> None:
    found = usual()
    for key in KEYS:
        assert key.name == "*" or f"{key.table}.{key.name}" in found
    for command in EVERY_COMMAND:
        assert found[f"keys.{command.id}"].usual == command.key


def test_what_stands_in_the_line_is_a_right_value() -> None:
    for one in usual().values():
        text = typed_text(one)
        if one.usual is not None and text:
            assert written(parse(one.key, text)) == text, one.id


def test_steps_are_right_values_and_come_round() -> None:
    for one in [one for one in usual().values() if one.steps]:
        seen, now = [], one
        for _ in one.steps:
            now = now._replace(found=now.step(1))
            seen.append(written(now.value))
            assert now.found is None or now.wrong == "", one.id
        assert now.value == one.value, one.id
        assert len(set(seen)) == len(one.steps), one.id
        assert now._replace(found=now.step(-1)).step(1) == now.value, one.id


def test_what_is_wrong_in_the_file_is_shown_as_it_stands_and_named() -> None:
    one = usual()["alerts.bell"]._replace(found="loud")
    assert with_unit(one.value, one.key) == "loud"
    assert "one of on, off, live is wanted" in one.wrong
    assert one.step(1) == "on"


@pytest.mark.parametrize(
    ("value", "text"),
    [(True, "true"), (0.001, "0.001"), (50_000.0, "50000"), (["a", "b"], "a, b"), ("x", "x"), (None, ""), (3, "3")],
)
def test_values_are_written_as_they_may_be_typed(value: object, text: str) -> None:
    assert written(value) == text


def test_units_and_ranges_are_told() -> None:
    found = usual()
    assert with_unit(30.0, found["before_dark.margin_min"].key) == "30 min"
    assert wanted(found["before_dark.margin_min"].key) == "0 to 600 min"
    assert wanted(found["alerts.bell"].key) == "one of on, off, live"
    assert with_unit(None, found["home.place"].key) == "not set"


@pytest.mark.parametrize("typed", ["margin", "before dark", "DARK min", "45", "hand set", ""])
def test_words_find_by_name_words_and_value(typed: str) -> None:
    one = usual()["before_dark.margin_min"]._replace(found=45)
    assert matches(one, typed)
    assert not matches(one, "zebra")


# On the board


async def test_the_list_says_values_and_which_are_usual(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text(MINE, "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot)
        rows = {row.split()[0]: row for row in screen_rows(app) if "before_dark." in row[:20]}
        assert "45 min" in rows["before_dark.margin_min"]
        assert "set" in rows["before_dark.margin_min"]
        assert "1.25" in rows["before_dark.factor"]
        assert "usual" in rows["before_dark.factor"]


async def test_a_switch_is_thrown_by_enter_saved_and_obeyed(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text(MINE, "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot, "pin_digits")
        await pilot.press("enter")
        await pilot.pause()
        assert app.state.pins_digits
        text = (tmp_path / "settings.toml").read_text("utf-8")
        assert text.startswith(MINE)
        assert "pin_digits = true" in text
        assert screen.chosen is not None
        assert screen.chosen.found is True
        await pilot.press("enter")
        await pilot.pause()
        assert not app.state.pins_digits


async def test_a_choice_is_picked_with_what_it_is_now_marked(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "board bearings")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        assert "now, usual" in screen_text(app)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert app.state.reference is Reference.MAGNETIC
        assert read_settings(tmp_path / "settings.toml").board.bearings == "magnetic"


async def test_left_and_right_step_until_something_is_typed(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot)
        await pilot.press("right", "right")
        await pilot.pause()
        assert read_settings(tmp_path / "settings.toml").units.distance == "NM"
        assert "0.84 NM" in pane_text(GoToPane(), app.state.changed(target=ISLE))
        await pilot.press("left", "left")
        await pilot.pause()
        assert read_settings(tmp_path / "settings.toml").units.distance == "km"
        await pilot.press("x", "left")
        assert screen.query_one("#find", Input).cursor_position == 0


async def test_a_figure_is_typed_and_stays_until_it_is_right(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text(MINE, "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "margin_min")
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "45"
        await type_in(pilot, "700")
        says = str(app.screen.query_one("#setting-says", Static).render())
        assert "minutes from 0 to 600 are wanted" in says
        assert (tmp_path / "settings.toml").read_text("utf-8") == MINE
        await type_in(pilot, "60 min")
        assert isinstance(app.screen, SettingsScreen)
        assert app.state.reserve.margin_min == 60.0
        assert "# she is slow" in (tmp_path / "settings.toml").read_text("utf-8")


async def test_a_word_that_is_nearly_right_is_named(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "alerts.events")
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, "lost, arival")
        assert "did you mean arrival?" in screen_text(app)
        await pilot.press("escape")
        assert isinstance(app.screen, SettingsScreen)
        assert not (tmp_path / "settings.toml").exists()


async def test_a_key_is_given_and_works_at_once(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "keys.in_words")
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, "m")
        assert "same key" in screen_text(app)
        await type_in(pilot, "f12")
        await pilot.press("escape", "f12")
        await pilot.pause()
        assert type(app.screen).__name__ == "InWordsScreen"


async def test_f8_is_as_usual_again_and_f9_undoes(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text(MINE, "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "margin_min")
        await pilot.press("f9")
        assert "Nothing to undo" in toasts(app)[-1]
        await pilot.press("f8")
        await pilot.pause()
        assert app.state.reserve.margin_min == 30.0
        assert "margin_min" not in (tmp_path / "settings.toml").read_text("utf-8")
        await pilot.press("f8", "f9")
        await pilot.pause()
        assert app.state.reserve.margin_min == 45.0
        assert read_settings(tmp_path / "settings.toml").before_dark.margin_min == 45.0


async def test_what_cannot_stand_beside_the_others_is_said_and_not_saved(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "home.radius")
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, "300")
        assert "circle around nothing" in screen_text(app)
        assert not (tmp_path / "settings.toml").exists()


async def test_what_is_not_in_the_file_cannot_be_taken_out_and_that_is_said(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await pilot.press("f8")
        await pilot.pause()
        assert toasts(app)[-1] == "units.system is as usual already: it is not in the file."
        assert not (tmp_path / "settings.toml").exists()


@pytest.mark.parametrize("keys", [("enter",), ("f8",), ("right",)])
async def test_a_damaged_file_is_named_and_not_written(tmp_path: Path, keys: tuple[str, ...]) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("[recorder\n", "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot)
        text = " ".join(screen_text(app).split())
        assert "the file is damaged" in text
        assert "is no TOML" in text
        assert "nobody can say" in text
        app.clear_notifications()
        await pilot.press(*keys)
        await pilot.pause()
        assert isinstance(app.screen, SettingsScreen)
        (told,) = toasts(app)
        assert "is no TOML" in told
        assert "Correct it in an editor, or move it away" in told
        assert path.read_text("utf-8") == "[recorder\n"


async def test_a_slip_is_named_with_its_line_and_can_be_mended_here(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("[alerts]\n\nbell = 'loud'\n", "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(pilot, "alerts.bell")
        assert "line 3: bell is 'loud'" in " ".join(screen_text(app).split())
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert read_settings(path).alerts.bell == "on"
        assert "wrong" not in screen_rows(app)[3]


async def test_what_an_editor_saves_meanwhile_is_shown_and_kept(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(MINE, "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await opened(pilot, "margin_min")
        path.write_text(MINE + "factor = 1.5\n", "utf-8")
        screen.look_again()
        await pilot.press("f8")
        await pilot.pause()
        assert read_settings(path).before_dark.factor == 1.5
        assert app.state.reserve.factor == 1.5


async def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    data = tmp_path / "data"
    data.write_text("a file where the folder would be", "utf-8")
    app = board_app(data)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "pin_digits")
        app.clear_notifications()
        await pilot.press("enter")
        await pilot.pause()
        # Others may have something to say of such a folder too.
        await until(pilot, lambda: any("Nothing was changed" in told for told in toasts(app)))
        assert not app.state.pins_digits


@pytest.mark.parametrize("size", [(30, 8), (80, 24), (120, 40), (300, 100)])
async def test_the_chosen_setting_s_name_and_value_are_seen_at_any_size(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await opened(pilot, "margin_min")
        (row,) = [row for row in screen_rows(app) if row.startswith(">")]
        assert "before_dark.mar" in row
        assert "30 min" in row
        assert ("usual" in row) is (size[0] >= 80)


def test_the_details_say_where_it_stands_and_when_it_counts(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(MINE, "utf-8")
    file = look(path)
    pane = SettingDetailsPane()
    pane.show(SettingView(rows_of(file)["before_dark.margin_min"], file))
    text = "\n".join("".join(span.text for span in row) for row in pane.rows(200, 30))
    for words in ("kept in hand", "45 min", "30 min", "0 to 600 min", f"line 3 of {path}", "at once"):
        assert words in text
    pane.show(SettingView(rows_of(file)["track.rule"], file))
    text = "\n".join("".join(span.text for span in row) for row in pane.rows(200, 30))
    assert f"not in {path}" in text
    assert "at once; in a replay when it is opened the next time" in text


@pytest.mark.parametrize("name", NASTY.values(), ids=NASTY.keys())
def test_hostile_values_stay_in_their_field(name: str) -> None:
    setting = usual()["folders.recordings"]._replace(found=name)
    pane = SettingDetailsPane()
    pane.show(SettingView(setting, SettingsFile(Path("settings.toml"), wrong=(name,), damage=name)))
    for row in (SettingListPane().row(setting, 80, chosen=True), *pane.rows(80, 30)):
        grid = Grid(80, 1)
        put_row(grid, 0, row)
        assert_harmless(drawn_rows(grid), 80)


async def test_a_value_is_edited_as_it_is_and_not_as_it_can_be_drawn(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[folders]\nrecordings = '/srv/\u4e16\u754c'\n", "utf-8")
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot, "folders.recordings")
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one(Input).value == "/srv/\u4e16\u754c"


async def test_lists_of_stations_are_read_from_the_folder_that_is_set_now(tmp_path: Path) -> None:
    """Found so: the folder was that of the program's start until its end."""
    other = tmp_path / "lists"
    other.mkdir()
    (other / "mine.csv").write_text("call,latitude,longitude,frequency\nQ0ISL,10.6,-20.2,145.750\n", "utf-8")
    app = board_app(tmp_path / "data")
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED)
        await pilot.press("F")
        await until(pilot, lambda: "No list of stations yet" in screen_text(app))
        await pilot.press("escape")
        await opened(pilot, "folders.stations")
        await pilot.press("enter")
        await pilot.pause()
        await type_in(pilot, str(other))
        await pilot.press("escape", "F")
        await until(pilot, lambda: "Q0ISL" in screen_text(app))

"""Marking, naming, and the list of waypoints: by the keys. Names and places are invented."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

from core.fix import Position
from core.waypoints import Waypoint, Waypoints
from tests.tui.places_support import FORD, filled, form, listed, saved
from tests.tui.support import (
    HERE,
    ISLE,
    SETTLED,
    Epoch,
    board_app,
    board_state,
    played,
    screen_rows,
    screen_text,
    show,
    toasts,
    until,
    walked,
)
from tui.panes.place_list import PlaceListPane
from tui.screens.pick import PickScreen
from tui.state import BoardState

HOSTILE = Waypoint("\x1b[31mred\nnew [b]line[/b] \u202eback", Position(10.49, -20.25))


@contextmanager
def doubtful() -> Iterator[BoardState]:
    """A fix of high dilution."""
    yield board_state(walked(12, Epoch(hdop="9.0", used=False)))


# Marking and naming


async def test_a_mark_is_saved_before_it_is_named_and_kept_by_escape(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        show(app, SETTLED)
        await pilot.press("m")
        await pilot.pause()
        assert form(app).is_open
        (mark,) = saved(tmp_path)
        assert (mark.kind, mark.mode) == ("mark", "autonomous")
        assert mark.error_95_m == pytest.approx(1.730818 * 1.0 * 4.0, abs=0.01)
        await pilot.press("X", "escape")
        await pilot.pause()
        assert not form(app).is_open
        assert saved(tmp_path) == [mark]
        await pilot.press("1")
        assert app.board.page == "position"  # the keys are the board's again


async def test_name_note_and_kind_are_written_on_the_same_screen(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED)
        await pilot.press("m", *"Car", "tab", *"by the ford", "tab", "right", "enter")
        await pilot.pause()
        (mark,) = saved(tmp_path)
        assert (mark.name, mark.note, mark.kind) == ("Car", "by the ford", "car")
        assert mark.mode == "autonomous"
        assert toasts(app)[-1] == "Saved: Car."


async def test_a_doubtful_fix_asks_and_gives_the_reasons(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        with doubtful() as state:
            show(app, state)
        await pilot.press("m")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        assert "HDOP" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert not (tmp_path / "waypoints.gpx").exists()
        await pilot.press("m", "down", "enter")
        await pilot.pause()
        (mark,) = saved(tmp_path)
        assert mark.error_95_m == pytest.approx(1.730818 * 9.0 * 4.0, abs=0.1)


# The list


async def test_found_as_one_types_sorted_and_shown_in_every_notation(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE, FORD)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t")
        await pilot.pause()
        text = screen_text(app)
        assert listed(app).index("Isle of Quennet") < listed(app).index("Ford of Quennet")
        assert "bearing" in listed(app)
        assert "2 of 2, by distance" in text
        assert "geo:10.51000,-20.24000" in text
        await pilot.press("f3")
        assert listed(app).index("Ford of Quennet") < listed(app).index("Isle of Quennet")
        await pilot.press(*"noon")
        await pilot.pause()
        text = screen_text(app)
        assert "Isle" not in text
        assert "1 of 2, by name" in text
        assert "cross before noon" in text


async def test_edited_deleted_and_brought_back(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE, FORD)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f2", *"Landing", "enter")
        await pilot.pause()
        assert {one.name for one in saved(tmp_path)} == {"Landing", "Ford of Quennet"}
        assert replace(saved(tmp_path)[0], name=ISLE.name, kind="") == ISLE or saved(tmp_path)[0].altitude_m == 12.5
        await pilot.press("f8")
        await pilot.pause()
        assert [one.name for one in saved(tmp_path)] == ["Ford of Quennet"]
        await pilot.press("f9")
        await pilot.pause()
        assert [one.name for one in saved(tmp_path)] == ["Landing", "Ford of Quennet"]
        await pilot.press("f9")
        await pilot.pause()
        assert toasts(app)[-1] == "Nothing was deleted in this run."


async def test_added_by_typing_any_notation(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f4", *"nowhere", "enter")
        await pilot.pause()
        assert "cannot be read as a place" in screen_text(app)
        app.screen.query_one("#form-place", Input).value = "10 30.6 N 20 14.4 W"
        await pilot.press("tab", *"Well", "enter")
        await pilot.pause()
        (well,) = saved(tmp_path)
        assert (well.name, well.error_95_m, well.mode) == ("Well", None, "")
        assert well.position == pytest.approx((10.51, -20.24), abs=1e-9)
        assert "Well" in screen_text(app)


async def test_a_place_that_can_be_read_in_two_ways_is_asked_for(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f4")
        app.screen.query_one("#form-place", Input).value = "33S 500000 4000000"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        await pilot.press("enter")
        await pilot.pause()
        assert len(saved(tmp_path)) == 1


async def test_imported_and_exported(tmp_path: Path) -> None:
    Waypoints(tmp_path / "theirs.gpx").add_all((ISLE, FORD))
    app = filled(tmp_path, ISLE)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f7", "enter")
        await pilot.pause()
        app.screen.query_one("#typed", Input).value = str(tmp_path / "theirs.gpx")
        await pilot.press("enter")
        await pilot.pause()
        assert toasts(app)[-1] == "Imported 1, 1 were here already."
        await pilot.press(*"ford", "f7", "down", "enter")
        await pilot.pause()
        app.screen.query_one("#typed", Input).value = str(tmp_path / "out.gpx")
        await pilot.press("enter")
        await pilot.pause()
        assert [one.name for one in Waypoints(tmp_path / "out.gpx").all()] == [FORD.name]
        await pilot.press("f7", "down", "enter")
        await pilot.pause()
        app.screen.query_one("#typed", Input).value = str(tmp_path / "out.gpx")
        await pilot.press("enter")
        await pilot.pause()
        assert "out.gpx" in toasts(app)[-1]


async def test_edits_by_another_program_are_noticed(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t")
        Waypoints(tmp_path / "waypoints.gpx").add(FORD)
        app._refresh_places()
        await pilot.pause()
        assert "Ford of Quennet" in screen_text(app)


async def test_hostile_names_stay_in_their_row(tmp_path: Path) -> None:
    app = filled(tmp_path, HOSTILE, ISLE)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f2")
        await pilot.pause()
        text = screen_text(app)
        assert "\x1b" not in text
        assert "[b]line[/b]" in text
        assert "\u202e" not in text


async def test_ten_thousand_are_listed_and_found(tmp_path: Path) -> None:
    many = [Waypoint(f"Stone {n}", Position(10.0 + n / 1e4, -20.0)) for n in range(10_000)]
    app = filled(tmp_path, *many)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", *"9999")
        await pilot.pause()
        assert "1 of 10000, by distance" in screen_text(app)


async def test_a_form_has_the_keys_to_itself(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE, FORD)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f2", "f8", "f4", "down", "tab", "tab", "tab", "tab")
        await pilot.pause()
        assert form(app).is_open
        assert len(saved(tmp_path)) == 2
        assert app.focused is not None
        assert form(app) in app.focused.ancestors


async def test_the_list_without_a_position_says_so_and_is_put_in_order_when_there_is_one(tmp_path: Path) -> None:
    app = filled(tmp_path, Waypoint("A far", Position(20.0, -20.0)), Waypoint("Z near", HERE))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("t")
        await pilot.pause()
        assert "by name: no position" in screen_text(app)
        show(app, SETTLED)
        await pilot.pause()
        text = screen_text(app)
        assert "by distance" in text
        assert listed(app).index("Z near") < listed(app).index("A far")


async def test_a_path_of_no_user_is_an_error_and_no_crash(tmp_path: Path) -> None:
    app = filled(tmp_path, ISLE)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f7", "enter")
        await pilot.pause()
        app.screen.query_one("#typed", Input).value = "~nobody-of-this-name/x.gpx"
        await pilot.press("enter")
        await pilot.pause()
        assert "no such home folder" in toasts(app)[-1]


async def test_what_is_marked_in_a_recording_says_so(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        show(app, SETTLED)
        await pilot.press("m", "escape")
        assert saved(tmp_path)[0].note == "marked in the replay quennet.nmea"


def test_here_is_where_the_receiver_is() -> None:
    assert pytest.approx(board_state().position, abs=1e-6) == HERE


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40)], ids=str)
async def test_the_name_of_a_mark_is_whole_and_no_column_touches_the_edge(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    mark = replace(ISLE, name="Mark 12 09:15 UTC", kind="mark")
    Waypoints(tmp_path / "waypoints.gpx").add(mark)
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, board_state(played(Epoch())))
        await pilot.press("t")
        await until(pilot, lambda: mark.name in screen_text(app))
        row = next(row for row in screen_rows(app) if row.startswith("> "))
        assert mark.name in row
        pane = app.screen.query_one(PlaceListPane)
        assert row[pane.region.right - 1] == " "

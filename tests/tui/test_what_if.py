"""The sky's page: the panel in words, each key, and that nothing imagined leaks into the board."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from core.what_if import AS_RECEIVED
from tests.tui.support import (
    SETTLED,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    played,
    rows_of,
    screen_text,
    show,
    until,
    walked,
)
from tui.app import FixboardApp
from tui.canvas.grid import Grid
from tui.panes.bound import BoardSky
from tui.panes.what_if import WhatIfPane
from tui.panes.what_if_view import effect, panel
from tui.sky_choice import FIGURES, NO_CHOICE, Layer, SkyChoice
from tui.state import BoardState


def said(state: BoardState, size: tuple[int, int] = (42, 36)) -> str:
    pane = WhatIfPane()
    pane.state = state
    grid = Grid(*size)
    pane.paint(grid)
    return "\n".join(rows_of(grid))


def imagining(**choice: object) -> BoardState:
    return SETTLED.changed(sky=NO_CHOICE._replace(**choice))  # type: ignore[arg-type]  # fields by name


def test_own_and_worked_out_figures_stand_beside_each_other() -> None:
    rows = said(SETTLED).splitlines()
    worked = panel(SETTLED).imagined.outcome.before
    assert worked is not None
    assert rows[1].split() == ["HDOP", "1.0", f"{worked.hdop:.1f}"]
    assert rows[4].split() == ["TDOP", "G", "-", f"{worked.tdop:.1f}"]
    assert "what if" not in rows[0]


def test_a_mask_tells_what_it_hides_and_what_that_does() -> None:
    state = imagining(mask_deg=35)
    found = panel(state).imagined
    assert found.outcome.before is not None
    assert found.outcome.dops is not None
    text = said(state)
    assert f"HDOP {found.outcome.before.hdop:.1f} -> {found.outcome.dops.hdop:.1f}: mask hides" in text
    assert "Mask below     35°" in text
    assert re.search(r"G20  OUT: mask +-\d+\.\d\d +-\d+\.\d\d", text)


def test_too_few_left_is_no_position() -> None:
    assert "NO POSITION" in said(imagining(mask_deg=60))


def test_every_satellite_of_the_fix_has_its_rank() -> None:
    ranked = panel(SETTLED).imagined.ranked
    assert {one.name for one in ranked} == {"G05", "G07", "G13", "G15", "G20", "G24", "G30", "E04", "E09"}
    rises = [one.pdop for one in ranked if not one.decides]
    assert rises == sorted(rises, key=lambda rise: -(rise or 0))
    text = said(SETTLED)
    rows = {words[0]: words[1:] for words in map(str.split, text.splitlines()) if words}
    assert all(rows[one.name] == ["in", f"{one.hdop:+.2f}", f"{one.pdop:+.2f}"] for one in ranked)


def test_a_dropped_satellite_keeps_its_row_after_it_has_gone() -> None:
    state = imagining(dropped=frozenset({"C44"}))
    assert "C44" in said(state)
    assert "out, and not in the fix now" in said(state)


def test_a_short_panel_counts_what_it_leaves_out() -> None:
    text = said(SETTLED, (38, 20))
    assert "more below" in text
    assert "> Mask below" in text
    last = panel(SETTLED).rows[-1]
    end = said(imagining(row=last), (38, 20))
    assert "more above" in end
    assert f"> {last.removeprefix('satellite:')}" in end


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (board_state(played(Epoch(sky=()))), "none with a direction"),
        (board_state(played(Epoch(valid=False))), "No fix: no satellite is in one"),
        (board_state(walked(1), age_s=100.0), "No satellites are reported"),
        (board_state(played(Epoch(used=False))), "does not list the satellites in its fix"),
        (BoardState(), "No satellites are reported"),
    ],
)
def test_without_satellites_it_says_why(state: BoardState, words: str) -> None:
    assert words in " ".join(said(state).split())


# Choosing


def test_steps_stay_in_their_range_and_directions_go_round() -> None:
    choice = SkyChoice(row="mask_deg")
    assert choice.stepped(-1).mask_deg == 0
    for _ in range(30):
        choice = choice.stepped(1)
    assert choice.mask_deg == FIGURES["mask_deg"].most_deg
    assert SkyChoice(row="cliff_deg").stepped(-1).cliff_deg == 345
    assert SkyChoice(row="street_deg", street_deg=165).stepped(1).street_deg == 0


def test_what_can_be_dropped_is_dropped_once_and_comes_back() -> None:
    out = SkyChoice(row="satellite:G05").toggled()
    assert out.dropped == {"G05"}
    assert out.stepped(-1) == out
    assert out.stepped(1) == out.toggled() == SkyChoice(row="satellite:G05")
    assert SkyChoice(row="system:E").stepped(-1).dropped_systems == {"E"}


def test_a_wall_goes_away_and_comes_as_usual() -> None:
    there = SkyChoice(row="cliff_deg").toggled()
    assert there.cliff_height_deg == FIGURES["cliff_height_deg"].usual_deg
    assert there.toggled().what_if == AS_RECEIVED


def test_effect_has_a_word_for_a_mask_that_hides_nothing() -> None:
    state = imagining(cliff_deg=0, cliff_height_deg=5)
    assert effect(panel(state).imagined, state.sky.what_if) == "Hides none of the 9 in the fix: nothing changes."


# Keys


def sky_of_the_board(app: FixboardApp) -> list[str]:
    pane = app.board.query_one(BoardSky)
    return [pane.render_line(y).text for y in range(pane.content_size.height)]


async def on_the_sky(app: FixboardApp, keys: str) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("3", *keys.split())
        await pilot.pause()


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ("right", {"mask_deg": 5}),
        ("right right left", {"mask_deg": 5}),
        ("delete", {"mask_deg": 15}),
        ("right home", {"mask_deg": 0}),
        ("down right", {"cliff_deg": 15, "row": "cliff_deg"}),
        ("down down down down right up", {"street_wall_deg": 5, "row": "street_deg"}),
        ("pagedown", {"layer": Layer.TRACKS}),
        ("pageup", {"layer": Layer.OBSTRUCTION}),
        ("down down down down down backspace", {"dropped_systems": frozenset("E")}),
    ],
)
async def test_keys_change_the_choice(tmp_path: Path, keys: str, expected: dict[str, object]) -> None:
    app = board_app(tmp_path)
    await on_the_sky(app, keys)
    assert {name: getattr(app.state.sky, name) for name in expected} == expected


async def test_on_other_pages_the_keys_do_what_they_do_there(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        for page in ("p", "9", "b"):
            await pilot.press(page, "up", "down", "left", "right", "pageup", "pagedown", "home", "delete")
        assert app.state.sky == NO_CHOICE


async def test_what_is_imagined_says_so_and_stays_off_the_board(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.pause()
        before = sky_of_the_board(app)
        await pilot.press("3", *["right"] * 7)
        await pilot.pause()
        text = screen_text(app)
        assert "WHAT IF, not as received" in text
        assert "-G20" in text, "a lost satellite has a minus before its name"
        await pilot.press("b")
        await pilot.pause()
        assert sky_of_the_board(app) == before


async def test_a_new_source_begins_as_received(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(ScriptedOpening(ScriptedSource(arrivals_of(Epoch()))))
        await pilot.press("3", "right", "pagedown")
        assert app.state.sky.mask_deg == 5
        app.open(ScriptedOpening(ScriptedSource(arrivals_of(Epoch()))))
        assert app.state.sky.what_if.is_nothing
        await until(pilot, lambda: app.state.snapshot.counts.epochs > 0)


@pytest.mark.parametrize("size", [(60, 18), (80, 24), (120, 40), (200, 60)])
@pytest.mark.parametrize("layer", Layer)
async def test_every_layer_has_its_page_at_every_size(tmp_path: Path, size: tuple[int, int], layer: Layer) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, replace(SETTLED, sky=SkyChoice(layer=layer)))
        await pilot.press("3")
        await pilot.pause()
        text = screen_text(app)
        assert ("Sky" if layer is Layer.NOW else layer.value.capitalize()) in text
        assert ("Geometry" in text) is (size[0] >= 70)
        await pilot.press("down")
        await pilot.pause()
        assert "> Cliff towards" in screen_text(app)

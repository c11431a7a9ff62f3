"""The line that must not be missed: what is overdue is louder than an arrival."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.tui.support import ISLE, board_state, walked
from tui.canvas.glyphs import BRAILLE
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import Depth, palette_for
from tui.panes import banner
from tui.panes.banner import BannerLine
from tui.state import BoardState


def painted(state: BoardState, width: int = 60) -> Grid:
    pane = BannerLine()
    pane.set_reactive(BannerLine.state, state)
    grid = Grid(width, 1)
    pane.paint(grid)
    return grid


@pytest.mark.parametrize(("has_arrived", "paper"), [(True, Paper.BANNER_LIVE), (False, Paper.BANNER_ALERT)])
def test_the_overdue_are_warned_on_the_loudest_paper(
    monkeypatch: pytest.MonkeyPatch, has_arrived: bool, paper: Paper
) -> None:
    monkeypatch.setattr(banner, "overdue_words", lambda state: "TURN BACK")
    state = board_state(walked(4), target=ISLE)
    if has_arrived:
        going = replace(state.snapshot.going, arrived=True)
        monkeypatch.setattr(BoardState, "going", property(lambda self: going))
    palette = palette_for("dark", Depth.TRUECOLOR)
    text, style, _ = next(iter(painted(state).strip(0, palette, BRAILLE)))
    assert text.startswith(" ARRIVED" if has_arrived else " TURN BACK")
    assert style == palette.style(Ink.BANNER, paper, bold=True)


@pytest.mark.parametrize(("width", "has_errors"), [(80, False), (100, True)])
def test_both_errors_of_an_arrival_stand_whole_or_not_at_all(
    monkeypatch: pytest.MonkeyPatch, width: int, has_errors: bool
) -> None:
    state = board_state(walked(12), target=replace(ISLE, name="Mark 1 09:01 UTC"))
    going = replace(state.snapshot.going, arrived=True, goal_error_m=1.3, here_error_m=1.3)
    monkeypatch.setattr(BoardState, "going", property(lambda self: going))
    row = painted(state, width).row_text(0, BRAILLE)
    assert "~" not in row
    assert ("(mark +-1.3 m, now +-1.3 m)" in row) is has_errors
    assert ("now" in row) is has_errors

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


def painted(state: BoardState) -> Grid:
    pane = BannerLine()
    pane.set_reactive(BannerLine.state, state)
    grid = Grid(60, 1)
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

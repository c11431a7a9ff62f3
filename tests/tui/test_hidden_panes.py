"""What a pane out of sight must not do: make Textual forget what has to be wiped from the screen.

Textual finds what has gone by comparing the layout before with the layout after. Whoever asks in between for the region
of a widget that is nowhere has the layout made anew there and then; afterwards nothing differs, and a message that was
shown for a moment stays on the terminal for good. Seen on stage, where all panes of the board are hidden.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.support import board_app, board_state, show, walked
from tui.canvas.frame import frame
from tui.panes.wire import WirePane


@pytest.mark.parametrize("key", ["1", "V"])
async def test_hidden_panes_draw_nothing_and_leave_the_layout_as_it_is(tmp_path: Path, key: str) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(walked(12)))
        await pilot.press(key)
        await pilot.pause()
        app.notify("for a moment")
        await pilot.pause()
        layout = app.board._compositor
        pane = app.board.query_one(WirePane)
        assert not pane.region
        pane.repaint()  # the first time it falls behind, and Textual is told
        layout._full_map_invalidated = True
        with frame(app):
            pane.repaint()
        assert layout._full_map_invalidated


async def test_a_pane_that_comes_into_sight_shows_what_happened_meanwhile(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("1")
        await pilot.pause()
        show(app, board_state(walked(12)))
        pane = app.board.query_one(WirePane)
        pane.catch_up()
        await pilot.press("6")
        await pilot.pause()
        assert any("GNRMC" in pane.render_line(y).text for y in range(pane.size.height))

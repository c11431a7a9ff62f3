"""Keys typed faster than a screen opens: they are for that screen, and do nothing to the board."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.widgets import Input

from tests.live.board import until_shown
from tests.tui.support import board_app


@pytest.mark.parametrize("opens", ["t", "F", "Z"])
async def test_letters_behind_the_key_of_a_list_find_in_it(opens: str, tmp_path: Path) -> None:
    """C, e and v are pages of the board."""
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        page = app.board.page
        for key in (opens, "C", "e", "v"):
            app.post_message(events.Key(key, key))
        await until_shown(pilot, lambda: app.screen is not app.board and app.screen.query_one(Input).value == "Cev")
        assert app.board.page == page

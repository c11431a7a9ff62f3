"""A mark says that it is saved, and its name is asked for: neither lies over the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.support import SETTLED, board_app, screen_rows, show
from tui.panes.place_form import PlaceForm


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=str)
async def test_no_message_lies_over_the_lines_of_a_form(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size, notifications=True) as pilot:
        show(app, SETTLED)
        await pilot.press("m")
        await pilot.pause(0.1)
        form = app.screen.query_one(PlaceForm)
        assert form.is_open
        rows = screen_rows(app)
        inside = rows[form.region.y : form.region.bottom]
        assert any("Marked" in row for row in rows[: form.region.y])
        assert not any("Marked" in row for row in inside)
        assert any("Name it and Enter" in row for row in inside)
        await pilot.press("escape")
        await pilot.pause()
        assert not app.screen.has_class("-writing")

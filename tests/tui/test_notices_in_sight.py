"""What is said for a moment hides nothing that is being read: a chapter's caption on the board, and on a stage."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets._toast import Toast

from core.sources.source import SourceState
from tests.faults.screen_views import furnish
from tests.tui.support import board_app, until
from tui.app import FixboardApp
from tui.opening import Opening
from tui.panes.caption import CaptionLines
from tui.panes.stage import StageFoot

WORDS = "No longer saving power: everything is drawn as it comes."


@asynccontextmanager
async def in_a_chapter(folder: Path, size: tuple[int, int]) -> AsyncIterator[tuple[FixboardApp, Pilot[None]]]:
    """A board that stands within the second chapter and shows what is said, unlike those of other tests."""
    path = furnish(folder)
    app = board_app(path.parent.parent / "data", Opening(path))
    async with app.run_test(size=size, notifications=True) as pilot:
        await until(pilot, lambda: app.state.timeline is not None and app.state.status.state is SourceState.PLAYING)
        await pilot.press("space")
        app.seek_to(12.0)
        await until(pilot, lambda: app.state.timeline is not None and app.state.timeline.position_s >= 12.0)
        await until(pilot, lambda: app.board.has_class("-captioned"))
        app.clear_notifications()
        yield app, pilot


async def said(app: FixboardApp, pilot: Pilot[None]) -> Toast:
    """The words, once they are to be seen."""
    app.notify(WORDS)
    await until(pilot, lambda: len(noticed(app)) == 1)
    return noticed(app)[0]


def noticed(app: FixboardApp) -> list[Toast]:
    return [one for one in app.screen.query(Toast) if one.region.area]


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (60, 16)])
async def test_above_the_caption_of_a_chapter(size: tuple[int, int], tmp_path: Path) -> None:
    async with in_a_chapter(tmp_path, size) as (app, pilot):
        notice, caption = await said(app, pilot), app.board.query_one(CaptionLines)
        assert caption.region.area
        assert not notice.region.overlaps(caption.region)
        assert size[1] >= 34 or notice.region.height == 1, "a row or two where rows are scarce"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_on_a_stage_over_what_comes_next(size: tuple[int, int], tmp_path: Path) -> None:
    async with in_a_chapter(tmp_path, size) as (app, pilot):
        await pilot.press("V")
        app.clear_notifications()
        notice, foot = await said(app, pilot), app.board.query_one(StageFoot)
        assert (notice.region.y, notice.region.height) == (size[1] - 1, 1)
        assert foot.region.bottom == size[1]

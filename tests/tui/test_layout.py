"""Every size shows what it must, inside its own width, and no change of size breaks anything."""

from __future__ import annotations

from dataclasses import replace
from itertools import chain
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Footer

from tests.tui.support import ISLE, Epoch, board_app, board_state, screen_rows, screen_text, show, walked
from tui.app import FixboardApp
from tui.canvas.widget import CanvasPane
from tui.panes.wire import WirePane
from tui.screens.board import PAGES
from tui.state import BoardState, Orientation

FULL = board_state(
    walked(6, Epoch(more=("GNHDT,200.0,T", "GNGST,,7.5,,,,0.6,0.5,1.2"))),
    target=replace(ISLE, name="An isle with rather a long name"),
    orientation=Orientation.COURSE_UP,
)
STATES = (FULL, BoardState(), board_state(walked(3, Epoch(valid=False))), FULL.changed(now_s=FULL.now_s + 5.0))
SIZES = (
    (80, 24), (120, 40), (200, 60), (60, 20), (40, 12), (20, 5), (300, 100), (30, 90), (20, 60), (200, 12), (119, 33),
    (110, 34), (109, 35), (70, 20), (69, 50), (70, 19), (80, 33), (80, 34), (132, 43), (100, 30), (12, 3), (5, 2),
    (1, 1), (2, 1), (1, 40), (300, 1), (96, 27), (160, 25), (111, 20), (80, 24),
)  # fmt: skip


async def settle(pilot: Pilot[None], app: FixboardApp) -> None:
    app.board.query_one(WirePane).catch_up()
    await pilot.pause()


def visible(app: FixboardApp) -> list[CanvasPane]:
    return [pane for pane in app.board.query(CanvasPane) if pane.region.area]


def assert_fits(app: FixboardApp) -> None:
    """Rows as wide as the screen; panes inside it, none over another, each one's text as wide as itself.

    Below twelve rows the last panes may hang over the lower edge, where Textual cuts them.
    """
    width, height = app.size
    rows = screen_rows(app)
    assert [len(row) for row in rows] == [width] * height
    seen = visible(app)
    assert seen
    for number, pane in enumerate(seen):
        assert pane.region.x >= 0, pane
        assert pane.region.right <= width, pane
        if height >= 12:
            assert pane.region.bottom <= height, pane
            assert all(not pane.region.overlaps(other.region) for other in seen[number + 1 :]), pane
        for y in range(pane.content_size.height):
            assert pane.render_line(y).cell_length == pane.content_size.width, (pane, y)


async def test_a_storm_of_sizes(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for number, size in enumerate(SIZES):
            app.action_page(PAGES[number % len(PAGES)] if number % 3 == 2 else "board")
            show(app, STATES[number % len(STATES)])
            await pilot.resize_terminal(*size)
            await settle(pilot, app)
            assert_fits(app)


FOUR_QUESTIONS = {
    "where": ("10.50000° N", "020.25000° W", "HK90vm00"),
    "how far to trust it": ("autonomous, 3D", "9 of 11 in view", "HDOP     1.0", "age      0 s"),
    "what time": ("12:00:05  2031-05-04", "12:00:05  UTC+0000"),
    "how it moves": ("1.5 m/s   5.4 km/h", "090° true", "12.5 m  mean sea level"),
    "caution": ("Not for primary navigation",),
}
WAY = ("1.56 km", "045° true", "45° left")


async def test_one_screen_answers_all_questions(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for size in ((80, 24), (100, 30), (120, 40), (200, 60), (110, 24), (80, 34), (80, 50)):
            await pilot.resize_terminal(*size)
            for target, way in ((ISLE, WAY), (None, ("m marks here", "no target")))[: 2 if size[0] < 100 else 1]:
                show(app, board_state(walked(6), target=target))
                await settle(pilot, app)
                text = screen_text(app)
                wanted = [*chain(*FOUR_QUESTIONS.values()), *way]
                assert [words for words in wanted if words not in text] == [], size


async def test_small_screens_answer_where_and_how_far_to_trust_it(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(60, 20)) as pilot:
        show(app, board_state(walked(6), target=ISLE))
        for size in ((60, 20), (70, 20), (40, 12)):
            await pilot.resize_terminal(*size)
            await settle(pilot, app)
            text = screen_text(app)
            words = ["10.50000° N", "020.25000° W", "autonomous", "9 of 11", "1.56 km"]
            if size[1] >= 20:
                words += ["12:00:05  2031-05-04", "045° true", "45° left"]
            assert [one for one in words if one not in text] == [], size


async def test_from_120x40_all_panes_show_and_none_is_empty(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(walked(6), target=ISLE))
        for size in ((120, 40), (110, 34), (200, 60)):
            await pilot.resize_terminal(*size)
            await settle(pilot, app)
            shown = {pane.id: pane for pane in visible(app)}
            assert set(shown) >= {"source", "position", "fix", "goto", "sky", "compass", "wire"}, size
            for name, pane in shown.items():
                text = "".join(pane.render_line(y).text for y in range(pane.content_size.height))
                assert len(text.split()) >= 6, (name, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_empty_panes_say_why(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        await settle(pilot, app)
        text = screen_text(app)
        for words in ("no position", "no fix yet", "not reported", "no target", "no course"):
            assert words in text
        assert "No satellites reported yet" in text or size == (80, 24)


async def test_a_page_has_the_whole_screen(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(40, 12)) as pilot:
        show(app, board_state(walked(6), target=ISLE))
        for size, pages in (((40, 12), PAGES[1:4]), ((80, 24), PAGES[1:]), ((120, 40), PAGES[1:5])):
            await pilot.resize_terminal(*size)
            for page in pages:
                app.action_page(page)
                await settle(pilot, app)
                wide = size[0] >= 70
                shared = {
                    "trail": ["trail", "profile"],
                    "averaging": ["averaging", *["scatter"] * wide],
                    "sky": ["sky-plot", *["what-if"] * wide],
                    "ab": ["ab", "ab-strip"],
                }.get(page, [])
                assert [pane.id for pane in visible(app)] == ["source", "verdict", *(shared or [page])]
                pane = app.board.query_one(f"#{page}-page" if shared else f"#{page}")
                assert (pane.region.width, pane.region.height) == (size[0], size[1] - 3), page
                assert_fits(app)


async def test_the_footer_is_on_every_page(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for page in PAGES[::3]:
            app.action_page(page)
            await pilot.pause()
            assert app.board.query_one(Footer).region.y == 23


async def test_a_pane_that_was_hidden_shows_the_newest_when_it_comes_back(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(walked(3)))
        app.action_page("sky")
        await settle(pilot, app)
        show(app, board_state(walked(9), target=ISLE))
        await pilot.pause()
        app.action_page("board")
        await settle(pilot, app)
        text = screen_text(app)
        for words in ("12:00:08", "Isle of Quennet", "GNRMC,120008.00", "63 taken"):
            assert words in text


async def test_nothing_of_a_lost_position_is_left_on_the_pages_of_places(tmp_path: Path) -> None:
    """The raw sentences are what was sent; everywhere else the old place is gone."""
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(target=ISLE))
        await settle(pilot, app)
        show(app, board_state(age_s=12.0, target=ISLE))
        for page in ("board", "position", "goto", "compass"):
            app.action_page(page)
            await settle(pilot, app)
            text = screen_text(app)
            for old in ("10.50000", "020.25000", "HK90", "1.56 km", "045° true", "12.5 m"):
                assert old not in text, page
        app.action_page("position")
        await settle(pilot, app)
        assert "last fix 0:00:12 ago" in screen_text(app)

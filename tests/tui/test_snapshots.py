"""The board as it looks. Renewed with `pytest --snapshot-update`, after looking at every picture that changed.

Nothing here runs by itself: no feed, a fixed state, the wire drawn by hand.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.tui.support import ISLE, Epoch, board_app, board_state, played, show, walked
from tui.app import FixboardApp
from tui.panes.wire import WirePane
from tui.state import BoardState, Orientation

Compare = Callable[..., bool]
WALKING = board_state(walked(6, Epoch(more=("GNHDT,120.0,T",))), target=ISLE, orientation=Orientation.COURSE_UP)
LOST = board_state(played(*(Epoch(second=float(n)) for n in range(4)), Epoch(second=5.0, valid=False)), target=ISLE)
COLD = board_state(walked(3, Epoch(valid=False)))


@pytest.fixture(autouse=True)
def steady_cursor(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cursor that blinks is there in one picture and gone in the next."""
    monkeypatch.setattr(Input, "_toggle_cursor", lambda _: None)


class Seen(NamedTuple):
    """How big and in what a page is looked at."""

    size: tuple[int, int]
    theme: str = "dark"
    key: str = "0"
    glyphs: str = "braille"

    def __str__(self) -> str:
        return f"{self.size[0]}x{self.size[1]}-{self.theme}-{self.key}-{self.glyphs}"


OTHER_LOOKS = [
    Seen((100, 30)),
    Seen((160, 50), "daylight", glyphs="quadrant"),
    Seen((80, 24), "night", glyphs="plain"),
]
SINGLE_PAGES = [
    Seen((80, 24), "dark", "7"),
    Seen((80, 24), "daylight", "8"),
    Seen((80, 24), "dark", "e"),
    Seen((80, 24), "dark", "A"),
    Seen((120, 40), "dark", "1"),
    Seen((120, 40), "night", "3"),
    Seen((120, 40), "daylight", "v"),
    Seen((120, 40), "dark", "9"),
    Seen((120, 40), "dark", "p"),
]
"""Each page once, in one theme or another: what a theme does to words is checked in every one (test_every_view.py)."""
SIMULATED = board_state(walked(4, Epoch(mode="S", quality="8", knots="1.4")), target=ISLE)


def before(state: BoardState, *keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    async def prepare(pilot: Pilot[None]) -> None:
        assert isinstance(pilot.app, FixboardApp)
        show(pilot.app, state)
        pilot.app.board.query_one(WirePane).catch_up()
        await pilot.pause()
        await pilot.press(*keys)
        await pilot.pause()

    return prepare


@pytest.mark.parametrize("theme", ["dark", "daylight", "night"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_walking(snap_compare: Compare, tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    app = board_app(tmp_path, theme=theme)
    assert snap_compare(app, terminal_size=size, run_before=before(WALKING))


@pytest.mark.parametrize("look", OTHER_LOOKS, ids=str)
def test_other_sizes_and_characters(snap_compare: Compare, tmp_path: Path, look: Seen) -> None:
    app = board_app(tmp_path, theme=look.theme, glyphs=look.glyphs)
    assert snap_compare(app, terminal_size=look.size, run_before=before(WALKING))


@pytest.mark.parametrize("look", SINGLE_PAGES, ids=str)
def test_pages(snap_compare: Compare, tmp_path: Path, look: Seen) -> None:
    app = board_app(tmp_path, theme=look.theme, glyphs=look.glyphs)
    assert snap_compare(app, terminal_size=look.size, run_before=before(WALKING, look.key))


@pytest.mark.parametrize("key", ["t", "F", "L"])
def test_lists_before_anything_has_come(snap_compare: Compare, tmp_path: Path, key: str) -> None:
    assert snap_compare(board_app(tmp_path), terminal_size=(80, 24), run_before=before(BoardState(), key))


@pytest.mark.parametrize("state", [LOST, COLD, SIMULATED, BoardState()], ids=["lost", "cold", "simulated", "nothing"])
def test_other_states(snap_compare: Compare, tmp_path: Path, state: BoardState) -> None:
    assert snap_compare(board_app(tmp_path), terminal_size=(120, 40), run_before=before(state))


def test_plain_characters(snap_compare: Compare, tmp_path: Path) -> None:
    app = board_app(tmp_path, glyphs="plain")
    assert snap_compare(app, terminal_size=(120, 40), run_before=before(WALKING))


def test_one_pane(snap_compare: Compare, tmp_path: Path) -> None:
    assert snap_compare(board_app(tmp_path), terminal_size=(80, 24), run_before=before(WALKING, "3"))


def test_help(snap_compare: Compare, tmp_path: Path) -> None:
    assert snap_compare(board_app(tmp_path), terminal_size=(80, 24), run_before=before(WALKING, "f1"))


def test_list_of_targets(snap_compare: Compare, tmp_path: Path) -> None:
    app = board_app(tmp_path)
    for number in range(3):
        app.session.mark(WALKING.snapshot.fix._replace(altitude_m=float(number)))
    assert snap_compare(app, terminal_size=(80, 24), run_before=before(WALKING, "t", "down"))


def test_large_figures(snap_compare: Compare, tmp_path: Path) -> None:
    assert snap_compare(board_app(tmp_path), terminal_size=(80, 24), run_before=before(WALKING, "v"))

"""The board as it looks. Renewed with `pytest --snapshot-update`, after looking at every picture that changed.

Nothing here runs by itself: no feed, a fixed state, the wire drawn by hand.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.tui.support import ISLE, Epoch, board_app, board_state, played, show, walked
from tui.app import FixboardApp
from tui.panes.wire import WirePane
from tui.state import BoardState, Orientation

Compare = Callable[..., bool]
WALKING = board_state(walked(6, Epoch(more=("GNHDT,120.0,T",))), target=ISLE, orientation=Orientation.COURSE_UP)
LOST = board_state(played(*(Epoch(second=float(n)) for n in range(4)), Epoch(second=5.0, valid=False)), target=ISLE)
COLD = board_state(walked(3, Epoch(valid=False)))
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

"""What a change costs: only the rows that look different are sent to the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import ANY

import pytest
from textual.geometry import Region
from textual.pilot import Pilot
from textual.widget import Widget

from tests.tui.support import ISLE, REPLAYING, Epoch, board_app, board_state, show, walked
from tui.app import FixboardApp
from tui.canvas.widget import CanvasPane
from tui.panes.wire import WirePane
from tui.state import BoardState, Orientation

START = board_state(walked(6), target=ISLE)
Refreshed = dict[str, list[int] | None]
"""Rows by widget, the screen itself included; None where all of it was refreshed."""

STILL = 5
"""Rounds of every widget's messages without a refresh, after which none is expected."""


@contextmanager
def refreshed(monkeypatch: pytest.MonkeyPatch) -> Iterator[Refreshed]:
    found: Refreshed = {}
    original = Widget.refresh

    def spy(widget: Widget, *regions: Region, **more: Any) -> Widget:
        name = widget.id or type(widget).__name__
        rows = found.setdefault(name, [])
        if not regions:
            found[name] = None
        elif rows is not None:
            rows.extend(region.y for region in regions)
        return original(widget, *regions, **more)

    with monkeypatch.context() as patched:
        patched.setattr(Widget, "refresh", spy)
        yield found


async def at_rest(pilot: Pilot[None], monkeypatch: pytest.MonkeyPatch) -> None:
    """Until nothing is refreshed any more: what began with the board, as its footer did, ends when it likes."""
    still = 0
    with refreshed(monkeypatch) as found:
        for _ in range(1000):
            found.clear()
            await pilot.pause()
            still = 0 if found else still + 1
            if still == STILL:
                return
    raise AssertionError(f"the board never comes to rest: {found}")


async def change(app: FixboardApp, pilot: Pilot[None], state: BoardState, monkeypatch: pytest.MonkeyPatch) -> Refreshed:
    """What showing this state refreshes, the board having settled before."""
    show(app, START)
    app.board.query_one(WirePane).catch_up()
    await at_rest(pilot, monkeypatch)
    with refreshed(monkeypatch) as found:
        show(app, state)
        app.board.query_one(WirePane).catch_up()
        await pilot.pause()
    return found


CASES: dict[str, tuple[BoardState, Refreshed]] = {
    "the same": (START, {}),
    "an equal one": (board_state(walked(6), target=replace(ISLE)), {}),
    "progress": (START.changed(status=replace(REPLAYING, elapsed_s=76.0)), {"source": [0]}),
    "pace": (START.changed(status=replace(REPLAYING, pace=2.0)), {"source": [0]}),
    "no target": (START.changed(target=None), {"goto": [0, 1, 2, 3], "compass": ANY}),
    "a second older": (START.changed(now_s=START.now_s + 1.0), {"fix": [3]}),
}


async def test_only_rows_that_differ_are_refreshed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        found = {what: await change(app, pilot, state, monkeypatch) for what, (state, _) in CASES.items()}
    assert found == {what: rows for what, (_, rows) in CASES.items()}


async def test_a_new_second_at_the_same_place_changes_the_clocks_and_the_wire(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        found = await change(app, pilot, board_state(walked(7), target=ISLE), monkeypatch)
    assert set(found) == {"position", "wire"}
    assert found["position"] == [5, 6]


async def test_turning_refreshes_the_drawn_panes_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        found = await change(app, pilot, START.changed(orientation=Orientation.COURSE_UP), monkeypatch)
    assert set(found) == {"sky", "compass"}
    assert None not in found.values()


async def test_hidden_panes_are_not_drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    painted: list[str] = []
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.action_page("fix")
        await pilot.pause()
        original = CanvasPane._draw

        def spy(pane: CanvasPane) -> object:
            painted.append(pane.id or "")
            return original(pane)

        monkeypatch.setattr(CanvasPane, "_draw", spy)
        for seconds in range(2, 8):
            show(app, board_state(walked(seconds, Epoch(course="45.0")), target=ISLE))
            await pilot.pause()
    assert set(painted) == {"source", "verdict", "fix"}

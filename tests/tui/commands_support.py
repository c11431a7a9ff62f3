"""A settled board on which a command is tried by its key, and the tables that say which check is which command's."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import NamedTuple

from textual.pilot import Pilot
from textual.screen import Screen

from core.logbook import RecorderState
from core.waypoints import Waypoint
from tests.tui.support import SETTLED, board_app, show
from tui.app import FixboardApp
from tui.panes.wire import WirePane
from tui.state import Orientation


class Bench(NamedTuple):
    """What a check works with."""

    app: FixboardApp
    pilot: Pilot[None]
    folder: Path

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    @property
    def kept(self) -> str:
        return (self.folder / "board.toml").read_text("utf-8")

    def turned(self) -> Orientation:
        return self.app.state.turned_by

    def recorder(self) -> RecorderState:
        return self.app.state.recorder.state

    def dialogue(self) -> type[Screen[object]]:
        return type(self.app.screen)

    def marks(self) -> list[Waypoint]:
        return list(self.app.session.waypoints)


Check = Callable[[Bench], Awaitable[None]]


def enrolled(table: dict[str, Check], *commands: str) -> Callable[[Check], Check]:
    """Enter a check in the table, under the commands that it checks."""

    def enrol(check: Check) -> Check:
        table.update(dict.fromkeys(commands, check))
        return check

    return enrol


async def on_bench(check: Check, folder: Path) -> None:
    """Let it try its commands; the board's files are in `data` below the folder."""
    data = folder / "data"
    data.mkdir()
    app = board_app(data)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        app.board.query_one(WirePane).catch_up()
        await pilot.pause()
        await check(Bench(app, pilot, data))

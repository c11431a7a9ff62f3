"""The board on its list of stations, with a list of four. All invented."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path
from typing import NamedTuple

from textual.pilot import Pilot

from core.stations import Station
from tests.tui.support import SETTLED, board_app, show, until
from tui.app import FixboardApp
from tui.panes.station_list import StationListPane
from tui.screens.stations import StationsScreen
from tui.state import BoardState

HEADS = "call,name,output,shift,tone,mode,locator,lat,lon,height,status,verified,notes,keeper"
NEAR = "QX1AA,Ridge,145.6,-0.6,88.5,FM,,10.51000,-20.25000,471,on air,2031-03-01,by the hut,Zed"
"""1.1 km north of the receiver of tests/tui/support.py, which is at 10.5 N 20.25 W on 4 May 2031."""
FAR = "QX1BB,Valley,438.65,-7.6,CC 1,FM / DMR,,10.60000,-20.25000,120,,,,"
OFF = "QX1CC,Isle,145.725,-0.6,,C4FM,HK90vn,,,,off air,2020-01-01,,Orla"
LOST = "QX1DD,Lost,145.75,-0.6,,FM,,,,,,,,"
ROWS = (FAR, NEAR, OFF, LOST)


def written(folder: Path, *rows: str, name: str = "mine.csv", heads: str = HEADS) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text("\n".join((heads, *rows)) + "\n", "utf-8")
    return path


class Bench(NamedTuple):
    app: FixboardApp
    pilot: Pilot[None]
    folder: Path

    @property
    def screen(self) -> StationsScreen:
        return next(one for one in self.app.screen_stack if isinstance(one, StationsScreen))

    @property
    def chosen(self) -> Station | None:
        item = self.screen.query_one(StationListPane).chosen
        return item.station if item else None

    def calls(self) -> list[str]:
        return [item.station.call for item in self.screen.answer.items]

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.settle()

    async def settle(self) -> None:
        """Until every question has its answer."""
        await self.pilot.pause()
        if any(isinstance(one, StationsScreen) for one in self.app.screen_stack):
            await until(self.pilot, lambda: not self.screen._busy)
        await self.pilot.pause()


@asynccontextmanager
async def opened(
    folder: Path,
    rows: Sequence[str] = ROWS,
    state: BoardState = SETTLED,
    *,
    size: tuple[int, int] = (120, 40),
    look: tuple[str, str] = ("dark", "braille"),
) -> AsyncIterator[Bench]:
    if rows:
        written(folder / "stations", *rows)
    app = board_app(folder, theme=look[0], glyphs=look[1])
    async with app.run_test(size=size) as pilot:
        show(app, state)
        bench = Bench(app, pilot, folder)
        await pilot.press("F")
        await until(pilot, lambda: isinstance(app.screen, StationsScreen) and bench.screen._contents is not None)
        await bench.settle()
        yield bench

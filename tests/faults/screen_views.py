"""Every page, list, sheet and question that the board can show, reached by the keys of the tables of commands.

All names and places are invented, the places open ocean.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import NamedTuple

from textual.pilot import Pilot
from textual.widget import Widget

from core.sources.source import SourceState
from core.waypoints import Waypoints
from tests.logbooks import NOON, epoch, record, walk
from tests.tui.support import ISLE, board_app, until
from tui.app import FixboardApp
from tui.canvas.widget import CanvasPane
from tui.commands import (
    CHAPTER_COMMANDS,
    COMMANDS,
    LOG_COMMANDS,
    PLACE_COMMANDS,
    SETTING_COMMANDS,
    STATION_COMMANDS,
    Command,
)
from tui.opening import Opening
from tui.panes.wire import WirePane

STATIONS = "call,name,output,shift,tone,mode,locator,lat,lon,height,status,verified,notes,keeper\n"
STATION_ROWS = "".join(
    f"QX{n}AA,Ridge {n},145.6,-0.6,88.5,FM,,10.5{n}000,-20.25000,471,on air,2031-03-01,by the hut,Zed\n"
    for n in range(1, 10)
)
CHAPTERS = "".join(
    f'[[chapter]]\nat = "0:00:{n:02d}"\ntitle = "The way {n}"\nwords = "He leaves the gate, and goes on."\n'
    for n in range(5, 50, 5)
)
SECONDS = 60


class View(NamedTuple):
    """How to get there from the board."""

    keys: tuple[str, ...]

    def __str__(self) -> str:
        return " ".join(self.keys)


def key(command: Command) -> str:
    """The first of its keys."""
    return command.key.split(",", maxsplit=1)[0]


ENDS_IT = {"quit"}
LISTS = {
    "list_places": PLACE_COMMANDS,
    "logbook": LOG_COMMANDS,
    "list_chapters": CHAPTER_COMMANDS,
    "find_nearest": STATION_COMMANDS,
    "settings": SETTING_COMMANDS,
}
"""By the command that opens a list: what can be done in it."""


def views() -> list[View]:
    """One a command; what a list can do, in the list."""
    found = []
    for command in COMMANDS:
        if command.id in ENDS_IT:
            continue
        found.append(View((key(command),)))
        found += [View((key(command), key(one))) for one in LISTS.get(command.id, ())]
    return found


def furnish(folder: Path) -> Path:
    """A user's data in `folder`/data; the recording to play, with chapters."""
    data, walks = folder / "data", folder / "walks"
    walks.mkdir(parents=True)
    (data / "stations").mkdir(parents=True)
    book = Waypoints(data / "waypoints.gpx")
    for n in range(9):
        book.add(replace(ISLE, name=f"Isle {n}"))
    (data / "stations" / "mine.csv").write_text(STATIONS + STATION_ROWS, "utf-8")
    record(data / "recordings", NOON, walk(NOON, 20))
    path = walks / "walk.nmea"
    path.write_bytes(b"".join(epoch(NOON + timedelta(seconds=n), n) for n in range(SECONDS)))
    path.with_name("walk.chapters.toml").write_text(CHAPTERS, "utf-8")
    return path


@asynccontextmanager
async def board_on(path: Path, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[FixboardApp, Pilot[None]]]:
    """The board on that recording, read to its end, standing still."""
    app = board_app(path.parent.parent / "data", Opening(path))
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: app.state.timeline is not None and app.state.timeline.duration_s is not None)
        if app.state.status.state is SourceState.PLAYING:
            await pilot.press("space")
        await settle(pilot, app)
        yield app, pilot


async def settle(pilot: Pilot[None], app: FixboardApp) -> None:
    """Everything laid out and drawn."""
    for pane in app.board.query(WirePane):
        pane.catch_up()
    await pilot.pause()


async def go(app: FixboardApp, pilot: Pilot[None], view: View) -> None:
    """From the board to there."""
    await pilot.press(*view.keys)
    await settle(pilot, app)


async def home(app: FixboardApp, pilot: Pilot[None]) -> None:
    """Back to the board, whatever is open."""
    for _ in range(6):
        if app.screen is app.board:
            break
        await pilot.press("escape")
        await pilot.pause()
    assert app.screen is app.board
    await pilot.press("escape", "escape")
    if app.state.is_stage:
        await pilot.press("V")
    app.action_page("board")
    app.clear_notifications()
    await settle(pilot, app)


def signature(app: FixboardApp) -> tuple[object, ...]:
    """What is to be seen: two views that are alike in this are laid out alike."""
    shown = tuple(
        (type(one).__name__, one.id) for one in app.screen.walk_children(Widget) if one.display and one.region.area
    )
    return type(app.screen).__name__, app.board.page, app.state.is_stage, shown


def unreachable(app: FixboardApp) -> list[str]:
    """Widgets that are meant to be seen, have no cell in sight, and cannot be scrolled to."""
    known = app.screen._compositor.full_map
    lost = []
    for one in app.screen.walk_children(Widget):
        if not one.display or not one.is_attached or one.children or not _is_content(one):
            continue
        around = [part for part in one.ancestors if isinstance(part, Widget)]
        if any(not part.display or part.allow_vertical_scroll or part.allow_horizontal_scroll for part in around):
            continue
        place = known.get(one)
        if place is None or not place.visible_region.area:
            lost.append(f"{type(one).__name__}#{one.id} {place.region if place else None}")
    return lost


def _is_content(one: Widget) -> bool:
    return isinstance(one, CanvasPane) or type(one).__name__ in {"Static", "Input", "OptionList", "KindChoice"}

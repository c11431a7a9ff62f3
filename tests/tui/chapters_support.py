"""A walk with three chapters on the board, and its keys. Recording, places, names invented."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from textual.pilot import Pilot

from core.chapter_file import read_entries
from core.sources.source import SourceState
from tests.logbooks import NOON, epoch
from tests.tui.support import board_app, until
from tui.app import FixboardApp
from tui.opening import Opening
from tui.screens.board import PAGES

SECONDS = 300
THREE = """# For the club evening
[[chapter]]
at = "0:00:30"
title = "Setting out"
words = "He leaves the gate."

[[chapter]]
at = "12:01:00Z"
title = "Under trees"
page = "sky"
mask_deg = 20
pace = 0.5

[[chapter]]
at = "0:03:00"
title = "On the top"
"""


def walk_in(folder: Path) -> Path:
    """Five minutes, with its chapters beside it."""
    folder.mkdir()
    path = folder / "walk.nmea"
    path.write_bytes(b"".join(epoch(NOON + timedelta(seconds=n), n) for n in range(SECONDS)))
    path.with_name("walk.chapters.toml").write_text(THREE)
    return path


def board(tmp_path: Path, walk: Path, glyphs: str = "braille") -> FixboardApp:
    return board_app(tmp_path / "data", Opening(walk), glyphs=glyphs)


def at_s(app: FixboardApp) -> float:
    timeline = app.state.timeline
    return timeline.position_s if timeline else -1.0


async def indexed(app: FixboardApp, pilot: Pilot[None]) -> None:
    """Read to its end, so that every time of day has its moment; and standing still, so that no test is in a hurry."""
    await until(pilot, lambda: app.state.timeline is not None and app.state.timeline.duration_s is not None)
    if app.state.status.state is SourceState.PLAYING:
        await pilot.press("space")
    app._tick()
    await pilot.pause()


async def go(app: FixboardApp, pilot: Pilot[None], *keys: str) -> None:
    """Press, and wait until it has come there."""
    for key in keys:
        await pilot.press(key)
        await until(pilot, lambda: app.state.timeline is not None and not app.state.timeline.is_seeking)
    await pilot.pause()


def file_of(walk: Path) -> Path:
    return walk.with_name("walk.chapters.toml")


def titles(walk: Path) -> list[str]:
    return [entry.title for entry in read_entries(file_of(walk), PAGES)]

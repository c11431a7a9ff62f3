"""The pictures in README.md, made by the program itself: `python -m tests.picture FOLDER`.

Opens the demo without a terminal, marks the car, goes back to it, and saves what the screen shows as SVG. To
make the PNG that README shows, open the SVG in a browser at its own size, save the window, and reduce it to 48 colours.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from collections.abc import Callable
from importlib.resources import as_file
from pathlib import Path

from textual.pilot import Pilot

import replays
from core.locations import Locations
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.opening import Opening
from tui.session import Look, Session

NAME = "first_walk"
AT_THE_CAR_S, ON_THE_WAY_BACK_S = 100.0, 640.0
SIZE = (120, 40)
PATIENCE = 1_000


async def _until(pilot: Pilot[None], condition: Callable[[], bool]) -> None:
    for _ in range(PATIENCE):
        if condition():
            return
        await pilot.pause(0.05)
    raise RuntimeError("it did not happen")


async def pictures(folder: Path) -> dict[str, str]:
    """By name: the whole board, and the trail."""
    with as_file(replays.path(NAME)) as path:
        app = FixboardApp(Session(Locations(folder), Look()), (Opening(path, remark="demo"),), Depth.TRUECOLOR)
        app.animation_level = "none"
        async with app.run_test(size=SIZE, notifications=False) as pilot:
            await _until(pilot, lambda: app.state.timeline is not None and app.state.snapshot.fix.utc is not None)
            await pilot.press("space")
            await _go_to(app, pilot, AT_THE_CAR_S)
            await pilot.press("m", "escape")
            await _go_to(app, pilot, ON_THE_WAY_BACK_S)
            await pilot.press("g", "u")
            app.clear_notifications()
            await pilot.pause(4.0)
            board = _drawn(app)
            await pilot.press("p", "end")
            await pilot.pause(4.0)
            return {"board": board, "trail": _drawn(app)}


async def _go_to(app: FixboardApp, pilot: Pilot[None], moment_s: float) -> None:
    app.action_seek_by(moment_s - app.state.status.elapsed_s)
    await _until(pilot, lambda: abs(app.state.status.elapsed_s - moment_s) < 5)
    await pilot.pause(1.0)


def _drawn(app: FixboardApp) -> str:
    """Without the web font that Textual asks for."""
    return re.sub(r"@font-face \{.*?\}", "", app.export_screenshot(title="fixboard"), flags=re.DOTALL)


def main() -> int:
    """Write them."""
    with tempfile.TemporaryDirectory() as folder:
        for name, svg in asyncio.run(pictures(Path(folder))).items():
            (Path(sys.argv[1]) / f"{name}.svg").write_text(svg, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

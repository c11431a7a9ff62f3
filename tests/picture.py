"""The picture in README.md, made by the program itself: `python -m tests.picture OUT.svg`.

Plays the demo into the board without a terminal, marks the car, walks, goes back, and saves what the screen shows. To
make the PNG that README shows, open the SVG in a browser at its own size and save the window.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from importlib.resources import as_file
from pathlib import Path

import replays
from core.accuracy import ErrorModel
from core.judgement import Judgement
from core.locations import Locations
from core.model import FixModel
from core.sources.recording import open_recording
from core.sources.source import SourceKind, SourceState, SourceStatus
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.session import Look, Session
from tui.state import Orientation

MARK_S = 100.0
SHOWN_S = 640.0
SIZE = (120, 40)


async def picture(folder: Path) -> str:
    """The board at `SHOWN_S` of the demo as SVG, without the web font that Textual asks for."""
    app = FixboardApp(Session(Locations(folder), Look()), (), Depth.TRUECOLOR)
    model = FixModel(judgement=Judgement(ErrorModel()))
    target = None
    async with app.run_test(size=SIZE) as pilot:
        with as_file(replays.path("first_walk")) as path:
            for piece in open_recording(path).pieces():
                model.feed(piece.data, piece.at_s)
                if piece.at_s == MARK_S:
                    target = app.session.mark(model.snapshot().fix)
                if piece.at_s >= SHOWN_S:
                    break
        app.board.state = app.state.changed(
            snapshot=model.snapshot(),
            now_s=SHOWN_S,
            status=SourceStatus(SourceKind.REPLAY, "first_walk.nmea.gz", SourceState.PLAYING, "", 1.0, SHOWN_S, 0.75),
            target=target,
            orientation=Orientation.COURSE_UP,
        )
        await pilot.pause(1.0)
        return re.sub(r"@font-face \{.*?\}", "", app.export_screenshot(title="fixboard"), flags=re.DOTALL)


def main() -> int:
    """Write the picture."""
    with tempfile.TemporaryDirectory() as folder:
        Path(sys.argv[1]).write_text(asyncio.run(picture(Path(folder))), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

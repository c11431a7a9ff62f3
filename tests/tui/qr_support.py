"""A camera before the board, which another library sees through, and the screen that hands a position on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from rich.color import Color
from rich.segment import Segment
from textual.pilot import Pilot
from textual.widgets import Input
from zxingcpp import read_barcodes

from core.locations import Locations
from core.sources.source import SourceKind, SourceState
from tests.tui.support import REPLAYING, SETTLED, show, until
from tui.app import FixboardApp
from tui.canvas.palettes import Depth
from tui.screens.prompt import PromptScreen
from tui.screens.qr import QrScreen
from tui.session import Look, Session
from tui.state import BoardState

LIVE = replace(REPLAYING, kind=SourceKind.LIVE, state=SourceState.RECEIVING, pace=None)
HELD = replace(REPLAYING, kind=SourceKind.HELD, state=SourceState.HOLDING, pace=None)
GEO = "geo:10.50000,-20.25000"
UPPER, LOWER = "▀█", "▄█"
PIXELS = 4


# A camera


def _light(colour: Color | None, otherwise: int) -> int:
    """Brightness, as cameras weigh the three (ITU-R BT.601, from memory): a reader of codes looks at nothing else."""
    if colour is None or colour.is_default:
        return otherwise
    red, green, blue = colour.get_truecolor()
    return round(0.299 * red + 0.587 * green + 0.114 * blue)


def pixels(rows: list[list[Segment]]) -> list[list[int]]:
    """Grey of each half cell, two to a cell; a terminal of light letters on dark where no colour is said."""
    found = []
    for row in rows:
        halves: tuple[list[int], list[int]] = ([], [])
        for text, style, _ in row:
            ink, paper = (_light(style.color, 255), _light(style.bgcolor, 0)) if style else (255, 0)
            if style and style.reverse:
                ink, paper = paper, ink
            for char in text:
                for half, inked in zip(halves, (UPPER, LOWER), strict=True):
                    half.append(ink if char in inked else paper)
        found += list(halves)
    return found


def seen(grey: list[list[int]]) -> list[str]:
    """What zxing-cpp reads in it, each pixel as a square."""
    wide = [[value for value in row for _ in range(PIXELS)] for row in grey for _ in range(PIXELS)]
    image = memoryview(bytes(value for row in wide for value in row)).cast("B", shape=[len(wide), len(wide[0])])
    return [code.text for code in read_barcodes(image)]


def photographed(app: FixboardApp) -> list[str]:
    return seen(pixels([list(strip) for strip in app.screen._compositor.render_strips()]))


def app_with(
    folder: Path, depth: Depth = Depth.TRUECOLOR, *, glyphs: str = "braille", theme: str = "dark"
) -> FixboardApp:
    app = FixboardApp(Session(Locations(folder), Look(glyphs, theme)), (), depth)
    app.animation_level = "none"
    return app


async def opened(app: FixboardApp, pilot: Pilot[None], state: BoardState = SETTLED) -> QrScreen:
    show(app, state)
    await pilot.press("Q")
    await until(pilot, lambda: isinstance(app.screen, QrScreen))
    await pilot.pause()
    await pilot.pause()
    assert isinstance(app.screen, QrScreen)
    return app.screen


async def typed(app: FixboardApp, pilot: Pilot[None], text: str) -> None:
    await until(pilot, lambda: isinstance(app.screen, PromptScreen))
    app.screen.query_one("#typed", Input).value = text
    await pilot.press("enter")
    await pilot.pause()

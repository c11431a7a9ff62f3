"""What holds for every page and sheet, whatever it shows: legible, in its place, with words where there is nothing."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator, Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import pytest
from rich.cells import cell_len
from rich.color import ColorType
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets._footer import FooterKey

from core.locations import Locations
from core.safe_text import CUT
from core.site import CARRIED
from tests.faults.screen_views import settle
from tests.tui.conftest import same_everywhere
from tests.tui.support import (
    ISLE,
    Epoch,
    board_app,
    board_state,
    pane_rows,
    played,
    position_pane,
    rows_of,
    screen_rows,
    screen_text,
    show,
    toasts,
    walked,
)
from tests.tui.test_canvas_palettes import contrast, needed
from tui.app import FIND_COMMAND, FixboardApp
from tui.canvas.grid import Grid
from tui.canvas.palettes import Depth
from tui.canvas.widget import CanvasPane
from tui.commands import COMMANDS
from tui.panes.averaging_rows import state_rows
from tui.panes.compass import CompassView, draw_compass
from tui.panes.verdict_line import VerdictLine
from tui.screens.pick import LINE_WIDTH, Choice, _line
from tui.session import Look, Session
from tui.state import BoardState, Orientation

__all__ = ["same_everywhere"]
PAGES = tuple("0123456789vepiCA")
SHEETS = ("f1", "t", "F", "L", "U", "Q", "G", "H", "X", "B")
"""Those that need no recording."""
WALKING = board_state(walked(12, Epoch(more=("GNHDT,120.0,T",))), target=ISLE, orientation=Orientation.COURSE_UP)
COLD = board_state(walked(3, Epoch(valid=False)))
CUTS_VALUES = {"H"}
"""A list of figures with their values, which are short of room by design: the chosen one stands beside it in full."""
LATIN_1, SCROLL_BAR = 0xFF, "▁▂▃▄▅▆▇█"
DRAWS_BLOCKS = {"Q"}
"""A code for a phone is made of blocks, whatever else is plain."""
RED_AND_BLACK = {"red", "black", "color(0)", "color(1)"}
"""As Rich names what the board draws itself, and what Textual draws."""
DETAILS = {"place-details", "session-details", "station-details", "setting-details", "chapter-details"}
"""What they are about is chosen in the list beside them, which says what to do while there is nothing to choose."""


class Cell(NamedTuple):
    """A letter or figure as the terminal shows it."""

    text: str
    ink: str
    paper: str


def letters(app: FixboardApp) -> Iterator[Cell]:
    """Every run of words on the screen that is on top, with its two colours; drawings are none."""
    region = front(app)
    for y, strip in enumerate(app.screen._compositor.render_strips()):
        if not region.y <= y < region.bottom:
            continue
        for segment in strip.crop(region.x, region.right):
            if any(char.isalnum() for char in segment.text):
                yield Cell(segment.text.strip(), *colours(segment))


def colours(segment: Segment) -> tuple[str, str]:
    """Ink and paper of a segment, as they are after reversing."""
    style = segment.style
    assert style is not None and style.color is not None and style.bgcolor is not None, segment
    assert style.color.type is ColorType.TRUECOLOR, segment
    ink, paper = style.color.get_truecolor().hex, style.bgcolor.get_truecolor().hex
    return (paper, ink) if style.reverse else (ink, paper)


def front(app: FixboardApp) -> Region:
    """Of a dialogue its sheet alone: what lies behind is dimmed on purpose."""
    if isinstance(app.screen, ModalScreen) and (sheets := app.screen.query(".sheet")):
        return sheets.first().region
    return app.screen.region


async def each_view(app: FixboardApp, pilot: Pilot[None], state: BoardState) -> AsyncIterator[str]:
    """Every page and sheet in turn, by its key."""
    for key in (*PAGES, *SHEETS):
        show(app, state)
        await settle(pilot, app)
        await pilot.press(key)
        await settle(pilot, app)
        yield key
        for _ in range(4):
            if app.screen is not app.board:
                await pilot.press("escape")
                await pilot.pause()
        await pilot.press("escape")
        app.action_page("board")
        app.clear_notifications()


@pytest.mark.parametrize("theme", ["dark", "daylight", "night"])
async def test_every_word_is_legible_on_what_it_lies_on(tmp_path: Path, theme: str) -> None:
    app, poor = board_app(tmp_path, theme=theme), set()
    app.session.mark(WALKING.snapshot.fix)
    async with app.run_test(size=(120, 40)) as pilot:
        async for key in each_view(app, pilot, WALKING):
            for cell in letters(app):
                if contrast(cell.ink, cell.paper) < needed(theme):
                    poor.add((key, cell))
    assert poor == set()


async def test_nothing_is_cut_at_a_usual_size(tmp_path: Path) -> None:
    cut = set()
    app = board_app(tmp_path)
    app.session.mark(WALKING.snapshot.fix)
    async with app.run_test(size=(120, 40)) as pilot:
        for state in (WALKING, COLD, BoardState()):
            async for key in each_view(app, pilot, state):
                if key not in CUTS_VALUES:
                    cut |= {(key, row.strip()) for row in screen_rows(app) if CUT in row}
    assert cut == set()


async def test_every_pane_has_words_before_anything_has_come(tmp_path: Path) -> None:
    app, mute = board_app(tmp_path), set()
    async with app.run_test(size=(120, 40)) as pilot:
        async for key in each_view(app, pilot, BoardState()):
            rows = screen_rows(app)
            for pane in app.screen.query(CanvasPane):
                place = pane.region.intersection(app.screen.region)
                if pane.display and pane.caption and place.height > 1 and pane.id not in DETAILS:
                    inside = (rows[y][place.x : place.right] for y in range(place.y + 1, place.bottom))
                    if not any(char.isalpha() and char not in "NESW" for row in inside for char in row):
                        mute.add((key, pane.id))
    assert mute == set()


async def test_at_night_no_view_has_a_colour_but_red_in_sixteen_colours(tmp_path: Path) -> None:
    app = FixboardApp(Session(Locations(tmp_path), Look("braille", "night")), (), Depth.COLOURS_16)
    app.animation_level = "none"
    other = set()
    async with app.run_test(size=(120, 40)) as pilot:
        async for key in each_view(app, pilot, WALKING):
            for strip in app.screen._compositor.render_strips():
                for segment in strip:
                    style = segment.style or Style.null()
                    names = {"none" if colour is None else colour.name for colour in (style.color, style.bgcolor)}
                    if segment.text.strip() and (not names <= RED_AND_BLACK or len(names) == 1):
                        other.add((key, segment.text.strip(), str(style)))
    assert other == set()


@pytest.mark.parametrize("altitudes", [("12.5", "-12.5"), ("-0.4", "0.3"), ("99.9", "100.1")])
def test_what_follows_a_height_stays_in_its_column(altitudes: tuple[str, str]) -> None:
    columns = set()
    for altitude in altitudes:
        rows = pane_rows(position_pane(), board_state(walked(4, Epoch(altitude=altitude))))
        columns.add(tuple(row.find(words) for words in ("mean sea level", "ellipsoid") for row in rows if words in row))
    assert len(columns) == 1
    assert -1 not in columns.pop()


async def test_plain_characters_are_plain_in_every_view(tmp_path: Path) -> None:
    app, odd = board_app(tmp_path, glyphs="plain"), set()
    async with app.run_test(size=(80, 24)) as pilot:
        async for key in each_view(app, pilot, WALKING):
            if key not in DRAWS_BLOCKS:
                odd |= {(key, char) for row in screen_rows(app) for char in row if ord(char) > LATIN_1}
    assert {(key, char) for key, char in odd if char not in SCROLL_BAR} == set()


@pytest.mark.parametrize("key", ["t", "F", "L"])
@pytest.mark.parametrize("width", [60, 80, 120])
async def test_the_footer_of_a_list_holds_whole_items_and_the_way_out(tmp_path: Path, key: str, width: int) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(width, 24)) as pilot:
        show(app, WALKING)
        await pilot.press(key)
        await settle(pilot, app)
        items = [f"{item.key_display} {item.description}" for item in app.screen.query(FooterKey)]
        assert items[0] == "Esc Back"
        assert "n Notation" not in items
        assert all(item in screen_rows(app)[-1] for item in items)
        assert len(items) > (5 if width < 80 else 7)


async def test_the_palette_holds_every_command_and_no_picture(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+p")
        await settle(pilot, app)
        assert FIND_COMMAND in screen_text(app)
        assert all(cell_len(char) == 1 for char in screen_text(app) if char != "\n")
        offered = {command.help for command in app.get_system_commands(app.screen)}
        assert {command.help for command in COMMANDS} <= offered


async def test_to_record_nothing_is_answered(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("r")
        assert "o opens one" in toasts(app)[-1]


NOTES = ("held place: no course", "no fix: no course", "standing: no course", "no speed reported")


@pytest.mark.parametrize("size", [(42, 20), (46, 22), (60, 25)])
@pytest.mark.parametrize("up", [0.0, 48.0, 200.0])
@pytest.mark.parametrize("note", NOTES)
def test_a_remark_in_the_rose_covers_no_letter_and_no_figure(size: tuple[int, int], up: float, note: str) -> None:
    with_it, without = Grid(*size), Grid(*size)
    draw_compass(with_it, CompassView(up_deg=up, note=note))
    draw_compass(without, CompassView(up_deg=up))
    assert all(words in " ".join(rows_of(with_it)) for row in rows_of(without) for words in figures(row))


def figures(row: str) -> list[str]:
    return re.findall(r"\b(?:\d{3}|[NESW])\b", row)


def test_the_verdict_line_ends_with_a_clause_rather_than_within_one() -> None:
    pane = VerdictLine()
    pane.state = COLD.changed(snapshot=played(*(Epoch(second=float(n), valid=False) for n in range(3))))
    for width in (80, 100, 120):
        grid = Grid(width, 1)
        pane.paint(grid)
        (row,) = rows_of(grid)
        assert CUT not in row, row


def test_columns_of_a_choice_stay_columns_however_long_its_remark_is() -> None:
    rows = _line(Choice("Import", "waypoints " * 12), 14).plain.split("\n")
    assert len(rows) > 1
    assert {row.index("waypoints") for row in rows} == {16}
    assert max(len(row) for row in rows) <= LINE_WIDTH


def test_a_reason_names_its_keys_as_they_are_printed() -> None:
    carried = replace(WALKING.snapshot.site, why=CARRIED)
    shown = " ".join(span.text for row in state_rows(carried, 60) for span in row)
    assert "The receiver is being carried: S goes on" in shown
    assert "E ends it here" in shown

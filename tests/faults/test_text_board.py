"""Hostile text on every page and list of the board: nothing outside the field changes by it.

A page is drawn three times: with the payload, and with two harmless texts of the same shape, letters for letters and
blanks for blanks. Where these two differ is the field; everywhere else all three must be alike, in colour too.
"""

from __future__ import annotations

import csv
import unicodedata
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from textual.events import Paste
from textual.pilot import Pilot
from textual.widgets import Input

from core.chapters import Chapter, Chapters
from core.formats.safe_xml import xml_text
from core.nmea.framing import Reason, Rejected
from core.safe_text import one_cell_each
from core.sources.source import SourceState
from core.timeline import Timeline
from core.waypoint import Waypoint
from core.waypoints import Waypoints
from tests.faults.hostile_text import MARK, PAYLOADS, columns, plain
from tests.tui.conftest import same_everywhere
from tests.tui.support import ISLE, REPLAYING, Epoch, board_app, board_state, screen_rows, show, until, walked
from tui.app import FixboardApp
from tui.panes.wire import WirePane
from tui.screens.chooser import ChooserScreen
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen
from tui.state import BoardState

__all__ = ["same_everywhere"]
Cell = tuple[str, str]
"""Character and style."""
STILL = 3
"""Pictures in a row that are alike, after which a page stands."""
SHORT = {name: text for name, text in PAYLOADS.items() if text.strip() and len(text) < 400}


def shaped(payload: str, letter: str) -> str:
    return "".join(char if char == " " else letter for char in one_cell_each(payload))


def cells(app: FixboardApp) -> list[list[Cell]]:
    rows = []
    for strip in app.screen._compositor.render_strips():
        row = [(char, str(style)) for text, style, control in strip if not control for char in text]
        assert columns("".join(char for char, _ in row)) == len(row) == app.size.width
        rows.append(row)
    return rows


def compare(hostile: list[list[Cell]], first: list[list[Cell]], second: list[list[Cell]]) -> int:
    """Cells of the field. Outside it all are alike; in it only characters differ, and none does harm."""
    field = 0
    for y, (row, one, two) in enumerate(zip(hostile, first, second, strict=True)):
        assert plain("".join(char for char, _ in row)), y
        for x, (cell, a, b) in enumerate(zip(row, one, two, strict=True)):
            if a == b:
                assert cell == a, (x, y, "".join(char for char, _ in row), "".join(char for char, _ in one))
            else:
                field += 1
                assert cell[1] == a[1], (x, y)
    return field


# What a state holds


def base(more: Callable[[BoardState], BoardState]) -> BoardState:
    return more(board_state(walked(4, Epoch(more=("GNHDT,120.0,T",))), target=ISLE))


class Place(NamedTuple):
    """Where a text stands in what the board is given, and the pages that show it."""

    put: Callable[[BoardState, str], BoardState]
    pages: tuple[str, ...]


def _fix(state: BoardState, **changes: Any) -> BoardState:
    return state.changed(snapshot=replace(state.snapshot, fix=state.snapshot.fix._replace(**changes)))


def _snapshot(state: BoardState, **changes: Any) -> BoardState:
    return state.changed(snapshot=replace(state.snapshot, **changes))


def _lost(state: BoardState, text: str) -> BoardState:
    return state.changed(
        snapshot=walked(2, Epoch(valid=False)),
        now_s=state.now_s + 30.0,
        status=replace(REPLAYING, state=SourceState.FAILED, detail=text),
    )


def _chaptered(state: BoardState, text: str) -> BoardState:
    chapters = Chapters((Chapter(0.0, text, text), Chapter(500.0, text)))
    return state.changed(chapters=chapters, timeline=Timeline(position_s=1.0, duration_s=900.0))


TARGETED = ("board", "position", "compass", "goto", "large", "trail", "trip")
PLACES = {
    "a target": Place(lambda s, t: s.changed(target=replace(ISLE, name=t, note=t, kind=t)), TARGETED),
    "the next leg": Place(lambda s, t: s.changed(then=(replace(ISLE, name=t),)), ("goto", "large")),
    "a receiver's message": Place(
        lambda s, t: replace(s, snapshot=replace(walked(2, Epoch(valid=False)), texts=(t,))), ("board", "fix")
    ),
    "a source's name": Place(lambda s, t: s.changed(status=replace(s.status, name=t)), ("board", "ab")),
    "a source's warning": Place(lambda s, t: s.changed(status=replace(s.status, warning=t)), ("board",)),
    "why there is nothing": Place(_lost, ("board", "position", "large")),
    "a datum": Place(lambda s, t: _fix(s, datum=t), ("fix",)),
    "contradictions": Place(lambda s, t: _fix(s, contradictions=(t, t)), ("fix", "why")),
    "taken lines": Place(lambda s, t: _snapshot(s, wire=(t, t)), ("wire", "board")),
    "refused lines": Place(lambda s, t: _snapshot(s, wire=(Rejected(Reason.BAD_CHECKSUM, t, t),) * 2), ("wire",)),
    "chapters": Place(_chaptered, ("board",)),
}


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
async def test_on_a_page_of_the_board(tmp_path: Path, place: Place) -> None:
    app = board_app(tmp_path)
    fields = 0
    async with app.run_test(size=(110, 36)) as pilot:
        for number, page in enumerate(place.pages):
            await turned_to(page, app, pilot, base(lambda s: s))
            for payload in list(SHORT.values())[:: 9 if number else 2]:
                texts = (payload, shaped(payload, "x"), shaped(payload, "z"))
                fields += compare(*[await pictured(app, pilot, place.put(base(lambda s: s), one)) for one in texts])
    assert fields > 0


async def pictured(app: FixboardApp, pilot: Pilot[None], state: BoardState) -> list[list[Cell]]:
    show(app, state)
    app.board.query_one(WirePane).catch_up()
    await pilot.pause()
    return cells(app)


async def turned_to(page: str, app: FixboardApp, pilot: Pilot[None], state: BoardState) -> None:
    """Until the page stands: the board's footer, for one, is made anew some rounds after the first state."""
    app.action_page(page)
    alike, before = 0, await pictured(app, pilot, state)
    while alike < STILL:
        now = await pictured(app, pilot, state)
        alike, before = alike + 1 if now == before else 0, now


async def test_long_texts_change_nothing_but_their_field_either(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(90, 30)) as pilot:
        for place in PLACES.values():
            await turned_to(place.pages[0], app, pilot, base(lambda s: s))
            for payload in (PAYLOADS["long"], PAYLOADS["long without a blank"], PAYLOADS["blank"], PAYLOADS["empty"]):
                texts = (payload, shaped(payload, "x"), shaped(payload, "z"))
                compare(*[await pictured(app, pilot, place.put(base(lambda s: s), one)) for one in texts])


async def test_on_stage_a_payload_is_drawn_as_what_is_left_of_it(tmp_path: Path) -> None:
    """In large letters each has a width of its own, so the harmless text is the very one that may be shown."""
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        for page in ("position", "goto", "fix", "board"):
            staged = base(lambda s: s.changed(is_stage=True))
            await turned_to(page, app, pilot, staged)
            for name in ("a target", "why there is nothing", "chapters"):
                for payload in list(SHORT.values())[::6]:
                    one = await pictured(app, pilot, PLACES[name].put(staged, payload))
                    two = await pictured(app, pilot, PLACES[name].put(staged, one_cell_each(payload)))
                    assert one == two
                    assert all(plain("".join(char for char, _ in row)) for row in one)


# Lists: one row a payload

LEGAL = [text[:60] for text in SHORT.values() if xml_text(text) == text and "\r" not in text]
"""What a file of waypoints can hold."""
Furnish = Callable[[Path, list[str]], None]


def _waypoints(folder: Path, texts: list[str]) -> None:
    book = Waypoints(folder / "waypoints.gpx")
    for number, text in enumerate(texts):
        here = ISLE.position._replace(latitude_deg=10.51 + number / 1000)
        book.add(Waypoint(f"{number:02d}|{text}|", here, 12.5, ISLE.time, f"|{text}|", "hut"))


def _stations(folder: Path, texts: list[str]) -> None:
    (folder / "stations").mkdir(parents=True)
    with (folder / "stations" / "mine.csv").open("w", encoding="utf-8", errors="surrogatepass", newline="") as stream:
        rows = csv.writer(stream)
        rows.writerow(("call", "name", "output", "mode", "lat", "lon", "status", "notes", "keeper"))
        for number, text in enumerate(texts):
            rows.writerow(
                (
                    f"QX{number}",
                    f"|{text}|",
                    "145.6",
                    f"{text}|",
                    f"10.{51 + number}",
                    "-20.25",
                    f"|{text}|",
                    f"|{text}|",
                    text,
                )
            )


LISTS: dict[str, tuple[Furnish, str]] = {
    "waypoints": (_waypoints, "t"),
    "stations": (_stations, "F"),
}


@pytest.mark.parametrize(("furnish", "key"), LISTS.values(), ids=LISTS)
async def test_in_a_list(tmp_path: Path, furnish: Furnish, key: str) -> None:
    found = []
    for letter in ("", "x", "z"):
        folder = tmp_path / (letter or "hostile")
        folder.mkdir()
        furnish(folder, [shaped(text, letter) if letter else text for text in LEGAL])
        found.append(await drawn_list(folder, key))
    for row in found[0]:
        assert plain("".join(char for char, _ in row))
    assert compare(*found) > 100


async def drawn_list(folder: Path, key: str) -> list[list[Cell]]:
    app = board_app(folder)
    async with app.run_test(size=(150, 60)) as pilot:
        show(app, base(lambda state: state))
        await pilot.press(key)
        await until(pilot, lambda: any(row.startswith(">") for row in screen_rows(app)))
        for line in app.screen.query(Input):
            line.cursor_blink = False
        await pilot.pause(0.1)
        return cells(app)


# Sheets and what the board says


async def test_in_a_sheet(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(100, 30)) as pilot:
        for payload in SHORT.values():
            for screen in (
                PickScreen(payload, [Choice(payload, payload), Choice("second", "")], payload),
                PickScreen("Which?", [], payload),
                PromptScreen(payload, "what"),
                ChooserScreen([Choice(payload, payload)], payload),
            ):
                app.push_screen(screen)
                await pilot.pause()
                rows = screen_rows(app)
                assert all(plain(row) and columns(row) == 100 for row in rows)
                assert (MARK in "".join(rows)) == (MARK in payload), rows
                app.pop_screen()


async def test_pasted_into_a_line(tmp_path: Path) -> None:
    """What comes from the clipboard is nobody's own words."""
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(PromptScreen("What?", "what"))
        await pilot.pause()
        for payload in SHORT.values():
            line = app.screen.query_one(Input)
            line.value = ""
            app.post_message(Paste(payload))
            await pilot.pause()
            await pilot.pause()
            assert all(_harmless(row) for row in screen_rows(app)), payload


def _harmless(row: str) -> bool:
    """Wide letters and marks may stand where they are typed; nothing may be obeyed or reorder the line."""
    return not any(unicodedata.category(char) in {"Cc", "Cf", "Cs", "Zl", "Zp"} for char in row)

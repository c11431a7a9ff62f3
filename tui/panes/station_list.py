"""The list of stations: what to set, how far, which way by two norths, and how far off that may be."""

from __future__ import annotations

from typing import ClassVar, NamedTuple

from core.places.magnetic import magnetic_from_true
from core.stations import Station
from tui import station_words as words
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.panes.cursor_list import CursorList
from tui.station_search import Answer, Item

CALL, OUTPUT, SHIFT, MODE, AWAY, BEARING, SPREAD = 9, 13, 7, 8, 10, 5, 6
NORTHS_FROM, OUTPUT_FROM, SHIFT_FROM, MODE_FROM, NAME_FROM = 42, 54, 62, 70, 84
"""Widths of the list from which it has room for one more: a figure that was cut short would be another figure."""


class StationView(NamedTuple):
    """What the list shows beside its rows."""

    answer: Answer = Answer()
    targets: frozenset[str] = frozenset()
    """Names on the way."""


class StationListPane(CursorList[Item]):
    """One station a row."""

    caption = "Stations"
    heads: ClassVar[int] = 1

    def __init__(self) -> None:
        super().__init__("station-list", lambda item: item.key)
        self._view = StationView()

    def show(self, view: StationView, empty: str) -> None:
        """Show an answer."""
        self._view = view
        self.fill(view.answer.items, empty)

    def head(self, width: int) -> Row:
        """Names of the columns: which north is said here."""
        left = f"   {'call':<{CALL}}" + _heads(width)
        right = f"{'distance':>{AWAY}}{'true':>{BEARING + 1}}"
        right += f"{'mag':>{BEARING}}{'±':>{SPREAD}} " if width >= NORTHS_FROM else " "
        return (Span(left, Ink.MUTED), PUSH, Span(right, Ink.MUTED))

    def row(self, item: Item, width: int, *, chosen: bool) -> Row:
        """A name takes what is left."""
        one = item.station
        mark = "!" if self._is_doubtful(one) else " "
        output, shift = _aligned(words.frequency(one.output_hz)), f"{words.shift(one.shift_hz):>{SHIFT}}"
        figures = _fitting(output, shift, one.mode, width=width)
        right = self._way(item, width)
        room = width - 3 - CALL - len(figures) - len(right) - 3
        name = f"  {fitted(one.name, room)}" if width >= NAME_FROM and room > 3 else ""
        ink = Ink.TARGET if one.title in self._view.targets else Ink.TEXT
        return (
            Span(">" if chosen else " ", ink, bold=chosen),
            Span(f"{mark} ", Ink.WARN, bold=True),
            Span(f"{fitted(one.title, CALL):<{CALL if figures else 0}}", ink, bold=chosen),
            Span(figures, Ink.TEXT),
            Span(name, Ink.MUTED),
            PUSH,
            Span(right, Ink.TEXT if item.near else Ink.MUTED),
        )

    def _is_doubtful(self, station: Station) -> bool:
        question = self._view.answer.question
        return words.state_of(station, question.day).is_doubtful or bool(question.contents.findings(station))

    def _way(self, item: Item, width: int) -> str:
        near, north = item.near, self._view.answer.north
        if near is None:
            room = AWAY + BEARING + 1 + (BEARING + SPREAD if width >= NORTHS_FROM else 0)
            return f"{'' if item.station.position else 'no place':>{room}} "
        bearing = near.bearing_deg
        away = f"{wording.distance(near.way.distance_m):>{AWAY}}{words.degrees(bearing):>{BEARING + 1}}"
        if width < NORTHS_FROM:
            return f"{away} "
        magnetic = None if bearing is None or north is None else magnetic_from_true(bearing, north)
        off = wording.UNKNOWN if bearing is None else words.spread(near.uncertainty_deg)
        return f"{away}{words.degrees(magnetic):>{BEARING}}{off:>{SPREAD}} "


def _heads(width: int) -> str:
    """Both frequencies have their unit in one place."""
    if width < SHIFT_FROM:
        return _fitting(f"{'MHz':^{OUTPUT}}", "", "", width=width)
    mode = " mode" if width >= MODE_FROM else ""
    return f"{'output':^{OUTPUT - 3}}{'shift, MHz':>{SHIFT + 3}}{mode}"


def _aligned(frequency: str) -> str:
    """The decimal points of a column under each other; down to the hertz."""
    whole, point, decimals = frequency.partition(".")
    return f"{whole:>{OUTPUT - 7}}{point or ' '}{decimals:<6}"


def _fitting(output: str, shift: str, mode: str, *, width: int) -> str:
    """As many of the columns as there is room for, whole."""
    columns = ((OUTPUT_FROM, output), (SHIFT_FROM, shift), (MODE_FROM, f" {fitted(mode, MODE):<{MODE}}"))
    return "".join(text for least, text in columns if width >= least)

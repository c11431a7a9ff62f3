"""One waypoint: all that is kept of it, in every notation."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from textwrap import wrap

from core.fix import FixMode, Position
from core.places.forms import all_forms
from core.waypoint import Waypoint
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.place_forms import LABELS
from tui.panes.position import labelled

SMALL = 14
"""Rows up to which a note has one line: the notations come first."""


class PlaceDetailsPane(RowsPane):
    """The waypoint under the cursor."""

    caption = "Chosen"

    def __init__(self) -> None:
        super().__init__(id="place-details")
        self._waypoint: Waypoint | None = None

    def show(self, waypoint: Waypoint | None) -> None:
        """Show this one."""
        if waypoint != self._waypoint:
            self._waypoint = waypoint
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Name and note, how it came about, every notation."""
        waypoint = self._waypoint
        return [] if waypoint is None else [*_what(waypoint, width, height), *_forms(waypoint), *_how(waypoint)]


def _what(waypoint: Waypoint, width: int, height: int) -> Iterator[Row]:
    yield (Span(waypoint.name or "(no name)", Ink.TARGET, bold=True),)
    for line in wrap(one_cell_each(waypoint.note), max(10, width - 2))[: 3 if height > SMALL else 1]:
        yield (Span(line),)


def _how(waypoint: Waypoint) -> Iterator[Row]:
    if waypoint.kind:
        yield labelled("kind", Span(waypoint.kind))
    error = "not known" if waypoint.error_95_m is None else f"about {wording.metres(waypoint.error_95_m)} (95 %)"
    yield labelled("error", Span(error))
    if waypoint.mode:
        yield labelled("mode", Span(_mode(waypoint.mode)))
    if waypoint.time:
        yield labelled("marked", Span(f"{waypoint.time:%Y-%m-%d %H:%M:%S} UTC"))
    if waypoint.altitude_m is not None:
        yield labelled("altitude", Span(wording.height(waypoint.altitude_m, 1)), Span("  mean sea level", Ink.MUTED))


def _mode(mode: str) -> str:
    return wording.MODE_WORDS[FixMode(mode)] if mode in set(FixMode) else mode


def _forms(waypoint: Waypoint) -> Iterator[Row]:
    for name, text in _written(waypoint.position, waypoint.error_95_m).items():
        yield labelled(LABELS[name], Span(text))


@lru_cache(maxsize=64)
def _written(position: Position, error_m: float | None) -> dict[str, str]:
    return all_forms(position, error_m=error_m)

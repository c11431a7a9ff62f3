"""One station: all that its list says, what that is worth, and whether it can be within reach."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import NamedTuple

from core.places.locator import locator
from core.places.magnetic import magnetic_from_true
from core.places.notation import Notation, write
from core.radio_horizon import both_horizons_m
from core.station_contents import Also
from core.stations import Finding, Station
from tui import station_words as words
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.own_keys import key_of
from tui.panes.position import LABEL_WIDTH, labelled
from tui.station_search import Answer, Item


class DetailsView(NamedTuple):
    """What the pane shows."""

    item: Item | None = None
    answer: Answer = Answer()
    notation: Notation = Notation.DECIMAL
    antenna_m: float | None = None


class StationDetailsPane(RowsPane):
    """The station under the cursor; what does not fit is on further pages."""

    caption = "Chosen"

    def __init__(self) -> None:
        super().__init__(id="station-details")
        self._view = DetailsView()
        self._page = 0

    def show(self, view: DetailsView) -> None:
        """Show this one, from its first page where it is another."""
        if view == self._view:
            return
        before, now = self._view.item, view.item
        if (before.key if before else None) != (now.key if now else None):
            self._page = 0
        self._view = view
        self.repaint()

    def turn(self) -> None:
        """The next page; after the last the first."""
        self._page += 1
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """A page of them."""
        every = list(_rows(self._view, width))
        pages = max(1, -(-len(every) // max(1, height)))
        self._page %= pages
        self.aside = Span(
            f"{self._page + 1} of {pages}, {key_of('more_details')} turns" if pages > 1 else "", Ink.MUTED
        )
        return every[self._page * height : (self._page + 1) * height]


def _rows(view: DetailsView, width: int) -> Iterator[Row]:
    item = view.item
    if item is None:
        return
    station, question = item.station, view.answer.question
    yield (Span(station.title, Ink.TARGET, bold=True), Span(f"  {station.name}" if station.call else ""))
    state = words.state_of(station, question.day)
    for number, line in enumerate(wrap(one_cell_each(state.words), max(10, width - 4))):
        yield (
            Span("! " if state.is_doubtful and not number else "  ", Ink.WARN),
            Span(line, Ink.WARN if state.is_doubtful else Ink.GOOD),
        )
    yield from _findings(question.contents.findings(station), width)
    yield from _radio(station)
    yield from _way(item, view)
    yield from _place(station, view.notation, width)
    yield from _heights(item, view.antenna_m, width)
    yield from _told("notes", station.notes, width)
    for header, cell in station.more:
        yield from _told(header, cell, width)
    yield labelled("list", Span(f"{station.source}, row {station.row}"))
    for also in question.contents.also(station):
        yield from _told("also", _also(also), width)


def _findings(findings: tuple[Finding, ...], width: int) -> Iterator[Row]:
    for finding in findings:
        yield from _told(finding.doubt.value, words.why(finding), width, Ink.WARN)


def _radio(station: Station) -> Iterator[Row]:
    band = f"  {station.band.name}" if station.band else "  no amateur band" if station.output_hz else ""
    yield labelled("output", Span(f"{words.frequency(station.output_hz)} MHz", bold=True), Span(band, Ink.MUTED))
    shift = "" if station.shift_hz is None else f"  shift {words.shift(station.shift_hz)}"
    shift += " MHz" if station.shift_hz else ""
    yield labelled("input", Span(f"{words.frequency(station.input_hz)} MHz"), Span(shift, Ink.MUTED))
    yield labelled(
        "tone", Span(words.tone(station.tone)), Span("  mode ", Ink.MUTED), Span(station.mode or wording.UNKNOWN)
    )


def _way(item: Item, view: DetailsView) -> Iterator[Row]:
    near = item.near
    if near is None:
        why = "your own position is not known" if item.station.position else "it has no place"
        yield labelled("away", Span(wording.UNKNOWN), Span(f"  {why}", Ink.MUTED))
        return
    yield labelled("away", Span(wording.distance(near.way.distance_m)))
    bearing, north = near.bearing_deg, view.answer.north
    if bearing is None:
        yield labelled("bearing", Span("none: on the spot", Ink.MUTED))
        return
    magnetic = "no magnetic" if north is None else f"{words.degrees(magnetic_from_true(bearing, north))} magnetic"
    yield labelled("bearing", Span(f"{words.degrees(bearing)} true  {magnetic}"))
    yield labelled("", Span(_worth(near.uncertainty_deg), Ink.MUTED))
    if north is not None and north.zone:
        yield labelled("", Span(f"compass weak here: ±{north.uncertainty_deg:.0f}°", Ink.WARN))


def _worth(uncertainty_deg: float | None) -> str:
    if uncertainty_deg is None:
        return "how uncertain is not known"
    if uncertainty_deg >= words.NO_DIRECTION_DEG:
        return "no direction: too near, too coarse"
    return f"{words.spread(uncertainty_deg)} as coarse as the places are"


def _place(station: Station, notation: Notation, width: int) -> Iterator[Row]:
    place = station.position
    if place is None:
        yield from _told("place", station.place or "none given", width, Ink.WARN)
        return
    yield labelled("place", Span(" ".join(write(place, notation))), Span(f"  {locator(place)}", Ink.MUTED))
    yield labelled("", Span(words.coarseness(station.radius_m), Ink.MUTED))
    yield from _told("listed", station.place, width)


def _heights(item: Item, antenna_m: float | None, width: int) -> Iterator[Row]:
    height_m = item.station.height_m
    yield labelled("height", Span(wording.UNKNOWN if height_m is None else f"{wording.height(height_m)} as listed"))
    away_m = item.near.way.distance_m if item.near else None
    if away_m is None:
        return
    text = words.horizon(away_m, antenna_m, height_m)
    both_m = both_horizons_m(antenna_m, height_m)
    yield from _told("horizon", text, width, Ink.TEXT if both_m is None or away_m <= both_m else Ink.WARN)
    if both_m is not None:
        yield from _told(" ", words.SMOOTH, width, Ink.MUTED)


def _also(also: Also) -> str:
    differs = "; ".join(f"{what} there: {text}" for what, text in also.differs)
    return f"{also.station.source}, row {also.station.row}{f' ({differs})' if differs else ''}"


def _told(label: str, text: str, width: int, ink: Ink = Ink.TEXT) -> Iterator[Row]:
    """Over as many rows as it needs; a label that is longer than usual has a row of its own."""
    clean, name = one_cell_each(text), one_cell_each(label)
    if not clean.strip():
        return
    if len(name) >= LABEL_WIDTH:
        yield (Span(name, Ink.MUTED),)
        name = ""
    for line in wrap(clean, max(8, width - LABEL_WIDTH - 2), break_on_hyphens=False):
        yield labelled(name, Span(line, ink))
        name = ""

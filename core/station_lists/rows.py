"""One row of a table as a station, and what was strange about it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from sys import intern
from typing import NamedTuple

from core.station_lists.audit import Said, frequency_doubts, shift_doubts, tone_doubts
from core.station_lists.frequencies import Shift, frequency_hz, shift_hz
from core.station_lists.headers import FOOT_M, Field, Heading
from core.station_lists.placing import Given, Placed, placed
from core.station_lists.table import Row
from core.stations import Doubt, Finding, Station

_HEIGHT = re.compile(
    r"([+-]?\d{1,5}(?:[.,]\d{1,3})?)\s*(m|ft|feet|')?(?:\s*(?:asl|amsl|a\.s\.l\.))?", re.ASCII | re.IGNORECASE
)
_THOUSANDS_OR_DECIMALS = re.compile(r"[1-9]\d{0,2}[.,]\d{3}(?!\d)", re.ASCII)
HIGHEST_M, LOWEST_M = 9_000.0, -500.0
"""Of the ground, rounded outwards (general knowledge)."""


class Layout(NamedTuple):
    """Where a list keeps what."""

    headings: tuple[Heading, ...]
    source: str

    def at(self, field: Field) -> int:
        """The column of a field; -1 where there is none."""
        return next((number for number, one in enumerate(self.headings) if one.field is field), -1)

    def unit(self, field: Field) -> float | None:
        """What its header says that a figure is worth."""
        return next((one.unit for one in self.headings if one.field is field), None)


class RowReader:
    """Turns rows of one list into stations."""

    def __init__(self, layout: Layout) -> None:
        """Looks the columns up once."""
        self._source = layout.source
        self._columns = [(field, layout.at(field)) for field in Field]
        self._units = {field: layout.unit(field) for field in Field}
        self._headings = len(layout.headings)
        self._others = [(one.text, number) for number, one in enumerate(layout.headings) if one.field is None]

    def station(self, row: Row) -> tuple[Station, list[Finding]]:
        """The station, with findings in no order."""
        said = self._said(row.cells)
        given = Given(*(said[field] for field in _PLACE_FIELDS))
        place = placed(given)
        radio = self._radio(said)
        station = Station(
            call=said[Field.CALL].upper(),
            name=said[Field.NAME],
            position=place.position,
            radius_m=place.radius_m,
            place=given.words,
            output_hz=radio.output_hz,
            input_hz=radio.input_hz,
            tone=intern(said[Field.TONE]),
            mode=intern(said[Field.MODE]),
            height_m=_height_m(said[Field.HEIGHT], self._units[Field.HEIGHT]),
            status=intern(said[Field.STATUS]),
            verified=intern(said[Field.VERIFIED]),
            notes=said[Field.NOTES],
            more=self._more(row.cells),
            row=row.number,
            source=self._source,
        )
        doubts = (*self._ragged(row), *_misread(said, station, radio), *_misplaced(place), *_audited(station, radio))
        return station, [Finding(row.number, station.title, doubt, why) for doubt, why in doubts]

    def _said(self, cells: Sequence[str]) -> dict[Field, str]:
        """What stands under each header; nothing where the row ends before it, or there is no such header."""
        count = len(cells)
        return {field: cells[at] if -1 < at < count else "" for field, at in self._columns}

    def _radio(self, said: dict[Field, str]) -> _Radio:
        """Frequencies; the input from its own column, else from the shift."""
        units = self._units
        output = frequency_hz(said[Field.OUTPUT], units[Field.OUTPUT])
        given = frequency_hz(said[Field.INPUT], units[Field.INPUT] or units[Field.OUTPUT])
        # A header of MHz over the output says nothing of the shift beside it, which is mostly kilohertz.
        shift = shift_hz(said[Field.SHIFT] or _signed(said[Field.INPUT]), units[Field.SHIFT])
        return _Radio(output, given if given is not None else _shifted(output, shift), given is not None, shift)

    def _more(self, cells: Sequence[str]) -> tuple[tuple[str, str], ...]:
        count = len(cells)
        kept = [(text, cells[at]) for text, at in self._others if at < count and cells[at]]
        kept.extend((f"column {at + 1}", cells[at]) for at in range(self._headings, count) if cells[at])
        return tuple(kept)

    def _ragged(self, row: Row) -> Iterator[_Doubted]:
        """Trailing empty cells are how spreadsheets end rows: no finding. Filled ones beyond the headers are."""
        if any(row.cells[self._headings :]):
            yield Doubt.CELLS, f"{len(row.cells)} cells under {self._headings} headers: a separator inside a text?"


class _Radio(NamedTuple):
    output_hz: int | None
    input_hz: int | None
    input_given: bool
    shift: Shift | None


_Doubted = tuple[Doubt, str]
_PLACE_FIELDS = (Field.LATITUDE, Field.LONGITUDE, Field.PLACE, Field.LOCATOR)


def _misread(said: dict[Field, str], station: Station, radio: _Radio) -> Iterator[_Doubted]:
    """Cells that hold something, and nothing could be made of it."""
    made = (
        (Field.OUTPUT, radio.output_hz, Doubt.FREQUENCY, "no frequency"),
        (Field.INPUT, radio.input_hz, Doubt.FREQUENCY, "no frequency"),
        (Field.SHIFT, radio.shift, Doubt.FREQUENCY, "no shift"),
        (Field.HEIGHT, station.height_m, Doubt.HEIGHT, "no clear height: write it as 1200 m"),
    )
    for field, value, doubt, words in made:
        if said[field] and value is None:
            yield doubt, f"{field.value} {said[field][:20]!r} is {words}"


def _misplaced(place: Placed) -> Iterator[_Doubted]:
    if place.position is None:
        yield Doubt.UNPLACED, place.why_not
    elif place.why_not:
        yield Doubt.PLACE, f"{place.why_not}; the next best was taken"
    if place.disagreement:
        yield Doubt.PLACES_DISAGREE, place.disagreement


def _audited(station: Station, radio: _Radio) -> Iterator[_Doubted]:
    said = Said(radio.shift.hz if radio.shift else None, radio.input_given)
    yield from ((Doubt.SHIFT, why) for why in shift_doubts(station, said))
    yield from ((Doubt.FREQUENCY, why) for why in frequency_doubts(station))
    yield from ((Doubt.TONE, why) for why in tone_doubts(station))


def _signed(text: str) -> str:
    """A shift that stands under the header of an input: no frequency has a sign."""
    return text if text[:1] in {"+", "-", "\N{MINUS SIGN}"} else ""


def _shifted(output: int | None, shift: Shift | None) -> int | None:
    """A sign alone says nothing of how far."""
    return None if output is None or shift is None or shift.hz is None else output + shift.hz


def _height_m(text: str, unit_m: float | None) -> float | None:
    found = _HEIGHT.fullmatch(text.strip())
    if not found or _THOUSANDS_OR_DECIMALS.search(text):  # 1.200 may be a summit's height or a garden's
        return None
    worth = {"m": 1.0, "": unit_m or 1.0}.get((found[2] or "").lower(), FOOT_M)
    metres = float(found[1].replace(",", ".")) * worth
    return metres if LOWEST_M <= metres <= HIGHEST_M else None

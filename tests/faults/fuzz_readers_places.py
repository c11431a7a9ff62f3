"""Readers of places that somebody types, pastes or hears: notations, grids, locators, what is read back."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from functools import cache, partial
from typing import Any

from core.beam import End, beam_sheet
from core.fix import Position
from core.heard_position import MOST as MOST_READINGS
from core.heard_position import HeardReading, resolve_heard
from core.places.angles import parse_degrees
from core.places.found import HIGHEST_M, Reading
from core.places.geo_uri import geo_uri, parse_geo_uri
from core.places.grid_text import parse_grid
from core.places.iso6709 import iso6709, parse_iso6709
from core.places.locator import Box, box, locator
from core.places.mgrs import GridSquare, mgrs, square
from core.places.notation import Notation, write
from core.places.reading import read
from core.position_report import Manner, Situation, SpokenForm, report
from core.read_back import ReadBack, check
from tests.faults.fuzz_readers_base import Reader, maybe_in, must, number_in, of_text, on_globe, within
from tests.faults.fuzz_readers_seeds import GRIDS, LOCATORS, MACHINE, PLACE_WORDS, PLACES, SPOKEN, SPOKEN_WORDS, encoded
from tests.faults.fuzzing import Target

HALF_ROUND_M = 20_100_000.0
"""From any point of the earth to any other, along the ground, rounded up."""
FINE_DEG = 1e-8
SPOT = Position(10 + 30.074 / 60, -(20 + 15.26 / 60))
"""Open ocean, invented."""


def _reading(one: Reading) -> None:
    on_globe(one.position)
    number_in(one.radius_m, 0.0, HALF_ROUND_M, "a radius")
    maybe_in(one.ellipsoidal_height_m, -HIGHEST_M, HIGHEST_M, "a height")
    must(one.explanation.isprintable(), "an explanation that a terminal might obey")


def _readings(found: Any, _: str) -> None:
    must(len(found) <= 40, f"{len(found)} readings of one place")
    for one in found:
        _reading(one)


def _same(found: Reading | None, wanted: Position, slack_deg: float = FINE_DEG) -> None:
    must(found is not None, f"what was written of {wanted!r} is not read")
    if found is not None:
        east = (found.position.longitude_deg - wanted.longitude_deg + 180.0) % 360.0 - 180.0
        north = found.position.latitude_deg - wanted.latitude_deg
        must(abs(north) <= slack_deg and abs(east) <= slack_deg, f"{wanted!r} came back as {found.position!r}")


def _place(found: tuple[Reading, ...], text: str) -> None:
    must(found, "no reading, and no refusal")
    _readings(found, text)
    for notation in Notation:
        again = read(" ".join(write(found[0].position, notation, 9)))
        must(len(again) == 1, f"{found[0].position!r} as {notation.value} can mean {len(again)} places")
        _same(again[0], found[0].position)


def _geo(found: Reading, _: str) -> None:
    _reading(found)
    _same(parse_geo_uri(geo_uri(found.position, found.ellipsoidal_height_m, 9)), found.position)


def _iso(found: Reading, _: str) -> None:
    _reading(found)
    _same(parse_iso6709(iso6709(found.position, found.ellipsoidal_height_m, 9)), found.position)


def _box(found: Box, text: str) -> None:
    on_globe(found.centre)
    must(locator(found.centre, len(text)).lower() == text.lower(), f"{text!r} came back as another locator")


def _square(found: GridSquare, _: str) -> None:
    centre = found.centre
    on_globe(centre)
    if found.size_m < 100_000:
        digits = 5 - round(math.log10(found.size_m))
        again = square(mgrs(centre, digits))
        # A square across an edge of its zone or band has its middle in the one beside it.
        must(again is not None and again.size_m == found.size_m, "a square's middle is in no square of its size")


def _heard(found: list[HeardReading], _: str) -> None:
    must(0 < len(found) <= MOST_READINGS, f"{len(found)} readings")
    for one in found:
        on_globe(one.position)
        number_in(one.oddness, 1.0, 1000.0, "oddness")
        maybe_in(one.distance_m, 0.0, HALF_ROUND_M, "a distance")
        must(one.how.isprintable(), "words that a terminal might obey")


@cache
def _forms() -> tuple[SpokenForm, ...]:
    return report(Situation(SPOT, 7.0), Manner()).forms


def _read_back(found: ReadBack, _: str) -> None:
    maybe_in(found.off_m, 0.0, HALF_ROUND_M, "a distance")
    must(all(slip.words for slip in found.slips), "a slip without words")


def _beam(text: str) -> Any:
    start, _, end = text.partition("|")
    here, there = (End("x", one.position, one.radius_m) for one in (read(start)[0], read(end)[0]))
    return beam_sheet(here, there, datetime(2031, 5, 4, 12, tzinfo=UTC))


def _sheet(found: Any, _: str) -> None:
    number_in(found.contest_km, 0.0, HALF_ROUND_M / 1000, "contest kilometres")
    maybe_in(found.uncertainty_deg, 0.0, 180.0, "an uncertainty")
    for path in (found.short, found.long):
        if path is not None:
            number_in(path.distance_m, 0.0, 2 * HALF_ROUND_M, "a distance")
            number_in(path.bearings.true_deg, 0.0, 360.0, "a bearing")


READERS: dict[str, Reader] = {
    "locator": Reader(of_text(box, _box, ValueError), encoded(*LOCATORS), encoded("RR", "99", "xx", "SS", "yy")),
    "geo_uri": Reader(of_text(parse_geo_uri, _geo), encoded(*MACHINE[:2], "geo:-0.0,-180"), PLACE_WORDS),
    "iso6709": Reader(
        of_text(parse_iso6709, _iso), encoded(*MACHINE[2:], "-00-180/", "+895959.99+1795959.99"), PLACE_WORDS
    ),
    "read_back": Reader(
        of_text(lambda text: check(_forms(), text), _read_back), encoded(*SPOKEN), (*SPOKEN_WORDS, *PLACE_WORDS)
    ),
    "angles": Reader(
        of_text(lambda text: parse_degrees(text[:200].lower()) or None, _readings), encoded(*PLACES), PLACE_WORDS
    ),
    "place": Reader(of_text(read, _place), encoded(*PLACES, *MACHINE, *LOCATORS, *GRIDS[:3]), PLACE_WORDS),
    "grid": Reader(
        of_text(lambda text: parse_grid(text[:200].lower()) or None, _readings), encoded(*GRIDS), PLACE_WORDS
    ),
    "mgrs": Reader(of_text(square, _square), encoded(*GRIDS[1:4], *GRIDS[6:]), PLACE_WORDS),
    "heard": Reader(of_text(resolve_heard, _heard), encoded(*SPOKEN), (*SPOKEN_WORDS, *PLACE_WORDS)),
    "beam": Reader(
        of_text(_beam, _sheet), encoded("10 N 20 W|HK90", "90 0|-90 0", "0 0|0 180", "0 0|0 0"), PLACE_WORDS
    ),
}
"""The cheapest first."""


TARGETS = {f"text-{name}": Target(partial(within, one), partial(tuple, one.seeds)) for name, one in READERS.items()}

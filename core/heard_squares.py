"""Grid references and locators as they may have been misheard: letters that sound alike, digits, halves exchanged."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from core.fix import Position
from core.heard_numbers import ALIKE
from core.places.locator import box
from core.places.mgrs import square
from core.report_speech import Heard, Sort

Slip = tuple[Position, str, float]
SOUNDS = ("BCDEGPTVZ", "MN", "FSX", "AHJK", "IY", "QUW")
"""Letters that sound alike without the spelling alphabet (common practice, no source)."""
_GRID = re.compile(r"(\d{1,2}[A-Z]|[ABYZ])([A-Z]{2})(\d{2,11})", re.ASCII)
_LOCATOR = re.compile(r"[A-Z]{2}\d{2}(?:[A-Z]{2}(?:\d{2})?)?", re.ASCII)
_FORM = (Sort.NUMBER, Sort.LETTERS, Sort.HEMISPHERE)


def square_slips(taken: Heard) -> Iterator[Slip]:
    """Every plausible reading as a grid reference or a locator; nothing where it is neither."""
    text = "".join(piece.text for piece in taken.pieces if piece.sort in _FORM)
    if any(piece.sort is Sort.UNIT for piece in taken.pieces):
        return
    grid = _GRID.fullmatch(text)
    if grid:
        zone, letters, figures = grid.groups()
        yield from _kept(_grid_variants(zone, letters, figures), _grid_place)
    elif _LOCATOR.fullmatch(text):
        yield from _kept(_locator_variants(text), _locator_place)


def _kept(variants: Iterator[tuple[str, str, float]], place: Callable[[str], Position | None]) -> Iterator[Slip]:
    for text, how, oddness in variants:
        found = place(text)
        if found is not None:
            yield found, f"{text}: {how}" if how else "", oddness


def _grid_place(text: str) -> Position | None:
    found = square(text)
    return found.centre if found else None


def _locator_place(text: str) -> Position | None:
    try:
        return box(text).centre
    except ValueError:
        return None


def _grid_variants(zone: str, letters: str, figures: str) -> Iterator[tuple[str, str, float]]:
    """Of an odd number of figures one was dropped or doubled."""
    begin = zone + letters
    yield begin + figures, "", 1.0
    if len(figures) % 2:
        yield from ((begin + one, how, odd) for one, how, odd in _evened(figures))
        return
    half = len(figures) // 2
    yield begin + figures[half:] + figures[:half], "easting and northing swapped", 2.0
    yield from ((one + figures, how, odd) for one, how, odd in _letters(begin))
    yield from ((begin + one, how, odd) for one, how, odd in _digits(figures))


def _evened(figures: str) -> Iterator[tuple[str, str, float]]:
    for n in range(len(figures) + 1):
        for new in "0123456789":
            doubled = new in figures[max(0, n - 1) : n + 1]
            yield figures[:n] + new + figures[n:], "a digit dropped", 2.0 if doubled else 3.0
    for n, old in enumerate(figures):
        doubled = old in figures[max(0, n - 1) : n] + figures[n + 1 : n + 2]
        yield figures[:n] + figures[n + 1 :], "a digit too many", 2.0 if doubled else 3.0


def _locator_variants(text: str) -> Iterator[tuple[str, str, float]]:
    yield text, "", 1.0
    yield from _letters(text)
    yield from _digits(text)
    swapped = "".join(text[n + 1] + text[n] for n in range(0, len(text), 2))
    yield swapped, "latitude and longitude swapped", 3.0


def _letters(text: str) -> Iterator[tuple[str, str, float]]:
    for n, old in enumerate(text):
        for new in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if old.isalpha() else "":
            alike = any(old in group and new in group for group in SOUNDS)
            if new != old:
                how = "letters that sound alike" if alike else "a letter misheard"
                yield text[:n] + new + text[n + 1 :], how, 2.0 if alike else 5.0
    for n in range(len(text) - 1):
        if text[n].isalpha() and text[n + 1].isalpha() and text[n] != text[n + 1]:
            yield text[:n] + text[n + 1] + text[n] + text[n + 2 :], "letters exchanged", 3.0


def _digits(text: str) -> Iterator[tuple[str, str, float]]:
    for n, old in enumerate(text):
        for new in "0123456789" if old.isdigit() else "":
            alike = frozenset((old, new)) in ALIKE
            if new != old:
                how = "digits that sound alike" if alike else "a digit misheard"
                yield text[:n] + new + text[n + 1 :], how, 2.0 if alike else 6.0
    for n in range(len(text) - 1):
        if text[n].isdigit() and text[n + 1].isdigit() and text[n] != text[n + 1]:
            yield text[:n] + text[n + 1] + text[n] + text[n + 2 :], "digits exchanged", 3.0

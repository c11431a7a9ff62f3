"""Exports are written as they are read: memory stays what it is, however long the recording."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator

import pytest

from core.export_plan import Every, Format
from core.export_points import ExportPoint, LeftOut
from core.export_thinning import WINDOW, simplified, spaced
from core.exporting import WRITERS
from core.fix import Fix, FixMode, Position, Utc
from core.formats.track_text import About
from core.samples import earth_centred

POINTS = 40_000
LIMIT_BYTES = 3_000_000
"""The spool may hold a million before it goes to the disk."""


def _points() -> Iterator[ExportPoint]:
    """Eleven hours in one segment, straight north."""
    for number in range(POINTS):
        place = Position(10.0 + number * 1e-4, -20.0)
        fix = Fix(Utc(number * 1000, None), place, FixMode.AUTONOMOUS, 3, 12.5, 30.0)
        yield ExportPoint(place, fix, float(number), earth_centred(place), number == 0)


def _peak_bytes(pieces: Iterator[object]) -> int:
    tracemalloc.start()
    try:
        for _ in pieces:
            pass
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("to", list(WRITERS))
def test_a_long_segment_is_written_without_being_held(to: Format) -> None:
    written = sum(map(len, WRITERS[to](_points(), About("long"))))
    assert written > 15 * POINTS
    assert _peak_bytes(WRITERS[to](_points(), About("long"))) < LIMIT_BYTES


def test_thinning_holds_a_window_at_most() -> None:
    assert sum(1 for _ in simplified(_points(), 5.0, LeftOut())) == 1 + -(-(POINTS - 1) // (WINDOW - 1))
    assert _peak_bytes(simplified(_points(), 5.0, LeftOut())) < LIMIT_BYTES
    assert _peak_bytes(spaced(_points(), Every(seconds=1e6), LeftOut())) < LIMIT_BYTES


def test_a_format_without_a_need_to_wait_writes_at_once() -> None:
    taken = 0

    def counted() -> Iterator[ExportPoint]:
        nonlocal taken
        for point in _points():
            taken += 1
            yield point

    for to in (Format.GPX, Format.CSV):
        taken = 0
        pieces = WRITERS[to](counted(), About("long"))
        for _ in range(10):
            next(pieces)
        assert 0 < taken <= 10

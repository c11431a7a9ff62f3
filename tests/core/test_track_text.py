"""Figures and times as the formats write them, beside the standard library's own way of writing a moment."""

from __future__ import annotations

from datetime import date

from hypothesis import example, given
from hypothesis import strategies as st

from core.fix import Utc
from core.formats.track_text import decimal, moment, repeated


@given(st.dates(), st.integers(0, 86_400_999))
@example(date(2031, 5, 4), 86_400_500)
@example(date(2031, 12, 31), 86_399_999)
@example(date.max, 86_400_000)
@example(date(1, 1, 1), 0)
def test_a_moment_is_written_as_the_standard_library_writes_it(day: date, time_ms: int) -> None:
    utc = Utc(time_ms, day)
    when = utc.datetime()
    expected = f"{when.replace(tzinfo=None).isoformat(timespec='milliseconds')}Z" if when else ""
    assert moment(utc) == expected


def test_without_a_day_there_is_no_moment() -> None:
    assert moment(None) == moment(Utc(0, None)) == ""


@given(st.none() | st.floats() | st.integers(-10, 10), st.integers(0, 4))
def test_a_figure_that_comes_again_is_written_as_it_was(value: float | None, places: int) -> None:
    assert repeated(value, places) == decimal(value, places) == repeated(value, places)

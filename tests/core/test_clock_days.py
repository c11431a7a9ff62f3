"""Dates of the two clocks at the edges of the calendar; and the words for a latency."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from core.clock_guards import compare_days
from core.fix import Utc
from core.gps_time import next_rollover
from core.latency import Basis, Latency

NOON = Utc(43_200_000, date(2031, 5, 4))
"""An invented day."""


def test_a_computer_whose_clock_is_beyond_the_calendar_has_no_date() -> None:
    """A battery that is dead, or a clock set in other units: milliseconds for seconds lead to the year 63,000."""
    beyond_s = datetime(2031, 5, 4, 12, 0, tzinfo=UTC).timestamp() * 1000
    found = compare_days(NOON, beyond_s, 0.0, recorded=False)
    assert not found.sure
    assert "none that a calendar has" in f"{found.note} {found.guard}"


@pytest.mark.parametrize("recorded", [False, True])
def test_without_a_date_from_the_receiver_nothing_is_sure(recorded: bool) -> None:
    found = compare_days(NOON._replace(day=None), 1_935_662_400.0, 0.0, recorded=recorded)
    assert (found.apart, found.day, found.sure) == (0, None, False)


def test_the_last_rollovers_of_the_calendar() -> None:
    """1,024 weeks each from 1980-01-06 on (IS-GPS-200, the ten-bit week); the calendar ends with the year 9999."""
    turn = timedelta(weeks=1024)
    last = datetime(1980, 1, 6, tzinfo=UTC)
    while last <= datetime.max.replace(tzinfo=UTC) - turn:
        last += turn
    before = next_rollover(last.date() - timedelta(days=1))
    assert before is not None
    assert abs(before.utc - last) < timedelta(minutes=2)
    assert next_rollover(last.date()) is None
    assert next_rollover(date.max) is None


@pytest.mark.parametrize(
    ("latency", "words"),
    [
        (Latency(0.05, 0.6, Basis.ASSUMED), "0.05 to 0.60 s, assumed (common practice), not measured"),
        (Latency(0.2, 0.3, Basis.STATED), "0.20 to 0.30 s, as you stated it"),
        (Latency(0.1, 0.125, Basis.LEARNED, "2031-05-04"), "0.10 to 0.12 s, learned with this receiver on 2031-05-04"),
    ],
)
def test_a_latency_says_how_good_it_is(latency: Latency, words: str) -> None:
    assert latency.words == words
    assert latency.low_s <= latency.middle_s <= latency.high_s

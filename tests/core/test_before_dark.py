"""The countdown to the latest turn.

Worked by hand. On the equator the sun sinks at right angles: 6 degrees below the horizon it is 24 min after its centre
set, 6 h 24 min after noon. On 20 March 2025 noon at 0 degrees is at 12:07:28 (equation of time -7 min 28 s, from
memory), so civil twilight ends at 18:31:28. A way back of 1 h 36 min, times 1.25, is 2 h; with a margin of 30 min the
latest turn is 16:01:28.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.before_dark import LAST_WORD, Countdown, Reserve, countdown
from core.errors import InputError
from core.fix import Position
from core.pace import Estimate, time_back

EQUATOR = Position(0.0, 0.0)
NOON = datetime(2025, 3, 20, 12, tzinfo=UTC)
DUSK = datetime(2025, 3, 20, 18, 31, 28, tzinfo=UTC)
BACK = Estimate(5760.0, "invented", ("Pace: invented.",))
"""1 h 36 min."""
MOMENT = timedelta(seconds=20)
"""To which the equation of time is known by heart."""


def test_worked_by_hand() -> None:
    found = countdown(EQUATOR, NOON, BACK)
    assert found.deadline is not None
    assert found.latest_turn is not None
    assert abs(found.deadline - DUSK) < MOMENT
    assert found.deadline - found.latest_turn == timedelta(hours=2, minutes=30)
    assert found.seconds_left == (found.latest_turn - NOON).total_seconds()
    assert found.seconds_left == pytest.approx(4 * 3600 + 88, abs=20)
    assert (found.time_back, found.why_none) == (BACK, "")


def test_each_assumption_is_said_and_the_last_says_who_decides() -> None:
    assert countdown(EQUATOR, NOON, BACK).assumptions == (
        "Pace: invented.",
        "Factor: the time back of 1 h 36 min is taken 1.25 times.",
        "Margin: back 30 min before that.",
        "Light: civil twilight ends at 18:31 UTC, over a level and open horizon; in a valley or under trees it is dark "
        "up to an hour earlier.",
        LAST_WORD,
    )
    assert "Terrain, weather and company decide" in LAST_WORD


@pytest.mark.parametrize(("at", "left_s"), [((15, 46, 28), 900), ((16, 11, 28), -600), ((23, 0, 0), -25_112)])
def test_overdue_is_negative(at: tuple[int, int, int], left_s: float) -> None:
    """By hand from 16:01:28."""
    now = NOON.replace(hour=at[0], minute=at[1], second=at[2])
    assert countdown(EQUATOR, now, BACK).seconds_left == pytest.approx(left_s, abs=20)


@pytest.mark.parametrize(
    ("reserve", "minutes"), [(Reserve(1.0, 0.0), 96), (Reserve(2.0, 0.0), 192), (Reserve(1.5, 60), 204)]
)
def test_factor_and_margin(reserve: Reserve, minutes: float) -> None:
    """96 min once, twice, and one and a half times and an hour."""
    found = countdown(EQUATOR, NOON, BACK, reserve)
    assert found.deadline is not None
    assert found.latest_turn is not None
    assert found.deadline - found.latest_turn == timedelta(minutes=minutes)


@pytest.mark.parametrize("factor", [0.99, 2.01, math.nan, math.inf])
def test_a_factor_out_of_range_is_refused(factor: float) -> None:
    with pytest.raises(InputError, match=r"1\.0 to 2\.0"):
        Reserve(factor)


@pytest.mark.parametrize("margin_min", [-1.0, 601.0, math.nan])
def test_a_margin_out_of_range_is_refused(margin_min: float) -> None:
    with pytest.raises(InputError, match="0 to 600"):
        Reserve(margin_min=margin_min)


def none(found: Countdown) -> str:
    """Why there is no figure, after checking that there is none, and that it is said."""
    assert (found.deadline, found.latest_turn, found.seconds_left) == (None, None, None)
    assert found.assumptions == (*BACK.assumptions, LAST_WORD)
    return found.why_none


@pytest.mark.parametrize(
    ("latitude", "month", "words"),
    [
        (80.0, 6, "Civil twilight lasts all night: it does not get dark."),
        (64.0, 6, "Civil twilight lasts all night: it does not get dark."),
        (85.0, 12, "There is no civil twilight on this day: it is dark all day."),
        (-85.0, 12, "Civil twilight lasts all night: it does not get dark."),
    ],
)
def test_polar_day_and_night_in_words(latitude: float, month: int, words: str) -> None:
    """At the solstice the sun is at least 90 - 23.4 - latitude below, or above, the horizon; twilight needs 6."""
    assert none(countdown(Position(latitude, 0.0), datetime(2025, month, 21, 12, tzinfo=UTC), BACK)) == words


def test_no_date_no_place_and_no_calendar_in_words() -> None:
    assert "date is not known" in none(countdown(EQUATOR, None, BACK))
    assert "Where this is" in none(countdown(Position(math.nan, 0.0), NOON, BACK))
    for year in (1, 1899, 2101, 9999):
        assert "is the date right?" in none(countdown(EQUATOR, NOON.replace(year=year), BACK))
    with pytest.raises(ValueError, match="zone"):
        countdown(EQUATOR, NOON.replace(tzinfo=None), BACK)


def test_after_midnight_the_next_evening_is_no_deadline() -> None:
    """Dawn at the equator is 24 min before 6 h before noon: 05:43."""
    assert none(countdown(EQUATOR, NOON.replace(hour=3), BACK)) == "It is dark; civil twilight begins at 05:43 UTC."
    assert countdown(EQUATOR, NOON.replace(hour=6), BACK).deadline is not None


def test_the_day_is_that_of_the_place_and_any_zone_will_do() -> None:
    """On the other side of the Earth noon is at 00:07 UTC and the light ends on the same UTC day at 06:31."""
    now = datetime(2025, 3, 20, 23, tzinfo=UTC)
    found = countdown(Position(0.0, 179.9), now, BACK)
    assert found.deadline is not None
    assert abs(found.deadline - datetime(2025, 3, 21, 6, 31, 34, tzinfo=UTC)) < timedelta(minutes=1)
    assert countdown(Position(0.0, 179.9), now.astimezone(timezone(timedelta(hours=5))), BACK) == found


def test_a_way_back_longer_than_the_calendar_is_no_obstacle() -> None:
    found = countdown(EQUATOR, NOON, BACK._replace(seconds=1e15))
    assert found.latest_turn == datetime.min.replace(tzinfo=UTC)


METRES = st.floats(0, 1e5)
RESERVES = st.builds(Reserve, st.floats(1.0, 2.0), st.floats(0, 500))


def turn(way: tuple[float, float, float], reserve: Reserve) -> datetime:
    found = countdown(EQUATOR, NOON, time_back(*way), reserve)
    assert found.latest_turn is not None
    return found.latest_turn


@settings(max_examples=25, deadline=None)
@given(st.tuples(METRES, METRES, METRES), st.tuples(METRES, METRES, METRES), RESERVES)
def test_walking_on_makes_it_no_later_and_more_margin_makes_it_earlier(
    way: tuple[float, float, float], more: tuple[float, float, float], reserve: Reserve
) -> None:
    now = turn(way, reserve)
    assert turn((way[0] + more[0], way[1] + more[1], way[2] + more[2]), reserve) <= now + timedelta(microseconds=2)
    earlier = Reserve(reserve.factor, reserve.margin_min + 1.0)
    assert abs(now - turn(way, earlier) - timedelta(minutes=1)) <= timedelta(microseconds=2)
    assert turn(way, Reserve(2.0, reserve.margin_min)) <= now


@settings(max_examples=10, deadline=None)
@given(st.floats(0, 60_000), st.floats(0, 3000))
def test_time_passes_by_itself(at_s: float, step_s: float) -> None:
    """The latest turn stands while one rests; only what is left of it falls."""
    first, second = (
        countdown(EQUATOR, NOON - timedelta(hours=5) + timedelta(seconds=s), BACK) for s in (at_s, at_s + step_s)
    )
    if first.latest_turn is not None and second.latest_turn is not None and first.seconds_left is not None:
        assert first.latest_turn == second.latest_turn
        assert second.seconds_left == pytest.approx(first.seconds_left - step_s, abs=1e-5)

"""Time on foot against the rules as published, and what must hold whatever the figures are."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.descent import Descent
from core.errors import InputError
from core.pace import (
    BEST_OVER_FLAT,
    FASTEST_MPS,
    KMH,
    SLOWEST_MPS,
    Pace,
    in_hours,
    naismith_s,
    own_pace,
    time_back,
    tobler_mps,
    tobler_s,
)  # fmt: skip

MIN, HOUR = 60.0, 3600.0
MILE_M, FOOT_M = 1609.344, 0.3048
"""By definition."""

# The rules as published


@pytest.mark.parametrize(
    ("distance_m", "ascent_m", "hours"),
    [(5000, 0, 1.0), (0, 600, 1.0), (5000, 600, 2.0), (12_000, 300, 2.9), (0, 0, 0.0)],
)
def test_naismith(distance_m: float, ascent_m: float, hours: float) -> None:
    """1 h per 5 km and 1 h per 600 m (trade-facts.md f, S42); sums by hand."""
    assert naismith_s(distance_m, ascent_m) == pytest.approx(hours * HOUR)


def test_naismiths_own_day() -> None:
    """Ten miles and 6,300 feet took him six and a half hours (1892, from memory). His rule was in miles and feet: 3 of
    the one and 2,000 of the other are 3.4 % less than 5 km and 1.6 % more than 600 m."""
    assert naismith_s(10 * MILE_M, 6300 * FOOT_M) == pytest.approx(6.5 * HOUR, rel=0.02)


@pytest.mark.parametrize(
    ("descent", "minutes"),
    [(Descent(gentle_m=300), -10), (Descent(steep_m=300), 10), (Descent(easy_m=300), 0), (Descent(50, 600, 150), -15)],
)
def test_langmuir(descent: Descent, minutes: float) -> None:
    """-10 min per 300 m on 5 to 12 degrees, +10 min on steeper (trade-facts.md f, S42); the last by hand: -20 + 5."""
    assert naismith_s(5000, 0, descent) - HOUR == pytest.approx(minutes * MIN)


@pytest.mark.parametrize(("slope", "kmh"), [(0.0, 5.04), (-0.05, 6.0), (0.10, 3.55), (0.20, 2.50)])
def test_tobler(slope: float, kmh: float) -> None:
    """From memory (trade-facts.md f); to the digits given there."""
    assert tobler_mps(slope) / KMH == pytest.approx(kmh, abs=0.005)
    assert all(tobler_mps(other) <= 6.0 * KMH for other in (-1.0, -0.06, -0.05, -0.04, 1.0))


def test_tobler_over_a_way() -> None:
    """3 km of which two thirds of 300 m go up: 2 km at +10 % (3.549 km/h) and 1 km at -10 % (5.037), by hand."""
    assert tobler_s(3000, 200, 100) == pytest.approx((2 / 3.5493 + 1 / 5.0367) * HOUR, rel=1e-4)
    assert tobler_s(0, 0, 0) == 0.0
    assert tobler_s(5037, 0, 0) == pytest.approx(HOUR, rel=1e-3)


# Own pace


def test_the_own_pace_has_the_climb_taken_out() -> None:
    """8 km and 600 m up in 3 h: 1 h of it is climb, so 4 km/h on the flat."""
    found = own_pace(8000, 3 * HOUR, 600, 0)
    assert found is not None
    assert found.flat_mps == pytest.approx(4 * KMH)
    assert found.how == "your own over 8.0 km in 3 h 00 min of moving, the climb taken out by the rule"
    assert time_back(8000, 0, 0, found).seconds == pytest.approx(2 * HOUR)


def test_an_own_pace_without_heights_is_the_plain_mean() -> None:
    found = own_pace(8000, 2 * HOUR, None, None)
    assert found is not None
    assert found.flat_mps == pytest.approx(4 * KMH)
    assert found.how == "your own over 8.0 km in 2 h 00 min of moving"


@pytest.mark.parametrize(
    ("distance_m", "moving_s", "ascent_m", "kmh"),
    [(6000, HOUR, 600, 8.0), (3000, HOUR, 900, 6.0), (20_000, HOUR, 0, 8.0), (1000, 10 * HOUR, 0, 1.0)],
)
def test_an_own_pace_is_one_of_walking(distance_m: float, moving_s: float, ascent_m: float, kmh: float) -> None:
    """The climb takes half of the time at most: the second walked 3 km in half an hour by that."""
    found = own_pace(distance_m, moving_s, ascent_m, 0)
    assert found is not None
    assert found.flat_mps == pytest.approx(kmh * KMH)


@pytest.mark.parametrize(
    ("distance_m", "moving_s"),
    [(999, HOUR), (5000, 899), (0, 0), (math.nan, HOUR), (5000, math.nan), (math.inf, HOUR), (5000, math.inf), (-1, 1)],
)
def test_too_little_tells_no_pace(distance_m: float, moving_s: float) -> None:
    assert own_pace(distance_m, moving_s, 0, 0) is None


# The way back


def test_what_it_was_made_from_is_said() -> None:
    """Tobler by hand: slopes of 600 m in 9 km; 2.25 km up at 3.989 km/h and 6.75 km down at 5.660 make 1.757 h."""
    found = time_back(9000, 150, 450, own_pace(9000, 2.25 * HOUR, 450, 150))
    assert found.basis == "9.0 km, 150 m up, 450 m down, your own pace"
    assert found.assumptions == (
        "Pace: 6.0 km/h on the flat, your own over 9.0 km in 2 h 15 min of moving, the climb taken out by the rule; "
        "stops are not counted.",
        "Climb: 1 h for each 600 m up (Naismith), 150 m make 15 min.",
        "Descent: how steep is not known, so the 10 min for each 300 m (Langmuir) less on 5 to 12 degrees are not "
        "counted.",
        "For comparison, Tobler's function on a path: 1 h 45 min.",
    )
    assert found.seconds == pytest.approx(1.75 * HOUR)


def test_what_is_not_known_is_said_too() -> None:
    """5 km by the rule, and nothing else."""
    for unknown in (None, math.nan, -5.0):
        assert time_back(5000, unknown, unknown).seconds == pytest.approx(HOUR)
    climb, descent = time_back(5000, None, None).assumptions[1:3]
    assert climb == "Climb: not known, so not counted; any climb on the way back takes longer."
    assert descent == "Descent: not known, so not counted."
    assert "by Naismith's rule for paths" in time_back(5000, None, None).assumptions[0]


def test_a_descent_that_must_be_steep_takes_longer() -> None:
    """12 degrees hold 212.6 m in 1 km (tan 12 = 0.21256); of 512.6 m 300 are steeper: 12 min and 10 min."""
    found = time_back(1000, 0, 512.56)
    assert found.seconds == pytest.approx(22 * MIN, abs=1.0)
    assert "more on the 300 m at least that are steeper" in found.assumptions[2]


def test_a_gentle_descent_whose_slopes_are_known_is_quicker_but_no_wonder() -> None:
    """10 km less 300 m at 5 to 12 degrees: 110 min. 2 km with 400 m: 10.7 min by the rule, 20.1 at Tobler's best."""
    found = time_back(10_000, 0, Descent(gentle_m=300))
    assert found.seconds == pytest.approx(110 * MIN)
    assert "less on 300 m at 5 to 12 degrees, more on 0 m steeper" in found.assumptions[2]
    assert time_back(2000, 0, Descent(gentle_m=400)).seconds == pytest.approx(24 * MIN / BEST_OVER_FLAT)


@pytest.mark.parametrize("distance_m", [math.nan, math.inf, -1.0])
def test_a_distance_that_is_none_is_refused(distance_m: float) -> None:
    with pytest.raises(InputError, match="not known"):
        time_back(distance_m, 0, 0)


METRES = st.floats(0, 1e8)
DESCENTS = st.builds(Descent, METRES, METRES, METRES)
PACES = st.one_of(st.none(), st.builds(Pace, st.floats(SLOWEST_MPS, FASTEST_MPS), st.just("invented")))


@given(st.tuples(METRES, METRES, METRES), PACES, st.tuples(METRES, METRES, METRES))
def test_a_longer_way_never_takes_less(
    way: tuple[float, float, float], own: Pace | None, more: tuple[float, float, float]
) -> None:
    """Whatever is added, so the latest turn gets no later by walking on. (Rounding: to a part in a billion.)"""
    longer = (min(1e8, way[0] + more[0]), min(1e8, way[1] + more[1]), min(1e8, way[2] + more[2]))
    before, after = time_back(*way, own).seconds, time_back(*longer, own).seconds
    assert after >= before * (1 - 1e-9)


@given(st.floats(0, 1e7), st.tuples(st.floats(0, 1e4), st.floats(0, 45)), PACES, DESCENTS)
def test_nor_does_one_slope_more(
    distance_m: float, section: tuple[float, float], own: Pace | None, descent: Descent
) -> None:
    length_m, slope_deg = section
    rise_m = length_m * math.tan(math.radians(slope_deg))
    number = (slope_deg >= 5) + (slope_deg > 12)
    more = Descent(*(metres + (rise_m if n == number else 0.0) for n, metres in enumerate(descent)))
    before = time_back(distance_m, 0, descent, own).seconds
    assert time_back(distance_m + length_m, 0, more, own).seconds >= before * (1 - 1e-9) - 1e-6


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0 min"), (3569, "59 min"), (3570, "1 h 00 min"), (3900, "1 h 05 min")]
)
def test_hours_in_words(seconds: float, text: str) -> None:
    assert in_hours(seconds) == text


# Slopes of a track

"""Dates carried over midnight, year end and leap seconds, never backwards; and dates that cannot be right."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.dates import BUILT_ON, FIRST_HONEST_DAY, MARGIN_DAYS, ROLLOVER_DAYS, corrected_day, is_too_early
from tests.build import gga, rmc, zda
from tests.played import NOON, fixes, only
from tests.tables import DATA

LAST_SECOND = 86_399


def test_a_date_is_carried_over_midnight_and_year_end() -> None:
    found = fixes(rmc(LAST_SECOND, "311231"), *[gga(second) for second in (LAST_SECOND + 0.5, 0, 0.5, 1)])
    assert [fix.utc.iso() for fix in found if fix.utc] == [
        "2031-12-31T23:59:59.000Z",
        "2031-12-31T23:59:59.500Z",
        "2032-01-01T00:00:00.000Z",
        "2032-01-01T00:00:00.500Z",
        "2032-01-01T00:00:01.000Z",
    ]


def test_a_date_is_carried_into_a_leap_day() -> None:
    found = fixes(rmc(LAST_SECOND, "280232"), gga(0))
    assert [fix.utc.day for fix in found if fix.utc] == [date(2032, 2, 28), date(2032, 2, 29)]


def test_a_small_step_back_carries_the_same_date() -> None:
    found = fixes(rmc(NOON + 5, "040531"), gga(NOON + 1))
    assert [fix.utc.day for fix in found if fix.utc] == [date(2031, 5, 4)] * 2


def test_a_date_is_never_carried_backwards() -> None:
    found = fixes(gga(NOON), gga(NOON + 1), rmc(NOON + 2), gga(NOON + 3))
    assert [fix.utc.day for fix in found if fix.utc] == [None, None, date(2031, 5, 4), date(2031, 5, 4)]


def test_a_date_from_zda_alone() -> None:
    found = fixes(gga(NOON), zda(NOON), gga(NOON + 1), gga(NOON + 2), zda(NOON + 2, "05,05,2031"))
    days = [fix.utc.day for fix in found if fix.utc]
    assert days == [date(2031, 5, 4), date(2031, 5, 4), date(2031, 5, 5)]


def test_four_digits_of_the_year_go_before_two() -> None:
    fix = only(rmc(NOON, "040531"), zda(NOON, "04,05,2131"))
    assert fix.utc is not None
    assert fix.utc.day == date(2131, 5, 4)


def test_the_date_that_stands_for_none_is_none() -> None:
    fix = only(rmc(NOON, "000000"))
    assert fix.utc is not None
    assert fix.utc.iso() == "T12:00:00.000Z"


def test_the_end_of_all_dates_does_not_raise() -> None:
    found = fixes(zda(LAST_SECOND, "31,12,9999"), gga(LAST_SECOND), gga(0))
    assert [fix.utc.day for fix in found if fix.utc] == [date(9999, 12, 31), None]


def test_a_leap_second_is_an_epoch_of_its_own() -> None:
    found = fixes(rmc(LAST_SECOND, "301231"), rmc(86_400, "301231"), gga(86_400), rmc(0, "311231"))
    assert [fix.utc.iso() for fix in found if fix.utc] == [
        "2031-12-30T23:59:59.000Z",
        "2031-12-30T23:59:60.000Z",
        "2031-12-31T00:00:00.000Z",
    ]
    assert [fix.utc.time_ms for fix in found if fix.utc] == [86_399_000, 86_400_000, 0]


# Rollovers: receivers that show a date 1024 weeks too early, or none at all yet.

GPS_TIME = json.loads((DATA / "gps_time.json").read_text("utf-8"))
MISSED = [(date.fromisoformat(right), date.fromisoformat(shown)) for right, shown in GPS_TIME["one_rollover_missed"]]
TODAY = date(2031, 5, 4)
WEEKS_1024 = timedelta(weeks=1024)
MARGIN = timedelta(days=MARGIN_DAYS)


def test_a_rollover_is_1024_weeks() -> None:
    assert ROLLOVER_DAYS == GPS_TIME["rollover_days"] == WEEKS_1024.days
    rollovers = [date.fromisoformat(day) for day in GPS_TIME["rollovers"]]
    assert rollovers == [date(1980, 1, 6) + n * WEEKS_1024 for n in (1, 2, 3)]
    assert rollovers[0] == FIRST_HONEST_DAY


@pytest.mark.parametrize(("right", "shown"), MISSED)
def test_a_missed_rollover_is_known_and_mended(right: date, shown: date) -> None:
    assert is_too_early(shown, right)
    assert not is_too_early(right, right)
    assert corrected_day(shown, right) == right
    assert corrected_day(right, right) is None


@pytest.mark.parametrize(("right", "shown"), MISSED)
def test_two_missed_rollovers_are_mended_too(right: date, shown: date) -> None:
    assert corrected_day(shown - WEEKS_1024, right) == right


@pytest.mark.parametrize("days", [-MARGIN_DAYS, -1, 0, 1, MARGIN_DAYS])
def test_the_reference_need_only_be_near(days: int) -> None:
    assert corrected_day(TODAY - WEEKS_1024, TODAY + timedelta(days=days)) == TODAY


@pytest.mark.parametrize("days", [-MARGIN_DAYS - 1, MARGIN_DAYS + 1, 365, -365, 3584])
def test_a_date_wrong_in_another_way_is_not_mended(days: int) -> None:
    assert corrected_day(TODAY - WEEKS_1024, TODAY + timedelta(days=days)) is None


@given(st.dates(date(1980, 1, 1), date(2090, 1, 1)), st.dates(date(1999, 1, 1), date(2090, 1, 1)))
def test_a_date_is_moved_forward_by_whole_rollovers_to_near_the_reference_or_not_at_all(
    day: date, reference: date
) -> None:
    moved = corrected_day(day, reference)
    if moved is not None:
        assert moved > day
        assert (moved - day).days % ROLLOVER_DAYS == 0
        assert abs((moved - reference).days) <= MARGIN_DAYS
        assert moved.weekday() == day.weekday()
    else:
        nearest = round((reference - day) / WEEKS_1024)
        assert nearest < 1 or abs(day + nearest * WEEKS_1024 - reference) > MARGIN


def test_a_date_in_the_future_is_never_moved_back() -> None:
    """Nobody can know: the computer's own clock may have stopped."""
    for later in (TODAY + timedelta(days=1), TODAY + WEEKS_1024, TODAY + 2 * WEEKS_1024, date.max):
        assert corrected_day(later, TODAY) is None
        assert not is_too_early(later, TODAY)


@pytest.mark.parametrize("day", [date(1980, 1, 5), date(1980, 1, 6), date(1980, 2, 29), date(1999, 8, 21)])
def test_the_dates_that_receivers_start_with_are_too_early_for_anything(day: date) -> None:
    assert is_too_early(day, None)
    assert is_too_early(day, TODAY)


def test_too_early_begins_beyond_the_margin() -> None:
    assert not is_too_early(TODAY - MARGIN, TODAY)
    assert is_too_early(TODAY - MARGIN - timedelta(days=1), TODAY)
    assert not is_too_early(FIRST_HONEST_DAY, None)
    assert is_too_early(FIRST_HONEST_DAY - timedelta(days=1), None)


def test_the_program_is_younger_than_the_last_rollover() -> None:
    assert date(2019, 4, 7) < BUILT_ON

"""Dates carried over midnight, year end and leap seconds, and never backwards."""

from __future__ import annotations

from datetime import date

from tests.build import gga, rmc, zda
from tests.played import NOON, fixes, only

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

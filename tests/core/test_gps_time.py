"""GPS week, time of week and leap seconds against tables from outside (tests/data/gps_weeks.json, leap_seconds.csv)."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest

from core.gps_time import GPS_EPOCH, LEAP_SECONDS, WEEK_S, ahead_of_utc_s, gps_time, next_rollover
from tests.tables import DATA, rows

PUBLISHED = json.loads((DATA / "gps_weeks.json").read_text("utf-8"))


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize("example", PUBLISHED["examples"], ids=lambda example: example[0])
def test_the_published_examples_are_met_exactly(example: tuple[str, int, int, float, int]) -> None:
    utc, week, week_sent, tow_s, ahead_s = example
    at = moment(utc)
    found = gps_time(at.date(), at.hour * 3600 + at.minute * 60 + at.second)
    assert found is not None
    assert (found.week, found.week_sent, found.tow_s, found.ahead_of_utc_s) == (week, week_sent, tow_s, ahead_s)


def test_the_table_of_leap_seconds_is_the_published_one() -> None:
    published = [
        (date.fromisoformat(row["effective_utc_date"]), int(row["gps_minus_utc_s"]))
        for row in rows("leap_seconds.csv")
        if row["gps_minus_utc_s"]
    ]
    assert published[0] == (date(1980, 1, 1), 0)  # GPS time began five days later
    assert LEAP_SECONDS[0] == (GPS_EPOCH.date(), 0)
    assert list(LEAP_SECONDS[1:]) == published[1:]


def test_tai_less_gps_is_19_seconds_all_the_time() -> None:
    assert {
        int(row["tai_minus_utc_s"]) - int(row["gps_minus_utc_s"])
        for row in rows("leap_seconds.csv")
        if row["gps_minus_utc_s"]
    } == {PUBLISHED["tai_minus_gps_s"]}


@pytest.mark.parametrize(("day", "ahead_s"), LEAP_SECONDS[1:])
def test_each_leap_second_counts_from_its_midnight_on(day: date, ahead_s: int) -> None:
    assert ahead_of_utc_s(day) == ahead_s
    assert ahead_of_utc_s(day - timedelta(days=1)) == ahead_s - 1


@pytest.mark.parametrize(("day", "_"), LEAP_SECONDS[1:])
def test_gps_time_goes_on_by_one_through_a_leap_second(day: date, _: int) -> None:
    before = day - timedelta(days=1)
    counted = [gps_time(before, 86_399), gps_time(before, 86_400), gps_time(day, 0)]
    total = [one.week * WEEK_S + one.tow_s for one in counted if one]
    assert [b - a for a, b in pairwise(total)] == [1.0, 1.0]


def test_before_there_was_gps_time_there_is_none() -> None:
    assert gps_time(date(1980, 1, 5), 86_399) is None
    assert ahead_of_utc_s(date(1, 1, 1)) is None


@pytest.mark.parametrize(("week", "utc"), PUBLISHED["rollovers"])
def test_the_next_rollover_is_the_published_one(week: int, utc: str) -> None:
    at = moment(utc)
    assert next_rollover(at.date() - timedelta(days=1000)) == (week, at)
    assert next_rollover(at.date()) == (week, at)
    after = next_rollover(at.date() + timedelta(days=1))
    assert after is not None
    assert after.week == week + 1024

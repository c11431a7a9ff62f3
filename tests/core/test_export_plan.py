"""What the words of the command line mean, and what part of a recording a pair of times is."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from core.errors import UsageError
from core.export_plan import Bound, Every, Format, Plan, every, metres, only, since, until
from core.export_window import Window
from core.fix import Fix, FixMode, Position, Utc
from core.trust import Verdict

DAY = date(2031, 5, 4)
HOUR_MS = 3_600_000


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("10s", Every(seconds=10.0)), ("2min", Every(seconds=120.0)), ("1h", Every(seconds=3600.0)),
        ("25m", Every(metres=25.0)), ("1.5km", Every(metres=1500.0)), (" 0.5 s", Every(seconds=0.5)),
        ("5 miles", Every(metres=8046.72)), ("100ft", Every(metres=30.48)), ("2 NM", Every(metres=3704.0)),
    ],
)  # fmt: skip
def test_a_distance_between_points_is_one_of_time_or_of_way(text: str, wanted: Every) -> None:
    assert every(text) == wanted


@pytest.mark.parametrize(
    "text", ["", "10", "s", "-5s", "0m", "0.0s", "1e3s", "nan s", "inf m", "5 leagues", "0 ft", "٣s", "5s5m", "0.001mm"]
)
def test_what_is_no_amount_says_what_one_looks_like(text: str) -> None:
    with pytest.raises(UsageError, match="write"):
        every(text)


def test_a_time_is_no_distance() -> None:
    assert metres("200m") == 200.0
    assert metres("500 ft") == 152.4
    assert metres("0.5nm") == 926.0
    with pytest.raises(UsageError, match="no distance"):
        metres("10s")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("14:32", Bound(52_320_000, None)), ("T14:32:05.25Z", Bound(52_325_250, None)),
        ("9:00", Bound(32_400_000, None)),
        ("2031-05-04", Bound(0, DAY)), ("2031-05-04T14:32", Bound(52_320_000, DAY)),
        ("2031-05-04 14:32:05Z", Bound(52_325_000, DAY)),
        ("2031-05-04T01:00+02:00", Bound(23 * HOUR_MS, date(2031, 5, 3))),
    ],
)  # fmt: skip
def test_a_time_is_utc_unless_it_says_otherwise(text: str, wanted: Bound) -> None:
    assert since(text) == wanted


def test_until_a_day_means_to_its_end() -> None:
    assert until("2031-05-04") == Bound(86_399_999, DAY)


@pytest.mark.parametrize(
    "text",
    [
        "", "noon", "25:00", "14:61", "2031-13-01", "2031-02-30T10:00", "٢٠٣١-05-04", "0001-01-01T00:00+23:00", "14",
        "2031",
    ],
)  # fmt: skip
def test_what_is_no_time_says_what_one_looks_like(text: str) -> None:
    with pytest.raises(UsageError, match="write 14:32"):
        since(text)


def test_only_two_verdicts_can_be_chosen_by() -> None:
    assert (only("usable"), only("firm")) == (Verdict.USABLE, Verdict.FIRM)
    with pytest.raises(UsageError, match="usable or firm"):
        only("doubtful")


def test_sentences_cannot_be_simplified() -> None:
    with pytest.raises(UsageError, match="measurements"):
        Plan(Format.NMEA, simplify_m=5.0)


def test_an_end_before_its_beginning_is_refused_where_both_have_a_date() -> None:
    with pytest.raises(UsageError, match="before --since"):
        Plan(Format.GPX, since=since("2031-05-05"), until=until("2031-05-04"))


def _fix(hours: float, *, dated: bool = True, fixed: bool = True) -> Fix:
    """So many hours after the midnight before 4 May 2031."""
    days, time_ms = divmod(round(hours * HOUR_MS), 24 * HOUR_MS)
    utc = Utc(time_ms, DAY + timedelta(days=days) if dated else None)
    return Fix(utc, Position(1.0, 2.0) if fixed else None, FixMode.AUTONOMOUS if fixed else FixMode.NONE, told=True)


def _held(window: Window, hours: list[float], *, dated: bool) -> list[float]:
    return [hour for hour in hours if window.holds(_fix(hour, dated=dated))]


@pytest.mark.parametrize("dated", [True, False])
@pytest.mark.parametrize(
    ("hours", "since_", "until_", "wanted"),
    [
        ((10, 14), "11:00", "13:00", [11, 12, 13]),
        ((22, 27), "23:00", "01:00", [23, 24, 25]),
        ((22, 27), "01:00", None, [25, 26, 27]),
        ((22, 27), None, "01:00", [22, 23, 24, 25]),
        ((10, 13), "09:00", None, [10, 11, 12, 13]),
        ((10, 13), None, "09:00", [10, 11, 12, 13]),
        ((10, 13), "15:00", None, []),
        ((10, 38), "20:00", "19:00", [*range(20, 39)]),
        ((10, 60), None, "09:00", [*range(10, 34)]),
    ],
)
def test_times_of_day_are_of_the_day_that_the_recording_makes_of_them(
    hours: tuple[int, int], since_: str | None, until_: str | None, wanted: list[float], *, dated: bool
) -> None:
    window = Window(since(since_) if since_ else None, until(until_) if until_ else None)
    assert _held(window, [float(hour) for hour in range(hours[0], hours[1] + 1)], dated=dated) == wanted


@pytest.mark.parametrize(
    ("since_", "until_", "wanted"),
    [
        ("2031-05-04T23:00", "2031-05-05T01:00", [23, 24, 25]),
        ("2031-05-05", None, [24, 25, 26, 27]),
        (None, "2031-05-04", [22, 23]),
        ("2031-05-04T23:00", "01:00", [23, 24, 25]),
        ("2031-05-04T23:00", "23:30", [23]),
        ("2031-05-06", None, []),
    ],
)
def test_with_a_date_the_dates_of_the_recording_decide(
    since_: str | None, until_: str | None, wanted: list[int]
) -> None:
    window = Window(since(since_) if since_ else None, until(until_) if until_ else None)
    assert _held(window, [22.0, 23.0, 24.0, 25.0, 26.0, 27.0], dated=True) == wanted


def test_an_epoch_without_a_date_lies_in_no_part_that_is_asked_for_with_one() -> None:
    assert not Window(since("2031-05-04"), None).holds(_fix(12, dated=False))
    assert not Window(None, until("2031-05-04")).holds(_fix(12, dated=False))


def test_a_clock_that_is_set_before_the_first_fix_changes_nothing() -> None:
    window = Window(since("14:00"), until("15:00"))
    assert not window.holds(_fix(0.0, dated=False, fixed=False))
    assert [hour for hour in (13.0, 14.5, 16.0) if window.holds(_fix(hour))] == [14.5]


def test_without_bounds_everything_is_in_it_even_without_a_time() -> None:
    assert Window(None, None).holds(Fix())
    assert not Window(since("10:00"), None).holds(Fix())

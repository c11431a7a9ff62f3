"""What speaks against a receiver's second: leap seconds, dates, local time in recordings; and what stays certain."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from core.clock import ClockMeter, ClockSetup
from core.clock_guards import ColdStart, Days, compare_days, leap_guard, zone_guard
from core.clock_report import NO_CLOCK, ClockReport, SlotVerdict, judge
from core.clock_samples import Delay, DelayWindow
from core.fix import NO_FIX, Fix, FixMode, Position, Utc
from core.model import FixModel
from core.nmea.tagging import tag_block
from tests.build import gga, line, rmc
from tests.station import Station, watch

FIX = Fix(utc=Utc(0, None), position=Position(10.5, -20.25), mode=FixMode.AUTONOMOUS, told=True)
VOID = FIX._replace(position=None, mode=FixMode.NONE)
TODAY = datetime(2031, 5, 4, 12, tzinfo=UTC)
NOON_MS = 43_200_000


# Cold starts


def started(*fixes: Fix) -> ColdStart:
    start = ColdStart()
    for n, fix in enumerate(fixes):
        start.take(fix, float(n))
    return start


def test_a_beginning_without_a_fix_is_a_start_and_one_with_a_fix_is_none() -> None:
    assert started(VOID, FIX).seen
    assert started(NO_FIX._replace(told=True), FIX).seen
    assert not started(FIX, FIX).seen


def test_a_fix_that_is_lost_is_no_start_but_a_time_that_is_lost_is_one() -> None:
    assert not started(FIX, VOID, FIX).seen
    restarted = started(FIX, FIX, VOID._replace(utc=None), FIX)
    assert restarted.seen
    assert restarted.left_s(3.0) == 780.0


@pytest.mark.parametrize(("waited_s", "stands"), [(0.0, True), (779.0, True), (780.0, False), (5000.0, False)])
def test_it_counts_for_13_minutes_from_the_first_fix(waited_s: float, stands: bool) -> None:
    guard = leap_guard(started(VOID, FIX), 1.0 + waited_s, (2.0, 2.5))
    assert (guard is not None) == stands


@pytest.mark.parametrize(("bounds", "withholds"), [
    ((-0.2, 0.3), None), ((0.0, 0.3), None), ((0.1, 0.4), True), ((-7000.0, -6999.5), True), (None, True),
])  # fmt: skip
def test_after_a_start_only_clocks_that_agree_are_believed(
    bounds: tuple[float, float] | None, withholds: bool | None
) -> None:
    guard = leap_guard(started(VOID, FIX), 10.0, bounds)
    assert (guard.withholds if guard else None) == withholds


@pytest.mark.parametrize(("bounds", "doubted"), [
    ((1.8, 2.3), True), ((-3.2, -2.8), True), ((0.7, 1.2), True),
    ((2.2, 2.7), False), ((8.8, 9.2), False), ((0.1, 0.4), False),
])  # fmt: skip
def test_without_a_start_whole_seconds_are_a_doubt_that_withholds_nothing(
    bounds: tuple[float, float], doubted: bool
) -> None:
    guard = leap_guard(started(FIX), 10.0, bounds)
    assert (guard is not None) == doubted
    assert not (guard and guard.withholds)


# Dates


def days(day: date | None, computer: datetime = TODAY, *, recorded: bool = False, offset_s: float = 0.0) -> Days:
    return compare_days(Utc(NOON_MS, day), computer.timestamp() + offset_s, offset_s, recorded=recorded)


def test_the_same_day_is_no_news() -> None:
    assert days(TODAY.date())[:4] == (0, TODAY.date(), "", None)


@pytest.mark.parametrize("weeks", [1024, 2048])
def test_a_date_that_is_whole_rollovers_early_is_mended_said_and_moves_nothing(weeks: int) -> None:
    early = TODAY.date() - timedelta(weeks=weeks)
    found = days(early)
    assert (found.apart, found.day, found.guard) == (0, TODAY.date(), None)
    assert f"corrected from {early} by {weeks} weeks" in found.note


@pytest.mark.parametrize("day", [date(1980, 1, 6), date(2020, 1, 1), date(2050, 12, 24)])
def test_a_date_that_nothing_mends_withholds_the_offset(day: date) -> None:
    found = days(day)
    assert found.apart == 0
    assert found.guard is not None
    assert found.guard.withholds
    assert not found.sure


def test_without_a_date_the_time_of_day_is_compared_and_that_is_said() -> None:
    found = days(None)
    assert (found.apart, found.guard, found.sure) == (0, None, False)
    assert "time of day alone" in found.note


def test_a_computer_that_has_lost_its_date_is_told_how_many_days() -> None:
    found = days(TODAY.date(), datetime(2010, 1, 1, 12, tzinfo=UTC))
    assert (found.apart, found.guard) == ((date(2010, 1, 1) - TODAY.date()).days, None)


@pytest.mark.parametrize("offset_s", [-43_000.0, -2.0, 2.0, 43_000.0])
def test_an_offset_over_midnight_is_no_day(offset_s: float) -> None:
    assert days(TODAY.date(), offset_s=offset_s).apart == 0


def test_a_recording_of_any_age_is_measured_by_its_own_times() -> None:
    then = datetime(2014, 8, 1, 12, tzinfo=UTC)
    assert days(then.date(), then, recorded=True)[:4] == (0, then.date(), "", None)


@pytest.mark.parametrize(("offset_s", "words"), [
    (7200.2, "+2 h"), (-19_800.0, "-5.5 h"), (0.3, ""), (100.0, ""), (2700.0, ""),
])  # fmt: skip
def test_local_time_in_a_recording_is_recognised(offset_s: float, words: str) -> None:
    guard = zone_guard(offset_s)
    assert (words in guard.words) if guard and words else guard is None


# Recordings with times


def recorded(offset_ms: int, seconds: int = 80, step_ms: int = 1) -> ClockReport:
    model = FixModel()
    model.clock = ClockMeter(ClockSetup())
    for n in range(seconds):
        unix_ms = (int(TODAY.timestamp()) + n) * 1000 + offset_ms + 217
        stamp = tag_block(unix_ms // step_ms * step_ms)
        model.feed(stamp + line(rmc(43_200 + n)) + stamp + line(gga(43_200 + n)), 0.0)
    return model.clock.report()


@pytest.mark.parametrize("offset_ms", [-500, 0, 900])
@pytest.mark.parametrize("step_ms", [1, 10, 1000])
def test_of_a_recording_with_times_the_offset_of_then_is_bounded_however_coarse_they_are(
    offset_ms: int, step_ms: int
) -> None:
    found = recorded(offset_ms, step_ms=step_ms)
    assert found.low_s is not None
    assert found.high_s is not None
    assert found.low_s <= offset_ms / 1000 <= found.high_s
    assert found.recorded
    assert not found.settable


def test_a_recording_in_local_time_makes_no_claim() -> None:
    found = recorded(7_200_000)
    assert (found.low_s, found.verdict) == (None, SlotVerdict.UNKNOWN)
    assert "local time" in found.reasons[0]


def test_a_recording_without_times_says_so() -> None:
    model = FixModel()
    model.clock = ClockMeter(ClockSetup())
    for n in range(5):
        model.feed(line(rmc(n)), 0.0)
    assert "no times of arrival" in model.clock.report().reasons[0]


def test_simulated_and_void_seconds_do_not_count() -> None:
    for body in (lambda second: [rmc(second, more="S")], lambda second: [rmc(second, status="V", more="N")]):
        found = watch(Station(bodies=body), 10).last
        assert found.epochs == 0


# The verdict and the filter by themselves


@pytest.mark.parametrize(("low_s", "high_s", "verdict"), [
    (-0.3, 0.3, "yes"), (-1.0, 1.0, "yes"), (-1.01, 0.2, "unknown"), (0.2, 1.01, "unknown"),
    (1.01, 2.0, "no"), (-9.0, -1.01, "no"), (None, -1.01, "no"), (None, 0.0, "unknown"), (None, None, "unknown"),
])  # fmt: skip
def test_good_only_if_all_of_it_is_and_bad_only_if_none_is(
    low_s: float | None, high_s: float | None, verdict: str
) -> None:
    assert judge(low_s, high_s, ())[0] == verdict


def test_the_json_has_the_contract_s_keys_and_null_for_what_is_unknown() -> None:
    found = NO_CLOCK.as_json()
    wanted = {"offset_s", "low_s", "high_s", "latency_assumed_s", "epochs", "verdict"}
    assert wanted <= set(found)
    assert (found["offset_s"], found["epochs"], found["verdict"]) == (None, 0, "unknown")


def test_a_fall_and_a_lasting_rise_begin_anew_a_spike_does_not() -> None:
    window = DelayWindow()

    def add(at_s: float, delay_s: float) -> float | None:
        return window.add(Delay(at_s, delay_s, delay_s, 100, 0.5))

    assert [add(n, 0.2) for n in range(30)] == [None] * 30
    assert add(30, 3.0) is None
    assert add(31, 0.2) is None
    assert add(32, -1.8) == pytest.approx(-2.0)
    assert len(window) == 1
    steps = [add(33 + n, -1.8 if n < 20 else 0.2) for n in range(60)]
    (step_s,) = [one for one in steps if one is not None]
    assert step_s == pytest.approx(2.0)
    assert window.bounds().most_s == pytest.approx(0.2)


def filled(
    *, size: int = 100, pause_s: float = 0.5, step: int = 1, growth: float = 0.0, uneven: int = 0
) -> DelayWindow:
    """Eighty seconds of samples of which one thing is wrong."""
    window = DelayWindow()
    for n in range(0, 80, step):
        late = 0.1 if n % 7 == 0 and n < 7 * uneven else 0.0
        delay_s = 0.2 + growth * n
        window.add(Delay(n + delay_s + late, delay_s, delay_s, size, pause_s))
    return window


def test_a_quiet_line_is_no_trouble() -> None:
    assert filled().trouble(9600) == ""
    assert filled(uneven=1).trouble(9600) == ""
    assert filled(growth=0.0005).trouble(9600) == ""


@pytest.mark.parametrize(("size", "words"), [(900, ""), (920, "fill 96 %"), (960, "fill 100 %"), (1100, "")])
def test_a_full_line_is_one_and_a_speed_that_is_only_a_name_is_none(size: int, words: str) -> None:
    trouble = filled(size=size).trouble(9600)
    assert (words in trouble) if words else trouble == ""
    assert filled(size=size).trouble(None) == ""


def test_a_line_that_never_rests_seconds_that_are_lost_and_delays_that_grow_are_trouble() -> None:
    assert "never rests" in filled(pause_s=0.01).trouble(None)
    assert "uneven steps" in filled(uneven=9).trouble(None)
    assert "grow" in filled(growth=0.002).trouble(None)

"""The simulated receiver over time: starts, time and date, losses, corrections, movement, interference."""

from __future__ import annotations

import dataclasses
import statistics
from datetime import date, timedelta
from itertools import pairwise

import pytest

from core.dates import ROLLOVER_DAYS
from core.fix import FixMode
from core.rehearsal.look import Surroundings
from core.rehearsal.receiver import Epoch, Truth
from core.rehearsal.tracking import Start
from tests.rehearsed import COLD, HOT, ROUND, TRUTH, Script, during, error_m, first_fix_s, run, still

SEEDS = range(6)
WARM = dataclasses.replace(COLD, start=Start.WARM)
GPS = still("G" * 12, ROUND)


def modes(epochs: list[Epoch]) -> list[FixMode]:
    """Each once, in the order of their first coming."""
    return list(dict.fromkeys(one.mode for one in epochs))


def moving(speed: float, course: float) -> Truth:
    return TRUTH._replace(speed_mps=speed, course_deg=course)


def under(surroundings: Surroundings) -> Script:
    return lambda _: TRUTH._replace(surroundings=surroundings)


# Starts


@pytest.mark.parametrize("seed", SEEDS)
def test_starts_take_the_documented_times(seed: int) -> None:
    """Open sky: cold 25 to 60 s, warm up to 45 s, hot 1 s on modern chips (trade-facts.md a, time to first fix)."""
    cold, warm, hot = (first_fix_s(run(config, 70, seed=seed)) for config in (COLD, WARM, HOT))
    assert 30 <= cold <= 60
    assert 18 <= warm <= min(45, cold)
    assert hot <= 3


def test_a_cold_receiver_learns_the_time_then_the_date_then_the_place() -> None:
    epochs = run(COLD, 60)
    time = next(k for k, one in enumerate(epochs) if one.utc)
    day = next(k for k, one in enumerate(epochs) if one.utc and one.utc.day)
    assert 12 <= time < 30 <= day <= first_fix_s(epochs)
    assert epochs[time].utc == ((12 * 3600 + time) * 1000, None)
    assert epochs[day].utc == ((12 * 3600 + day) * 1000, date(2031, 5, 4))
    assert all(one.mode is FixMode.NONE and one.hdop is None and not one.used for one in epochs[:day])


def test_a_warm_receiver_knows_the_date_from_the_start() -> None:
    first = run(WARM, 1)[0]
    assert first.utc == (43_200_000, date(2031, 5, 4))
    assert not first.valid


def test_a_cold_receiver_lists_what_it_tracks_without_directions_until_it_knows_them() -> None:
    epochs = run(COLD, 60)
    assert epochs[0].seen == ()
    early, late = epochs[15].seen, epochs[-1].seen
    assert early
    assert all(one.cno_dbhz is not None and one.elevation_deg is None for one in early)
    assert all(one.elevation_deg is not None for one in late if one.name in epochs[-1].used)
    assert all(one.azimuth_deg is not None for one in run(WARM, 1)[0].seen)


def test_weak_signals_are_tracked_and_never_give_a_first_position() -> None:
    """25 to 27 dB-Hz: above what is found, below what can be read."""
    weak = dataclasses.replace(COLD, antenna_db=17.5)
    level = still("G" * 8, [(45.0 * number, 40.0) for number in range(8)])
    epochs = run(weak, 400, sky=level)
    assert any(one.cno_dbhz for epoch in epochs for one in epoch.seen)
    assert not any(one.valid for one in epochs)
    assert first_fix_s(run(dataclasses.replace(weak, start=Start.HOT), 60, sky=level)) < 60


@pytest.mark.parametrize(("every_s", "ever"), [(25, False), (60, True)])
def test_a_cold_start_needs_thirty_seconds_without_a_gap(every_s: int, ever: bool) -> None:
    """One second of nothing, again and again: as when walking under trees."""

    def script(seconds: float) -> Truth:
        return TRUTH._replace(events=frozenset({"outage"} if seconds % every_s == every_s - 1 else ()))

    gaps = run(COLD, 300, script, sky=GPS)
    assert any(one.valid for one in gaps) is ever


def test_trees_make_a_cold_start_while_walking_slower() -> None:
    wood = Surroundings(canopy_db=14.0)
    still_s = statistics.fmean(first_fix_s(run(COLD, 60, seed=seed)) for seed in range(4))
    walk = [run(COLD, 300, lambda _: moving(1.3, 0.0)._replace(surroundings=wood), seed=seed) for seed in range(4)]
    assert statistics.median(map(first_fix_s, walk)) > still_s + 10


# Losses


def test_an_outage_is_void_and_ends_within_seconds() -> None:
    epochs = run(HOT, 120, during("outage", 30, 60))
    assert all(one.valid for one in epochs[5:30])
    assert not any(one.valid or any(sat.cno_dbhz for sat in one.seen) for one in epochs[30:60])
    assert all(one.utc and one.utc.day for one in epochs[30:60])
    assert first_fix_s(epochs[60:]) <= 5


def test_interference_lowers_all_signals_together_and_passes() -> None:
    epochs = run(HOT, 130, during("interference", 30, 80), sky=GPS)

    def strengths(epoch: Epoch) -> dict[str, int]:
        return {one.name: one.cno_dbhz for one in epoch.seen if one.cno_dbhz is not None}

    before, amid, after = (strengths(epochs[second]) for second in (29, 60, 129))
    falls = [before[name] - amid[name] for name in amid]
    assert len(amid) >= 4
    assert statistics.median(falls) == pytest.approx(HOT.interference_db, abs=1.5)
    assert max(falls) - min(falls) <= 6
    assert statistics.fmean(after.values()) == pytest.approx(statistics.fmean(before.values()), abs=1.5)
    worst = max(error_m(one) for one in epochs[40:80] if one.valid)
    assert worst > max(error_m(one) for one in epochs[10:30])


# Corrections


def test_sbas_comes_after_it_is_read_and_goes_when_it_grows_old() -> None:
    epochs = run(HOT, 260, during("sbas_off", 100, 1e9))
    assert modes(epochs[5:]) == [FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL]
    assert epochs[15].mode is FixMode.AUTONOMOUS
    assert {one.mode for one in epochs[40:160]} == {FixMode.DIFFERENTIAL}
    assert epochs[130].correction_age_s == pytest.approx(31.0)
    assert epochs[130].correction_station is None
    assert {one.mode for one in epochs[165:]} == {FixMode.AUTONOMOUS}
    assert epochs[-1].correction_age_s is None


def test_without_sbas_it_stays_autonomous() -> None:
    epochs = run(dataclasses.replace(HOT, sbas=False), 60)
    assert modes(epochs[5:]) == [FixMode.AUTONOMOUS]
    assert not any(one.name.startswith("S") for one in epochs[-1].seen)


def test_rtk_floats_then_is_fixed_to_centimetres_and_ends() -> None:
    config = dataclasses.replace(HOT, sbas=False)
    epochs = run(config, 300, during("rtk", 30, 150))
    assert modes(epochs[5:160]) == [FixMode.AUTONOMOUS, FixMode.RTK_FLOAT, FixMode.RTK_FIXED]
    assert epochs[33].mode is FixMode.AUTONOMOUS
    assert epochs[60].mode is FixMode.RTK_FLOAT
    assert (epochs[100].mode, epochs[100].correction_station) == (FixMode.RTK_FIXED, "0101")
    assert max(map(error_m, epochs[110:150])) < 0.05
    assert modes(epochs[150:]) == [FixMode.RTK_FIXED, FixMode.RTK_FLOAT, FixMode.AUTONOMOUS]


def test_rtk_begins_anew_after_a_loss() -> None:
    def script(seconds: float) -> Truth:
        gap = {"outage"} if 120 <= seconds < 125 else set()
        return TRUTH._replace(events=frozenset({"rtk"} | gap))

    epochs = run(HOT, 200, script)
    assert epochs[119].mode is FixMode.RTK_FIXED
    assert modes(epochs[130:]) == [FixMode.RTK_FLOAT, FixMode.RTK_FIXED]


# Movement


def test_at_rest_the_course_is_left_out_and_the_speed_is_next_to_nothing() -> None:
    epochs = [one for one in run(HOT, 120) if one.valid]
    assert all(one.course_deg is None for one in epochs if (one.speed_mps or 0.0) < 0.1)
    assert sum(one.course_deg is None for one in epochs) > 0.95 * len(epochs)
    assert statistics.fmean(one.speed_mps or 0.0 for one in epochs) < 0.06


def test_walking_speed_and_course_are_those_of_the_walk() -> None:
    """95 % of courses within 8 degrees at 1.4 m/s (trade-facts.md b)."""
    epochs = [one for one in run(HOT, 300, lambda _: moving(1.4, 225.0)) if one.valid]
    assert statistics.fmean(one.speed_mps or 0.0 for one in epochs) == pytest.approx(1.4, abs=0.03)
    off = sorted(abs((one.course_deg or 0.0) - 225.0) for one in epochs)
    assert 0.1 < off[round(0.95 * len(off))] < 8.0


def test_the_speed_follows_a_stop_with_a_lag() -> None:
    epochs = run(HOT, 40, lambda seconds: moving(1.4 if seconds < 20 else 0.0, 90.0))
    speeds = [one.speed_mps or 0.0 for one in epochs[18:26]]
    assert speeds[1] > 1.2 > speeds[2] > 0.2
    assert speeds[-1] < 0.15


# Dates and rates


def test_a_rollover_shows_the_date_early_and_the_time_right() -> None:
    right = run(HOT, 3)[-1].utc
    event = run(HOT, 3, during("rollover", 0, 1e9))[-1].utc
    twice = run(dataclasses.replace(HOT, rollovers=2), 3)[-1].utc
    assert right is not None
    assert right.day is not None
    assert event == (right.time_ms, right.day - timedelta(days=ROLLOVER_DAYS))
    assert twice == (right.time_ms, right.day - timedelta(days=2 * ROLLOVER_DAYS))


def test_ten_a_second_take_as_long_and_wander_as_much_as_one() -> None:
    slow, fast = run(COLD, 90), run(COLD, 90, hz=10)
    assert first_fix_s(fast) / 10 == pytest.approx(first_fix_s(slow), abs=4)
    assert [one.utc.time_ms % 1000 for one in fast[-10:] if one.utc] == [100 * number for number in range(10)]
    steps = [error_m(one) for one in fast if one.valid]
    assert statistics.fmean(abs(b - a) for a, b in pairwise(steps)) < 0.1

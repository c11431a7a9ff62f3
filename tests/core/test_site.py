"""Averaging one spot: what counts and what does not, and that two places are never made one. All invented."""

from __future__ import annotations

import math
import threading
from itertools import pairwise

import pytest

from core import site_session
from core.averaging import SiteAverage, SiteSample, average
from core.fix import FixMode, Position
from core.places.geodesic import way
from core.site import BY_USER, SiteAverager, SiteReport, SiteState
from core.site_session import UNKNOWN_GAP_S, Counted, Session
from core.site_watch import LEAST_AWAY_M, LEAST_AWAY_RTK_M, reach
from tests.sites import DAY, ERROR_M, begun, fed, heard, stood
from tests.walks import ANYWHERE, OCEAN, Noise, Step, laid, noisy, straight

FEW = Noise(0.5, 30.0, 0.1)


def later(steps: list[Step], seconds: float) -> list[Step]:
    return [Step(step.at_s + seconds, step.place) for step in steps]


def points(report: SiteReport) -> list[tuple[float, float]]:
    return [(one.east_m, one.north_m) for one in report.samples.points[: report.samples.count]]


def farthest_m(report: SiteReport, place: Position) -> float:
    """Of the samples, from a place, by the geodesic and not by the averager's own plane."""
    assert report.origin
    line = way(report.origin, place)
    east, north = (line.distance_m * f(math.radians(line.initial_bearing_deg)) for f in (math.sin, math.cos))
    return max(math.dist(one, (east, north)) for one in points(report))


# What counts


def test_nothing_counts_before_the_start_and_after_the_end() -> None:
    site = fed(SiteAverager(), stood(60))
    assert site.report().state is SiteState.NONE
    assert site.report().samples.count == 0
    site.start()
    fed(site, later(stood(60), 100))
    assert site.stop()
    fed(site, later(stood(60), 200))
    assert site.report().samples.count == 60
    assert site.report().state is SiteState.ENDED
    assert not site.stop()


def test_a_start_while_one_is_under_way_changes_nothing() -> None:
    site = begun(stood(60))
    assert not site.start()
    site.pause()
    assert not site.start()
    assert site.report().samples.count == 60
    site.stop()
    assert site.start()
    assert site.report().samples.count == 0


def test_fixes_that_are_not_usable_do_not_count() -> None:
    site = begun(stood(40))
    fed(site, later(stood(30), 40), usable=False)
    fed(site, later(stood(30), 70), position=None)
    site.stop()
    report = site.report()
    assert (report.samples.count, report.skipped) == (40, 60)


@pytest.mark.parametrize("place", ANYWHERE)
def test_the_mean_lies_in_the_middle_of_its_fixes(place: Position) -> None:
    """Four corners ten metres from a place, again and again; near a pole and across the antimeridian too."""
    corners = [laid(place, bearing, 10.0) for bearing in (45, 225, 135, 315)]
    site = begun([Step(float(n), corners[n % 4]) for n in range(400)])
    site.stop()
    report = site.report()
    assert report.position
    assert way(place, report.position).distance_m < 0.01
    assert report.altitude_m == pytest.approx(20.0, abs=0.01)
    assert report.height_m == pytest.approx(50.0, abs=0.01)


def test_one_fix_a_second_counts_however_many_come() -> None:
    tenths = [Step(n / 10, OCEAN) for n in range(600)]
    site = begun(tenths)
    site.stop()
    assert site.report().samples.count == 60
    assert site.report().covered_s == pytest.approx(59.0, abs=0.5)


def test_a_fix_in_two_dimensions_has_no_height() -> None:
    site = SiteAverager()
    site.start()
    fed(site, stood(60), dimensions=2)
    site.stop()
    report = site.report()
    assert report.samples.count == 60
    assert all(one.up_m is None for one in report.samples.points)
    assert (report.altitude_m, report.height_m) == (None, None)


def test_a_height_without_the_geoid_s_is_none_above_the_ellipsoid() -> None:
    site = SiteAverager()
    site.start()
    fed(site, stood(60), geoid_separation_m=None)
    site.stop()
    assert site.report().altitude_m == pytest.approx(20.0, abs=0.2)
    assert site.report().height_m is None


def test_modes_are_counted_each() -> None:
    site = begun(stood(30))
    fed(site, later(stood(10), 30), mode=FixMode.DIFFERENTIAL)
    site.stop()
    assert site.report().modes == ((FixMode.AUTONOMOUS, 30), (FixMode.DIFFERENTIAL, 10))


# Gaps and pauses


def test_a_pause_and_a_loss_are_gaps_and_no_time_of_averaging() -> None:
    site = begun(stood(60))
    assert site.pause()
    assert site.report().why == BY_USER
    fed(site, later(stood(60), 60))
    assert site.report().samples.count == 60
    assert site.resume()
    assert not site.resume()
    fed(site, later(stood(60), 300))
    fed(site, later(stood(60), 460))
    site.stop()
    report = site.report()
    assert report.samples.count == 180
    assert report.gaps == 2
    assert report.gap_s == pytest.approx(241 + 101)
    assert report.covered_s == pytest.approx(3 * 59)
    assert [b.t_s - a.t_s for a, b in pairwise(report.samples.points) if b.t_s - a.t_s > 1.5] == [241.0, 101.0]


def test_a_clock_that_goes_back_leaves_a_gap_and_no_time_that_goes_back() -> None:
    site = begun(stood(60))
    for n, step in enumerate(stood(60)):
        site.take(heard(step), 100.0 + n, usable=True, error_95_m=ERROR_M)
    site.stop()
    report = site.report()
    times = [one.t_s for one in report.samples.points]
    assert times == sorted(set(times))
    assert report.samples.count == 120
    assert report.gaps == 1


@pytest.mark.parametrize(
    ("last", "now", "gap_s"),
    [
        (DAY, DAY, 3600.0 - 59.0),
        (None, DAY, UNKNOWN_GAP_S),
        (DAY, None, UNKNOWN_GAP_S),
        (DAY, DAY.replace(year=2051), UNKNOWN_GAP_S),
    ],
)
def test_the_gap_of_a_restart_is_as_long_as_the_dates_say_or_of_no_known_length(
    last: object, now: object, gap_s: float
) -> None:
    first = begun()
    first.keeps = True
    fed(first, stood(60))
    first.pause()
    kept = [one._replace(utc=one.utc._replace(day=last)) for one in first.fresh() if one.utc]  # type: ignore[arg-type]
    assert len(kept) == 60
    second = SiteAverager()
    second.restore(kept, SiteState.RUNNING)
    for step in later(stood(60), 3600):
        fix = heard(step)
        assert fix.utc
        at_s = step.at_s - 3590  # another run has another clock
        dated = fix._replace(utc=fix.utc._replace(day=now))  # type: ignore[arg-type]
        second.take(dated, at_s, usable=True, error_95_m=ERROR_M)
    second.stop()
    report = second.report()
    assert report.samples.count == 120
    assert report.gap_s == pytest.approx(gap_s)


# Moves


def test_a_receiver_that_is_carried_away_pauses_it_and_none_of_the_way_counts() -> None:
    site = begun(stood(300, noise=FEW))
    walk = later(noisy(straight(OCEAN, 60.0, 120), FEW, 3), 300)
    fed(site, walk, speed_mps=1.4)
    report = site.report()
    assert report.state is SiteState.PAUSED
    assert "carried" in report.why
    assert farthest_m(report, OCEAN) < 4.0
    fed(site, later(stood(60), 500))
    assert site.report().samples.count == report.samples.count, "the user decides whether it is the same spot"


def test_who_walks_off_at_once_leaves_nothing_behind() -> None:
    site = begun()
    fed(site, straight(OCEAN, 60.0, 30), speed_mps=1.4)
    assert site.report().state is SiteState.PAUSED
    assert site.report().samples.count == 0


def test_a_slow_move_without_any_speed_waits_and_does_not_smear() -> None:
    site = begun(stood(600))
    fed(site, later(noisy(straight(OCEAN, 60.0, 200, mps=0.4), FEW, 3), 600))
    report = site.report()
    assert report.state is SiteState.AWAY
    assert report.average
    allowed = reach(report.average, ERROR_M, FixMode.AUTONOMOUS)
    assert allowed
    assert farthest_m(report, OCEAN) < allowed + 0.4 * 25 + 3.0
    before = report.samples.count
    fed(site, later(stood(300, place=laid(OCEAN, 60.0, 80.0)), 900))
    site.stop()
    assert site.report().samples.count == before


def test_positions_that_jump_and_come_back_go_on_by_themselves() -> None:
    away = later(stood(120, seed=3, place=laid(OCEAN, 200.0, 60.0)), 600)
    site = begun(stood(600), away)
    assert site.report().state is SiteState.AWAY
    fed(site, later(stood(600, seed=4), 720))
    site.stop()
    report = site.report()
    assert 1200 - 25 <= report.samples.count <= 1200 + 25
    far = [one for one in points(report) if math.hypot(*one) > 30.0]
    assert len(far) <= 1, "of the jump at most the fix before it was noticed"
    assert report.gaps == 1


def test_a_jump_of_five_seconds_is_left_to_the_statistics() -> None:
    site = begun(stood(600), later(stood(5, place=laid(OCEAN, 200.0, 60.0)), 600), later(stood(300, seed=4), 605))
    site.stop()
    report = site.report()
    assert report.samples.count == 905
    assert report.gaps == 0
    assert report.average
    assert set(report.average.outliers) >= {600, 601, 602, 603, 604}


@pytest.mark.parametrize("noise", [Noise(2.9, 600.0, 0.3), Noise(2.9, 60.0, 0.3), Noise(2.0, 3600.0, 0.1)])
def test_wandering_is_no_move(noise: Noise) -> None:
    """As large as the stated 95 % error means: 2.9 m an axis. Two hours, twice, a fix every eight seconds."""
    for seed in range(2):
        site = begun(stood(7200, seed, noise)[::8])
        assert site.report().state is SiteState.RUNNING, seed
        site.stop()
        assert site.report().samples.count == 900


def test_small_errors_have_a_floor_by_mode_and_no_figures_no_reach() -> None:
    site = begun(stood(100, noise=Noise(0.005, 60.0, 0.002)))
    site.stop()
    known = site.report().average
    assert reach(known, 0.02, FixMode.AUTONOMOUS) == LEAST_AWAY_M
    assert reach(known, 0.02, FixMode.RTK_FIXED) == LEAST_AWAY_RTK_M[FixMode.RTK_FIXED]
    assert reach(known, 40.0, FixMode.AUTONOMOUS) == 80.0
    assert reach(known, None, FixMode.AUTONOMOUS) == 20.0
    assert reach(None, 7.0, FixMode.AUTONOMOUS) is None


def test_a_receiver_that_states_too_small_an_error_is_not_cut_to_it() -> None:
    """Five metres of slow drift, two stated: to leave that out would make the mean surer than it is."""
    drift = [Step(float(n), laid(OCEAN, 90.0, 5.0 * n / 1800)) for n in range(0, 1800, 5)]
    site = SiteAverager()
    site.start()
    for step in drift:
        site.take(heard(step), step.at_s, usable=True, error_95_m=2.0)
    site.stop()
    assert (site.report().samples.count, site.report().gaps) == (360, 0)


def test_a_fixed_ambiguity_that_moves_by_two_metres_is_noticed() -> None:
    site = SiteAverager()
    site.start()
    still, moved = (
        stood(120, noise=Noise(0.005, 60.0, 0.002)),
        stood(60, 2, Noise(0.005, 60.0, 0.002), laid(OCEAN, 5, 2)),
    )
    for step in (*still, *later(moved, 120)):
        site.take(heard(step, mode=FixMode.RTK_FIXED), step.at_s, usable=True, error_95_m=0.03)
    assert site.report().state is SiteState.AWAY


def test_another_datum_pauses_and_its_fixes_do_not_count() -> None:
    site = SiteAverager()
    site.start()
    fed(site, stood(60), datum="W84")
    fed(site, later(stood(60), 60), datum=None)
    fed(site, later(stood(60), 120), datum="W72")
    report = site.report()
    assert report.state is SiteState.PAUSED
    assert "from W84 to W72" in report.why
    assert report.samples.count == 120
    site.resume()
    fed(site, later(stood(60), 200), datum="W72")
    assert site.report().samples.count == 120


# Bounds and threads


def test_memory_is_bounded_and_the_old_view_stays_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(site_session, "MOST_SAMPLES", 200)
    site = begun(stood(190))
    site.pause()
    before = site.report()
    old = list(before.samples.points[: before.samples.count])
    site.resume()
    fed(site, later(stood(1000), 190))
    site.stop()
    report = site.report()
    assert report.samples.count <= 201
    assert report.covered_s == pytest.approx(1189, abs=8)
    assert list(before.samples.points[: before.samples.count]) == old
    steps = [b.t_s - a.t_s for a, b in pairwise(report.samples.points)]
    assert max(steps) <= 16.0


def test_the_figures_are_worked_out_seldom_and_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    counts: list[int] = []

    def counting(samples: list[SiteSample]) -> SiteAverage:
        counts.append(len(samples))
        return average(samples)

    monkeypatch.setattr("core.averaging.average", counting)
    site = begun(stood(2000))
    assert sum(counts) < 30 * 2000, "a cost in step with the number of fixes, not with its square"
    site.stop()
    assert counts[-1] == 2000


def test_one_thread_may_ask_while_another_feeds() -> None:
    site = SiteAverager()
    site.start()
    feeding = threading.Thread(target=fed, args=(site, stood(2000)))
    feeding.start()
    seen = []
    while feeding.is_alive():
        report = site.report()
        seen.append(len(report.samples.points[: report.samples.count]) == report.samples.count)
    feeding.join()
    assert all(seen)


def test_what_was_kept_gives_the_same_mean_again() -> None:
    first = begun()
    first.keeps = True
    fed(first, stood(300))
    first.stop()
    kept = first.fresh()
    assert first.fresh() == []
    assert all(isinstance(one, Counted) for one in kept)
    second = SiteAverager()
    second.restore(kept, SiteState.ENDED)
    one, other = first.report(), second.report()
    assert one.position
    assert other.position
    assert way(one.position, other.position).distance_m < 1e-6
    assert one.average == other.average
    assert other.state is SiteState.ENDED


def test_nobody_who_keeps_means_that_nothing_piles_up() -> None:
    site = begun(stood(300))
    site.stop()
    assert site.fresh() == []


def test_a_session_without_fixes_has_no_figures() -> None:
    session = Session()
    session.release(all_of_them=True)
    assert session.average is None
    assert session.position_at(0.0, 0.0) is None
    assert session.place_of(OCEAN) is None

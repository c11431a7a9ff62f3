"""Two receivers compared: geometry, heights, which epochs are one instant, the common axis, and following."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from core.accuracy import Error95
from core.comparing import Side, difference, history, used_by, worth
from core.fix import FixMode, Position, Utc
from core.pair_axis import Alike, Axis, Basis, line_up
from core.pair_follower import Follower
from core.pair_geometry import offset
from core.pair_heights import rise
from core.series import Place, Sample
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.timeline import Timeline
from core.trust import Verdict
from tests.build import gga, lines, rmc
from tests.played import NOON

HERE = Position(10.5, -20.25)
DAY = date(2031, 5, 4)
BY_UTC, BY_START = Axis(Basis.UTC, 0.0), Axis(Basis.STARTS, 0.0)


def place(position: Position = HERE, second: float = 0.0, **more: Any) -> Place:
    utc = Utc(43_200_000 + round(second * 1000), DAY)
    error = Error95(3.0, 5.0, "stated for the test")
    return Place(position, utc, FixMode.AUTONOMOUS, 12.0, 30.0, None, error)._replace(**more)


def epoch(second: float, position: Position = HERE, speed_mps: float | None = 2.0, **more: Any) -> Sample:
    return Sample(second, 8.0, 1.0, None, 12.0, speed_mps, Verdict.USABLE, place(position, second, **more))


def side(letter: str, *samples: Sample, now_s: float | None = None, current: bool = True) -> Side:
    return Side(letter, samples, samples[-1].at_s if now_s is None else now_s, 1.0, current)


# Geometry: against Karney's geodesics, by geographiclib


@pytest.mark.parametrize("length_m", [0.01, 1.0, 300.0, 5_000.0, 80_000.0])
def test_east_and_north_are_those_of_the_geodesic(length_m: float) -> None:
    rng = random.Random(7)
    for _ in range(200):
        start = Position(rng.uniform(-89.5, 89.5), rng.uniform(-180, 180))
        azimuth = rng.uniform(0, 360)
        end = Geodesic.WGS84.Direct(*start, azimuth, length_m)
        found = offset(start, Position(end["lat2"], end["lon2"]))
        within = 1e-4 + length_m * 2e-5
        assert found.distance_m == pytest.approx(length_m, abs=1e-4 + length_m * 1e-6)
        assert found.east_m == pytest.approx(length_m * math.sin(math.radians(azimuth)), abs=within)
        assert found.north_m == pytest.approx(length_m * math.cos(math.radians(azimuth)), abs=within)


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (Position(-5.0, 179.9999), Position(-5.0, -179.9999)),
        (Position(-5.0, -179.9999), Position(-5.0001, 179.9999)),
        (Position(90.0, 0.0), Position(89.9999, 90.0)),
        (Position(89.9999, 0.0), Position(89.9999, 180.0)),
        (Position(-90.0, 30.0), Position(-89.999, 30.0)),
    ],
)
def test_neither_the_antimeridian_nor_a_pole_is_a_special_case(start: Position, end: Position) -> None:
    line = Geodesic.WGS84.Inverse(*start, *end)
    azimuth = math.radians(line["azi1"])
    found = offset(start, end)
    assert found.distance_m == pytest.approx(line["s12"], abs=1e-4)
    assert found.east_m == pytest.approx(line["s12"] * math.sin(azimuth), abs=1e-3)
    assert found.north_m == pytest.approx(line["s12"] * math.cos(azimuth), abs=1e-3)


def test_one_place_is_at_no_distance() -> None:
    assert offset(HERE, HERE) == (0.0, 0.0, 0.0)


# Heights


@pytest.mark.parametrize(
    ("a", "b", "up_m", "words"),
    [
        ((12.0, 30.0), (15.0, 28.5), 1.5, "above the ellipsoid"),
        ((12.0, None), (15.0, 28.5), 3.0, "above mean sea level, by each one's own geoid"),
        ((12.0, 30.0), (42.0, 0.0), None, "A gives height above mean sea level, B perhaps above the ellipsoid"),
        ((None, 30.0), (42.0, 1.0), None, "A gives no height"),
        ((None, None), (None, 1.0), None, "neither gives a height"),
    ],
)
def test_heights_are_subtracted_only_above_the_same_surface(
    a: tuple[float | None, float | None], b: tuple[float | None, float | None], up_m: float | None, words: str
) -> None:
    first, second = (place(altitude_m=one, geoid_separation_m=other) for one, other in (a, b))
    found = rise(first, second)
    assert found.up_m == (None if up_m is None else pytest.approx(up_m))
    assert found.words.startswith(words)


def test_a_track_s_heights_count_from_nobody_knows_what() -> None:
    assert rise(place(), place(), (False, True)).up_m is None


# Which epochs are one instant


def test_a_difference_is_between_epochs_of_the_same_utc_whatever_their_own_clocks_say() -> None:
    near, far = Position(10.5001, -20.25), Position(10.6, -20.25)
    a = side("A", epoch(4), epoch(5))
    b = side("B", epoch(4, far)._replace(at_s=104.0), epoch(5, near)._replace(at_s=105.0))
    found = difference(a, b, Axis(Basis.UTC, 100.0))
    assert found.pair is not None
    assert found.pair.offset.north_m == pytest.approx(11.06, abs=0.01)
    assert (found.pair.apart_s, found.pair.a.at_s) == (0.0, 5.0)


def test_the_newest_instant_that_both_have_is_taken_where_one_is_read_behind() -> None:
    found = difference(side("A", epoch(4), epoch(5)), side("B", epoch(3), epoch(4)), BY_UTC)
    assert found.pair is not None
    assert found.pair.a.at_s == 4.0


@pytest.mark.parametrize(("late_s", "stated"), [(0.4, True), (0.5, True), (0.6, False)])
def test_epochs_farther_apart_than_half_an_interval_are_no_pair(late_s: float, stated: bool) -> None:
    found = difference(side("A", epoch(5)), side("B", epoch(5 + late_s)), BY_UTC)
    assert (found.pair is not None) is stated
    if found.pair is None:
        assert found.why == "their newest epochs are not of the same time"


def test_what_moves_between_two_epochs_is_added_to_the_error() -> None:
    found = difference(side("A", epoch(5)), side("B", epoch(5.4)), BY_UTC)
    assert found.worth.sure_m == pytest.approx(math.hypot(3.0, 3.0) + 0.4 * 2.0)
    silent = difference(side("A", epoch(5, speed_mps=None)), side("B", epoch(5.4, speed_mps=None)), BY_UTC)
    assert silent.worth.sure_m is None
    assert "no speed told" in silent.worth.why


def test_two_95_percent_circles_hold_95_percent_of_differences_together() -> None:
    rng, inside = random.Random(3), 0
    sigma_a, sigma_b = 3.0 / 2.4477, 4.0 / 2.4477  # R95 of a circular normal error (check-values, accuracy.toml)
    pair = difference(side("A", epoch(5)), side("B", epoch(5, error=Error95(4.0, 5.0, "t"))), BY_UTC).pair
    assert pair is not None
    sure_m = worth(pair).sure_m
    assert sure_m is not None
    assert sure_m == pytest.approx(5.0)
    for _ in range(20_000):
        east, north = (rng.gauss(0, sigma_a) - rng.gauss(0, sigma_b) for _ in range(2))
        inside += math.hypot(east, north) <= sure_m
    assert inside / 20_000 == pytest.approx(0.95, abs=0.006)


def test_without_both_errors_nobody_knows_what_it_is_worth() -> None:
    found = difference(side("A", epoch(5)), side("B", epoch(5, error=Error95())), BY_UTC)
    assert found.worth == (None, "the error of B cannot be estimated")


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"mode": FixMode.ESTIMATED}, "B's position is dead reckoning, no fix"),
        ({"mode": FixMode.MANUAL}, "B's position was typed in by hand"),
    ],
)
def test_what_satellites_did_not_give_is_not_compared(changed: dict[str, Any], why: str) -> None:
    found = difference(side("A", epoch(5)), side("B", epoch(5, **changed)), BY_UTC)
    assert (found.pair, found.why) == (None, why)


def test_two_datums_are_not_compared() -> None:
    found = difference(side("A", epoch(5, datum="W84")), side("B", epoch(5, datum="P90")), BY_UTC)
    assert found.why == "A's datum is W84, B's P90: not the same earth"


def test_who_has_no_current_fix_is_said() -> None:
    lost = side("B", epoch(5), current=False)
    assert difference(side("A", epoch(5)), lost, BY_UTC).why == "B has no current fix"
    assert difference(side("A", epoch(5), current=False), lost, BY_UTC).why == "A and B have no current fix"


def test_an_old_pair_is_not_stated() -> None:
    found = difference(side("A", epoch(5), now_s=7.3), side("B", epoch(5), now_s=7.3), BY_UTC)
    assert found.pair is None


def test_the_strip_is_blank_across_a_gap() -> None:
    a = side("A", *(epoch(n) for n in range(20)))
    b = side("B", *(epoch(n) for n in range(20) if not 5 <= n < 15))
    found = history(a, b, BY_UTC, 2.0)
    assert [at for at, value in found if value is not None] == [2, 3, 4, 15, 16, 17, 18, 19]
    assert found[3] == (4.0, None)


def test_satellites_are_parted_by_who_uses_them() -> None:
    assert used_by({"G05", "R12", "E03"}, {"G05", "C21"}) == (("E03", "R12"), ("C21",), ("G05",))


# The common axis


class Made:
    """A recording of lists of sentences, a second each."""

    def __init__(self, *rounds: list[str]) -> None:
        self._rounds = rounds

    def pieces(self):  # type: ignore[no-untyped-def]  # as Recording.pieces
        from core.sources.recording import Piece

        for second, bodies in enumerate(self._rounds):
            yield Piece(lines(*bodies), float(second))

    def close(self) -> None:
        """Nothing is open."""


def walk(begin_s: int, count: int, day: str = "040531", silent: int = 0) -> Alike:
    """`silent` seconds without a fix, then fixes from `begin_s` after noon on."""
    before = [["GPRMC,,V,,,,,,,,,,N"]] * silent
    fixes = [[rmc(NOON + begin_s + n, day=day), gga(NOON + begin_s + n)] for n in range(count)]
    return Alike(lambda: Made(*before, *fixes), required=True)


def test_recordings_of_one_time_are_laid_by_utc() -> None:
    found = line_up(walk(0, 60), walk(20, 60, silent=5))
    assert found.basis is Basis.UTC
    assert found.offset_s == pytest.approx(-15.0)


def test_recordings_of_two_times_are_laid_from_their_first_fixes() -> None:
    found = line_up(walk(0, 10, silent=3), walk(500, 10, silent=8))
    assert found == Axis(Basis.FIRST_FIX, 5.0, "they have no time in common")


def test_without_a_date_the_first_fixes_are_all_there_is() -> None:
    found = line_up(walk(0, 10, day=""), walk(0, 10))
    assert (found.basis, found.why) == (Basis.FIRST_FIX, "A tells no date")


def test_without_a_fix_they_begin_together() -> None:
    found = line_up(walk(0, 10), Alike(lambda: Made(*[["GPRMC,,V,,,,,,,,,,N"]] * 9), required=True))
    assert found == Axis(Basis.STARTS, 0.0, "B has no fix")


def test_a_date_that_has_rolled_over_is_moved_on() -> None:
    found = line_up(walk(0, 60), walk(20, 60, day="180911"))  # 7168 days before 2031-05-04
    assert (date(2031, 5, 4) - date(2011, 9, 18)).days == 7168
    assert (found.basis, found.days) == (Basis.UTC, 7168)
    assert found.offset_s == pytest.approx(-20.0)
    assert found.why == "B's date moved on by 1024 weeks: its week count has rolled over"


# Following


class Lead:
    """A leader whose clock the test sets."""

    def __init__(self) -> None:
        self.at_s, self.jumps = 0.0, 0
        self.clock: Callable[[], float] = lambda: self.at_s

    def timeline(self) -> Timeline:
        return Timeline(position_s=self.at_s, jumps=self.jumps)

    def status(self) -> SourceStatus:
        return SourceStatus(SourceKind.REPLAY, "lead", SourceState.PLAYING, pace=5.0)


def read_all(follower: Follower) -> list[float]:
    found = []
    while arrival := follower.read(0.0):
        found.append(arrival.at_s)
    return found


@pytest.fixture
def lead() -> Lead:
    return Lead()


def a_follower(tmp_path: object, lead: Lead, offset_s: float) -> Follower:
    from pathlib import Path

    from core.sources.recording import open_recording

    path = Path(str(tmp_path)) / "b.nmea"
    path.write_bytes(b"".join(lines(rmc(NOON + n)) for n in (*range(60), *range(200, 260))))
    return Follower(open_recording(path), lead, offset_s)


def test_it_reads_up_to_where_the_leader_is_and_no_farther(tmp_path: object, lead: Lead) -> None:
    follower = a_follower(tmp_path, lead, -3.0)
    assert read_all(follower) == []
    lead.at_s = 5.5
    assert read_all(follower) == [0.0, 1.0, 2.0]
    assert follower.now_s() == pytest.approx(2.5)
    assert follower.status().pace == 5.0


def test_a_gap_of_its_own_is_not_cut_short(tmp_path: object, lead: Lead) -> None:
    follower = a_follower(tmp_path, lead, 0.0)
    for lead.at_s in (0.0, 59.0, 150.0, 199.0):
        read_all(follower)
    assert follower.now_s() == pytest.approx(199.0)
    lead.at_s = 200.0
    assert read_all(follower) == [200.0]


def test_it_seeks_where_the_leader_jumps_and_only_there(tmp_path: object, lead: Lead) -> None:
    follower = a_follower(tmp_path, lead, 0.0)
    lead.at_s = 30.0
    follower.read(0.0)
    assert follower.goal is not None, "B is opened in the middle of A"
    lead.at_s = 10.0
    follower.read(0.0)
    assert follower.goal.at_s == 10.0

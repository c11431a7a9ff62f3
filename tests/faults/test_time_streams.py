"""The moments at which clocks and calendars do something odd, all the way from bytes to what is made of them.

Each case of `tests.faults.time_streams` is fed as a receiver sends it, a second at a time, and as a file is read, all
at once; then fixes, trip, series, events, verdict, guidance, digest, exports and the replay's axis are looked at.
"""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest

from core.accuracy import ErrorModel
from core.digest import Digest
from core.epochs import EpochReader
from core.events import EventKind
from core.export_plan import Format
from core.fix import MS_PER_DAY, Fix, FixMode, Position, Utc, ms_to
from core.going import Goal, Route
from core.judgement import Judgement
from core.model import FixModel, Snapshot
from core.outing import Outing
from core.sources.recording import open_recording
from core.steps import clock_step_s
from core.trip import TripMeter
from core.trust import Verdict
from tests.build import clock, gga, lines, rmc, zda
from tests.exported import exported
from tests.faults.time_streams import (
    BEFORE,
    BY_NAME,
    CASES,
    COUNT,
    NORTH_DEG_PER_S,
    PACE_MPS,
    Case,
    epoch,
    place,
    stream,
)
from tests.played import clocks, fixes

NAMES = [case.name for case in CASES]
STEADY = [case.name for case in CASES if case.steady]
WAY_M = PACE_MPS * (COUNT - 1)
BEGINS_ANEW = 20.0
"""Seconds of walking that a meter may leave out of a way while it makes sure that one moves."""


class Played(NamedTuple):
    """What became of a case."""

    fixes: list[Fix]
    state: Snapshot
    digest: dict[str, object]


def played(case: Case, *, at_once: bool, kinds: str = "rmc gga") -> Played:
    """Through a model with everything on; guided to a goal straight ahead."""
    digest = Digest()
    model = FixModel(True, digest.add, Judgement(ErrorModel()), Outing())
    model.navigator.route = Route((Goal("ahead", Position(10.51, -20.25)),))
    found: list[Fix] = []
    if at_once:
        found += model.feed(stream(case, kinds), 0.0)
    else:
        for n, said in enumerate(case.said):
            found += model.feed(epoch(n, said, kinds), 1000.0 + n)
    found += model.finish()
    state = model.snapshot()
    return Played(found, state, digest.as_json(state.counts))


both_ways = pytest.mark.parametrize("at_once", [False, True], ids=["as it comes", "read at once"])


@both_ways
@pytest.mark.parametrize("name", NAMES)
def test_every_second_is_a_fix_with_the_date_that_it_has(name: str, at_once: bool) -> None:
    case = BY_NAME[name]
    found = played(case, at_once=at_once).fixes
    assert [fix.utc.iso() if fix.utc else None for fix in found] == [*case.shown]
    assert all(fix.is_satellite_fix for fix in found)


@both_ways
@pytest.mark.parametrize("name", STEADY)
def test_no_second_and_no_metre_is_missing_where_the_clock_goes_on(name: str, at_once: bool) -> None:
    done = played(BY_NAME[name], at_once=at_once)
    totals, going = done.state.trip.totals, done.state.going
    assert (totals.gaps, totals.jumps, totals.gap_s) == (0, 0, 0.0)
    assert WAY_M - PACE_MPS * BEGINS_ANEW < totals.distance_m < WAY_M + 1.0
    assert totals.average_mps == pytest.approx(PACE_MPS, rel=0.02)
    assert going.closing_mps == pytest.approx(PACE_MPS, rel=0.01)
    assert done.digest["duration_s"] == COUNT - 1


@both_ways
@pytest.mark.parametrize("name", NAMES)
def test_series_and_events_are_in_the_order_of_time_and_nothing_is_lost(name: str, at_once: bool) -> None:
    state = played(BY_NAME[name], at_once=at_once).state
    assert len(state.samples) == COUNT
    assert all(a.at_s <= b.at_s for a, b in pairwise(state.samples))
    assert all(a.at_s <= b.at_s for a, b in pairwise(state.events))
    kinds = {event.kind for event in state.events}
    assert not kinds & {EventKind.LOST, EventKind.REGAINED, EventKind.JUMP, EventKind.MODE}


@both_ways
@pytest.mark.parametrize("name", STEADY)
def test_midnight_of_whatever_kind_is_no_reason_for_doubt(name: str, at_once: bool) -> None:
    state = played(BY_NAME[name], at_once=at_once).state
    ups = [event.text for event in state.events if event.kind is EventKind.VERDICT]
    assert all(text.split(" to ")[1].split(":")[0] in {"doubtful", "usable", "firm"} for text in ups)
    assert state.trust.evidence is not None
    assert not state.trust.evidence.went_back
    assert state.trust.verdict >= Verdict.USABLE
    assert len(ups) <= 3


@both_ways
@pytest.mark.parametrize(
    "name",
    [
        "a date that jumps for a second",
        "a date of 1980 for a second",
        "the week count rolls over and the receiver does not know",
    ],
)
def test_a_date_that_goes_back_is_doubted_for_a_while_and_never_bridged_over(name: str, at_once: bool) -> None:
    state = played(BY_NAME[name], at_once=at_once).state
    downs = [event.text for event in state.events if event.kind is EventKind.VERDICT and "doubtful:" in event.text]
    assert len(downs) == 1
    assert "back" in downs[0]
    totals = state.trip.totals
    assert totals.gaps == 1
    assert totals.distance_m + PACE_MPS * totals.gap_s == pytest.approx(WAY_M, abs=PACE_MPS * BEGINS_ANEW)


@pytest.mark.parametrize("name", NAMES)
def test_the_axis_of_a_replay_is_as_long_as_the_walk_and_has_a_piece_a_second(tmp_path: Path, name: str) -> None:
    path = tmp_path / "one.nmea"
    path.write_bytes(stream(BY_NAME[name]))
    assert [piece.at_s for piece in open_recording(path).pieces()] == [float(n) for n in range(COUNT)]
    assert [one.at_s for one in EpochReader(open_recording(path), True).epochs()] == [float(n) for n in range(COUNT)]


@pytest.mark.parametrize("name", NAMES)
def test_exports_keep_every_fix_in_one_segment_with_times_that_standards_know(tmp_path: Path, name: str) -> None:
    case = BY_NAME[name]
    path = tmp_path / "one.nmea"
    path.write_bytes(stream(case))
    segments = 2 if name == "1980 until it knows" else 1
    for to in (Format.GPX, Format.KML, Format.GEOJSON, Format.CSV):
        data, outcome = exported(path, to)
        assert (outcome.points, outcome.segments) == (COUNT, segments), to
        for time in re.findall(r"\d{4}-\d\d-\d\dT(\d\d:\d\d:\d\d)", data.decode()):
            assert time < "23:59:60" or to is Format.CSV  # GPX and KML have times of XML, which knows no second 60
    table = list(csv.DictReader(io.StringIO(exported(path, Format.CSV)[0].decode())))
    assert [row["utc"] for row in table] == [*case.shown]
    told = re.findall(rb"<time>([^<]*)</time>", exported(path, Format.GPX)[0].partition(b"<trk>")[2])
    assert len(told) == sum(shown[0] != "T" for shown in case.shown)


@both_ways
def test_a_receiver_that_only_says_gga_goes_on_over_midnight(at_once: bool) -> None:
    done = played(BY_NAME["no date at all"], at_once=at_once, kinds="gga")
    assert [fix.utc.day for fix in done.fixes if fix.utc] == [None] * COUNT
    assert done.state.trip.totals.gaps == 0
    assert done.digest["duration_s"] == COUNT - 1


# Two sentences of one burst on both sides of midnight


STRADDLING = {
    "one rounds and one truncates": ("235959.99", "000000.00"),
    "one is a second late": ("235959.00", "000000.00"),
    "a leap second and what comes after": ("235960.00", "000000.00"),
}


@pytest.mark.parametrize("name", STRADDLING)
@pytest.mark.parametrize("order", ["rmc gga", "gga rmc"])
def test_a_burst_that_straddles_midnight_is_two_instants_of_two_days(name: str, order: str) -> None:
    before, after = STRADDLING[name]
    first, second = order.split()
    data = epoch(0, ("235958.00", "040531")) + epoch(1, (before, "040531"), first) + epoch(1, (after, "050531"), second)
    model = FixModel()
    found = model.feed(data, 0.0) + model.finish()
    assert [fix.utc.iso()[:10] for fix in found if fix.utc] == ["2031-05-04", "2031-05-04", "2031-05-05"]
    assert [fix.utc.clock(2).replace(":", "") for fix in found if fix.utc][1:] == [before, after]


def test_bursts_that_straddle_every_second_are_joined_by_their_times_over_midnight_as_well() -> None:
    """RMC of the second that is over with GGA of the one that begins: each second has both, one from each burst."""
    seconds = [86_397, 86_398, 86_399, 0, 1, 2]
    day = {second: "040531" if second > 100 else "050531" for second in seconds}
    bodies = [body for a, b in pairwise(seconds) for body in (rmc(a, day[a]), gga(b, altitude=f"{b}.0"))]
    found = fixes(*bodies)
    assert clocks(found) == [f"{clock(s)[:2]}:{clock(s)[2:4]}:{clock(s)[4:6]}.0" for s in seconds]
    assert [fix.utc.iso()[8:10] for fix in found if fix.utc] == ["04", "04", "04", "05", "05", "05"]
    assert [fix.altitude_m for fix in found] == [None, *map(float, seconds[1:])]


def test_a_sentence_late_by_a_burst_amends_the_day_that_it_is_of() -> None:
    found = fixes(rmc(86_399, "040531"), rmc(0, "050531"), gga(86_399, altitude="77.0"), gga(0, altitude="88.0"))
    days = [(fix.utc.iso()[:10], fix.altitude_m) for fix in found if fix.utc]
    assert days == [("2031-05-04", 77.0), ("2031-05-05", 88.0)]


# A second said twice


@both_ways
@pytest.mark.parametrize("again", [BEFORE - 1, BEFORE])
def test_a_second_that_is_said_twice_is_one_epoch_and_no_way_is_lost(again: int, at_once: bool) -> None:
    """How some clocks insert a leap second: 23:59:59 twice, or 00:00:00. The later sentences replace the earlier."""
    case = BY_NAME["midnight"]
    said = [*case.said[: again + 1], *case.said[again:-1]]
    done = played(Case("said twice", said, case.shown), at_once=at_once)
    assert len(done.fixes) == COUNT - 1
    totals = done.state.trip.totals
    assert (totals.gaps, totals.jumps) == (0, 0)
    assert totals.distance_m == pytest.approx(WAY_M, abs=PACE_MPS * BEGINS_ANEW)
    assert done.state.trust.verdict is Verdict.FIRM


@both_ways
def test_a_second_that_is_left_out_is_no_gap(at_once: bool) -> None:
    """A negative leap second, or a sentence lost at midnight."""
    case = BY_NAME["midnight"]
    said = [*case.said[: BEFORE - 1], *case.said[BEFORE:]]
    done = played(Case("left out", said, case.shown), at_once=at_once)
    assert (done.state.trip.totals.gaps, done.state.trip.totals.jumps) == (0, 0)
    assert done.digest["duration_s"] == COUNT - 1


def test_at_ten_a_second_the_leap_second_and_the_one_after_have_ten_tenths_each() -> None:
    times = [*(86_399 + n / 10 for n in range(20)), *(n / 10 for n in range(10))]
    days = ["311216"] * 20 + ["010117"] * 10
    model = FixModel(judgement=Judgement(ErrorModel()))
    found = []
    for n, (time, day) in enumerate(zip(times, days, strict=True)):
        found += model.feed(lines(f"GNRMC,{clock(time)},A,{place(n / 10)},2.9,0.0,{day},,,A"), n / 10)
    found += model.finish()
    assert len(found) == 30
    passed = [clock_step_s(a.utc, b.utc) for a, b in pairwise(found) if a.utc and b.utc]
    assert passed == pytest.approx([0.1] * 29)
    trust = model.snapshot().trust
    assert trust.evidence is not None
    assert not trust.evidence.went_back


@pytest.mark.parametrize(
    ("before_ms", "after_ms", "passed_ms"),
    [
        (0, 0, 0),
        (1000, 2500, 1500),
        (86_399_000, 0, 1000),
        (86_399_000, 86_400_000, 1000),
        (86_400_000, 0, 1000),
        (86_400_900, 0, 100),
        (86_400_900, 500, 600),
        (86_400_000, 86_400_999, 999),
        # Back by a second is nearly a day on, the leap second or not.
        (86_400_000, 86_399_000, MS_PER_DAY - 1000),
        (2000, 1000, MS_PER_DAY - 1000),
        (86_400_999, 43_199_999, 43_200_000),
    ],
)
def test_from_one_time_of_day_to_another(before_ms: int, after_ms: int, passed_ms: int) -> None:
    assert ms_to(before_ms, after_ms) == passed_ms


# A trip that goes on after a restart


@pytest.mark.parametrize(
    ("before", "after", "away_s"),
    [
        (date(2031, 5, 4), date(2031, 5, 6), 2 * 86_400.0),
        (date(2031, 12, 31), date(2032, 1, 1), 86_400.0),
        # A receiver that was not sure of its date, before or after: nobody knows.
        (date(1980, 1, 6), date(2031, 5, 4), 0.0),
        (date(2011, 9, 19), date(2031, 5, 5), 0.0),
        (date(2031, 5, 4), date(1980, 1, 6), 0.0),
        (date(2031, 5, 4), date.max, 0.0),
    ],
)
def test_the_time_away_is_by_dates_that_can_both_be_right(before: date, after: date, away_s: float) -> None:
    def walked(meter: TripMeter, day: date) -> None:
        for n in range(20):
            here = Position(10.5 + n * NORTH_DEG_PER_S, -20.25)
            utc = Utc(43_200_000 + (n - 19) * 1000, day)
            meter.take(Fix(utc, here, FixMode.AUTONOMOUS, speed_mps=PACE_MPS, told=True), float(n), usable=True)

    first = TripMeter()
    walked(first, before)
    again = TripMeter.restored(first.state())
    walked(again, after)
    assert again.totals().gap_s == pytest.approx(away_s, abs=20.0)
    assert again.totals().gaps == 1


def test_epochs_of_the_time_alone_before_the_first_fix_have_the_times_at_which_they_came(tmp_path: Path) -> None:
    """They are finished, and given, only when the second one after them begins."""
    path = tmp_path / "one.nmea"
    path.write_bytes(lines(*[zda(43_200 + n) for n in range(5)], *[rmc(43_200 + n) for n in range(5, 9)]))
    assert [one.at_s for one in EpochReader(open_recording(path), True).epochs()] == [float(n) for n in range(9)]

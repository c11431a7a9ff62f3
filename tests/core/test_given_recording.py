"""Somebody's track played as a recording: their positions and times, and nothing that they did not write. Invented."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pynmea2
import pytest

from core.accuracy import ErrorModel
from core.fix import FixMode, Position
from core.formats.given_track import GivenPoint, GivenTrack
from core.given_route import TRACK, TRACK_END, route_along
from core.judgement import Judgement
from core.model import FixModel, Snapshot
from core.outing import Outing
from core.places.geodesic import distance_m
from core.sources.given_recording import PACE_MPS, GivenRecording
from core.trust import Verdict

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


def walk(count: int = 60, *, timed: bool = True, begins: tuple[int, ...] = (0,)) -> GivenTrack:
    """Northwards, 14 m in ten seconds."""
    return GivenTrack(
        tuple(
            GivenPoint(
                Position(10.5 + n * 14 / 110_600, -20.25),
                10.0 + n,
                NOON + timedelta(seconds=10 * n) if timed else None,
                n in begins,
            )
            for n in range(count)
        )
    )


def played(track: GivenTrack) -> Snapshot:
    model = FixModel(judgement=Judgement(ErrorModel()), outing=Outing())
    model.positions_only = True
    for piece in GivenRecording(Path("walk.gpx"), track).pieces():
        model.feed(piece.data, piece.at_s)
    model.finish()
    return model.snapshot()


def test_pynmea2_reads_the_same_places_heights_and_times() -> None:
    track = walk(20)
    for point, piece in zip(track.points, GivenRecording(Path("x"), track).pieces(), strict=True):
        rmc, gga = (pynmea2.parse(line, check=True) for line in piece.data.decode().split())
        assert (rmc.latitude, rmc.longitude) == pytest.approx(point.position, abs=1e-8)
        assert rmc.datetime.replace(tzinfo=UTC) == point.time
        assert (gga.altitude, gga.gps_qual) == (point.altitude_m, 7)


@pytest.mark.parametrize(
    "place", [(-0.0000001, 0.0), (89.9999999999, 179.9999999999), (-90.0, -180.0), (5.99999999999, 9.5)]
)
def test_carries_and_signs_come_back(place: tuple[float, float]) -> None:
    track = GivenTrack((GivenPoint(Position(*place), None, NOON, True), GivenPoint(Position(*place), None, None)))
    snapshot = played(track)
    assert snapshot.fix.position == pytest.approx(place, abs=1e-8)


def test_nothing_of_it_is_a_fix_and_nothing_is_invented() -> None:
    snapshot = played(walk())
    assert snapshot.fix.mode is FixMode.MANUAL
    assert not snapshot.fix.is_satellite_fix
    assert snapshot.counts.epochs_with_fix == 0
    assert snapshot.trust.verdict is Verdict.DOUBTFUL
    assert snapshot.trust.error.horizontal_m is None
    assert (snapshot.fix.speed_mps, snapshot.fix.course_deg, snapshot.fix.hdop) == (None, None, None)
    assert snapshot.sky is None
    assert snapshot.fix.utc is not None
    assert snapshot.fix.utc.day == date(2031, 5, 4)


def test_the_trip_counts_its_way() -> None:
    track = walk()
    found = played(track).trip.totals
    length = distance_m(track.points[0].position, track.points[-1].position)
    assert found.distance_m == pytest.approx(length, rel=0.05)
    assert found.gaps == 0


def test_a_new_segment_breaks_the_way() -> None:
    found = played(walk(begins=(0, 30))).trip
    assert [point.begins for point in found.track.points[: found.track.count]].count(True) == 2


def test_the_times_of_the_file_are_the_clock_of_the_replay() -> None:
    pieces = list(GivenRecording(Path("x"), walk(5)).pieces())
    assert [piece.at_s for piece in pieces] == [0.0, 10.0, 20.0, 30.0, 40.0]


def test_without_times_it_goes_at_a_walk_and_says_so() -> None:
    track = walk(5, timed=False)
    recording = GivenRecording(Path("x"), track)
    assert "no times in it: played at 5 km/h" in recording.warning
    pieces = list(recording.pieces())
    way = distance_m(track.points[0].position, track.points[1].position)
    assert pieces[1].at_s == pytest.approx(way / PACE_MPS)
    assert played(track).fix.utc is None
    assert recording.fraction == 1.0


def test_times_that_stand_or_go_back_do_not_stop_the_clock() -> None:
    a, b, c = walk(3).points
    track = GivenTrack((a, b._replace(time=a.time), c._replace(time=NOON - timedelta(hours=1))))
    times = [piece.at_s for piece in GivenRecording(Path("x"), track).pieces()]
    assert len(times) == 2, "two places at one instant: the first stands"
    assert times == sorted(times)


def test_it_says_that_positions_are_all_there_is() -> None:
    recording = GivenRecording(Path("x"), GivenTrack(walk(3).points, left_out=2))
    assert recording.warning == "positions only, of unknown quality; 2 points were no places"


@pytest.mark.parametrize("backwards", [False, True])
def test_a_track_becomes_a_way_in_either_direction(backwards: bool) -> None:
    track = walk(200, begins=(0, 100))
    route = route_along(track, backwards=backwards)
    first, last = (track.points[n].position for n in ((-1, 0) if backwards else (0, -1)))
    assert distance_m(route.goals[0].position, first) < 60
    assert route.goals[-1].position == last
    assert route.goals[-1].name == TRACK_END
    assert {goal.name for goal in route.goals[:-1]} == {TRACK}
    assert route.by_trail
    assert sum(goal.across_gap for goal in route.goals) == 1

"""Where the antenna truly is: checked by walking it, by another library's geodesic, and by arithmetic by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from pyproj import Geod

from core.fix import Position
from core.places.geodesic import distance_m, way
from core.rehearsal.path import duration_s, truth_at
from core.rehearsal.records import Truth
from core.rehearsal.scenario import Scenario, read_scenario

REPLAYS = Path(__file__).parents[2] / "replays"
BUNDLED = sorted(path for path in REPLAYS.glob("*.toml") if not path.name.endswith(".chapters.toml"))
EARTH = Geod(ellps="WGS84")
TOP = 'title = "A walk"\ncall = "QX1ABC"\nstart = 2027-05-15T09:00:00Z\ngeoid_separation_m = 14.0\n'


def scenario(path: str, more: str = "") -> Scenario:
    return read_scenario(TOP + more + path, "walk.toml")


def stop(at: str, **more: float | str) -> str:
    lines = [f"{key} = {value!r}" for key, value in {"at": at, **more}.items()]
    return "[[path]]\n" + "\n".join(lines) + "\n"


ANGLE = scenario(
    stop("41 N 179.9 E", height_m=100.0, pause_s=30.0, speed_mps=2.0)
    + stop("41.001 N 179.9 E", height_m=120.0)
    + stop("41.001 N 179.902 E", pause_s=30.0)
)
"""30 s at rest, 111 m north, 168 m east, 30 s at rest; a turn takes 4 s."""


def truths(walk: Scenario, step_s: float = 1.0) -> Iterator[Truth]:
    return (truth_at(walk, number * step_s) for number in range(int(duration_s(walk) / step_s) + 1))


# The way


def test_the_times_are_those_of_the_distances() -> None:
    """Lengths by PROJ."""
    north = EARTH.inv(179.9, 41.0, 179.9, 41.001)[2]
    east = EARTH.inv(179.9, 41.001, 179.902, 41.001)[2]
    assert duration_s(ANGLE) == pytest.approx(60.0 + (north + east) / 2.0, abs=1e-6)


@pytest.mark.parametrize("seconds", [10.0, 60.0, 1000.0, 3000.0])
def test_a_leg_is_the_geodesic_walked_at_its_speed(seconds: float) -> None:
    """Against PROJ, over the antimeridian. What a start from rest costs is half of half a turn's way."""
    walk = scenario(stop("41 N 179.9 E", speed_mps=9.0) + stop("40.9 N 179.6 W"))
    heading = EARTH.inv(179.9, 41.0, -179.6, 40.9)[0]
    longitude, latitude, back = EARTH.fwd(179.9, 41.0, heading, 9.0 * seconds)
    truth = truth_at(walk, seconds)
    assert distance_m(truth.position, Position(latitude, longitude)) < 1e-4
    assert truth.speed_mps == pytest.approx(9.0)
    assert truth.course_deg == pytest.approx((back + 180.0) % 360.0, abs=1e-6)
    assert -180.0 <= truth.position.longitude_deg <= 180.0


def test_rests_are_exactly_at_their_places() -> None:
    for seconds, place, height in (
        (0, (41.0, 179.9), 114.0),
        (27, (41.0, 179.9), 114.0),
        (1e6, (41.001, 179.902), 134.0),
    ):
        truth = truth_at(ANGLE, seconds)
        assert distance_m(truth.position, Position(*place)) < 1e-6
        assert truth.speed_mps == 0.0
        assert truth.height_m == pytest.approx(height)
        assert truth.geoid_separation_m == 14.0


def test_heights_go_evenly_between_places() -> None:
    middle = 30.0 + EARTH.inv(179.9, 41.0, 179.9, 41.001)[2] / 4.0
    assert truth_at(ANGLE, middle).height_m == pytest.approx(124.0)


# Turns


def test_a_corner_is_rounded_by_as_much_as_arithmetic_says() -> None:
    """Mean over 4 s around the corner: each arm's mean is 1 s of way from it, at half weight: 1 m back, 1 m on."""
    corner_s = 30.0 + EARTH.inv(179.9, 41.0, 179.9, 41.001)[2] / 2.0
    truth = truth_at(ANGLE, corner_s)
    off = way(Position(41.001, 179.9), truth.position)
    assert off.distance_m == pytest.approx(math.hypot(1.0, 1.0), abs=1e-3)
    assert off.initial_bearing_deg == pytest.approx(135.0, abs=0.1)
    assert truth.course_deg == pytest.approx(45.0, abs=0.1)
    assert truth.speed_mps == pytest.approx(math.sqrt(2.0), abs=1e-3)


def test_starts_and_stops_take_their_time() -> None:
    speeds = [truth_at(ANGLE, 28.0 + second).speed_mps for second in range(5)]
    assert speeds == pytest.approx([0.0, 0.5, 1.0, 1.5, 2.0], abs=1e-6)


def test_a_walker_who_turns_round_stands_for_a_moment() -> None:
    there = stop("41 N 179.9 E", speed_mps=1.5)
    walk = scenario(there + stop("41.001 N 179.9 E") + there)
    assert truth_at(walk, duration_s(walk) / 2).speed_mps < 1e-6
    assert truth_at(walk, duration_s(walk) / 2 - 3).course_deg == pytest.approx(0.0, abs=1e-6)
    assert truth_at(walk, duration_s(walk) / 2 + 3).course_deg == pytest.approx(180.0, abs=1e-6)


@pytest.mark.parametrize("path", BUNDLED, ids=lambda path: path.stem)
def test_walking_it_second_by_second_agrees_with_speed_and_course(path: Path) -> None:
    """The way from one second to the next against the mean of both velocities.

    Where a turn begins or ends within the second that mean is off by an eighth of the change of acceleration.
    """
    walk = read_scenario(path.read_text("utf-8"), path.name)
    found = list(truths(walk))[:1500]
    fastest = max(stop.speed_mps for stop in walk.stops)
    kink_m = fastest / walk.turn_s / 4 + 1e-3
    for one, after in pairwise(found):
        gone = way(one.position, after.position)
        east, north = (_part(one, after, axis) for axis in (math.sin, math.cos))
        bearing = math.radians(gone.initial_bearing_deg)
        assert (
            math.hypot(gone.distance_m * math.sin(bearing) - east, gone.distance_m * math.cos(bearing) - north) < kink_m
        )


def _part(one: Truth, after: Truth, axis: object) -> float:
    assert callable(axis)
    return float(sum(each.speed_mps * axis(math.radians(each.course_deg)) for each in (one, after)) / 2)


@pytest.mark.parametrize("turn_s", [0.5, 4.0, 30.0])
def test_velocity_is_the_derivative_of_the_place(turn_s: float) -> None:
    """By central differences over 20 ms, at odd moments all along a path with short legs."""
    legs = "".join(
        stop(f"{41 + north:.5f} N {179.9 + east:.5f} E")
        for north, east in ((0.0003, 0.0), (0.0003, 0.0002), (0.0004, 0.0002), (0.0001, 0.0003))
    )
    walk = scenario(stop("41 N 179.9 E", speed_mps=1.5, pause_s=5.0) + legs, f"turn_s = {turn_s}\n")
    for number in range(int(duration_s(walk) / 0.77)):
        seconds = 0.77 * number
        gone = way(truth_at(walk, seconds - 0.01).position, truth_at(walk, seconds + 0.01).position)
        truth = truth_at(walk, seconds)
        assert gone.distance_m / 0.02 == pytest.approx(truth.speed_mps, abs=0.02)
        if truth.speed_mps > 0.5:
            off = (gone.initial_bearing_deg - truth.course_deg + 180.0) % 360.0 - 180.0
            assert abs(off) < 2.0


# What is around, and what befalls


def test_surroundings_go_with_the_leg_and_a_street_with_its_direction() -> None:
    around = "[around.lane]\nstreet_height_m = 10\nstreet_width_m = 10\nmask_deg = 2\n"
    walk = scenario(
        around + stop("41 N 179.9 E", speed_mps=1.0, around="lane") + stop("41 N 179.901 E", around="open", pause_s=9)
    )
    lane, after = truth_at(walk, 10.0).surroundings, truth_at(walk, duration_s(walk)).surroundings
    # The street runs east: a front 5 m away and 10 m high stands at atan 2, along the street there is nothing.
    assert lane.wall_deg(0.0) == pytest.approx(math.degrees(math.atan(2.0)), abs=0.1)
    assert lane.wall_deg(180.0) == pytest.approx(math.degrees(math.atan(2.0)), abs=0.1)
    assert lane.wall_deg(90.0) == 0.0
    assert lane.mask_deg == 2.0
    assert after.walls == ()


def test_events_are_in_force_from_their_first_to_before_their_last_moment() -> None:
    walk = scenario(
        stop("41 N 179.9 E", pause_s=100.0)
        + '[[event]]\nwhat = "outage"\nfrom_s = 10\nto_s = 20\n[[event]]\nwhat = "rtk"\nfrom_s = 15\n'
    )
    found = [truth_at(walk, seconds).events for seconds in (9.9, 10, 15, 19.9, 20, 100)]
    assert [sorted(one) for one in found] == [[], ["outage"], ["outage", "rtk"], ["outage", "rtk"], ["rtk"], ["rtk"]]

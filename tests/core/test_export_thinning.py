"""Fewer points, none of the track's shape lost; and nothing near where it began or ended."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

from core.export_plan import Every, Format, Plan, since, until
from core.export_points import Breaks, ExportPoint, LeftOut
from core.export_thinning import WINDOW, simplified, spaced
from core.export_trim import Ends, trimmed
from core.fix import Fix, FixMode, Position
from core.formats.track_text import About
from core.places.geodesic import distance_m
from core.samples import Xyz, earth_centred
from core.steps import Follows, Steps
from core.trust import Verdict
from core.units import SYSTEMS, in_use, use
from core.waypoint import Waypoint
from tests.build import line
from tests.exported import exported, fix_lines, fixes_of, recorded
from tests.recordings import FOLDER, needs_recordings
from tests.trips import shifted
from tests.walks import (
    NEAR_ANTIMERIDIAN,
    NEAR_NORTH_POLE,
    OCEAN,
    Noise,
    Step,
    laid,
    loop,
    noisy,
    out_and_back,
    straight,
)


def _points(walk: list[Step], begins: frozenset[int] = frozenset({0})) -> list[ExportPoint]:
    return [
        ExportPoint(step.place, Fix(), step.at_s, earth_centred(step.place), number in begins)
        for number, step in enumerate(walk)
    ]


def _off_m(point: Xyz, a: Xyz, b: Xyz) -> float:
    """From a point to a chord, by trying ten thousand places on it: another way than the code's."""
    return min(
        math.dist(point, tuple(p + (q - p) * k / 1e4 for p, q in zip(a, b, strict=True))) for k in range(0, 10_001, 5)
    )


def test_points_are_at_least_that_far_apart_in_time_and_the_last_stays() -> None:
    kept = [*spaced(_points(straight(OCEAN, 0.0, 95)), Every(seconds=10.0), LeftOut())]
    assert [one.at_s for one in kept] == [*range(0, 95, 10), 95]


def test_a_hundredth_short_of_the_time_is_the_time() -> None:
    walk = [Step(9.99 * n, step.place) for n, step in enumerate(straight(OCEAN, 0.0, 6))]
    assert len([*spaced(_points(walk), Every(seconds=9.99 + 0.01), LeftOut())]) == 7
    assert len([*spaced(_points(walk), Every(seconds=10.2), LeftOut())]) == 4


def test_points_are_at_least_that_far_apart_in_metres() -> None:
    points = _points(straight(OCEAN, 0.0, 100, mps=2.0))
    kept = [*spaced(points, Every(metres=25.0), LeftOut())]
    gaps = [math.dist(a.xyz, b.xyz) for a, b in pairwise(kept)]
    assert all(25.0 <= gap < 27.0 + 1e-6 for gap in gaps[:-1])
    assert (kept[0], kept[-1]) == (points[0], points[-1])


def test_what_is_left_out_is_counted_exactly() -> None:
    left_out, points = LeftOut(), _points(straight(OCEAN, 0.0, 77), frozenset({0, 33}))
    kept = [*spaced(points, Every(seconds=10.0), left_out)]
    assert len(kept) + left_out.total() == len(points)
    left_out.clear()
    kept = [*simplified(points, 5.0, left_out)]
    assert len(kept) + left_out.total() == len(points)


@pytest.mark.parametrize("every", [Every(seconds=1000.0), Every(metres=1e6)])
def test_each_segment_keeps_its_first_and_its_last(every: Every) -> None:
    points = _points(straight(OCEAN, 0.0, 99), frozenset({0, 40, 41, 70}))
    assert [round(one.at_s) for one in spaced(points, every, LeftOut())] == [0, 39, 40, 41, 69, 70, 99]


@pytest.mark.parametrize("start", [OCEAN, NEAR_ANTIMERIDIAN, NEAR_NORTH_POLE])
@pytest.mark.parametrize("tolerance_m", [1.0, 5.0, 20.0])
def test_nothing_left_out_is_farther_from_the_line_than_asked_for(start: Position, tolerance_m: float) -> None:
    points = _points(noisy(loop(start, 120.0, 700), Noise(3.0), 7))
    kept = [*simplified(points, tolerance_m, LeftOut())]
    assert len(kept) < len(points)
    index = [points.index(one) for one in kept]
    for first, last in pairwise(index):
        for point in points[first + 1 : last : 7]:
            assert _off_m(point.xyz, points[first].xyz, points[last].xyz) <= tolerance_m + 0.05


def test_a_straight_way_needs_two_points_a_window() -> None:
    points = _points(straight(OCEAN, 45.0, 3 * WINDOW))
    kept = [*simplified(points, 5.0, LeftOut())]
    assert len(kept) == 5
    assert (kept[0], kept[-1]) == (points[0], points[-1])


def test_a_corner_stays() -> None:
    walk = out_and_back(OCEAN, 90.0, 100)
    farthest = max(walk, key=lambda step: distance_m(OCEAN, step.place))
    assert farthest.place in [one.position for one in simplified(_points(walk), 5.0, LeftOut())]


def test_a_segment_is_simplified_by_itself() -> None:
    points = _points(straight(OCEAN, 0.0, 99), frozenset({0, 50}))
    kept = [*simplified(points, 5.0, LeftOut())]
    assert [(round(one.at_s), one.begins) for one in kept] == [(0, True), (49, False), (50, True), (99, False)]


# Trimmed ends


HOME = laid(OCEAN, 180.0, 30.0)


def _past_home(path: Path) -> Path:
    """Out from home, back past it in the middle of the trip, and to somewhere else."""
    out = straight(HOME, 0.0, 600)
    back = shifted(straight(out[-1].place, 180.0, 1200), 601.0)
    return recorded(path, [*out, *back])


def test_nothing_within_the_circle_is_left_wherever_in_the_trip_it_comes(tmp_path: Path) -> None:
    path = _past_home(tmp_path / "home.nmea")
    data, outcome = exported(path, Plan(Format.CSV, trim_m=200.0))
    rows = [line.split(",") for line in data.decode().split("\r\n")[1:-1]]
    places = [Position(float(one[2]), float(one[3])) for one in rows]
    end = straight(straight(HOME, 0.0, 600)[-1].place, 180.0, 1200)[-1].place
    assert all(min(distance_m(one, HOME), distance_m(one, end)) >= 199.9 for one in places)
    near = sum(min(distance_m(p, HOME), distance_m(p, end)) < 199.9 for p in (_place(e.fix) for e in fixes_of(path)))
    assert near <= outcome.left_out["within 200 m of an end"] <= near + 40  # the first usable fix is a few seconds on
    assert len(places) + outcome.left_out.total() == len(fixes_of(path))
    assert outcome.segments == 2 == len({one[0] for one in rows})


def _place(fix: Fix) -> Position:
    assert fix.position is not None
    return fix.position


def test_the_ends_are_those_of_the_whole_recording_where_a_part_is_exported(tmp_path: Path) -> None:
    path = _past_home(tmp_path / "home.nmea")
    plan = Plan(Format.CSV, trim_m=200.0, since=since("12:15"), until=until("12:25"))
    data, _ = exported(path, plan)
    places = [Position(*map(float, one.split(",")[2:4])) for one in data.decode().split("\r\n")[1:-1]]
    assert places
    assert all(distance_m(one, HOME) >= 199.9 for one in places)


def test_a_first_fix_that_is_far_off_does_not_uncover_the_first_usable_one(tmp_path: Path) -> None:
    far = laid(HOME, 90.0, 400.0)
    path = tmp_path / "a.nmea"
    doubtful = fix_lines(43_200.0, far).replace(b",08,0.9,", b",03,9.9,")
    walk = shifted(straight(HOME, 0.0, 900), 60.0)
    path.write_bytes(_summed(doubtful) + recorded(tmp_path / "b.nmea", walk).read_bytes())
    assert not fixes_of(path)[0].usable
    data, _ = exported(path, Plan(Format.CSV, trim_m=200.0))
    places = [Position(*map(float, one.split(",")[2:4])) for one in data.decode().split("\r\n")[1:-1]]
    first_usable = next(_place(one.fix) for one in fixes_of(path) if one.usable)
    assert places
    assert all(distance_m(one, first_usable) >= 199.9 and distance_m(one, far) >= 199.9 for one in places)


def _summed(data: bytes) -> bytes:
    """With checksums that fit what was changed."""
    return b"".join(line(one[1:].partition(b"*")[0].decode()) for one in data.splitlines())


def test_neither_the_name_of_the_file_nor_a_place_at_home_gives_it_away(tmp_path: Path) -> None:
    path = _past_home(tmp_path / "2031-05-04T120000 home.nmea")
    about = About(path.name, "from home", (Waypoint("Home", HOME), Waypoint("Hill", laid(HOME, 0.0, 5000.0))))
    for to in (Format.GPX, Format.KML, Format.GEOJSON):
        text = exported(path, Plan(to, trim_m=200.0), about)[0].decode()
        assert "home" not in text.lower()
        assert "T120000" not in text
        assert "Hill" in text


def test_sentences_of_other_places_are_no_part_of_a_trimmed_export(tmp_path: Path) -> None:
    walk = straight(HOME, 0.0, 600)
    path = tmp_path / "a.nmea"
    other = line("GPWPL,1029.98,N,02015.00,W,HOME") + line("PQQQ,home") + line("GPTXT,01,01,02,home")
    path.write_bytes(b"".join(fix_lines(step.at_s, step.place) + other for step in walk))
    data, _ = exported(path, Plan(Format.NMEA, trim_m=200.0))
    assert data.count(b"GGA") > 100
    assert not [word for word in (b"WPL", b"PQQQ", b"TXT", b"home", b"HOME") if word in data]


def test_a_track_that_goes_in_and_out_is_broken_there() -> None:
    points = _points(straight(OCEAN, 0.0, 300, mps=2.0))
    middle = points[150].xyz
    kept = [*trimmed(points, (middle,), 100.0, LeftOut())]
    assert [one.at_s for one in kept if one.begins] == [0.0, next(o.at_s for o in kept if o.at_s > 150)]


@pytest.mark.parametrize(
    ("units", "why"), [("metric", "within 152.4 m of an end"), ("statute", "within 500 ft of an end")]
)
def test_what_was_trimmed_is_told_in_the_user_s_units(units: str, why: str) -> None:
    points, left_out = _points(straight(OCEAN, 0.0, 300, mps=2.0)), LeftOut()
    before = in_use()
    use(SYSTEMS[units])
    try:
        assert [*trimmed(points, (points[0].xyz,), 152.4, left_out)]
    finally:
        use(before)
    assert list(left_out) == [why]


def test_ends_are_the_first_and_last_of_each_kind() -> None:
    ends = Ends()
    for number in range(4):
        ends.see("any", Position(float(number), 0.0))
    ends.see("usable", Position(2.0, 0.0))
    wanted = {earth_centred(Position(one, 0.0)) for one in (0.0, 2.0, 3.0)}
    assert set(ends.centres()) == wanted


# Gaps and jumps


@needs_recordings
@pytest.mark.parametrize(
    "name",
    [
        "phone-2022-walk-cold-start.nmea",
        "car-2005-void-with-old-position-then-fix.nmea",
        "walk-2022-sparse-gga-lf.nmea",
    ],
)
def test_segments_begin_where_the_trip_breaks(name: str) -> None:
    """The trip counts a fix a second; at that rate both must say the same, by two programs."""
    epochs = fixes_of(FOLDER / name)
    breaks, steps = Breaks(), Steps()
    ours = [breaks.take(one.fix, one.at_s)[1] for one in epochs]
    theirs = [steps.take(one.fix, one.at_s, True) for one in epochs]
    pairs = [(a, b.follows is not Follows.GOES_ON) for a, b in zip(ours, theirs, strict=True) if b is not None]
    assert [a for a, _ in pairs] == [b for _, b in pairs]
    assert sum(ours) == sum(b for _, b in pairs)


def test_a_receiver_that_reports_rarely_has_no_gap_between_reports() -> None:
    breaks = Breaks()
    walk = [Step(30.0 * n, laid(OCEAN, 0.0, 40.0 * n)) for n in range(20)]
    told = [breaks.take(Fix(None, step.place, FixMode.AUTONOMOUS, told=True), step.at_s)[1] for step in walk]
    assert told == [True, True, *[False] * 18]


def test_only_fixes_of_the_verdict_asked_for_are_points(tmp_path: Path) -> None:
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 60))
    wanted = [one for one in fixes_of(path) if one.trust.verdict >= Verdict.FIRM]
    assert 0 < len(wanted) < len(fixes_of(path))
    _, outcome = exported(path, Plan(Format.CSV, only=Verdict.FIRM))
    assert outcome.points == len(wanted)
    assert outcome.left_out["of a lower verdict than asked for"] == len(fixes_of(path)) - len(wanted)

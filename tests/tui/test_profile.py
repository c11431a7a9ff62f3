"""The elevation profile: heights where they were, gaps open, figures true, and the bins behind it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import Position
from core.heights import MOST_BINS, Heights, columns
from core.map_view import DOT_STEPS_M
from core.track import TrackPoint, TrackView
from tests.walks import ANYWHERE, OCEAN, Noise, laid, noisy, standing, straight
from tui.canvas.glyphs import BRAILLE, PLAIN
from tui.canvas.grid import Grid
from tui.panes.profile import LEAST_RANGE_M, ProfilePane, ProfileView, draw_profile, height_axis, round_step

SIZE = (60, 13)


def track(heights_m: Sequence[float | None], begins: tuple[int, ...] = (0,), apart_m: float = 10.0) -> TrackView:
    """A straight way with a point every `apart_m`."""
    places = [laid(OCEAN, 70, apart_m * n) for n in range(len(heights_m))]
    points = [
        TrackPoint(place, float(n), None, height, n in begins)
        for n, (place, height) in enumerate(zip(places, heights_m, strict=True))
    ]
    return TrackView(points, len(points))


def followed(view: TrackView) -> Heights:
    heights = Heights()
    heights.follow(view)
    return heights


def rows(view: ProfileView, size: tuple[int, int] = SIZE, heights: Heights | None = None) -> list[str]:
    grid = Grid(*size)
    draw_profile(grid, view, heights)
    return [grid.row_text(y, BRAILLE) for y in range(grid.height)]


def plot(found: list[str]) -> list[str]:
    """Without figures and without the faint dots at them, by themselves in their cells."""
    left = max(row.index(" m") for row in found[:-1] if " m" in row) + 2
    return [row[left:].replace("⠂", " ").replace("⠐", " ") for row in found[:-1]]


# The bins


def test_the_way_is_as_long_as_walked() -> None:
    """Net displacement leaves out less than the last step."""
    heights = followed(track([100.0] * 301))
    assert heights.length_m == pytest.approx(3000, abs=0.01)


def test_standing_adds_nothing() -> None:
    """Ten minutes with the errors of a good receiver (walks.Noise of half the usual size)."""
    steps = noisy(standing(OCEAN, 600), Noise(1.0, 300.0, 0.2), 4)
    points = [TrackPoint(one.place, one.at_s, None, 50.0, n == 0) for n, one in enumerate(steps)]
    assert followed(TrackView(points, len(points))).length_m < 12


def test_a_gap_adds_nothing_to_the_way() -> None:
    assert followed(track([100.0] * 101, begins=(0, 40))).length_m == pytest.approx(990, abs=0.01)


def test_bins_stay_few_and_keep_every_extreme() -> None:
    heights_m: list[float | None] = [100.0 + n % 97 for n in range(6000)]
    heights_m[2345] = 900.0
    heights_m[4003] = -20.0
    heights = followed(track(heights_m))
    assert MOST_BINS / 2 <= len(heights.bins) <= MOST_BINS
    assert heights.bin_m == 64.0
    assert heights.bins[23450 // 64].high_m == 900.0
    assert heights.bins[40030 // 64].low_m == -20.0


def test_point_by_point_is_the_same_as_all_at_once() -> None:
    view = track([100.0 + n % 31 for n in range(400)], begins=(0, 77))
    live = Heights()
    for count in range(view.count + 1):
        live.follow(TrackView(view.points, count))
    # By their words: NaN is not equal to itself.
    assert repr(live.bins) == repr(followed(view).bins)
    assert live.length_m == followed(view).length_m


def test_another_track_is_begun_anew() -> None:
    heights = followed(track([100.0] * 50))
    heights.follow(track([7.0] * 3))
    assert heights.length_m == pytest.approx(20, abs=0.01)
    assert {one.high_m for one in heights.bins if one.high_m == one.high_m} == {7.0}


def test_columns_cover_the_whole_way() -> None:
    found = columns(followed(track([float(n) for n in range(501)])), 100)
    assert len(found) == 100
    assert found[0].low_m == 0
    assert found[-1].high_m == 500
    highs = [one.high_m for one in found]
    assert highs == sorted(highs)


# The drawing


def test_a_climb_rises_from_the_lower_left_to_the_upper_right() -> None:
    found = plot(rows(ProfileView(track([100.0 + n for n in range(201)]))))
    first = [next(y for y, row in enumerate(found) if row[x : x + 4].strip()) for x in range(0, 44, 8)]
    assert first == sorted(first, reverse=True)
    assert first[0] >= len(found) - 3
    assert first[-1] <= 2


def test_the_line_is_whole_where_the_track_is_and_open_where_it_is_not() -> None:
    heights_m: list[float | None] = [150.0] * 200
    whole = plot(rows(ProfileView(track(heights_m))))
    drawn = next(row for row in whole if row.strip())
    assert " " not in drawn.strip()
    for n in range(80, 120):
        heights_m[n] = None
    parted = next(row for row in plot(rows(ProfileView(track(heights_m)))) if row.strip())
    assert 0.17 < parted.strip().count(" ") / len(drawn.strip()) < 0.22


def test_no_line_leads_over_a_gap() -> None:
    """100 m before the gap, 200 m after it: nothing is drawn between."""
    view = track([100.0] * 100 + [200.0] * 100, begins=(0, 100))
    found = plot(rows(ProfileView(view)))
    drawn = [y for y, row in enumerate(found) if row.strip()]
    assert len(drawn) == 2
    assert drawn[1] - drawn[0] > 4
    steep = plot(rows(ProfileView(track([100.0] * 100 + [200.0] * 100))))
    assert all(row.strip() for row in steep[drawn[0] : drawn[1] + 1])


def test_figures_have_units_and_hold_all_heights() -> None:
    found = rows(ProfileView(track([float(n) for n in range(312, 780)])))
    figures = [float(row.split(" m")[0].replace(",", "")) for row in found[:-1] if " m" in row]
    assert figures == sorted(figures, reverse=True)
    assert figures[0] >= 779
    assert figures[-1] <= 312
    assert found[-1].split()[0] == "0"
    assert found[-1].rstrip().endswith("4.67 km")


def test_figures_stand_at_even_distances() -> None:
    for size in ((60, 10), (60, 16), (60, 30), (90, 40)):
        found = rows(ProfileView(track([float(n) for n in range(312, 780)])), size)
        at = [y for y, row in enumerate(found[:-1]) if " m" in row]
        assert len({b - a for a, b in pairwise(at)}) == 1


def test_flat_ground_does_not_look_like_hills() -> None:
    """A metre up and down is a dot or two of the axis, which shows 20 m at least."""
    found = plot(rows(ProfileView(track([100.0 + n % 2 for n in range(200)]))))
    assert sum(bool(row.strip()) for row in found) <= 2


@given(st.floats(-500, 9000), st.floats(0, 9000), st.integers(3, 60))
def test_the_axis_holds_the_heights_and_uses_the_rows(low_m: float, range_m: float, rows_: int) -> None:
    axis = height_axis(low_m, low_m + range_m, rows=rows_)
    assert axis.ticks[0] <= low_m + 1e-6
    assert axis.ticks[-1] >= low_m + range_m - 1e-6
    assert axis.ticks[-1] - axis.ticks[0] >= LEAST_RANGE_M - 1e-6
    assert axis.steps < rows_


@pytest.mark.parametrize(("least", "step"), [(0.9, 1), (1, 1), (1.1, 2), (3, 5), (5.1, 10), (10, 10), (340, 500)])
def test_steps_are_round(least: float, step: float) -> None:
    assert round_step(least) == pytest.approx(step)
    assert step in DOT_STEPS_M


def test_you_are_marked_only_where_the_track_ends() -> None:
    view = track([100.0 + n for n in range(100)])
    end = view.points[-1].position
    blocks = set("▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")
    assert blocks & set("".join(rows(ProfileView(view, end))))
    assert not blocks & set("".join(rows(ProfileView(view, laid(end, 10, 500)))))
    assert not blocks & set("".join(rows(ProfileView(view))))


def test_four_rows_are_enough() -> None:
    found = rows(ProfileView(track([100.0 + n for n in range(100)])), (40, 4))
    assert found[0].split(" m")[0].strip() == "200"
    assert found[2].split(" m")[0].strip() == "100"
    assert any(row.strip() for row in plot(found))


def test_the_caption_names_what_heights_are_above() -> None:
    pane = ProfilePane()
    pane.show(ProfileView(track([100.0, 120.0])))
    assert "mean sea level" in pane.aside.text


@pytest.mark.parametrize("view", [ProfileView(), ProfileView(track([None] * 5)), ProfileView(track([100.0]))])
def test_nothing_to_show_is_said(view: ProfileView) -> None:
    assert any("No heights recorded yet" in row for row in rows(view))


@pytest.mark.parametrize("start", ANYWHERE)
def test_a_way_is_as_long_at_the_edges_of_the_world(start: Position) -> None:
    points = [TrackPoint(step.place, 0.0, None, 10.0, step.at_s == 0) for step in straight(start, 90, 300)]
    assert followed(TrackView(points, len(points))).length_m == pytest.approx(420, abs=5)


numbers = st.floats(allow_nan=True, allow_infinity=True)
points = st.builds(
    TrackPoint,
    st.builds(Position, numbers, numbers) | st.sampled_from([laid(OCEAN, 90, 37.0 * n) for n in range(9)]),
    st.just(0.0),
    st.none(),
    st.none() | st.floats(-1e5, 1e5) | st.just(float("nan")),
    st.booleans(),
)


@settings(max_examples=80, deadline=None)
@given(st.lists(points, max_size=9), st.integers(0, 70), st.integers(0, 30))
def test_anything_can_be_drawn(found: list[TrackPoint], width: int, height: int) -> None:
    here = found[-1].position if found else None
    grid = Grid(width, height)
    draw_profile(grid, ProfileView(TrackView(found, len(found)), here))
    assert all(len(grid.row_text(y, PLAIN)) == width for y in range(height))

"""The map of the trail: what it draws and where, which part of the world, and what it draws again."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import radians

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.fix import Position
from core.map_view import DOT_STEPS_M, MapView, vector
from core.track import TrackPoint, TrackView
from tests.walks import ANYWHERE, NEAR_ANTIMERIDIAN, OCEAN, laid, straight
from tui.canvas.clip import clipped
from tui.canvas.glyphs import BRAILLE, PLAIN, GlyphSet
from tui.canvas.grid import Grid, Span, polar
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.panes.trail import TrailMemory, TrailView, draw_trail
from tui.panes.trail_marks import cell_of
from tui.panes.trail_names import Block, Names, drawn_cells

PALETTE = palette_for("dark", Depth.TRUECOLOR)
SIZE = (60, 24)
BLOCKS = "▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
STEP_2M = DOT_STEPS_M.index(2.0)
EAST = [step.place for step in straight(OCEAN, 90, 60)]
"""84 m to the east."""


def track(places: Sequence[Position], begins: tuple[int, ...] = (0,)) -> TrackView:
    return TrackView([TrackPoint(one, float(n), None, None, n in begins) for n, one in enumerate(places)], len(places))


def drawn(view: TrailView, memory: TrailMemory | None = None, size: tuple[int, int] = SIZE) -> Grid:
    grid = Grid(*size)
    draw_trail(grid, view, memory)
    return grid


def rows(grid: Grid, glyphs: GlyphSet = BRAILLE) -> list[str]:
    return [grid.row_text(y, glyphs) for y in range(grid.height)]


def cells(grid: Grid, ink: Ink, *, last_row: bool = False) -> dict[tuple[int, int], str]:
    """What is drawn in an ink, by column and row."""
    wanted, found = PALETTE.style(ink).color, {}
    for y in range(grid.height - (not last_row)):
        x = 0
        for text, style, _ in grid.strip(y, PALETTE, BRAILLE):
            for char in text:
                if style is not None and style.color == wanted and char != " ":
                    found[x, y] = char
                x += 1
    return found


def map_of(memory: TrailMemory) -> MapView:
    assert memory.framing.map is not None
    return memory.framing.map


# The track


def test_the_track_lies_where_it_was_walked() -> None:
    """42 dots at 2 m to the dot, on the row of dots through the middle."""
    view = TrailView(track(EAST), OCEAN, zoom=STEP_2M)
    row = rows(drawn(view))[11]
    # Your ring covers the first two cells beyond the middle one.
    assert row[33:52].strip() != ""
    assert set(row[33:50]) == {"⠤"}
    assert row[52:].strip() == ""


def test_no_line_crosses_a_gap() -> None:
    """84 m, a gap of 36 m, 84 m, at 5 m to the dot."""
    places = [*EAST, *(laid(one, 90, 120) for one in EAST)]
    whole = cells(drawn(TrailView(track(places), zoom=STEP_2M + 1)), Ink.TRAIL)
    parted = cells(drawn(TrailView(track(places, begins=(0, 61)), zoom=STEP_2M + 1)), Ink.TRAIL)
    assert set(parted) < set(whole)
    columns, left = sorted(x for x, _ in whole), sorted(x for x, _ in parted)
    assert columns == list(range(columns[0], columns[-1] + 1))
    assert max(b - a for a, b in pairwise(left)) == 4


@pytest.mark.parametrize("start", ANYWHERE)
def test_the_same_walk_looks_the_same_everywhere(start: Position) -> None:
    """Across the antimeridian, and across a pole: 28 m of it beyond."""
    memory = TrailMemory()
    grid = drawn(TrailView(track([step.place for step in straight(start, 90, 60)]), start, zoom=STEP_2M), memory)
    found = cells(grid, Ink.TRAIL)
    assert {y for _, y in found} == {11}
    assert max(x for x, _ in found) == 51


def test_a_point_alone_is_a_dot() -> None:
    assert len(cells(drawn(TrailView(track([OCEAN]), zoom=STEP_2M)), Ink.TRAIL)) == 1


def test_lines_that_leave_the_map_end_at_its_edge() -> None:
    """A thousand kilometres at 2 m to the dot would be half a million dots."""
    far = [OCEAN, laid(OCEAN, 90, 1_000_000), OCEAN]
    found = cells(drawn(TrailView(track(far), OCEAN, zoom=STEP_2M)), Ink.TRAIL)
    assert max(x for x, _ in found) == SIZE[0] - 1


@given(st.tuples(*[st.floats(-200, 200)] * 4))
def test_clipping_keeps_what_can_be_seen(ends: tuple[float, float, float, float]) -> None:
    start, end = ends[:2], ends[2:]
    part = clipped(start, end, (40, 20))
    for share in range(101):
        x, y = (a + (b - a) * share / 100 for a, b in zip(start, end, strict=True))
        if -0.5 <= x < 39.5 and -0.5 <= y < 19.5:
            assert part is not None
            (x0, y0), (x1, y1) = part
            assert min(x0, x1) - 1e-9 <= x <= max(x0, x1) + 1e-9
            assert min(y0, y1) - 1e-9 <= y <= max(y0, y1) + 1e-9
    assert part is None or all(-1.01 <= x <= 40.01 and -1.01 <= y <= 20.01 for x, y in part)


# Drawing again


def test_point_by_point_the_drawing_is_the_one_of_the_whole() -> None:
    places = [step.place for step in straight(OCEAN, 40, 30)] + [laid(OCEAN, 100, 30 + n) for n in range(20)]
    view, memory = track(places, begins=(0, 31)), TrailMemory()
    for count in range(1, view.count):
        drawn(TrailView(TrackView(view.points, count), OCEAN, zoom=STEP_2M), memory)
    grid = drawn(TrailView(view, OCEAN, zoom=STEP_2M), memory)
    assert rows(grid) == rows(drawn(TrailView(view, OCEAN, zoom=STEP_2M)))


def test_a_new_point_draws_one_line_and_the_rest_stays() -> None:
    view, memory = track(EAST), TrailMemory()
    drawn(TrailView(TrackView(view.points, 40), OCEAN, zoom=STEP_2M), memory)
    raster, shown = memory.raster.grid, memory.framing.map
    drawn(TrailView(TrackView(view.points, 41), OCEAN, zoom=STEP_2M), memory)
    assert memory.raster.grid is raster
    assert memory.framing.map is shown
    version = memory.raster.version
    drawn(TrailView(TrackView(view.points, 41), OCEAN, zoom=STEP_2M), memory)
    assert memory.raster.version == version


def test_another_track_leaves_nothing_of_the_first() -> None:
    memory = TrailMemory()
    drawn(TrailView(track(EAST), OCEAN, zoom=STEP_2M), memory)
    south = track([step.place for step in straight(OCEAN, 180, 40)])
    assert rows(drawn(TrailView(south, OCEAN, zoom=STEP_2M), memory)) == rows(
        drawn(TrailView(south, OCEAN, zoom=STEP_2M))
    )


# Which part of the world


def test_the_map_stands_still_until_the_middle_is_left() -> None:
    """120 dots wide at 2 m: the middle 60 % ends 72 m from the middle."""
    memory = TrailMemory()
    drawn(TrailView(None, OCEAN, zoom=STEP_2M), memory)
    first = map_of(memory)
    drawn(TrailView(None, laid(OCEAN, 90, 71), zoom=STEP_2M), memory)
    assert map_of(memory) is first
    drawn(TrailView(None, laid(OCEAN, 90, 73), zoom=STEP_2M), memory)
    assert map_of(memory) is not first
    assert map_of(memory).plane.origin == laid(OCEAN, 90, 73)


def test_a_lost_position_leaves_the_map_where_it_is() -> None:
    memory = TrailMemory()
    drawn(TrailView(track(EAST), EAST[-1], zoom=STEP_2M), memory)
    first = map_of(memory)
    drawn(TrailView(track(EAST), None, zoom=STEP_2M), memory)
    assert map_of(memory).place(*map_of(memory).middle) == pytest.approx(first.place(*first.middle), abs=1e-7)


def test_a_map_moved_by_hand_does_not_follow() -> None:
    memory = TrailMemory()
    drawn(TrailView(None, OCEAN, zoom=STEP_2M), memory)
    for away in (0, 50, 500):
        drawn(TrailView(None, laid(OCEAN, 0, away), zoom=STEP_2M, pan=(30.0, 0.0)), memory)
        assert map_of(memory).dot(vector(OCEAN)) == pytest.approx((60 - 30, 46))


def test_everything_fits_and_fills_most_of_the_map() -> None:
    memory, target = TrailMemory(), laid(OCEAN, 200, 3_000)
    drawn(TrailView(track(EAST), EAST[-1], target=("Gull rock", target)), memory)
    dots = map_of(memory).dots(map(vector, (EAST[0], EAST[-1], target)))
    assert all(map_of(memory).holds(dot, 0.81) for dot in dots)
    assert max(abs(y - map_of(memory).middle[1]) for _, y in dots) > 0.5 * 92 / 2


def test_a_growing_track_is_refitted_seldom() -> None:
    memory = TrailMemory()
    view = track([step.place for step in straight(OCEAN, 20, 1500)])
    maps: list[MapView] = []
    for count in range(1, view.count + 1):
        here = view.points[count - 1].position
        drawn(TrailView(TrackView(view.points, count), here), memory)
        shown = map_of(memory)
        assert shown.holds(shown.dot(vector(here)))
        if not maps or maps[-1] is not shown:
            maps.append(shown)
    assert 3 < len(maps) < 25


def test_waypoints_are_shown_where_there_is_nothing_else() -> None:
    grid = drawn(TrailView(waypoints=[("ford", OCEAN), ("hut", laid(OCEAN, 80, 900))]))
    assert sum(row.count("x") for row in rows(grid)[:-1]) == 2


# Marks


@pytest.mark.parametrize("course", [0, 45, 90, 135, 180, 225, 270, 315])
def test_the_arrowhead_points_along_the_course(course: int) -> None:
    found = cells(drawn(TrailView(None, OCEAN, course_deg=float(course), zoom=STEP_2M, note="")), Ink.COURSE)
    assert set(found.values()) <= set(BLOCKS)
    assert len(found) >= 7
    for away, there in ((6.5, True), (-7.0, False)):
        assert (cell_of(polar((60, 46), away, radians(course))) in found) is there, away


def test_stale_is_hollow_and_without_a_course_there_is_a_ring() -> None:
    views = [
        TrailView(None, OCEAN, here_stale=stale, course_deg=course, zoom=STEP_2M, note="")
        for stale in (False, True)
        for course in (None, 90.0)
    ]
    ring, arrow, old_ring, old_arrow = (
        cells(drawn(view), Ink.STALE if view.here_stale else Ink.COURSE) for view in views
    )
    assert set(arrow.values()) <= set(BLOCKS)
    for found in (ring, old_ring, old_arrow):
        assert found
        assert not set(found.values()) & set(BLOCKS)
    assert set(old_ring) < set(ring)
    assert not cells(drawn(views[2]), Ink.COURSE)


def test_the_kite_stands_on_the_target_and_has_its_name() -> None:
    target = laid(OCEAN, 90, 40)
    grid = drawn(TrailView(None, OCEAN, target=("Gull rock", target), zoom=STEP_2M))
    shape = {cell: char for cell, char in cells(grid, Ink.TARGET).items() if char in BLOCKS}
    # 20 dots right of the middle, which is dot 60, 46.
    lowest = max(shape, key=lambda cell: cell[1])
    assert lowest == (40, 11)
    assert "Gull rock" in rows(grid)[10]


def test_a_target_off_the_map_is_at_its_edge_with_the_distance() -> None:
    grid = drawn(TrailView(None, OCEAN, target=("Gull rock", laid(OCEAN, 90, 1840)), zoom=STEP_2M))
    shape = [cell for cell, char in cells(grid, Ink.TARGET).items() if char in BLOCKS]
    assert min(x for x, _ in shape) >= SIZE[0] - 6
    assert any("Gull rock 1.84 km" in row for row in rows(grid))


def test_a_held_place_is_a_box_and_nothing_else_looks_like_it() -> None:
    held = cells(drawn(TrailView(held=("Mast field", OCEAN), zoom=STEP_2M)), Ink.NORTH)
    ring = cells(drawn(TrailView(here=OCEAN, zoom=STEP_2M)), Ink.COURSE)
    shape = {cell: char for cell, char in held.items() if cell[0] < 40 and "⠀" < char <= "⣿"}
    assert shape
    assert shape != ring
    assert any("Mast field" in row for row in rows(drawn(TrailView(held=("Mast field", OCEAN), zoom=STEP_2M))))


def test_the_way_back_is_beads_apart() -> None:
    found = cells(drawn(TrailView(track(EAST), OCEAN, back=EAST[::-10], zoom=STEP_2M)), Ink.TARGET)
    columns = sorted(x for x, _ in found)
    assert len(columns) >= 4
    assert all(b - a >= 3 for a, b in pairwise(columns))
    assert set(found.values()) <= {"▀", "▄"}


def test_names_stand_off_each_other_and_all_marks_stay() -> None:
    places = [(f"place {n}", laid(OCEAN, 36 * n, 20 + 4 * n)) for n in range(10)]
    grid = drawn(TrailView(track(EAST), OCEAN, waypoints=places, zoom=STEP_2M))
    text = "\n".join(rows(grid)[:-1])
    assert text.count("x") >= 9
    for name, _ in places:
        assert text.count(name) <= 1
        for tail in text.split(name)[1:]:
            assert tail[:1] not in "abcdefghijklmnopqrstuvwxyz"
    assert sum(name in text for name, _ in places) >= 8


def test_names_do_not_jump() -> None:
    memory, places = TrailMemory(), [("ford", laid(OCEAN, 90, 30)), ("hut", laid(OCEAN, 90, 50))]
    first = rows(drawn(TrailView(None, OCEAN, waypoints=places, zoom=STEP_2M), memory))
    for _ in range(3):
        assert rows(drawn(TrailView(None, OCEAN, waypoints=list(places), zoom=STEP_2M), memory)) == first


def test_a_name_finds_a_place_off_the_track_while_there_is_one() -> None:
    grid = Grid(30, 5)
    grid.line((30, 9), (59, 9), Ink.TRAIL)
    names = Names(grid, drawn_cells(grid), {})
    assert names.write(Block(12, 2, 12, 2), Span("ford"))
    assert rows(grid)[2].startswith("       ford")


@pytest.mark.parametrize(("width", "told"), [(60, "Mark 1 09:15 UTC 5.00 km"), (24, "Mark 1 09~ 5.00 km")])
def test_a_place_off_the_map_has_its_whole_name_where_there_is_room(width: int, told: str) -> None:
    view = TrailView(None, OCEAN, target=("Mark 1 09:15 UTC", laid(OCEAN, 90, 5000)), zoom=STEP_2M)
    assert told in "\n".join(rows(drawn(view, size=(width, 12))))


def test_places_off_the_map_are_left_out_and_new_lists_of_the_same_cost_no_sorting() -> None:
    memory = TrailMemory()
    places = [(f"place {n}", laid(NEAR_ANTIMERIDIAN, n % 360, 5.0 * n)) for n in range(1, 2000)]
    view = TrailView(None, NEAR_ANTIMERIDIAN, waypoints=places, zoom=STEP_2M)
    drawn(view, memory)
    shown = memory.waypoints.on(map_of(memory), places)
    cells_of = [cell_of(one.dot) for one in shown]
    dots = map_of(memory).dots(vector(place) for _, place in places)
    assert set(cells_of) == {cell_of(dot) for dot in dots if map_of(memory).holds(dot, 0.99)}
    assert len(cells_of) == len(set(cells_of)) > 10
    assert memory.waypoints.on(map_of(memory), list(places)) is shown


# Words


def test_nothing_recorded_is_said() -> None:
    assert any("Nothing recorded yet" in row for row in rows(drawn(TrailView())))
    assert any("Nothing recorded yet" in row for row in rows(drawn(TrailView(TrackView((), 0), OCEAN, zoom=STEP_2M))))
    assert not any("Nothing recorded" in row for row in rows(drawn(TrailView(track(EAST), OCEAN, zoom=STEP_2M))))


@pytest.mark.parametrize(
    ("zoom", "words", "dots"), [(0, "10 m", 20), (1, "20 m", 20), (2, "50 m", 25), (9, "10 km", 20)]
)
def test_the_scale_bar_is_as_long_as_it_says(zoom: int, words: str, dots: int) -> None:
    foot = rows(drawn(TrailView(None, OCEAN, zoom=zoom, label="free"), size=(50, 12)), PLAIN)[-1]
    assert words in foot
    assert foot.rstrip().endswith("free")
    bar = foot[: foot.index(words)].rstrip()
    assert bar.strip()[0] == "|"
    assert (len(bar.strip()) - 1) * 2 == pytest.approx(dots, abs=1)


def test_north_is_marked() -> None:
    assert any(row.rstrip().endswith("N") for row in rows(drawn(TrailView(None, OCEAN)))[:4])


# Anything


numbers = st.floats(allow_nan=True, allow_infinity=True)
hostile = st.tuples(st.text(max_size=30), st.builds(Position, numbers, numbers) | st.sampled_from(ANYWHERE))


pans = st.none() | st.just((3.0, -4.0))
views = st.builds(
    TrailView,
    track=st.lists(st.builds(Position, numbers, numbers) | st.sampled_from(ANYWHERE), max_size=6).map(track),
    here=st.none() | hostile.map(lambda place: place[1]),
    here_stale=st.booleans(),
    course_deg=st.none() | st.floats(-720, 720),
    target=st.none() | hostile,
    waypoints=st.lists(hostile, max_size=4),
    held=st.none() | hostile,
    back=st.lists(hostile.map(lambda place: place[1]), max_size=4),
    zoom=st.none() | st.integers(-5, 30),
    pan=pans,
)


@settings(max_examples=80, deadline=None)
@given(st.tuples(st.integers(0, 70), st.integers(0, 30)), views)
@example((16, 5), TrailView(None, back=[Position(float("inf"), 0.0)]))
@example((16, 5), TrailView(None, back=[Position(0.0, float("inf"))]))
@example((16, 5), TrailView(None, back=[Position(float("nan"), float("nan"))]))
def test_anything_can_be_drawn(size: tuple[int, int], view: TrailView) -> None:
    grid = drawn(view, size=size)
    for row in (*rows(grid), *rows(grid, PLAIN)):
        assert len(row) == size[0]
        assert row.isprintable()

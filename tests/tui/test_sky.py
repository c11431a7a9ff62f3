"""The sky plot: where satellites lie, what touches what, and what is said when there is nothing."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import Satellite
from tests.tui.support import SETTLED, board_app, screen_text, show
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import Depth, palette_for
from tui.panes.places import ABOVE, BELOW, INWARDS, LEFT, RIGHT, Crowd
from tui.panes.sky import SkyView, counts, draw_sky, has_shades, strongest_first
from tui.panes.sky_base import IN_FIX_MASK, SILENT_MASK, TRACKED_MASK

SIZES = [(26, 12), (34, 17), (60, 30), (100, 52), (120, 20), (30, 60)]


class Watched(Grid):
    """A grid that remembers what was written and stamped on it."""

    __slots__ = ("masks", "spans", "stamps")

    def __init__(self, width: int, height: int) -> None:
        super().__init__(width, height)
        self.spans: list[tuple[int, int, Span]] = []
        self.stamps: list[tuple[int, int, Ink]] = []
        self.masks: list[int] = []

    def put(self, x: int, y: int, span: Span) -> int:
        self.spans.append((x, y, span))
        return super().put(x, y, span)

    def stamp(self, x: int, y: int, mask: int, ink: Ink) -> None:
        self.stamps.append((x, y, ink))
        self.masks.append(mask)
        super().stamp(x, y, mask, ink)


def sat(
    name: str, elevation: int | None, azimuth: int | None, cno: int | None = 40, *, in_fix: bool = False
) -> Satellite:
    return Satellite(name, elevation, azimuth, cno, in_fix)


def watched(view: SkyView, size: tuple[int, int] = (60, 30), places: dict[str, int] | None = None) -> Watched:
    grid = Watched(*size)
    draw_sky(grid, view, places)
    return grid


def drawn(view: SkyView, size: tuple[int, int] = (60, 30)) -> list[str]:
    grid = watched(view, size)
    return [grid.row_text(y, BRAILLE) for y in range(grid.height)]


def test_shades_of_signals_are_explained_only_where_there_are_any() -> None:
    view = SkyView((sat("G01", 40, 90, in_fix=True),))
    assert "<25 25 35 40 45" in drawn(view, (80, 34))[1]
    rows = drawn(view._replace(has_shades=False), (80, 34))
    assert not any("<25" in row or "signal, dB-Hz" in row for row in rows)
    assert "in the fix" in rows[0]


@pytest.mark.parametrize(
    ("theme", "depth", "wanted"),
    [
        *((theme, depth, True) for theme in ("dark", "daylight", "night") for depth in (Depth.TRUECOLOR, Depth(8))),
        *((theme, depth, False) for theme in ("dark", "daylight", "night", "ansi") for depth in (Depth(4), Depth.NONE)),
        ("ansi", Depth.TRUECOLOR, False),
    ],
)
def test_few_colours_have_one_shade_for_all_signals(theme: str, depth: Depth, wanted: bool) -> None:
    assert has_shades(palette_for(theme, depth)) is wanted


async def test_the_legend_follows_the_theme(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(160, 40)) as pilot:
        show(app, SETTLED)
        for page, stage in (("sky", False), ("sky", True), ("board", False)):
            app.action_page(page)
            show(app, SETTLED.changed(is_stage=stage))
            for theme, wanted in (("dark", True), ("ansi", False), ("night", True)):
                app.board.palette = palette_for(theme, Depth.TRUECOLOR)
                await pilot.pause()
                assert ("<25 25 35 40 45" in screen_text(app)) is wanted, (page, stage, theme)


def marker(satellite: Satellite, up_deg: float = 0, size: tuple[int, int] = (60, 31)) -> tuple[int, int]:
    """Columns right of and rows below the middle of the plot, whose last row is for the counts."""
    x, y, _ = watched(SkyView((satellite,), up_deg), size).stamps[0]
    return x - size[0] // 2, y - (size[1] - 1) // 2


# Directions


def test_overhead_is_the_middle_whatever_the_azimuth() -> None:
    for azimuth in (0, 90, 211, 359):
        x, y = marker(sat("G01", 90, azimuth))
        assert (-1 <= x <= 0, -1 <= y <= 0) == (True, True)


@pytest.mark.parametrize(
    ("azimuth", "up", "right", "below"),
    [
        (0, 0, 0, -1),
        (90, 0, 1, 0),
        (180, 0, 0, 1),
        (270, 0, -1, 0),
        (90, 90, 0, -1),
        (0, 90, -1, 0),
        (247, 247, 0, -1),
        (337, 247, 1, 0),
        (10, 280, 1, 0),
        (359, -1, 0, -1),
    ],
)
def test_azimuths_run_clockwise_from_the_bearing_at_the_top(azimuth: int, up: float, right: int, below: int) -> None:
    x, y = marker(sat("G01", 10, azimuth), up)
    # 10 degrees up: eight ninths of the radius, which is 27 columns or 13 rows here.
    assert abs(x - 24 * right) <= 1
    assert abs(y - 12 * below) <= 1


def test_distance_from_the_middle_is_linear_in_zenith_distance() -> None:
    columns = [marker(sat("G01", elevation, 90), size=(100, 51))[0] for elevation in (90, 60, 30, 0)]
    steps = [right - left for left, right in pairwise(columns)]
    assert max(steps) - min(steps) <= 1
    # The horizon: half the height, less the margin of a row and a half.
    assert abs(columns[-1] - 47) <= 1


def test_letters_turn_with_the_plot() -> None:
    north_up, east_up = drawn(SkyView()), drawn(SkyView(up_deg=90))
    assert "N" in north_up[0]
    assert "E" in east_up[0]
    assert "W" in next(row for row in east_up[::-1] if row.strip())
    assert any(row.strip().startswith("N") for row in east_up[10:20])


# Who is drawn


def test_a_satellite_without_a_direction_is_listed_and_not_drawn() -> None:
    satellites = (sat("G05", None, 120), sat("E12", 40, None), sat("R03", -4, 10), sat("C21", 40, 200))
    grid = watched(SkyView(satellites))
    assert "not placed: C21" not in grid.row_text(29, BRAILLE)
    assert grid.row_text(29, BRAILLE).rstrip().endswith("not placed: E12 G05 R03")
    assert {span.text for _, _, span in grid.spans} & {"G05", "E12", "R03", "C21"} == {"C21"}


def test_the_unplaced_are_counted_where_their_names_find_no_room() -> None:
    satellites = tuple(sat(f"G{n:02d}", None, None) for n in range(1, 20))
    row = drawn(SkyView(satellites), (46, 20))[-1]
    assert row.split("  ")[0] == " in the fix 0 of 19 in view"
    assert row.rstrip().endswith("not placed: 19")


def test_states_differ_in_shape() -> None:
    view = SkyView((sat("G01", 45, 90, 40, in_fix=True), sat("G02", 45, 180), sat("G03", 45, 270, None)))
    grid = watched(view)
    papers = {span.text: span.paper for _, _, span in grid.spans}
    assert papers["G01"] is Paper.PILL_4
    assert papers["G02"] is papers["G03"] is None
    for glyphs in GLYPH_SETS.values():
        assert glyphs.lines[SILENT_MASK] != glyphs.lines[TRACKED_MASK]
    assert set(grid.masks) == {SILENT_MASK, TRACKED_MASK, IN_FIX_MASK}


def test_a_stale_sky_shows_no_signal_as_present() -> None:
    satellites = (sat("G01", 45, 90, 45, in_fix=True), sat("G02", 45, 180))
    grid = watched(SkyView(satellites, stale=True))
    looks = {span.text: (span.ink, span.paper) for _, _, span in grid.spans}
    assert looks["G01"] == (Ink.PILL, Paper.PILL_0)
    assert looks["G02"] == (Ink.STALE, None)
    assert Ink.SIGNAL_5 not in {ink for _, _, ink in grid.stamps}


def test_counts_are_in_words_that_fit() -> None:
    satellites = [sat(f"G{n:02d}", 10, 10, in_fix=n < 9) for n in range(14)]
    assert counts(satellites, 40) == "in the fix 9 of 14 in view"
    assert counts(satellites, 20) == "in the fix 9 of 14"
    assert counts([], 40) == ""


def test_the_strongest_come_first_and_those_in_the_fix_before_all() -> None:
    order = strongest_first([sat("G03", 1, 1, None), sat("G02", 1, 1, 50), sat("G01", 1, 1, 20, in_fix=True)])
    assert [satellite.name for satellite in order] == ["G01", "G02", "G03"]


@pytest.mark.parametrize("size", [*SIZES, (20, 5), (10, 3)])
def test_an_empty_sky_says_why(size: tuple[int, int]) -> None:
    text = " ".join(" ".join(drawn(SkyView(note="No port open"), size)).split())
    assert ("No port open" in text) or (size == (10, 3) and "No port" in text)


def test_a_hostile_note_and_name_stay_in_their_cells() -> None:
    view = SkyView((sat("\x1b[2J", 45, 90),), note="\x1b]0;x\x07")
    for row in (*drawn(view), *drawn(SkyView(note="\x1b]0;x\x07 日本"))):
        assert len(row) == 60
        assert "\x1b" not in row


# Small panes


def test_a_small_pane_lists_instead_of_plotting() -> None:
    satellites = (sat("G05", 65, 123, 44, in_fix=True), sat("E12", 8, 300, 31), sat("R03", None, None, None))
    rows = drawn(SkyView(satellites), (25, 9))
    assert rows[0].split() == ["sat", "dB-Hz", "elev", "azim"]
    assert rows[1].split() == ["G05", "44", "65°", "123°"]
    assert rows[2].split() == ["E12", "31", "8°", "300°"]
    assert rows[3].split() == ["R03"]
    assert rows[-1].strip() == "in the fix 1 of 3"


def test_a_list_that_is_too_long_goes_on_in_columns_and_says_what_is_hidden() -> None:
    satellites = tuple(sat(f"G{n:02d}", 10, 10, 60 - n) for n in range(1, 31))
    rows = drawn(SkyView(satellites), (48, 6))
    assert rows[1].split() == ["G01", "59", "G05", "55", "G09", "51", "G13", "47"]
    assert rows[-1].strip() == "in the fix 0 of 30 in view, 14 more"


@pytest.mark.parametrize("size", [(0, 0), (1, 1), (3, 2), (5, 1), (26, 1), (1, 40)])
def test_hardly_any_room_is_no_error(size: tuple[int, int]) -> None:
    rows = drawn(SkyView((sat("G05", 65, 123), sat("E12", 8, 300))), size)
    assert [len(row) for row in rows] == [size[0]] * size[1]


# Names do not touch


satellites_st = st.lists(
    st.tuples(st.integers(0, 90), st.integers(0, 359), st.one_of(st.none(), st.integers(15, 52)), st.booleans()),
    min_size=40,
    max_size=40,
).map(lambda rows: tuple(Satellite(f"{'GREC'[n % 4]}{n:02d}", *row) for n, row in enumerate(rows)))


@settings(max_examples=60, deadline=None)
@given(satellites_st, st.sampled_from(SIZES), st.integers(0, 359))
def test_no_two_names_or_pills_touch(satellites: tuple[Satellite, ...], size: tuple[int, int], up: int) -> None:
    places: dict[str, int] = {}
    grid = watched(SkyView(satellites, float(up)), size, places)
    _assert_apart(grid, {satellite.name for satellite in satellites})
    # The next epoch, with the names' places remembered and the plot turned a little.
    grid = watched(SkyView(satellites, float(up) + 3), size, places)
    _assert_apart(grid, {satellite.name for satellite in satellites})


def _assert_apart(grid: Watched, names: set[str]) -> None:
    labels = [(x, y, span) for x, y, span in grid.spans if span.text in names]
    markers = {(x, y) for x, y, _ in grid.stamps}
    for x, y, _ in labels:
        assert x >= 0
        assert x + 3 <= grid.width
        assert not markers & {(x + n, y) for n in range(3)}
        # One of the neighbours may be a marker: its own. The other is blank.
        assert len(markers & {(x - 1, y), (x + 3, y)}) <= 1
    for (x0, y0, _), (x1, y1, _) in combinations(labels, 2):
        assert y0 != y1 or abs(x0 - x1) >= 4
    pills = [_pill(grid, x, y) for x, y, span in labels if span.paper is not None]
    for one, other in combinations(pills, 2):
        assert not other & {(x + dx, y + dy) for x, y in one for dx, dy in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1))}


def _pill(grid: Watched, x: int, y: int) -> set[tuple[int, int]]:
    """The name's cells and, where it is beside, its marker's."""
    ends = {(mx, my) for mx, my, ink in grid.stamps if ink is Ink.PILL and my == y and mx in {x - 1, x + 3}}
    return {(x, y), (x + 1, y), (x + 2, y)} | ends


def test_forty_satellites_all_keep_their_names_where_there_is_room() -> None:
    satellites = tuple(sat(f"G{n:02d}", n * 37 % 85, n * 83 % 360, in_fix=n % 3 == 0) for n in range(40))
    grid = watched(SkyView(satellites))
    assert {s.name for s in satellites} <= {span.text for _, _, span in grid.spans}


def test_a_name_keeps_its_place_while_it_is_free() -> None:
    places: dict[str, int] = {}
    watched(SkyView((sat("G01", 40, 80),)), places=places)
    assert places == {"G01": LEFT}
    # Over the middle line, where names lean the other way.
    watched(SkyView((sat("G01", 40, 350),)), places=places)
    assert places == {"G01": LEFT}
    fresh: dict[str, int] = {}
    watched(SkyView((sat("G01", 40, 350),)), places=fresh)
    assert fresh == {"G01": RIGHT}


def test_places_of_names_long_gone_do_not_pile_up() -> None:
    places = {f"?{n}": LEFT for n in range(1000)}
    watched(SkyView((sat("G01", 40, 80),)), places=places)
    assert places == {"G01": LEFT}


def test_two_in_one_place_both_keep_a_name() -> None:
    grid = watched(SkyView((sat("G01", 40, 80), sat("E01", 40, 80))))
    assert {"G01", "E01"} <= {span.text for _, _, span in grid.spans}


# Places


def test_a_place_beside_needs_a_blank_on_both_sides() -> None:
    crowd = Crowd(12, 3)
    crowd.take(5, 1)
    crowd.take(9, 1)
    # Right would be cells 6 to 8, against the marker at 9.
    spot = crowd.place((5, 1), 3, INWARDS[0], pill=False)
    assert spot is not None
    assert (spot.place, spot.x, spot.y) == (LEFT, 2, 1)


def test_pills_keep_off_the_rows_of_other_pills() -> None:
    crowd = Crowd(20, 3)
    crowd.take(5, 0)
    crowd.take(5, 1)
    assert crowd.place((5, 0), 3, (RIGHT,), pill=True) is not None
    assert crowd.place((5, 1), 3, (RIGHT,), pill=True) is None
    assert crowd.place((5, 1), 3, (RIGHT,), pill=False) is not None


def test_no_room_is_no_place() -> None:
    crowd = Crowd(3, 1)
    crowd.take(1, 0)
    assert crowd.place((1, 0), 3, INWARDS[0], pill=False) is None
    assert crowd.place((1, 0), 3, (ABOVE, BELOW), pill=False) is None


def test_a_copy_of_a_crowd_is_independent() -> None:
    crowd = Crowd(5, 1)
    copy = crowd.copy()
    copy.take(2, 0)
    assert crowd.is_free(2, 0, 1)
    assert not copy.is_free(2, 0, 1)
    assert not copy.is_free(1, 0, 1)
    assert not copy.is_free(4, 0, 2)

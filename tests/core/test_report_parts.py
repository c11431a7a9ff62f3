"""The parts a report is made of: what is thinned keeps its extremes and its gaps, and text stays text."""

from __future__ import annotations

import itertools
import math
from html.parser import HTMLParser

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Fix, FixMode, Position, Utc
from core.report.axes import Axis, round_step, ticks
from core.report.columns import MOST_COLUMNS, Columns, extremes, runs
from core.report.markup import LONGEST_TEXT, clean, figure, foreign, tag
from core.report.quality import Spread95
from core.report.svg import NEAR, line, thinned
from core.report.times import MOST_TICKS, Times, TimesFound
from core.report.way import MOST_PLACES, Way
from core.report.words import between, length, number, share, span
from core.trust import Verdict

VALUES = st.lists(st.tuples(st.integers(1, 8), st.floats(-1e6, 1e6)), min_size=1, max_size=3000)


@given(VALUES)
def test_no_extreme_is_lost_and_no_more_columns_are_kept_than_are_drawn(steps: list[tuple[int, float]]) -> None:
    columns, at_s = Columns(), 0.0
    for step, value in steps:
        at_s += step
        columns.take(at_s, value)
    found = columns.columns()
    values = [value for _, value in steps]
    assert extremes(found) == (min(values), max(values))
    assert len(found) <= MOST_COLUMNS
    assert sum(one.count for one in found) == len(values)
    assert (found[0].first, found[-1].last) == (values[0], values[-1])
    assert len(runs(found)) == 1


def test_a_day_at_one_a_second_is_as_small_as_an_hour() -> None:
    columns = Columns()
    for second in range(86_400):
        columns.take(float(second), 1e9 if second == 43_210 else math.sin(second))
    found = columns.columns()
    assert MOST_COLUMNS / 2 <= len(found) <= MOST_COLUMNS
    assert max(one.high for one in found) == 1e9
    peak = next(one for one in found if one.high == 1e9)
    assert peak.at_s <= 43_210 <= peak.end_s


def test_a_line_through_a_column_goes_by_its_extremes_in_the_order_of_time() -> None:
    columns = Columns()
    for second in range(MOST_COLUMNS * 2):
        columns.take(float(second), float((second * 7919) % 1009))
    for one in columns.columns():
        points = one.points()
        assert {one.low, one.high, one.first, one.last} == {value for _, value in points}
        assert [at_s for at_s, _ in points] == sorted(at_s for at_s, _ in points)


def test_a_gap_of_eleven_seconds_breaks_the_line_and_one_of_ten_does_not() -> None:
    assert [len(runs(_told([0, 1, 2, 2 + gap, 3 + gap]))) for gap in (10, 11)] == [1, 2]


def test_what_is_told_every_twelfth_second_has_no_gaps() -> None:
    """But for the first, before which nobody knows how often it will be told."""
    assert len(runs(_told(list(range(0, 1200, 12))))) <= 100
    usual = _told([*range(0, 40, 9), *range(48, 1200, 12)])
    assert len(runs(usual)) == 1


def test_what_is_said_to_be_unknown_breaks_the_line_even_within_a_column() -> None:
    columns = Columns()
    for second in range(MOST_COLUMNS * 4):
        if second == 1002:
            columns.blank()
        else:
            columns.take(float(second), 1.0)
    assert len(runs(columns.columns())) == 2
    ends = [piece[-1][0] for piece in runs(columns.columns())]
    assert ends[0] == 1003  # to the end of its column of four seconds


def _told(seconds: list[int]) -> tuple:  # type: ignore[type-arg]  # of Columns, as they come
    columns = Columns()
    for second in seconds:
        columns.take(float(second), 1.0)
    return columns.columns()


def laid(metres: float, off_m: float = 0.0) -> Position:
    """So far east along the equator, and so far north of it."""
    return Position(off_m / 110_574.0, metres / 111_319.5)


def test_a_long_way_keeps_its_ends_and_never_leaves_the_true_way_by_more_than_its_step() -> None:
    way = Way()
    truth = [laid(1.5 * n, 40 * math.sin(n / 50)) for n in range(20_000)]
    for n, place in enumerate(truth):
        way.take(place, Verdict.FIRM, begins=n == 0)
    found = [one.position for one in way.places()]
    assert len(found) <= MOST_PLACES + 1
    assert (found[0], found[-1]) == (truth[0], truth[-1])
    pairs = itertools.islice(itertools.pairwise(found[1:-1]), 0, None, 97)
    steps = [Geodesic.WGS84.Inverse(*a, *b)["s12"] for a, b in pairs]
    assert 8.0 <= min(steps) <= max(steps) <= 16.0  # 30 km in at most 5000 places; two steps of 8 m at most


def test_pieces_stay_apart_and_keep_their_ends_however_much_is_thinned() -> None:
    way = Way()
    for piece in range(10):
        for n in range(2000):
            way.take(laid(piece * 100_000 + n * 3.0), Verdict.FIRM, begins=n == 0)
    ends = [laid(piece * 100_000 + 1999 * 3.0) for piece in range(10)]
    places = way.places()
    begins = [number for number, one in enumerate(places) if one.begins]
    assert (len(begins), way.pieces) == (10, 10)
    assert [places[number - 1].position for number in [*begins[1:], len(places)]] == ends


def test_thinning_shows_the_worst_verdict_of_what_it_drops() -> None:
    way = Way()
    for n in range(MOST_PLACES + 1):
        way.take(laid(n * 1.5), Verdict.USABLE if n == 2001 else Verdict.FIRM, begins=n == 0)
    places = way.places()
    assert len(places) < MOST_PLACES
    usable = [one for one in places if one.verdict is Verdict.USABLE]
    assert len(usable) == 1
    assert abs(usable[0].position.longitude_deg * 111_319.5 - 2001 * 1.5) <= 3.0


def test_a_receiver_that_comes_and_goes_a_hundred_thousand_times_fits_into_the_memory() -> None:
    way = Way()
    for n in range(100_000):
        way.take(laid(n % 7, n % 3), Verdict.FIRM, begins=True)
    assert len(way.places()) <= MOST_PLACES
    assert way.pieces == 100_000


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.004, "0"), (-0.04, "0"), (12.0, "12"), (-12.34, "-12.3"), (0.05, "0.1"), (99.96, "100")],
)
def test_a_coordinate_is_written_to_a_tenth(value: float, shown: str) -> None:
    assert figure(value) == shown


@given(st.text(max_size=400), st.text(max_size=40))
def test_text_of_others_never_becomes_an_element_nor_an_attribute(words: str, name: str) -> None:
    class Reader(HTMLParser):
        found: list[tuple[str, dict[str, str | None]]]

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            self.found.append((tag, dict(attrs)))

    reader = Reader()
    reader.found = []
    reader.feed(tag("p", foreign(words), words, title=name))
    reader.close()
    assert [(name, list(attributes)) for name, attributes in reader.found] == [("p", ["title"]), ("bdi", [])]


@pytest.mark.parametrize("sign", [chr(code) for code in (27, 7, 155, 0x202E, 0x2066, 0x200B, 0xD800, 10, 0)])
def test_what_a_reader_or_a_terminal_would_obey_is_replaced(sign: str) -> None:
    assert clean(f"a{sign}b") == "a\N{REPLACEMENT CHARACTER}b"
    assert sign not in tag("p", f"a{sign}b")


def test_a_long_text_is_cut_and_the_cut_is_shown() -> None:
    assert clean("x" * LONGEST_TEXT) == "x" * LONGEST_TEXT
    assert clean("x" * (LONGEST_TEXT + 1)) == "x" * LONGEST_TEXT + "..."


@given(st.lists(st.tuples(st.floats(0, 700), st.floats(0, 400)), min_size=1, max_size=200))
def test_thinning_a_line_keeps_both_ends_and_moves_no_point_by_more_than_can_be_seen(
    points: list[tuple[float, float]],
) -> None:
    kept = thinned(points)
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert all(min(math.dist(point, one) for one in kept) < NEAR or point in kept for point in points)
    assert line(points).count("M") == 1


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e5), st.integers(2, 8))
def test_round_figures_hold_the_values_and_are_no_more_than_asked_for(low: float, width: float, most: int) -> None:
    found = ticks(low, low + width, most)
    assert found[0] <= low + width * 1e-6
    assert found[-1] >= low + width * (1 - 1e-6)
    assert 2 <= len(found) <= most + 2
    step = round_step(width, most)
    assert round(step / 10.0 ** math.floor(math.log10(step) + 1e-9), 6) in {1.0, 2.0, 5.0}


def test_what_lies_beyond_an_axis_is_drawn_at_its_end() -> None:
    axis = Axis(0.0, 10.0, 100.0, 0.0)
    assert [axis.at(value) for value in (-5.0, 0.0, 2.5, 10.0, 99.0)] == [100.0, 100.0, 75.0, 0.0, 0.0]


def utc(seconds: float) -> Fix:
    return Fix(
        utc=Utc(round(seconds * 1000) % 86_400_000, None), position=Position(10.5, -20.25), mode=FixMode.AUTONOMOUS
    )


def test_times_run_on_over_midnight() -> None:
    found = TimesFound()
    for second in range(0, 7200, 60):
        found.take(utc(82_800 + second), float(second))
    times = found.found()
    assert times.utc_at_0_s == 82_800
    assert [times.label(at_s) for at_s in (0, 3600, 7140)] == ["23:00", "00:00", "00:59"]
    assert times.ticks()[-1] == (5400.0, "00:30")


def test_where_the_clocks_part_only_the_time_since_the_beginning_is_told() -> None:
    found = TimesFound()
    found.take(utc(1000), 0.0)
    found.take(utc(1063), 60.0)
    assert found.found().utc_at_0_s == 1000
    found.take(utc(2000), 61.0)
    times = found.found()
    assert (times.utc_at_0_s, times.label(61.0, seconds=True)) == (None, "0:01:01")
    assert "since the beginning" in times.words


@given(st.floats(0.0, 3e6), st.floats(0.0, 86_399.0))
def test_labels_of_time_stand_within_the_recording_at_whole_steps(end_s: float, begin_s: float) -> None:
    found = Times(end_s, begin_s).ticks()
    assert len(found) <= MOST_TICKS + 1
    assert all(-1e-6 <= at_s <= end_s + 1e-6 for at_s, _ in found)
    assert len({at_s for at_s, _ in found}) == len(found)


def test_a_rank_of_many_errors_is_right_within_a_percent() -> None:
    spread = Spread95()
    for n in range(1, 1001):
        spread.add(n / 100)
    for wanted in (0.5, 0.95, 1.0):
        assert spread.at_share(wanted) == pytest.approx(10 * wanted, rel=0.011)
    assert Spread95().at_share(0.95) is None


@pytest.mark.parametrize(
    ("shown", "words"),
    [
        (length(None), "-"),
        (length(0.123), "12 cm"),
        (length(9.94), "9.9 m"),
        (length(12.4), "12 m"),
        (length(4532.0), "4.53 km"),
        (number(-0.3), "0"),
        (number(-12.0), "−12"),
        (number(12_345), "12\u202f345"),
        (span(59.4), "59 s"),
        (span(3725), "1 h 02 min"),
        (span(200_000), "2 days 7 h"),
        (between((3.0, 3.2), "m"), "3 m"),
        (between((-3.0, 4.0), "m"), "−3 – 4 m"),
        (share(0, 7), "0 %"),
        (share(7, 7), "100 %"),
        (share(9999, 10_000), "over 99.9 %"),
        (share(1, 100_000), "under 0.1 %"),
        (share(1, 3), "33 %"),
        (share(0, 0), "-"),
    ],
)
def test_figures_are_written_with_no_more_than_they_are_worth(shown: str, words: str) -> None:
    assert shown == words

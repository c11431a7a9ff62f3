"""On a stage: every page says what it is, blank rather than wrong, in letters that a room can read."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.chapters import Chapter, Chapters
from core.events import Event, EventKind
from core.fix import Satellite
from core.sources.source import SourceKind, SourceState
from core.timeline import Survey, Timeline
from core.trust import Verdict
from tests.tui.support import (
    ISLE,
    REPLAYING,
    Epoch,
    board_app,
    board_state,
    screen_rows,
    screen_text,
    show,
    until,
    walked,
)
from tui.canvas.glyphs import BRAILLE, GLYPH_SETS, PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.letters import SCALES, TEXT, Scale, lettered, put_letters, span_of
from tui.panes.goto import CAUTION
from tui.panes.sky import SkyView
from tui.panes.stage import PICTURES, STAGED, StageBody, StageFoot, StageHead, plan
from tui.panes.stage_foot_words import NOT_READ_YET, next_words, place_words
from tui.panes.stage_lines import Box, line, put_lines
from tui.panes.stage_pictures import draw_bars
from tui.panes.stage_words import LINES
from tui.panes.wire import WirePane
from tui.screens.board import PAGES
from tui.state import BoardState

CHAPTERS = Chapters((Chapter(60.0, "Under the sky", "Watch the verdict rise."), Chapter(140.0, "The cliff")))
AXIS = Timeline(75.0, 300.0, 300.0, 1.0)
STAGE = board_state(walked(12), target=ISLE, chapters=CHAPTERS, timeline=AXIS, is_stage=True)
SIZES = [(80, 24), (120, 40), (200, 60)]
TYPED = "".join(chr(code) for code in range(33, 127)) + "°"
DRAWN = [scale for scale in SCALES if scale != TEXT]


def said(page: str, state: BoardState) -> str:
    return "\n".join(one.text for one in LINES[page](state))


@cache
def letters(text: str, scale: Scale, glyphs: str = "braille") -> list[str]:
    grid = Grid(*span_of(text, scale))
    put_letters(grid, (0, 0), Span(text), scale)
    return [grid.row_text(y, GLYPH_SETS[glyphs]) for y in range(grid.height)]


def holds(rows: list[str], text: str, glyphs: str = "braille") -> set[Scale]:
    """At which scales a text stands whole among rows."""
    found = set()
    for scale in DRAWN:
        wanted = letters(text, scale, glyphs)
        for top in range(len(rows) - len(wanted) + 1):
            starts = [x for x in range(len(rows[0])) if rows[top][x:].startswith(wanted[0])]
            if any(all(rows[top + n][x:].startswith(row) for n, row in enumerate(wanted)) for x in starts):
                found.add(scale)
    return found


# The alphabet


@pytest.mark.parametrize("scale", DRAWN, ids=str)
def test_no_two_letters_look_alike(scale: Scale) -> None:
    for one, other in combinations(TYPED, 2):
        assert letters(one, scale) != letters(other, scale), one + other


@pytest.mark.parametrize("scale", [one for one in DRAWN if one.wide % 2 == 0], ids=str)
def test_plain_letters_are_ascii_and_differ(scale: Scale) -> None:
    assert "".join(letters(TYPED, scale, "plain")).isascii()
    for one, other in combinations(TYPED, 2):
        assert letters(one, scale, "plain") != letters(other, scale, "plain"), one + other


def test_a_letter_is_as_high_as_its_scale_says() -> None:
    assert [span_of("A", scale)[1] for scale in SCALES] == [21, 21, 14, 14, 14, 7, 7, 7, 4, 4, 1]
    rows = letters("H", Scale(2, 4))
    assert rows == ["█   █"] * 3 + ["█████"] + ["█   █"] * 3


def test_accents_fall_off_and_the_rest_is_a_question_mark() -> None:
    assert lettered("Île d'Ére 山 \x1b[2J") == "Ile d'Ere ? ?[2J"


@given(st.text(max_size=12), st.sampled_from(SCALES), st.tuples(st.integers(-40, 40), st.integers(-20, 20)))
def test_any_letters_anywhere(text: str, scale: Scale, at: tuple[int, int]) -> None:
    grid = Grid(20, 6)
    assert put_letters(grid, at, Span(text), scale) == at[0] + span_of(text, scale)[0]
    assert [len(grid.row_text(y, BRAILLE)) for y in range(6)] == [20] * 6


# Lines


@pytest.mark.parametrize(("room", "scale"), [((80, 8), Scale(2, 2)), ((80, 7), Scale(3, 4)), ((200, 15), Scale(6, 8))])
def test_lines_are_as_large_as_they_go(room: tuple[int, int], scale: Scale) -> None:
    """The text is 52 dots of the face wide: 78 cells of 1.5, 156 of 3."""
    grid = Grid(*room)
    lines = [line("10.50000 N", is_main=True)] * (2 if room[1] == 8 else 1)
    put_lines(grid, Box(0, 0, *room), lines)
    assert holds([grid.row_text(y, BRAILLE) for y in range(room[1])], "10.50000 N") == {scale}


def test_a_long_sentence_is_broken_between_words_and_never_lost() -> None:
    words = "few satellites in the fix"
    grid = Grid(60, 12)
    put_lines(grid, Box(0, 0, 60, 12), [line(words, wraps=True)])
    rows = [grid.row_text(y, BRAILLE) for y in range(12)]
    assert all(holds(rows, word) for word in words.split())


def test_where_no_letter_fits_text_stands_and_is_marked_where_cut() -> None:
    grid = Grid(9, 1)
    put_lines(grid, Box(0, 0, 9, 1), [line("020.25000° W", is_main=True)])
    assert grid.row_text(0, BRAILLE) == "020.2500~"


# What pages say


def test_pages_say_what_they_are_about() -> None:
    assert said("position", STAGE).splitlines()[:2] == ["10.50000° N", "020.25000° W"]
    assert "firm" in said("why", STAGE)
    assert "95 % within 6.9 m" in said("why", STAGE)
    assert said("sky", STAGE) == "9\nin the fix\nof 11 in view"
    assert said("fix", STAGE) == "autonomous, 3D\nHDOP 1.0\nabove sea 12 m"
    assert said("compass", STAGE) == "090°\ncourse, true\nIsle of Quennet\n045° true"
    assert said("goto", STAGE).splitlines() == ["Isle of Quennet", "1.56 km", "45° left"]
    assert said("clock", STAGE) == "12:00:11\nUTC  2031-05-04"
    assert said("trip", STAGE).splitlines()[0] == "5.4 km/h"
    assert said("signals", STAGE) == "10 heard, best 46 dB-Hz"


@pytest.mark.parametrize("page", ["board", "position", "fix", "goto", "compass", "trip"])
def test_what_is_stale_is_said_to_be_old(page: str) -> None:
    stale = STAGE.changed(now_s=STAGE.now_s + 5.0)
    assert "not current: 5 s old" in said(page, stale)
    assert "not current" not in said(page, STAGE)
    assert "firm" not in said("why", stale)
    assert "95 %" not in said("why", stale)


@pytest.mark.parametrize("page", LINES)
@pytest.mark.parametrize("state", ["old", "void", "empty"])
def test_nothing_of_a_lost_fix_is_left(page: str, state: str) -> None:
    lost = {
        "old": STAGE.changed(now_s=STAGE.now_s + 12.0),
        "void": board_state(walked(3, Epoch(valid=False)), target=ISLE, is_stage=True),
        "empty": BoardState(is_stage=True),
    }[state]
    text = said(page, lost)
    assert text
    for old in ("10.5", "020.25", "HK90", "1.56", "045°", "12 m", "090", "km/h", "1.0", "6.9", "0 m"):
        assert old not in text, text


def test_a_held_place_is_no_measurement() -> None:
    held = STAGE.changed(status=replace(REPLAYING, kind=SourceKind.HELD, state=SourceState.HOLDING, pace=None))
    assert "HELD PLACE" in said("position", held)
    assert "no verdict" in said("why", held)
    assert Verdict.FIRM.words not in said("board", held)


# The presenter's line


def test_the_presenter_hears_what_comes_and_in_how_long() -> None:
    at_five = STAGE.changed(status=replace(REPLAYING, pace=5.0))
    assert next_words(at_five) == "next: The cliff, in 0:01:05 of it, 0:00:13 here at 5x"
    assert place_words(at_five) == "0:01:15 / 0:05:00"
    paused = STAGE.changed(status=replace(REPLAYING, state=SourceState.PAUSED))
    assert next_words(paused).endswith("paused")
    after = STAGE.changed(timeline=AXIS._replace(position_s=200.0))
    assert next_words(after).startswith("next: the end, in 0:01:40")


def test_without_chapters_the_next_event_is_announced() -> None:
    events = (Event(70.0, None, EventKind.LOST, ""), Event(90.0, None, EventKind.REGAINED, "3D"))
    bare = STAGE.changed(chapters=Chapters(), survey=Survey(events))
    assert next_words(bare).startswith("next: fix back: 3D, in 0:00:15 of it")
    unknown = STAGE.changed(chapters=Chapters(), timeline=AXIS._replace(duration_s=None))
    assert next_words(unknown) == NOT_READ_YET
    assert place_words(unknown) == "0:01:15"
    over = unknown.changed(survey=Survey(is_done=True))
    assert next_words(over) == "nothing more comes"


def test_a_live_source_has_no_axis() -> None:
    live = STAGE.changed(status=replace(REPLAYING, kind=SourceKind.LIVE, state=SourceState.RECEIVING, pace=None))
    assert next_words(live) == "receiving"
    assert place_words(live) == "quennet.nmea"


# On the screen


@pytest.mark.parametrize("kind", [SourceKind.REPLAY, SourceKind.REHEARSAL, SourceKind.TRACK, SourceKind.LIVE])
@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_every_page_says_what_it_is_in_large_letters(
    tmp_path: Path, kind: SourceKind, size: tuple[int, int]
) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, STAGE.changed(status=replace(REPLAYING, kind=kind)))
        for page in PAGES[list(SourceKind).index(kind) % 2 :: 2]:
            app.action_page(page)
            await pilot.pause()
            rows = screen_rows(app)
            high = max((span_of("A", scale)[1] for scale in holds(rows[:8], kind.value)), default=0)
            assert high >= (7 if size[1] == 60 else 4), page
            assert "0:01:15 / 0:05:00" in rows[-1] or kind is SourceKind.LIVE, page
            assert [len(row) for row in rows] == [size[0]] * size[1]
            body = app.board.query_one(StageBody)
            assert bool(body.region) is (page in STAGED), page
            assert bool(app.board.query_one("#panes").region) is (page not in STAGED), page


@pytest.mark.parametrize(("size", "least"), [((80, 24), 4), ((200, 60), 7)])
async def test_the_figures_of_a_page_scale_with_the_room(tmp_path: Path, size: tuple[int, int], least: int) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, STAGE)
        for page, text in (
            ("position", "020.25000° W"),
            ("goto", "1.56 km"),
            ("clock", "12:00:11"),
            ("compass", "090°"),
        ):
            app.action_page(page)
            await pilot.pause()
            high = max((span_of("A", scale)[1] for scale in holds(screen_rows(app), text)), default=0)
            assert high >= least, page
            assert (CAUTION in screen_text(app)) is (page == "goto")


@pytest.mark.parametrize("kind", [SourceKind.REPLAY, SourceKind.REHEARSAL, SourceKind.LIVE])
@pytest.mark.parametrize(
    ("size", "glyphs"),
    [((80, 24), "braille"), ((100, 30), "braille"), ((120, 40), "braille"), ((120, 40), "plain"), ((200, 60), "plain")],
)
async def test_the_verdict_stands_in_letters_beside_what_this_is(
    tmp_path: Path, kind: SourceKind, size: tuple[int, int], glyphs: str
) -> None:
    """Both are read from afar, or the larger of them is no use. `doubtful` is the longest."""
    state = STAGE.changed(status=replace(REPLAYING, kind=kind), snapshot=walked(12, Epoch(dimensions=2)))
    app = board_app(tmp_path, glyphs=glyphs)
    async with app.run_test(size=size) as pilot:
        show(app, state)
        app.action_page("fix")
        await pilot.pause()
        head = app.board.query_one(StageHead)
        rows = ["".join(segment.text for segment in head.render_line(y)) for y in range(head.region.height)]
        for words in (kind.value, state.verdict.words):
            assert holds(rows, words, glyphs), words


async def test_the_caption_grows_with_the_screen(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, STAGE)
        await pilot.pause()
        text = screen_text(app)
        assert "Under the sky" in text
        assert "Watch the verdict rise." in text
        await pilot.resize_terminal(200, 60)
        await pilot.pause()
        assert holds(screen_rows(app), "Under the sky")
        show(app, STAGE.changed(timeline=AXIS._replace(position_s=10.0)))
        await pilot.pause()
        assert not holds(screen_rows(app), "Under the sky")
        assert app.board.query_one(StageFoot).region.height == 1


async def test_leaving_brings_the_board_back_as_it_was(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, STAGE.changed(is_stage=False))
        app.board.query_one(WirePane).catch_up()
        await pilot.pause()
        before = screen_text(app)
        assert not app.board.query(StageHead)
        await pilot.press("V")
        await pilot.pause()
        assert app.state.is_stage
        assert holds(screen_rows(app), "REPLAY")
        await pilot.press("V")
        app.clear_notifications()
        assert not app.state.is_stage
        await until(pilot, lambda: screen_text(app) == before)


async def test_plain_characters_on_every_page(tmp_path: Path) -> None:
    app = board_app(tmp_path, glyphs="plain")
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, STAGE)
        for page in STAGED:
            app.action_page(page)
            await pilot.pause()
            body = app.board.query_one(StageBody)
            text = "".join(body.render_line(y).text for y in range(body.content_size.height))
            assert text.replace("°", "").isascii(), page
            assert text.strip(), page
        assert holds(screen_rows(app), "REPLAY", PLAIN.name)


async def test_hostile_words_in_any_room_do_not_matter(tmp_path: Path) -> None:
    hostile = Chapters((Chapter(0.0, "\x1b[2J[bold]" + "x" * 300, "山\n" * 200),))
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, STAGE.changed(chapters=hostile, target=replace(ISLE, name="\x07[red]" * 40)))
        for number, size in enumerate(((30, 8), (31, 9), (32, 60), (300, 12), (40, 12), (300, 100))):
            await pilot.resize_terminal(*size)
            for page in PAGES[number % 3 :: 3]:
                app.action_page(page)
                await pilot.pause()
                rows = screen_rows(app)
                assert [len(row) for row in rows] == [size[0]] * size[1]
                assert "\x1b" not in "".join(rows)


@pytest.mark.parametrize("page", PICTURES)
@pytest.mark.parametrize("size", [(80, 16), (120, 30), (200, 42), (30, 50), (3, 1)], ids=str)
def test_words_and_picture_do_not_cover_each_other(page: str, size: tuple[int, int]) -> None:
    words, picture = plan(page, *size)
    beside = words.x + words.width <= picture.x
    above = words.y + words.height <= picture.y
    assert beside or above
    assert picture.x + picture.width <= size[0]
    assert picture.y + picture.height <= max(size[1], 1)


@pytest.mark.parametrize("width", [76, 110, 190])
def test_under_every_bar_stands_the_whole_name_of_its_satellite(width: int) -> None:
    """Beside each other in two cells they would be one row of figures, without their systems."""
    sky = [Satellite(f"{system}{n:02d}", 40, 10 * n, 50 - n, in_fix=True) for system in "GREC" for n in range(1, 9)]
    grid = Grid(width, 16)
    draw_bars(grid, Box(0, 0, width, 16), SkyView(tuple(sky)), fine=True)
    rows = [grid.row_text(y, BRAILLE) for y in range(16)]
    upright = {"".join(column) for column in zip(*rows[-3:], strict=True)}
    beside = set(rows[-1].split())
    assert {one.name for one in sky} in (upright & {one.name for one in sky}, beside)


def test_an_outlined_bar_ends_above_the_names() -> None:
    grid = Grid(76, 16)
    draw_bars(grid, Box(0, 0, 76, 16), SkyView((Satellite("S37", 30, 10, 43, in_fix=False),)), fine=False)
    assert not grid.row_text(15, PLAIN).replace("S37", "").strip()

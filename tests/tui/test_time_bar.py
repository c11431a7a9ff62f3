"""The time bar: what it draws of a recording, at any size, and what not. Events and chapters are invented."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from pathlib import Path

import pytest
from textual.widget import Widget

from core.chapters import Chapter, Chapters
from core.events import Event, EventKind
from core.fix import Utc
from core.sources.source import SourceKind, SourceState
from core.timeline import Stretch, Survey, Timeline
from core.trust import Verdict
from tests.tui.support import ISLE, REPLAYING, board_app, board_state, screen_text, show
from tui.canvas.glyphs import BRAILLE, PLAIN, QUADRANT, GlyphSet
from tui.canvas.grid import Grid
from tui.panes.time_bar import TimeBar, legend
from tui.panes.time_bar_axis import Axis, length_s
from tui.panes.time_bar_marks import MARKS, STRIP, put_strip
from tui.panes.time_bar_moments import (
    LEAD_LEAST_S,
    LEAD_MOST_S,
    TOGETHER_S,
    lead_s,
    moment_words,
    moments_of,
    next_moment,
    previous_moment,
)
from tui.state import BoardState

WHOLE = Timeline(820.0, 1800.0, 1800.0, 1.0)
VERDICTS = (
    (0.0, Verdict.NO_FIX),
    (45.0, Verdict.DOUBTFUL),
    (90.0, Verdict.FIRM),
    (600.0, Verdict.NO_FIX),
    (660.0, Verdict.USABLE),
    (960.0, Verdict.FIRM),
)
EVENTS = (
    Event(2.0, None, EventKind.FIRST_HEARD, "4 tracked"),
    Event(45.0, Utc(43_245_000, None), EventKind.FIRST_FIX, "autonomous, 3D"),
    Event(90.0, None, EventKind.VERDICT, "doubtful to firm"),
    Event(600.0, Utc(43_800_000, None), EventKind.LOST, ""),
    Event(600.0, None, EventKind.VERDICT, "firm to no fix: no position"),
    Event(660.0, None, EventKind.REGAINED, "autonomous, 3D"),
    Event(900.0, None, EventKind.JUMP, "about 80 m beyond what the speed explains"),
    Event(1300.0, None, EventKind.MODE, "autonomous to differential"),
)
SURVEY = Survey(EVENTS, VERDICTS, 1800.0, True)
CHAPTERS = Chapters(tuple(Chapter(at_s, f"part {at_s:g}") for at_s in (0.0, 300.0, 1000.0, 1500.0)))


def playing(**more: object) -> BoardState:
    return board_state(timeline=WHOLE, survey=SURVEY, chapters=CHAPTERS).changed(**more)


def bar_rows(state: BoardState, width: int = 80, height: int = 1, glyphs: GlyphSet = PLAIN) -> list[str]:
    bar = TimeBar()
    bar.state = state
    grid = Grid(width, height)
    bar.paint(grid)
    return [grid.row_text(y, glyphs) for y in range(height)]


def strip_of(row: str) -> str:
    return row[row.index("[") + 1 : row.rindex("]")]


def test_it_says_position_duration_utc_and_pace_around_the_strip() -> None:
    (row,) = bar_rows(playing())
    assert row.startswith(" 0:13:40/0:30:00 [")
    assert row.endswith("] 12:00:11 UTC      1x ") or row.endswith("] 12:00:03 UTC      1x ")
    assert len(strip_of(row)) >= 24


@pytest.mark.parametrize(
    ("status", "timeline", "words"),
    [
        (replace(REPLAYING, state=SourceState.PAUSED), WHOLE, "paused"),
        (replace(REPLAYING, state=SourceState.ENDED), WHOLE, "ended"),
        (replace(REPLAYING, pace=0.25), WHOLE, "0.25x"),
        (replace(REPLAYING, pace=math.inf), WHOLE, "max"),
        (REPLAYING, WHOLE._replace(is_seeking=True), "seeking"),
        (replace(REPLAYING, state=SourceState.PAUSED), WHOLE._replace(is_seeking=True), "seeking"),
    ],
)
def test_it_says_how_it_runs_and_the_strip_does_not_move_for_it(status: object, timeline: Timeline, words: str) -> None:
    (row,) = bar_rows(playing(status=status, timeline=timeline))
    assert row.endswith(f"{words} ")
    assert row.index("]") == bar_rows(playing())[0].index("]")
    two = bar_rows(playing(status=status, timeline=timeline), 120, 2)
    assert two[1].startswith(f" {words} ")


def test_a_time_that_is_not_known_is_dashes() -> None:
    nothing = BoardState(status=REPLAYING).changed(timeline=WHOLE)
    assert "--:--:--" in bar_rows(nothing)[0]


@pytest.mark.parametrize("glyphs", [PLAIN, QUADRANT, BRAILLE], ids=lambda one: one.name)
def test_each_verdict_has_a_shape_of_its_own_in_every_set_of_characters(glyphs: GlyphSet) -> None:
    survey = Survey((), tuple((450.0 * verdict, verdict) for verdict in Verdict), 1800.0, True)
    shown = strip_of(bar_rows(playing(survey=survey, chapters=Chapters()), glyphs=glyphs)[0])
    shapes = [shown[len(shown) * (2 * verdict + 1) // 8] for verdict in Verdict if verdict is not Verdict.USABLE]
    assert len({*shapes, "_", " "}) == len(shapes) + 2


@pytest.mark.parametrize("seed", range(20))
def test_a_cell_shows_the_worst_verdict_of_its_part_of_the_recording(seed: int) -> None:
    """Against looking at every second of every cell."""
    dice = random.Random(seed)
    seconds = dice.randrange(50, 2000)
    changes = sorted({0, *(dice.randrange(seconds) for _ in range(dice.randrange(1, 40)))})
    verdicts = tuple((float(at), Verdict(dice.randrange(4))) for at in changes)
    judged = dice.randrange(seconds + 1)
    axis = Axis(0, dice.randrange(8, 40), float(seconds))
    grid = Grid(axis.cells, 1)
    put_strip(grid, 0, axis, (Timeline(0.0, float(seconds), 0.0, 1.0), Survey((), verdicts, float(judged), False)))
    for cell, shown in enumerate(grid.row_text(0, PLAIN)):
        instants = [n / 20 for n in range(judged * 20) if int(n / 20 * axis.cells / seconds) == cell]
        found = [max((one for one in verdicts if one[0] <= at), key=lambda one: one[0])[1] for at in instants]
        assert shown == ((STRIP[min(found)] or "#") if found else "_"), cell


def test_each_kind_of_event_has_a_mark_of_its_own_and_the_legend_names_it() -> None:
    assert set(MARKS) == set(EventKind)
    assert len({*MARKS.values(), *STRIP.values(), "_", "|", "(", ")", "[", "]", "*"}) == len(MARKS) + len(STRIP) + 7
    for kind, mark in MARKS.items():
        assert f"{mark} {kind.value}" in legend()
        alone = Survey((Event(1000.0, None, kind, ""),), (), 1800.0, True)
        row = bar_rows(playing(survey=alone, chapters=Chapters()), 120, 2)[0]
        assert row.count(mark) == 1


def test_of_several_events_in_a_cell_the_weightiest_is_seen() -> None:
    (row,) = bar_rows(playing())
    axis = Axis(0, len(strip_of(row)), 1800.0)
    assert strip_of(row)[axis.cell(600.0)] == "x"
    assert "'" not in strip_of(row)
    assert "'" in bar_rows(playing(), 200, 2)[0]


def test_chapters_are_numbered_and_what_has_no_room_is_a_star() -> None:
    at = [Chapter(100.0 * n, "") for n in range(12)]
    rows = bar_rows(playing(chapters=Chapters(tuple(at)), survey=Survey()), 200, 2)
    assert rows[0].split()[1:-2] == [str(n) for n in range(1, 13)]
    close = Chapters(
        (Chapter(0.0, ""), Chapter(1.0, ""), Chapter(900.0, ""), Chapter(1799.0, ""), *[Chapter(1799.5, "")] * 8)
    )
    shown = strip_of(bar_rows(playing(chapters=close, survey=Survey(), timeline=WHOLE._replace(position_s=500.0)))[0])
    assert "3" in shown
    assert "12" not in shown
    assert shown.count("*") >= 1


def test_the_loop_stands_in_brackets_and_the_moment_over_everything() -> None:
    shown = strip_of(bar_rows(playing(timeline=WHOLE._replace(loop=Stretch(700.0, 1200.0))))[0])
    axis = Axis(0, len(shown), 1800.0)
    assert (shown[axis.cell(700.0)], shown[axis.cell(820.0)], shown[axis.cell(1200.0)]) == ("(", "|", ")")


def test_what_has_not_been_read_is_blank_and_no_length_is_guessed() -> None:
    reading = Timeline(100.0, None, 900.0, 0.5)
    (row,) = bar_rows(playing(timeline=reading, survey=Survey((), VERDICTS[:2], 300.0), chapters=Chapters()))
    shown = strip_of(row)
    axis = Axis(0, len(shown), 1800.0)
    assert row.startswith(" 0:01:40/-  ")
    assert "0:30" not in row
    assert set(shown[axis.cell(300.0) + 1 : axis.cell(900.0)]) == {"_"}
    assert shown[axis.cell(900.0) + 1 :].strip() == ""
    assert "read  50 %" in bar_rows(playing(timeline=reading), 120, 2)[1]
    assert "[" not in bar_rows(playing(timeline=Timeline()))[0]


def test_at_any_width_the_position_comes_first_and_the_strip_next() -> None:
    for width in range(8, 201):
        for height in (1, 2):
            rows = bar_rows(playing(), width, height)
            assert rows[0].lstrip().startswith("0:13:40"[: max(0, width - 1)]), width
            if width >= 30:
                assert "|" in rows[-1], width
            if width >= 60 and height == 1:
                assert "12:00:" in rows[0], width


@pytest.mark.parametrize("length", [1.0, 7.3, 1800.0, 86_400.0])
def test_a_click_goes_to_the_begin_of_the_cell_that_shows_a_moment(length: float) -> None:
    axis = Axis(18, 43, length)
    for cell in range(axis.cells):
        at_s = axis.asked_s(18 + cell)
        assert at_s is not None
        assert axis.cell(at_s + length * 1e-9) == cell
    assert axis.asked_s(17) is None
    assert axis.asked_s(18 + 43) is None
    assert (axis.cell(-5.0), axis.cell(length), axis.cell(length * 2)) == (0, 42, 42)


def test_there_is_no_axis_while_there_is_nothing_to_measure() -> None:
    assert length_s(Timeline()) is None
    assert length_s(Timeline(duration_s=0.0)) is None
    assert length_s(Timeline(0.0, None, 50.0, 0.25)) == 200.0
    assert length_s(Timeline(900.0, None, 50.0, 0.25)) == 900.0


async def test_it_is_there_on_every_page_of_a_recording_and_never_else(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        bar = app.board.query_one(TimeBar)
        for kind in SourceKind:
            for timeline in (WHOLE, None):
                show(app, playing(status=replace(REPLAYING, kind=kind), timeline=timeline))
                await pilot.pause()
                assert bool(bar.region) is (kind.is_recorded and timeline is not None)
        show(app, playing())
        for page in ("trail", "sky", "clock", "board"):
            app.action_page(page)
            await pilot.pause()
            assert (bar.region.y, bar.region.height) == (22, 1)
        for size, height in (((120, 40), 2), ((80, 19), 0)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert bar.region.height == height


async def test_at_80x24_the_board_still_answers_its_four_questions_beside_the_bar(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, playing(target=ISLE))
        await pilot.pause()
        text = screen_text(app)
        for words in ("10.50000° N", "020.25000° W", "1.56 km", "045° true", "45° left", "UTC", "doubtful", "in fix"):
            assert words in text


async def test_it_repaints_only_when_a_cell_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, playing())
        await pilot.pause()
        bar, refreshed = app.board.query_one(TimeBar), []
        original = Widget.refresh

        def spy(widget: Widget, *regions: object, **more: object) -> Widget:
            if widget is bar:
                refreshed.append([region.y for region in regions])  # type: ignore[attr-defined]
            return original(widget, *regions, **more)  # type: ignore[arg-type]

        monkeypatch.setattr(Widget, "refresh", spy)
        show(app, playing(timeline=WHOLE._replace(position_s=820.4)))
        assert refreshed == []
        show(app, playing(timeline=WHOLE._replace(position_s=821.0)))
        assert refreshed == [[0]]


# The moments that the event keys stop at


def test_events_that_happen_together_are_one_moment_named_by_the_weightiest() -> None:
    found = moments_of(EVENTS)
    assert [one.at_s for one in found] == [2.0, 45.0, 90.0, 600.0, 660.0, 900.0, 1300.0]
    assert moment_words(found[3]) == "x fix lost at 0:10:00, 12:10:00 UTC; 1 more with it"
    assert moment_words(found[1]) == "^ first fix: autonomous, 3D at 0:00:45, 12:00:45 UTC"
    assert moment_words(found[2]) == "' doubtful to firm at 0:01:30"


@pytest.mark.parametrize("seed", range(30))
def test_the_event_keys_visit_every_moment_once_in_either_direction(seed: int) -> None:
    """Landing a little before or after where it was asked, as epochs have it."""
    dice = random.Random(seed)
    at_s, events = 100.0, []
    for _ in range(dice.randrange(1, 30)):
        at_s += dice.choice((0.5, 2.0, 10.0, 100.0))
        events.append(Event(at_s, None, dice.choice(list(EventKind)), ""))
    moments, lead = moments_of(tuple(events)), TOGETHER_S
    visited, here = [], 0.0
    while (found := next_moment(tuple(events), here, lead)) is not None:
        visited.append(found)
        here = found.at_s - lead
    assert visited == moments
    back, here = [], at_s + 50.0
    while (found := previous_moment(tuple(events), here)) is not None:
        back.append(found)
        here = found.at_s - lead - dice.choice((-0.4, 0.0, 0.4))
    assert set(moments) - set(back) <= {
        one for one in moments if any(0 < two.at_s - one.at_s <= lead + 0.4 for two in back)
    }
    assert [one.at_s for one in back] == sorted({one.at_s for one in back}, reverse=True)


def test_the_lead_is_three_seconds_of_the_room_within_bounds() -> None:
    assert (lead_s(1.0), lead_s(2.0), lead_s(math.inf)) == (3.0, 6.0, 3.0)
    assert (lead_s(0.1), lead_s(100.0)) == (LEAD_LEAST_S, LEAD_MOST_S)

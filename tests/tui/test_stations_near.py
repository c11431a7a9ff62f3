"""What is near, and from where: stations while one moves, of many, and without a position. All invented."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.fix import Position
from core.nearest import Here
from core.sources.source import SourceKind
from core.station_contents import Contents, Read
from core.station_filter import Wanted
from core.station_lists.reading import list_of
from tests.tui.stations_support import FAR, HEADS, LOST, NEAR, opened
from tests.tui.support import SETTLED, Epoch, board_state, played, screen_text, show, walked
from tui import station_words as words
from tui.panes.cursor_list import CursorList
from tui.state import BoardState
from tui.station_search import SHOWN, Question, answer, whence

# Moving


def at(latitude: float) -> BoardState:
    minutes = (latitude - 10.0) * 60
    place = f"10{minutes:07.4f},N,02015.0000,W"
    return board_state(walked(12, Epoch(place=place)))


async def test_moving_takes_up_the_new_order_and_the_cursor_stays_on_its_station(tmp_path: Path) -> None:
    async with opened(tmp_path, (FAR, NEAR)) as bench:
        assert bench.calls() == ["QX1AA", "QX1BB"]
        assert bench.chosen
        assert bench.chosen.call == "QX1AA"
        show(bench.app, at(10.61))
        bench.screen._follow()
        await bench.settle()
        assert bench.calls() == ["QX1BB", "QX1AA"]
        assert bench.chosen.call == "QX1AA"


async def test_while_keys_are_pressed_figures_change_and_the_order_does_not(tmp_path: Path) -> None:
    async with opened(tmp_path, (FAR, NEAR)) as bench:
        await bench.press("down")
        show(bench.app, at(10.61))
        bench.screen._follow()
        await bench.settle()
        assert bench.calls() == ["QX1AA", "QX1BB"]
        first = bench.screen.answer.items[0].near
        assert first
        assert first.way.distance_m == pytest.approx(11_060, abs=30)  # 0.1 degrees of latitude at 10.5 north
        bench.screen._follow()
        await bench.settle()
        assert bench.calls() == ["QX1BB", "QX1AA"]


def test_the_chosen_row_stays_where_it_is_on_the_screen() -> None:
    """A hundred items in a new order: the cursor's own stays on its row, whatever comes before it."""
    pane: CursorList[int] = CursorList("list", lambda item: item)
    pane.fill(list(range(100)), "")
    pane._cursor, pane._top = 50, 45
    shuffled = list(range(100))
    random.Random(3).shuffle(shuffled)
    pane.fill(shuffled, "")
    assert pane.chosen == 50
    assert pane._cursor - pane._top == 5


def test_where_the_beginning_was_in_sight_it_stays_in_sight() -> None:
    pane: CursorList[int] = CursorList("list", lambda item: item)
    pane.fill([1, 2, 3], "")
    pane.fill([3, 2, 1], "")
    assert pane.chosen == 1
    assert pane._top == 0


# Whence


@pytest.mark.parametrize(
    ("state", "told", "known"),
    [
        (SETTLED, "from here", True),
        (BoardState(), "no position yet", False),
        (board_state(walked(12), age_s=60.0), "from the last position, 1 min 00 s old", True),
        (SETTLED.changed(status=replace(SETTLED.status, kind=SourceKind.HELD, name="Hut")), "the held place Hut", True),
        (board_state(played(Epoch(hdop="9.0", used=False))), "a doubtful fix", True),
    ],
)
def test_the_place_distances_are_counted_from_is_said_with_its_age(state: BoardState, told: str, known: bool) -> None:
    found = whence(state)
    assert told in found.words
    assert (found.here is not None) is known


def test_of_an_old_position_nobody_knows_how_far_off_it_is() -> None:
    old, new = whence(board_state(walked(12), age_s=60.0)).here, whence(SETTLED).here
    assert old
    assert old.radius_m is None
    assert new
    assert new.radius_m is not None


async def test_without_a_position_stations_stand_in_the_order_of_their_lists(tmp_path: Path) -> None:
    async with opened(tmp_path, state=BoardState()) as bench:
        assert bench.calls() == ["QX1BB", "QX1AA", "QX1CC", "QX1DD"]
        assert "no position yet" in screen_text(bench.app)


# Searching


def contents_of(*rows: str) -> Contents:
    path = Path("mine.csv")
    return Contents((Read(path, list_of("\n".join((HEADS, *rows)).encode(), path)),))


def test_of_many_only_the_nearest_are_rows_and_all_are_counted() -> None:
    draw = random.Random(7)
    rows = [f"QX{n},,145.6,,,FM,,{draw.uniform(-80, 80):.4f},{draw.uniform(-180, 180):.4f},,,,," for n in range(1000)]
    found = answer(Question(contents_of(*rows, LOST), Wanted(), Here(Position(10.5, -20.25)), date(2026, 6, 1)))
    assert len(found.items) == SHOWN
    assert found.matching == 1001
    away = [item.near.way.distance_m for item in found.items if item.near]
    assert away == sorted(away)


def test_beyond_the_years_of_the_model_there_is_no_magnetic_north() -> None:
    found = answer(Question(contents_of(NEAR), Wanted(), Here(Position(10.5, -20.25)), date(2031, 5, 4)))
    assert found.north is None
    assert found.items[0].near


@pytest.mark.parametrize(
    ("uncertainty", "text"),
    [(None, "±?"), (0.0, "±0.1°"), (0.11, "±0.2°"), (1.0, "±1.0°"), (4.1, "±5°"), (95.0, "any")],
)
def test_a_worst_case_is_rounded_up(uncertainty: float | None, text: str) -> None:
    assert words.spread(uncertainty) == text


@pytest.mark.parametrize(
    ("hz", "text"),
    [(145_600_000, "145.600"), (145_612_500, "145.6125"), (10_368_123_456, "10368.123456"), (7_100_000, "7.100"),
     (135_700, "0.1357"), (None, "-")],
)  # fmt: skip
def test_a_frequency_is_written_to_the_hertz(hz: int | None, text: str) -> None:
    assert words.frequency(hz) == text

"""The list of stations by its keys: nearest, filters, details, target, lists, moving, hostile text. All invented."""

from __future__ import annotations

import random
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.fix import Position
from core.nearest import Here
from core.sources.source import SourceKind
from core.station_contents import Contents, Read
from core.station_filter import Wanted
from core.station_lists.reading import list_of
from core.stations import Station
from tests.tui.support import (
    SETTLED,
    Epoch,
    board_app,
    board_state,
    played,
    screen_rows,
    screen_text,
    show,
    toasts,
    until,
    walked,
)
from tui import station_words as words
from tui.app import FixboardApp
from tui.panes.cursor_list import CursorList
from tui.panes.station_list import StationListPane
from tui.screens.beam import BeamScreen
from tui.screens.board import BoardScreen
from tui.screens.pick import PickScreen
from tui.screens.prompt import PromptScreen
from tui.screens.station_report import StationReportScreen
from tui.screens.stations import StationsScreen
from tui.state import BoardState
from tui.station_search import SHOWN, Question, answer, whence

HEADS = "call,name,output,shift,tone,mode,locator,lat,lon,height,status,verified,notes,keeper"
NEAR = "QX1AA,Ridge,145.6,-0.6,88.5,FM,,10.51000,-20.25000,471,on air,2031-03-01,by the hut,Zed"
"""1.1 km north of the receiver of tests/tui/support.py, which is at 10.5 N 20.25 W on 4 May 2031."""
FAR = "QX1BB,Valley,438.65,-7.6,CC 1,FM / DMR,,10.60000,-20.25000,120,,,,"
OFF = "QX1CC,Isle,145.725,-0.6,,C4FM,HK90vn,,,,off air,2020-01-01,,Orla"
LOST = "QX1DD,Lost,145.75,-0.6,,FM,,,,,,,,"
ROWS = (FAR, NEAR, OFF, LOST)


def written(folder: Path, *rows: str, name: str = "mine.csv", heads: str = HEADS) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text("\n".join((heads, *rows)) + "\n", "utf-8")
    return path


class Bench(NamedTuple):
    app: FixboardApp
    pilot: Pilot[None]
    folder: Path

    @property
    def screen(self) -> StationsScreen:
        return next(one for one in self.app.screen_stack if isinstance(one, StationsScreen))

    @property
    def chosen(self) -> Station | None:
        item = self.screen.query_one(StationListPane).chosen
        return item.station if item else None

    def calls(self) -> list[str]:
        return [item.station.call for item in self.screen.answer.items]

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.settle()

    async def settle(self) -> None:
        """Until every question has its answer."""
        await self.pilot.pause()
        if any(isinstance(one, StationsScreen) for one in self.app.screen_stack):
            await until(self.pilot, lambda: not self.screen._busy)
        await self.pilot.pause()


@asynccontextmanager
async def opened(
    folder: Path,
    rows: Sequence[str] = ROWS,
    state: BoardState = SETTLED,
    *,
    size: tuple[int, int] = (120, 40),
    look: tuple[str, str] = ("dark", "braille"),
) -> AsyncIterator[Bench]:
    if rows:
        written(folder / "stations", *rows)
    app = board_app(folder, theme=look[0], glyphs=look[1])
    async with app.run_test(size=size) as pilot:
        show(app, state)
        bench = Bench(app, pilot, folder)
        await pilot.press("F")
        await until(pilot, lambda: isinstance(app.screen, StationsScreen) and bench.screen._contents is not None)
        await bench.settle()
        yield bench


# The list


async def test_the_nearest_are_listed_with_both_norths_and_those_without_a_place_last(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        assert bench.calls() == ["QX1AA", "QX1CC", "QX1BB", "QX1DD"]
        rows = screen_rows(bench.app)
        head = next(row for row in rows if "distance" in row)
        assert head.index("true") < head.index("mag")
        near = next(row for row in rows if row.startswith("> "))
        assert "1.11 km" in near
        assert "000°" in near
        assert "no place" in next(row for row in rows if "QX1DD" in row)
        assert next(row for row in rows if "QX1CC" in row).startswith(" !")
        assert "Licence and band plans go before this list" in screen_text(bench.app)
        assert "Stations from here" in screen_text(bench.app)


@pytest.mark.parametrize("width", range(40, 100, 3))
async def test_no_figure_of_the_list_is_ever_cut(tmp_path: Path, width: int) -> None:
    async with opened(tmp_path, (NEAR,), size=(width, 24)) as bench:
        row = next(row for row in screen_rows(bench.app) if row.startswith("> "))
        assert "~" not in row
        assert "1.11 km" in row
        assert ("145.600" in row) is (width >= 54)
        assert ("-0.6" in row) is (width >= 62)


async def test_both_filters_go_round_and_words_find(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press("f3")
        assert bench.calls() == ["QX1AA", "QX1CC", "QX1DD"]
        assert "2 m" in next(row for row in screen_rows(bench.app) if "Stations from" in row)
        await bench.press("f3")
        assert bench.calls() == ["QX1BB"]
        await bench.press("f3", "f4")
        assert bench.calls() == ["QX1AA", "QX1BB", "QX1DD"]
        await bench.press("f4", "f4", "f4")
        assert len(bench.calls()) == 4
        await bench.press(*"orla")
        assert bench.calls() == ["QX1CC"]
        await bench.press(*"xx")
        assert "None matches" in screen_text(bench.app)


async def test_enter_makes_it_the_target_with_name_and_coarseness_and_it_is_remembered(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press("down", "enter")
        assert isinstance(bench.app.screen, BoardScreen)
        target = bench.app.state.target
        assert target
        assert (target.name, target.kind) == ("QX1CC", "station")
        assert target.error_95_m == pytest.approx(5150, abs=60)  # half of 5' by 2.5', corner to middle
        assert bench.app.state.guidance
    again = board_app(tmp_path)
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert again.state.target
        assert again.state.target.name == "QX1CC"
        assert toasts(again) == []


async def test_a_station_without_a_place_is_no_target_and_has_no_beam(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press(*"lost")
        await bench.press("enter")
        assert "has no place" in toasts(bench.app)[-1]
        await bench.press("f6")
        assert isinstance(bench.app.screen, StationsScreen)
        assert bench.app.state.target is None


async def test_a_field_is_copied(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press("f2")
        assert isinstance(bench.app.screen, PickScreen)
        await bench.press("down", "down", "enter")
        assert bench.app.clipboard == "145.600"
        assert "145.600" in toasts(bench.app)[-1]


async def test_the_beam_is_for_the_chosen_one(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press("f6")
        assert isinstance(bench.app.screen, BeamScreen)
        assert "QX1AA" in screen_text(bench.app)


# Details


async def test_details_say_all_fields_unknown_columns_and_what_is_doubtful(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        text = screen_text(bench.app)
        for told in ("on air, verified 2031-03-01", "145.600 MHz", "145.000 MHz", "88.5", "by the hut", "Zed", "471 m"):
            assert told in text
        assert "antenna_m is not in your" in text
        await bench.press("down")
        text = screen_text(bench.app)
        assert "off air: may be off the air" in text
        assert "over a year ago" in text
        await bench.press("down", "down")
        assert "could not be placed" in screen_text(bench.app)


async def test_with_both_heights_the_horizon_is_said_and_is_no_promise(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[stations]\nantenna_m = 4.0\n")
    async with opened(tmp_path) as bench:
        text = screen_text(bench.app)
        assert "within both horizons, 97.65 km" in text  # 4.12 (2 + 21.703) km, worked by hand
        assert "a smooth earth: not a coverage" in text
        assert "promise" in text


async def test_what_does_not_fit_is_on_the_next_page_of_details(tmp_path: Path) -> None:
    async with opened(tmp_path, size=(80, 24)) as bench:
        assert "1 of 2, F8 turns" in screen_text(bench.app)
        assert "by the hut" not in screen_text(bench.app)
        await bench.press("f8")
        assert "by the hut" in screen_text(bench.app)
        await bench.press("down")
        assert "1 of " in screen_text(bench.app)


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


# Lists


async def test_no_list_says_what_to_do_and_f7_copies_one(tmp_path: Path) -> None:
    source = written(tmp_path / "stick", NEAR)
    async with opened(tmp_path / "data", ()) as bench:
        assert "F7 copies one" in screen_text(bench.app)
        await bench.press("f7")
        assert isinstance(bench.app.screen, PromptScreen)
        await bench.press(*str(source), "enter")
        await until(bench.pilot, lambda: bool(bench.screen.answer.items))
        assert bench.calls() == ["QX1AA"]
        assert (tmp_path / "data" / "stations" / "mine.csv").read_bytes() == source.read_bytes()


async def test_another_list_of_that_name_is_replaced_only_when_asked(tmp_path: Path) -> None:
    source = written(tmp_path / "stick", FAR)
    async with opened(tmp_path / "data", (NEAR,)) as bench:
        kept = tmp_path / "data" / "stations" / "mine.csv"
        before = kept.read_bytes()
        await bench.press("f7", *str(source), "enter")
        await until(bench.pilot, lambda: isinstance(bench.app.screen, PickScreen))
        assert kept.read_bytes() == before
        await bench.press("down", "enter")
        await until(bench.pilot, lambda: bench.calls() == ["QX1BB"])
        assert kept.with_name("mine.csv.bak").read_bytes() == before


async def test_what_is_no_list_is_said_and_not_copied(tmp_path: Path) -> None:
    (tmp_path / "no.csv").write_text("a,b\n1,2\n")
    async with opened(tmp_path / "data", (NEAR,)) as bench:
        await bench.press("f7", *str(tmp_path / "no.csv"), "enter")
        await until(bench.pilot, lambda: bool(toasts(bench.app)))
        assert "name the columns" in toasts(bench.app)[-1]
        assert not (tmp_path / "data" / "stations" / "no.csv").exists()


async def test_f5_tells_what_was_understood(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press("f5")
        assert isinstance(bench.app.screen, StationReportScreen)
        text = screen_text(bench.app)
        assert "4 stations, 3 with a place" in text
        assert "could not be placed: 1" in text
        await bench.press("escape")
        assert isinstance(bench.app.screen, StationsScreen)


async def test_a_list_that_changes_on_the_disk_is_read_again_and_typed_words_stay(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        await bench.press(*"qx1")
        written(tmp_path / "stations", NEAR, NEAR.replace("QX1AA", "QX1ZZ"))
        bench.screen._look()
        await until(bench.pilot, lambda: bench.calls() == ["QX1AA", "QX1ZZ"])
        assert bench.screen.query_one("#find", Input).value == "qx1"


async def test_lists_that_cannot_be_read_do_not_end_the_board(tmp_path: Path) -> None:
    (tmp_path / "stations").mkdir()
    (tmp_path / "stations" / "no.csv").write_bytes(bytes(range(256)))
    async with opened(tmp_path, ()) as bench:
        assert "None of the lists could be read" in screen_text(bench.app)
        await bench.press("enter", "f2", "f3", "f4", "f6", "f8", "down", "pagedown")
        assert isinstance(bench.app.screen, StationsScreen)


# The invented list


REHEARSING = SETTLED.changed(status=replace(SETTLED.status, kind=SourceKind.REHEARSAL))


async def test_a_rehearsal_offers_the_invented_list_labelled_and_a_replay_does_not(tmp_path: Path) -> None:
    async with opened(tmp_path / "a", (), REHEARSING) as bench:
        assert len(bench.calls()) > 30
        assert "INVENTED demo stations" in screen_text(bench.app)
    async with opened(tmp_path / "b", (), SETTLED) as bench:
        assert bench.calls() == []
        assert "INVENTED" not in screen_text(bench.app)


async def test_a_list_of_the_user_s_goes_before_the_invented_one(tmp_path: Path) -> None:
    async with opened(tmp_path, (NEAR,), REHEARSING) as bench:
        assert bench.calls() == ["QX1AA"]
        assert "INVENTED" not in screen_text(bench.app)


# Hostile text, sizes


EVIL = "\x1b[31mred [b]x[/b] \u202eback \u65e5\u672c"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60), (40, 12)])
async def test_hostile_text_stays_text_at_every_size(tmp_path: Path, size: tuple[int, int]) -> None:
    head = f'{HEADS},"{EVIL}"'
    row = f'"{EVIL}","{EVIL}",145.6,-0.6,"{EVIL}","{EVIL}",,10.51,-20.25,,"{EVIL}","{EVIL}","{EVIL}","{EVIL}","{EVIL}"'
    written(tmp_path / "stations", row, LOST, heads=head)
    async with opened(tmp_path, (), size=size) as bench:
        for keys in ((), ("f8",), ("f2",), ("escape", "f5")):
            await bench.press(*keys)
            for line in screen_rows(bench.app):
                assert len(line) == size[0]
                assert "\x1b" not in line
                assert "\u202e" not in line
        await bench.press("escape", "enter")
        assert bench.app.state.target


async def test_glyphs_and_themes_change_no_word(tmp_path: Path) -> None:
    texts = set()
    for theme, glyphs in (("dark", "braille"), ("daylight", "plain"), ("night", "quadrant")):
        async with opened(tmp_path / theme, size=(80, 24), look=(theme, glyphs)) as bench:
            texts.add(screen_text(bench.app))
    assert len(texts) == 1

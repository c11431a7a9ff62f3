"""The lists that stations come from: copied, replaced, changed on the disk, the invented one. All invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

from core.sources.source import SourceKind
from tests.tui.stations_support import FAR, NEAR, opened, written
from tests.tui.support import SETTLED, board_app, screen_text, toasts, until
from tui.screens.pick import PickScreen
from tui.screens.prompt import PromptScreen
from tui.screens.station_report import StationReportScreen
from tui.screens.stations import StationsScreen

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


@pytest.mark.parametrize("size", [(80, 24), (160, 50)], ids=str)
async def test_the_report_says_how_to_leave_and_what_goes_on_below_is_moved_in(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        app.push_screen(StationReportScreen(["list", f"    row 4  QX1AA: {'it is far from there ' * 8}", "the end"]))
        await until(pilot, lambda: "the end" in screen_text(app))
        text = screen_text(app)
        assert "Esc goes back" in text
        first, *others = [line.split("│")[1] for line in text.split("\n") if "far from" in line]
        assert others
        for one in others:
            assert len(one) - len(one.lstrip()) == len(first) - len(first.lstrip()) + 2


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

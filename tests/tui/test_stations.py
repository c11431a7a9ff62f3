"""The list of stations by its keys: nearest, filters, details, target, hostile text. All invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.stations_support import HEADS, LOST, NEAR, OFF, opened, written
from tests.tui.support import board_app, screen_rows, screen_text, toasts
from tui.screens.beam import BeamScreen
from tui.screens.board import BoardScreen
from tui.screens.pick import PickScreen
from tui.screens.stations import StationsScreen

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
        for told in (
            "on air, verified 2031-03-01",
            "145.600 MHz",
            "145.000 MHz",
            "shift -0.6 MHz",
            "88.5 Hz",
            "by the hut",
            "Zed",
            "471 m",
        ):
            assert told in text
        assert "antenna_m is not in your" in text
        await bench.press("down")
        text = screen_text(bench.app)
        assert "off air: may be off the air" in text
        assert "over a year ago" in text
        await bench.press("down", "down")
        assert "could not be placed" in screen_text(bench.app)


async def test_what_is_doubtful_is_marked_once_however_many_rows_it_takes(tmp_path: Path) -> None:
    row = OFF.replace("off air", "off air for want of a hut")
    async with opened(tmp_path, (row,)) as bench:
        rows = [row.rstrip() for row in screen_rows(bench.app)]
        at = next(n for n, row in enumerate(rows) if "! off air for want" in row)
        margin = rows[at].index("! off air")
        assert rows[at + 1][margin : margin + 3].strip() == rows[at + 1][margin + 2]


async def test_both_frequencies_of_the_list_have_their_unit(tmp_path: Path) -> None:
    async with opened(tmp_path) as bench:
        assert "shift, MHz" in screen_text(bench.app)


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

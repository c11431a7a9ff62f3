"""Sheets whose lines hang: what is broken over two rows stands under its own words, whatever the width."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.support import board_app, screen_rows
from tui.commands import key_names
from tui.screens.hanging import hanging, room_in_sheet
from tui.screens.help import EVERY_COMMAND, KEYS, help_text
from tui.screens.notice import NoticeScreen


@pytest.mark.parametrize("width", [30, 42, 68])
def test_what_a_key_does_stands_under_itself(width: int) -> None:
    lines = help_text(width).plain.split("\n")
    keys = [line for line in lines if line.startswith("  ") and line[2] != " "]
    assert len(keys) > 80
    assert any(line.startswith(" " * (2 + KEYS)) for line in lines)
    assert max(map(len, lines)) <= width


def test_what_a_key_does_stands_in_its_column_however_long_the_keys_are() -> None:
    lines = help_text().plain.split("\n")
    for command in EVERY_COMMAND:
        assert f"{' ' * (2 + KEYS)}{command.help}" in [f"{'':{2 + KEYS}}{line[2 + KEYS :]}" for line in lines], command
        assert len(key_names(command)) < KEYS or f"  {key_names(command)}" in lines


def test_nothing_is_lost_by_breaking_lines() -> None:
    assert help_text(40).plain.split() == help_text().plain.split()


@pytest.mark.parametrize("screen", range(0, 201, 10))
def test_the_room_is_that_of_the_sheet_and_never_too_little(screen: int) -> None:
    assert 10 <= room_in_sheet(screen) <= 67


def test_where_hanging_leaves_no_room_it_does_not_hang() -> None:
    assert hanging("  key         some words of it", 20, 14).split("\n")[1:] == ["words of it"]


@pytest.mark.parametrize("size", [(80, 24), (50, 30)], ids=str)
async def test_each_caution_hangs_under_its_dash(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        app.push_screen(NoticeScreen())
        await pilot.pause()
        rows = screen_rows(app)
        at = next(row.index("- Not for primary") for row in rows if "- Not for primary" in row)
        second = rows[next(n for n, row in enumerate(rows) if "- Not for primary" in row) + 1]
        assert second[at : at + 2] == "  "
        assert second[at + 2] != " "

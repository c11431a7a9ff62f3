"""The guides: opened from help and palette, readable at every size, short, and bound to what the program can do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.containers import VerticalScroll

from tests.tui.support import board_app, screen_rows, screen_text
from tui.commands import key_names
from tui.guides import FOLDER, GUIDES, Guide
from tui.own_keys import wear
from tui.screens.guide import GuideScreen, guide_text
from tui.screens.help import EVERY_COMMAND, HelpScreen, help_text

LONGEST, WIDEST = 60, 74
"""Lines, and columns, of the file; the screen wraps it anew."""
WIDE = 200


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_each_is_short_and_begins_with_its_title(guide: Guide) -> None:
    lines = (FOLDER / f"{guide.name}.txt").read_text("utf-8").rstrip("\n").split("\n")
    assert lines[:2] == [guide.title, ""]
    assert len(lines) <= LONGEST
    assert max(map(len, lines)) <= WIDEST
    assert "`" not in guide_text(guide, WIDE).plain
    assert sum(line.count("`") for line in lines) % 2 == 0


def test_every_file_of_the_folder_is_a_guide() -> None:
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(f"{guide.name}.txt" for guide in GUIDES)


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
async def test_help_opens_each_by_its_number_and_esc_goes_back_to_help(tmp_path: Path, guide: Guide) -> None:
    assert f"  {guide.key:<12}{guide.title}" in help_text().plain
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 50)) as pilot:
        await pilot.press("f1", guide.key)
        await pilot.pause()
        assert isinstance(app.screen, GuideScreen)
        assert guide.title in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_no_key_stands_in_a_file_as_it_is_printed(guide: Guide) -> None:
    """It would not follow the user's own."""
    text = " ".join((FOLDER / f"{guide.name}.txt").read_text("utf-8").split())
    keys = {key for command in EVERY_COMMAND for key in key_names(command).split()}
    assert set(re.findall(r"`([^`]+)`", text)) & keys == set()
    assert set(re.findall(r"\b(Enter|Space|Home|Del|Up|Down|Left|Right|F\d+)\b", text)) <= {"Enter"}  # of a form


def test_each_names_the_keys_that_the_user_has_given() -> None:
    wear({"page_why": "f11", "ask_where": "ctrl+w", "toggle_pause": "x", "drop_target": "d"})
    try:
        texts = {guide.name: " ".join(guide_text(guide, WIDE).plain.split()) for guide in GUIDES}
    finally:
        wear({})
    assert "Why does it not trust that fix? F11, every rule" in texts["club"]
    assert "choose the session, ctrl+w, and type the times" in texts["after"]
    assert "- x stops and plays on, + and - change the pace" in texts["after"]
    assert "Enter goes to one; d drops the target" in texts["field"]
    assert "7 why the verdict was what it was" in " ".join(guide_text(GUIDES[1], WIDE).plain.split())


async def test_the_palette_has_them(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        commands = {command.title: command.callback for command in app.get_system_commands(app.screen)}
        wanted = [f"Guide: {guide.title.lower()}" for guide in GUIDES]
        assert [title for title in commands if title.startswith("Guide")] == wanted
        commands[wanted[1]]()
        await pilot.pause()
        assert isinstance(app.screen, GuideScreen)


@pytest.mark.parametrize("size", [(40, 10), (80, 24), (120, 40)], ids=str)
@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
async def test_every_word_can_be_reached(tmp_path: Path, guide: Guide, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        app.push_screen(GuideScreen(guide))
        await pilot.pause()
        seen: set[str] = set()
        sheet = app.screen.query_one(VerticalScroll)
        for y in range(0, sheet.max_scroll_y + 4, 4):
            sheet.scroll_to(y=y, animate=False)
            await pilot.pause()
            seen |= {word for row in screen_rows(app) for word in re.sub("[│▁-█]", " ", row).split()}
        assert sorted(set(guide_text(guide, WIDE).plain.split()) - seen) == []


def test_steps_hang_and_go_on_below_themselves() -> None:
    lines = guide_text(GUIDES[0], 40).plain.splitlines()
    (first,) = [number for number, line in enumerate(lines) if line.startswith("  1. fixboard doctor")]
    assert lines[first + 1].startswith("     ")
    assert max(map(len, lines)) <= 40

"""Sheets over the board: their keys are commands, so that a user may give them others; hints name those that count."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import chain
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.settings import usable_settings
from core.sources.source import SourceKind
from tests.tui.support import ISLE, REPLAYING, SETTLED, board_app, screen_text, show, toasts
from tui.app import FixboardApp
from tui.commands import COMMANDS, SHEETS, TYPED_ON, WHERE_COMMANDS, key_names
from tui.own_keys import screens, wear, with_keys
from tui.screens.beam import KEYS as BEAM_KEYS
from tui.screens.help import EVERY_COMMAND, help_text
from tui.screens.where import KEYS as WHERE_KEYS
from tui.screens.where import WhereScreen

OWN = (
    '[keys]\ncopy_text = "f10"\nfiner_text = "minus"\ncopy_beam = "c"\nwider_beam = "plus"\nrenew_words = "n"\n'
    'copy_script = "ctrl+t"\ncopy_where = "f12"\n'
)


def with_own_keys(folder: Path) -> FixboardApp:
    (folder / "settings.toml").write_text(OWN, encoding="utf-8")
    return board_app(folder)


async def on_sheet(pilot: Pilot[None], key: str) -> str:
    assert isinstance(pilot.app, FixboardApp)
    show(pilot.app, SETTLED.changed(target=ISLE))
    await pilot.press(key)
    await pilot.pause()
    return screen_text(pilot.app)


def test_no_two_commands_of_a_sheet_share_a_key_and_none_a_name() -> None:
    for sheet in SHEETS:
        assert max(Counter(key for one in sheet for key in one.key.split(",")).values()) == 1
    names = Counter(one.id for one in EVERY_COMMAND)
    assert [name for name, count in names.items() if count > 1] == []
    assert set(chain(*SHEETS)) <= set(EVERY_COMMAND)


def test_help_has_the_keys_of_every_sheet() -> None:
    text = " ".join(help_text().plain.split())
    for one in chain(*SHEETS):
        assert f" {key_names(one)} {one.help}" in text


def test_every_hint_names_commands_that_there_are() -> None:
    assert with_keys("{copy_beam} copies, Esc back") == "F5 copies, Esc back"
    assert with_keys(BEAM_KEYS) == "Left Right beamwidth, Up Down scroll, F2 saves, F5 copies, Esc back"
    with pytest.raises(KeyError):
        with_keys("{no_such_command} does nothing")


@pytest.mark.parametrize(("opens", "hints"), [
    ("Q", ("- Right ambiguity", "F10 copies the text", "F6 geo:", "F8 writes")),
    ("U", ("Left + beamwidth", "F2 saves", "c copies")),
    ("I", ("n the moment now", "y copy all")),
    ("G", ("Left Right audience", "ctrl+t copy")),
])  # fmt: skip
async def test_hints_name_the_user_s_keys(tmp_path: Path, opens: str, hints: tuple[str, ...]) -> None:
    app = with_own_keys(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        text = " ".join((await on_sheet(pilot, opens)).split())
        assert [one for one in hints if one not in text] == []


@pytest.mark.parametrize(("opens", "now", "copied"), [
    ("Q", "f10", "!1030.00N"),
    ("U", "c", "Beam sheet"),
    ("G", "ctrl+t", "10"),
])  # fmt: skip
async def test_the_key_before_does_nothing_and_the_new_one_does(
    tmp_path: Path, opens: str, now: str, copied: str
) -> None:
    app = with_own_keys(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await on_sheet(pilot, opens)
        await pilot.press("f5")  # the sheet's own
        assert not app.clipboard
        await pilot.press(now)
        assert copied in app.clipboard


async def test_the_sheet_of_places_and_times_names_the_user_s_key(tmp_path: Path) -> None:
    app = with_own_keys(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.push_screen(WhereScreen("a walk"))
        await pilot.pause()
        assert "F12 copies the lines" in screen_text(app)
        assert with_keys(WHERE_KEYS).startswith("Enter looks, F12")
    wear({})
    assert with_keys(WHERE_KEYS).startswith("Enter looks, F5")


def wrong(folder: Path, text: str) -> str:
    (folder / "settings.toml").write_text(f"[keys]\n{text}\n", encoding="utf-8")
    return " ".join(str(one) for one in usable_settings(folder / "settings.toml", screens())[1])


def test_what_would_clash_on_a_sheet_or_be_typed_into_its_line_is_refused(tmp_path: Path) -> None:
    assert "the same key" in wrong(tmp_path, 'copy_beam = "f2"')
    assert "which filters that list" in wrong(tmp_path, 'copy_where = "c"')
    assert wrong(tmp_path, 'copy_beam = "m"') == ""  # the board's own m is out of reach below the sheet
    assert WHERE_COMMANDS in TYPED_ON


# The board's footer


@pytest.mark.parametrize("kind", SourceKind)
async def test_a_pause_is_offered_where_something_is_played(tmp_path: Path, kind: SourceKind) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for shown in (kind, SourceKind.REPLAY, kind):
            show(app, SETTLED.changed(status=replace(REPLAYING, kind=shown)))
            await pilot.pause()
            await pilot.pause()
            assert ("Space Pause" in screen_text(app)) is shown.is_recorded
        wanted = [one.label for one in COMMANDS if one.footer and (kind.is_recorded or one.id != "toggle_pause")]
        assert [label for label in wanted if label not in screen_text(app).splitlines()[-1]] == []


async def test_its_key_still_says_why_it_does_nothing(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, SETTLED.changed(status=replace(REPLAYING, kind=SourceKind.LIVE)))
        await pilot.press("space")
        await pilot.pause()
        assert any("This is live" in one for one in toasts(app))

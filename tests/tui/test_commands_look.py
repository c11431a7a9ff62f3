"""Every command that changes what is shown does what its line of help says: pages, charts, notations, dialogues."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path

import pytest

from core.fix import Position
from core.places.notation import Notation
from tests.tui.commands_support import Bench, Check, enrolled, on_bench
from tests.tui.support import Epoch, board_app, board_state, screen_rows, screen_text, show, toasts, until, walked
from tui.bearings import Reference, bearing_words
from tui.commands import COMMANDS
from tui.panes.charts import SPANS_S
from tui.panes.wire import WirePane
from tui.screens.board import PAGES, BoardScreen
from tui.screens.explain import ExplainScreen
from tui.screens.help import HelpScreen
from tui.screens.in_words import InWordsScreen
from tui.screens.say import SayScreen
from tui.screens.settings import SettingsScreen
from tui.state import Orientation

CHECKS: dict[str, Check] = {}
checks = partial(enrolled, CHECKS)


PANES = {
    "board": {"position", "fix", "goto", "sky", "compass", "wire"},
    "trail": {"trail", "profile"},
    "averaging": {"averaging", "scatter"},
    "ab": {"ab-sky-a", "ab-sky-b", "ab", "ab-strip"},
    "sky": {"sky-plot", "what-if"},
}
PAGE_COMMANDS = [command for command in COMMANDS if command.id.startswith("page_")]


@checks(*(command.id for command in PAGE_COMMANDS))
async def pages(bench: Bench) -> None:
    expected = {command.key[0]: command.id.removeprefix("page_") for command in PAGE_COMMANDS}
    assert sorted(expected.values()) == sorted(PAGES)
    for key, page in expected.items():
        await bench.press(key)
        assert bench.app.board.page == page
        shown = {pane.id for pane in bench.app.board.query("#panes CanvasPane") if pane.region}
        assert shown == PANES.get(page, {page})
    await bench.press("5", "escape")
    assert bench.app.board.page == "board"


@checks("charts_back", "charts_on", "charts_span")
async def charts(bench: Bench) -> None:
    show(bench.app, board_state(walked(100)))
    await bench.press("9", "s", "s")
    assert bench.app.state.chart_span == 3
    await bench.press(*["s"] * (len(SPANS_S) - 3), "left")
    assert (bench.app.state.chart_span, bench.app.state.chart_back_s) == (0, 30.0)
    assert "2 min 00 s up to 30 s ago" in screen_text(bench.app)
    await bench.press("left", "left", "left", "left")
    samples = bench.app.state.snapshot.samples
    assert bench.app.state.chart_back_s == samples[-1].at_s - samples[0].at_s
    await bench.press("right", "right", "right", "right")
    assert bench.app.state.chart_back_s == 0.0
    assert "altitude: mean sea level   2 min 00 s up to now" in screen_text(bench.app)


@checks("cycle_reference")
async def reference(bench: Bench) -> None:
    for named in ("magnetic", "grid", "true"):
        await bench.press("d")
        assert bench.app.state.reference.value == named
        # The scene plays in 2031, beyond the magnetic model's years: true then, and called so.
        assert bench.app.state.bearing(90.0).endswith("grid" if named == "grid" else "true")
    today = date(2026, 6, 1)
    assert bearing_words(90.0, Reference.MAGNETIC, Position(10.5, -20.25), today).endswith("° magnetic")
    assert bearing_words(90.0, Reference.MAGNETIC, Position(10.5, -20.25), None) == "090° true"


@checks("copy_position")
async def copy_position(bench: Bench) -> None:
    copied: list[str] = []
    bench.app.copy_to_clipboard = copied.append  # type: ignore[method-assign, assignment]  # what OSC 52 would carry
    await bench.press("y")
    assert copied == ["10.50000° N 020.25000° W"]
    assert any("10.50000° N 020.25000° W" in told for told in toasts(bench.app))


@pytest.mark.parametrize("size", [(80, 24), (160, 50), (200, 60)])
async def test_a_copied_position_is_told_in_one_row(tmp_path: Path, size: tuple[int, int]) -> None:
    """Its last letter says east or west."""
    app = board_app(tmp_path)
    async with app.run_test(size=size, notifications=True) as pilot:
        show(app, board_state(walked(4)))
        await pilot.press("n", "y")
        await until(pilot, lambda: "Copied" in screen_text(app))
        rows = screen_rows(app)
        first = next(number for number, row in enumerate(rows) if "Copied" in row)
        assert app.clipboard.endswith(" W")
        assert any(app.clipboard in row for row in rows[first : first + 3])


@checks("cycle_notation")
async def notation(bench: Bench) -> None:
    for following in (Notation.DEGREES_MINUTES, Notation.DEGREES_MINUTES_SECONDS, Notation.DECIMAL):
        await bench.press("n")
        assert bench.app.state.notation is following
        assert f'notation = "{following.name}"' in bench.kept
    await bench.press("n")
    assert "10° 30.000' N" in screen_text(bench.app)


@checks("turn_compass")
async def turning(bench: Bench) -> None:
    await bench.press("u")
    assert bench.turned() is Orientation.COURSE_UP
    assert "up is 090° true" in screen_text(bench.app)
    await bench.press("u")
    assert bench.app.state.orientation is Orientation.NORTH_UP
    show(bench.app, board_state(walked(4, Epoch(more=("GNHDT,200.0,T",)))))
    await bench.press("u", "u")
    assert bench.turned() is Orientation.HEAD_UP


@checks("cycle_theme")
async def themes(bench: Bench) -> None:
    for following in ("daylight", "night", "dark"):
        await bench.press("c")
        assert bench.app.theme == f"fixboard-{following}"
        assert bench.app.board.palette.name == following
        assert f'theme = "{following}"' in bench.kept


@checks("pause_wire")
async def wire(bench: Bench) -> None:
    pane = bench.app.board.query_one(WirePane)
    await bench.press("w")
    show(bench.app, bench.app.state.changed(snapshot=walked(9)))
    pane.catch_up()
    await bench.pilot.pause()
    assert bench.app.state.wire_paused
    assert "held still  63 taken" in screen_text(bench.app)
    assert "GNRMC,120008.00" not in screen_text(bench.app)
    await bench.press("w")
    pane.catch_up()
    await bench.pilot.pause()
    assert not bench.app.state.wire_paused
    assert "GNRMC,120008.00" in screen_text(bench.app)


@checks("drop")
async def out_or_in(bench: Bench) -> None:
    """The other keys of the sky's page: tests/tui/test_what_if.py."""
    await bench.press("b", "delete")
    assert "On the sky's page" in toasts(bench.app)[-1]
    await bench.press("3", "delete")
    assert bench.app.state.sky.mask_deg == 15


@checks("say_position")
async def giving(bench: Bench) -> None:
    """More of it: tests/tui/test_say.py."""
    await bench.press("G")
    assert isinstance(bench.app.screen, SayScreen)
    assert bench.app.screen.report.forms[0].written == "27P WM 8207 6079"
    await bench.press("escape")


@checks("in_words")
async def in_words(bench: Bench) -> None:
    """More of it: tests/tui/test_in_words_screen.py."""
    await bench.press("I")
    assert isinstance(bench.app.screen, InWordsScreen)
    assert "position in degrees: 10.50000° N 020.25000° W" in bench.app.screen.lines
    await bench.press("escape")


@checks("settings")
async def settings(bench: Bench) -> None:
    """More of it: tests/tui/test_settings_screen.py."""
    await bench.press("Z", *"pin_digits", "enter")
    assert isinstance(bench.app.screen, SettingsScreen)
    assert bench.app.state.pins_digits
    assert "pin_digits = true" in (bench.folder / "settings.toml").read_text("utf-8")
    await bench.press("escape")


@checks("toggle_stage")
async def stage(bench: Bench) -> None:
    """What is shown there: tests/tui/test_stage.py."""
    await bench.press("V")
    assert bench.app.state.is_stage
    assert bench.app.board.query_one("#stage-head").region
    await bench.press("V")
    assert not bench.app.state.is_stage
    assert not bench.app.board.query_one("#stage-head").region


@checks("help")
async def helping(bench: Bench) -> None:
    for key in ("f1", "h"):
        await bench.press(key)
        assert bench.dialogue() is HelpScreen
        await bench.press("escape")
        assert bench.dialogue() is BoardScreen


@checks("explain_page")
async def explaining(bench: Bench) -> None:
    """On the page of the sentences a sentence: tests/tui/test_explain.py has the rest."""
    await bench.press("2", "H")
    assert bench.dialogue() is ExplainScreen
    assert "Horizontal dilution" in screen_text(bench.app) or "HDOP" in screen_text(bench.app)
    await bench.press("escape")
    assert bench.dialogue() is BoardScreen


@checks("quit")
async def leaving(bench: Bench) -> None:
    await bench.press("q")
    assert not bench.app.is_running or bench.app._exit


@pytest.mark.parametrize("check", dict.fromkeys(CHECKS.values()), ids=lambda check: check.__name__)
async def test_commands(check: Check, tmp_path: Path) -> None:
    await on_bench(check, tmp_path)

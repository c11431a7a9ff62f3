"""The keys of a replay, pressed: on a real file, with the real player and feed. The walk is invented."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from core.sources.player import Player
from core.sources.source import SourceKind, SourceState
from core.timeline import Stretch
from tests.build import lines
from tests.tui.support import NOON_S, REPLAYING, Epoch, board_app, board_state, screen_text, show, toasts, until
from tui.actions.replaying import NOT_PLAYED
from tui.app import FixboardApp
from tui.opening import Opening
from tui.panes.time_bar import TimeBar
from tui.screens.prompt import PromptScreen

SECONDS = 1500
GAPS = ((200, 220), (400, 410))
"""In which the receiver has no fix: from, to."""
KEYS = ("space", "plus", "minus", "comma", "full_stop", *"<>(){}:;TR")


class Replay:
    """An app with a recording that stands still, all of it read."""

    def __init__(self, app: FixboardApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot = app, pilot

    @property
    def player(self) -> Player:
        assert self.app._feed is not None
        assert isinstance(self.app._feed.source, Player)
        return self.app._feed.source

    @property
    def position_s(self) -> float:
        assert self.app.state.timeline is not None
        return self.app.state.timeline.position_s

    @property
    def clock_s(self) -> float:
        """By the receiver, seconds after noon."""
        utc = self.app.state.snapshot.fix.utc
        assert utc is not None
        return utc.time_ms / 1000 - NOON_S

    async def press(self, *keys: str) -> None:
        for key in keys:
            await self.pilot.press(key)
            await self.landed()

    async def landed(self) -> None:
        await until(self.pilot, lambda: not self.player.timeline().is_seeking)
        await self.pilot.pause()
        self.app._tick()
        await self.pilot.pause()

    async def to(self, at_s: float) -> None:
        self.app.seek_to(at_s)
        await self.landed()

    async def ask(self, text: str) -> None:
        await self.type_in(text)
        assert not isinstance(self.app.screen, PromptScreen)

    async def type_in(self, text: str) -> None:
        self.app.clear_notifications()
        await self.pilot.press("T")
        await self.pilot.pause()
        assert isinstance(self.app.screen, PromptScreen)
        self.app.screen.query_one("#typed", Input).value = text
        await self.press("enter")

    @property
    def said(self) -> str:
        return toasts(self.app)[-1]


@asynccontextmanager
async def replaying(folder: Path) -> AsyncIterator[Replay]:
    path = folder / "walk.nmea"
    valid = [not any(begin <= n < end for begin, end in GAPS) for n in range(SECONDS)]
    path.write_bytes(b"".join(lines(*Epoch(float(n), valid=ok).bodies()) for n, ok in enumerate(valid)))
    app = board_app(folder / "data")
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(path))
        replay = Replay(app, pilot)
        await until(pilot, lambda: replay.player.status().state is SourceState.PLAYING)
        await pilot.press("space")
        feed = app._feed
        assert feed is not None
        await until(pilot, lambda: feed.survey().is_done and replay.player.timeline().duration_s is not None)
        await replay.landed()
        yield replay


async def test_every_jump_goes_as_far_as_it_says_and_the_board_shows_that_moment(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(700.0)
        for key, seconds in (("<", -10), (">", 10), ("(", -60), (")", 60), ("{", -600), ("}", 600)):
            before = replay.position_s
            await replay.press(key)
            assert replay.position_s == pytest.approx(before + seconds, abs=1.0), key
            assert replay.clock_s == pytest.approx(replay.position_s, abs=1.0), key
        assert replay.app.state.status.state is SourceState.PAUSED
        await replay.press("}", "}", "}")
        assert replay.position_s == pytest.approx(SECONDS - 1, abs=1.0)
        await replay.press("{", "{", "{", "{")
        assert replay.position_s == pytest.approx(0.0, abs=1.5)


async def test_jumps_pressed_faster_than_it_seeks_add_up(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(600.0)
        await replay.pilot.press(">", ">", ">", ")")
        await replay.landed()
        assert replay.position_s == pytest.approx(690.0, abs=1.0)


async def test_a_step_is_one_epoch_and_stands_there(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(300.0)
        before = replay.clock_s
        await replay.press("full_stop", "full_stop")
        assert replay.clock_s == before + 2.0
        await replay.press("comma", "comma", "comma")
        assert replay.clock_s == before - 1.0
        assert replay.app.state.status.state is SourceState.PAUSED
        await replay.press("space", "full_stop")
        assert replay.app.state.status.state is SourceState.PAUSED


async def test_what_is_typed_is_gone_to(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        for text, at_s in (
            ("12:05:00", 300.0),
            ("+1:00", 360.0),
            ("-30", 330.0),
            ("0:10:00 from start", 600.0),
            ("50%", (SECONDS - 1) / 2),
            ("12:02", 120.0),
            ("start", 0.0),
        ):
            await replay.ask(text)
            assert replay.position_s == pytest.approx(at_s, abs=1.0), text
            assert replay.clock_s == pytest.approx(at_s, abs=1.0), text
        for text, words in (
            ("13:00", "at no moment"),
            ("quarter past", "is no moment"),
            ("25:00", "no time of any day"),
        ):
            await replay.type_in(text)
            assert words in replay.said
            assert replay.app.screen.query_one("#typed", Input).value == text, "to be put right"
            await replay.press("escape")
            assert replay.position_s == pytest.approx(0.0, abs=1.0)


async def test_the_event_keys_land_before_each_event_once_and_say_which(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(60.0)
        await replay.press(";")
        assert replay.said.startswith("x fix lost at 0:03:20, 12:03:20 UTC")
        assert replay.position_s == pytest.approx(197.0, abs=1.0)
        assert replay.app.state.snapshot.fix.is_satellite_fix
        await replay.press(";")
        assert "fix back" in replay.said
        assert replay.position_s == pytest.approx(217.0, abs=1.0)
        await replay.press(":")
        assert replay.said.startswith("x fix lost at 0:03:20")
        await replay.press(":")
        assert "fix lost" not in replay.said
        assert replay.position_s < 190.0
        while "No event there" not in replay.said:
            before = replay.position_s
            await replay.press(";")
            assert replay.position_s > before or "No event there" in replay.said
        assert "strip shows them all" in replay.said


async def test_a_stretch_is_looped_left_and_ended(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(310.0)
        await replay.press("R", "R")
        assert "would end where it begins" in replay.said
        bar = replay.app.board.query_one(TimeBar)
        assert bar.loop_from == pytest.approx(310.0)
        await replay.to(302.0)
        await replay.press("R")
        assert replay.player.timeline().loop == Stretch(302.0, 310.0)
        assert bar.loop_from is None
        jumps = replay.player.timeline().jumps
        replay.player.set_pace(100.0)
        await replay.pilot.press("space")
        await until(replay.pilot, lambda: replay.player.timeline().jumps >= jumps + 2)
        await replay.pilot.press("space")
        await replay.landed()
        assert 301.0 <= replay.position_s <= 311.0
        await replay.press("R")
        assert replay.player.timeline().loop is None
        assert "loop is off" in replay.said


async def test_at_the_end_space_plays_again_from_the_start(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(SECONDS - 3.0)
        replay.player.set_pace(20.0)
        await replay.pilot.press("space")
        await until(replay.pilot, lambda: replay.player.status().state is SourceState.ENDED)
        replay.player.set_pace(1.0)
        await replay.press("space")
        assert replay.app.state.status.state is SourceState.PLAYING
        assert replay.position_s < 60.0
        assert replay.said == "From the start again."


async def test_a_click_on_the_bar_goes_there_and_beside_the_strip_nowhere(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        bar = replay.app.board.query_one(TimeBar)
        axis = bar._axis
        assert axis is not None
        await replay.pilot.click(TimeBar, offset=(axis.left + axis.cells // 2, 1))
        await replay.landed()
        middle_s = axis.begin_s(axis.cells // 2)
        assert replay.position_s == pytest.approx(middle_s, abs=1.0)
        assert replay.clock_s == pytest.approx(middle_s, abs=1.0)
        await replay.pilot.click(TimeBar, offset=(3, 0))
        await replay.landed()
        assert replay.position_s == pytest.approx(middle_s, abs=1.0)


async def test_the_bar_says_where_it_stands_and_that_it_stands(tmp_path: Path) -> None:
    async with replaying(tmp_path) as replay:
        await replay.to(754.0)
        text = screen_text(replay.app)
        assert "0:12:34/0:24:59" in text
        assert "12:12:34 UTC" in text
        assert "\n paused " in text


@pytest.mark.parametrize("kind", [SourceKind.LIVE, SourceKind.HELD, SourceKind.NOTHING])
async def test_where_nothing_is_played_every_key_says_why(tmp_path: Path, kind: SourceKind) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state(status=replace(REPLAYING, kind=kind)))
        for key in KEYS:
            app.clear_notifications()
            await pilot.press(key)
            await pilot.pause()
            assert toasts(app) == [NOT_PLAYED[kind]], key
            assert app.screen is app.board

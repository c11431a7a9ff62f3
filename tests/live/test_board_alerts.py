"""The bell for a fix that is lost or comes back, and a compass that follows a heading while there is one."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.sources.source import SourceKind, SourceState, SourceStatus
from core.trust import Verdict
from tests.live.board import BURSTS, SIZE, VOIDS, Strings, live_board, memory, rows, said, until_shown
from tests.wire import burst, sentence
from tui.alert import LOST_FOR_S, FixAlert, HeadingWatch
from tui.app import FixboardApp
from tui.state import Orientation

pytestmark = pytest.mark.usefixtures("same_everywhere")


class Bells:
    """Counts how often an app rings."""

    def __init__(self, app: FixboardApp, monkeypatch: pytest.MonkeyPatch) -> None:
        self.rung = 0
        monkeypatch.setattr(app, "bell", self._ring)

    def _ring(self) -> None:
        self.rung += 1


async def lose_the_fix(pilot: Pilot[None], app: FixboardApp, strings: Strings) -> None:
    """For longer than the bell waits."""
    strings.send(*VOIDS[: int(LOST_FOR_S) + 3])
    await until_shown(pilot, lambda: not app.state.is_current)
    for _ in range(3):
        strings.pass_time(LOST_FOR_S)
        app._tick()
        await pilot.pause()


async def test_the_bell_rings_for_loss_and_return_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    bells = Bells(app, monkeypatch)
    async with app.run_test(size=SIZE) as pilot:
        await lose_the_fix(pilot, app, strings)
        assert bells.rung == 0, "there has been none to lose"
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        assert bells.rung == 0, "the first fix is no return"
        await lose_the_fix(pilot, app, strings)
        assert (bells.rung, said(app)) == (1, ["The fix is lost."])
        strings.send(*BURSTS[3:6])
        await until_shown(pilot, lambda: app.state.is_current)
        await until_shown(pilot, lambda: "The fix is back." in said(app))
        assert bells.rung == 2


async def test_a_pulled_plug_rings_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    bells = Bells(app, monkeypatch)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        strings.become(SourceState.LOST, "/dev/ttyQ0 is gone (unplugged?): plug it in again")
        for _ in range(12):
            strings.pass_time(5.0)
            app._tick()
            await pilot.pause()
        assert (bells.rung, said(app)) == (1, ["The fix is lost."])
        assert "unplugged?" in "\n".join(rows(app))


async def test_a_replay_is_silent_unless_switched_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    strings = Strings(SourceStatus(SourceKind.REPLAY, "walk.nmea", SourceState.PLAYING, pace=1.0))
    app = live_board(tmp_path, strings)
    bells = Bells(app, monkeypatch)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        await lose_the_fix(pilot, app, strings)
        assert bells.rung == 0
        await pilot.press("a")
        await until_shown(pilot, lambda: memory(tmp_path).alert == "on")
        strings.send(*BURSTS[3:6])
        await until_shown(pilot, lambda: app.state.is_current)
        await until_shown(pilot, lambda: bells.rung == 1)


async def test_a_switches_the_bell_and_that_is_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(BURSTS[0])
        await until_shown(pilot, lambda: app.state.is_current)
        await pilot.press("a")
        await until_shown(pilot, lambda: "The bell is silent." in said(app))
    assert memory(tmp_path).alert == "off"
    again_strings = Strings()
    again = live_board(tmp_path, again_strings)
    bells = Bells(again, monkeypatch)
    async with again.run_test(size=SIZE) as pilot:
        again_strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: again.state.is_current)
        await lose_the_fix(pilot, again, again_strings)
        assert bells.rung == 0
        await pilot.press("a")
        await until_shown(pilot, lambda: memory(tmp_path).alert == "on")


def test_when_the_bell_rings() -> None:
    alert = FixAlert()
    good = Verdict.USABLE
    script = [
        (0.0, False, ""), (50.0, False, ""), (51.0, True, ""), (52.0, True, ""), (53.0, False, ""), (55.9, False, ""),
        (56.0, False, "The fix is lost."), (57.0, False, ""), (500.0, False, ""), (501.0, True, "The fix is back."),
        (502.0, False, ""), (503.0, True, ""), (504.0, False, ""), (4.0, False, ""), (6.0, False, ""),
        (7.0, False, "The fix is lost."),
    ]  # fmt: skip
    for at_s, current, expected in script:
        assert alert.update(current, good if current else Verdict.NO_FIX, at_s) == expected, at_s


def with_heading(second: int, heading: float) -> bytes:
    """A burst of a receiver that knows where it points."""
    return burst(second) + sentence(f"GNHDT,{heading:.1f},T")


async def test_head_up_is_offered_only_with_a_heading(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        seen = set()
        for _ in range(4):
            await pilot.press("u")
            seen.add(app.state.orientation)
        assert seen == {Orientation.NORTH_UP, Orientation.COURSE_UP}
        strings.send(*(with_heading(n, 200.0) for n in range(3, 6)))
        await until_shown(pilot, lambda: app.state.heading_deg == 200.0)
        while app.state.orientation is not Orientation.HEAD_UP:
            await pilot.press("u")
        assert app.state.up_deg == 200.0
        await until_shown(pilot, lambda: "head-up" in "\n".join(rows(app)))


async def test_head_up_falls_back_to_north_up_and_says_so_once(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*(with_heading(n, 200.0) for n in range(3)))
        await until_shown(pilot, lambda: app.state.heading_deg == 200.0)
        while app.state.orientation is not Orientation.HEAD_UP:
            await pilot.press("u")
        for n in range(3, 15):
            strings.send(burst(n))
        await until_shown(pilot, lambda: app.state.heading_deg is None)
        await until_shown(pilot, lambda: said(app))
        assert said(app) == ["No heading any more: north-up until it is back."]
        assert app.state.turned_by is Orientation.NORTH_UP
        assert app.state.up_deg == 0.0
        strings.send(*(with_heading(n, 100.0) for n in range(15, 18)))
        await until_shown(pilot, lambda: app.state.up_deg == 100.0)


def test_a_lost_heading_is_said_once_each_time() -> None:
    watch = HeadingWatch()
    lost = "No heading any more: north-up until it is back."
    script = [(False, False, ""), (True, True, ""), (True, False, lost), (True, False, ""), (True, True, ""),
              (True, False, lost), (False, False, "")]  # fmt: skip
    for head_up, has_heading, expected in script:
        assert watch.update(head_up=head_up, has_heading=has_heading) == expected

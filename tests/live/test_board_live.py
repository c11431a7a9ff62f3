"""The board on a live source: recording, the bell, heading, what to choose from, what it advises."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from core.accuracy import ErrorModel
from core.fix import Position
from core.logbook import RecorderState
from core.memory import Memory, recall, remember
from core.model import FixModel
from core.sources.names import source_name
from core.sources.ports import Port
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.trust import Verdict
from tests.live.board import LIVE, Strings, live_board, rows, said, until_shown
from tests.live.test_tagging import untagged
from tests.wire import burst, sentence
from tui.alert import LOST_FOR_S, FixAlert, HeadingWatch
from tui.app import FixboardApp
from tui.offers import live_offers, recording_offers, recordings_in, remembered_as
from tui.opening import LiveOpening, Opening, live_judgement
from tui.panes.advice import advice
from tui.screens.chooser import ChooserScreen
from tui.screens.pick import PickScreen
from tui.state import BoardState, Orientation

SIZE = (120, 40)
BURSTS = [burst(n) for n in range(20)]
VOIDS = [burst(n, fix=False) for n in range(20, 40)]


@pytest.fixture(autouse=True)
def same_everywhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """No colours by environment, an empty folder to start in, no ports of this computer."""
    for name in ("NO_COLOR", "COLORTERM", "TEXTUAL_COLOR_SYSTEM", "FIXBOARD_DATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("tui.offers.ports", tuple)
    (tmp_path / "started-in").mkdir()
    monkeypatch.chdir(tmp_path / "started-in")
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def memory(folder: Path) -> Memory:
    """What is remembered."""
    return recall(folder / "board.toml")


def recorded(folder: Path) -> bytes:
    """All recordings, without our blocks."""
    return untagged(b"".join(path.read_bytes() for path in sorted((folder / "recordings").iterdir())))


# The recorder


async def test_r_records_and_stops(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:2])
        await until_shown(pilot, lambda: app.state.is_current)
        assert "recording" not in rows(app)[0]
        await pilot.press("r")
        await until_shown(pilot, lambda: "recording 0.0 MB" in rows(app)[0])
        assert f"Recording into {tmp_path / 'recordings'}." in said(app)
        assert memory(tmp_path).recording == LIVE.name
        strings.send(*BURSTS[2:6])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written >= sum(map(len, BURSTS[2:6])))
        await pilot.press("r")
        await until_shown(pilot, lambda: "recording" not in rows(app)[0])
        (file,) = (tmp_path / "recordings").iterdir()
        assert f"Recorded: {file.name}" in said(app)
        assert file.name.endswith("_ttyQ0.nmea")
        assert recorded(tmp_path) == b"".join(BURSTS[2:6])
        assert memory(tmp_path).recording == ""


async def test_quitting_closes_the_recording(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(*BURSTS[:4])
        await until_shown(pilot, lambda: app.state.is_current)
        await pilot.press("q")
    assert recorded(tmp_path) == b"".join(BURSTS[:4])
    assert memory(tmp_path).recording == ""


async def test_a_recording_is_not_recorded_again(tmp_path: Path) -> None:
    strings = Strings(SourceStatus(SourceKind.REPLAY, "walk.nmea", SourceState.PLAYING))
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        await until_shown(pilot, lambda: said(app))
        assert said(app) == ["This is a recording already: only live sources are recorded."]
        assert not (tmp_path / "recordings").exists()


async def test_a_recorder_that_fails_is_told_at_once_and_the_board_goes_on(tmp_path: Path) -> None:
    (tmp_path / "recordings").write_text("a file where the folder should be", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(BURSTS[0])
        await until_shown(pilot, lambda: app.state.recorder.state is RecorderState.FAILED)
        await until_shown(pilot, lambda: "RECORDING STOPPED" in rows(app)[0])
        assert [text for text in said(app) if text.startswith("Not a directory") or "is no folder" in text]
        before = app.state.snapshot.counts.epochs
        strings.send(*BURSTS[1:5])
        await until_shown(pilot, lambda: app.state.snapshot.counts.epochs > before + 2)
        assert app.state.is_current
        assert len([text for text in said(app) if "make room" in text]) == 1, "told once"
        (tmp_path / "recordings").unlink()
        await pilot.press("r")
        strings.send(*BURSTS[5:7])
        await until_shown(pilot, lambda: "recording 0.0 MB" in rows(app)[0])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written > 0)
    assert recorded(tmp_path) == b"".join(BURSTS[5:7])


async def test_a_failed_recording_is_no_crash_for_the_next_start(tmp_path: Path) -> None:
    (tmp_path / "recordings").write_text("a file where the folder should be", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("r")
        strings.send(BURSTS[0])
        await until_shown(pilot, lambda: app.state.recorder.state is RecorderState.FAILED)
    assert memory(tmp_path).recording == ""


@pytest.mark.parametrize("goes_on", [True, False])
async def test_after_a_crash_the_next_start_offers_to_go_on(tmp_path: Path, goes_on: bool) -> None:
    remember(tmp_path / "board.toml", Memory(recording="/dev/ttyQ0 9600 baud"))
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        await until_shown(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "The last run ended while it recorded /dev/ttyQ0 9600 baud" in "\n".join(rows(app))
        await pilot.press(*([] if goes_on else ["down"]), "enter")
        await until_shown(pilot, lambda: not isinstance(app.screen, PickScreen))
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.is_current)
        assert ("recording" in rows(app)[0]) is goes_on
        assert memory(tmp_path).recording == (LIVE.name if goes_on else "")
    assert (tmp_path / "recordings").exists() is goes_on
    assert memory(tmp_path).recording == ""


async def test_an_answer_that_is_put_off_is_asked_for_again(tmp_path: Path) -> None:
    """Escape is no answer that loses anything: nothing is recorded, and that is what was chosen."""
    remember(tmp_path / "board.toml", Memory(recording="x\x1b[31m"))
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        await until_shown(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "\x1b" not in "".join(rows(app))
        await pilot.press("escape")
        await until_shown(pilot, lambda: not isinstance(app.screen, PickScreen))
        assert app.state.recorder.state is RecorderState.OFF


@pytest.mark.parametrize("how", ["option", "setting"])
async def test_recording_from_the_start(tmp_path: Path, how: str) -> None:
    if how == "setting":
        (tmp_path / "settings.toml").write_text("[recorder]\nalways = true\n", encoding="utf-8")
    strings = Strings()
    app = live_board(tmp_path, strings, record=how == "option")
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:3])
        await until_shown(pilot, lambda: app.state.recorder.bytes_written > 0)
    assert recorded(tmp_path).startswith(BURSTS[0])


# The bell


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


# The heading


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


# What to choose from


PORTS = (Port("/dev/ttyQ1", "Quennet receiver", 0x1D50, 0xAA, "Q1"), Port("/dev/ttyS0"))


def labels(offers: list[Any]) -> list[tuple[str, str]]:
    """Names and remarks."""
    return [(offer.label, offer.remark) for offer in offers]


def test_ports_are_offered_with_what_is_known_of_them() -> None:
    assert labels(live_offers("", PORTS)) == [("/dev/ttyQ1", "Quennet receiver"), ("/dev/ttyS0", "serial port")]


@pytest.mark.parametrize("last", ["tcp://quennet:10110", "udp://:10110", "/dev/ttyQ7"])
def test_the_last_source_comes_first(last: str) -> None:
    assert labels(live_offers(last, PORTS))[0] == (last, "last time")
    assert len(live_offers(last, PORTS)) == 3


def test_the_last_port_is_not_listed_twice() -> None:
    assert labels(live_offers("/dev/ttyS0", PORTS)) == [("/dev/ttyS0", "last time"), ("/dev/ttyQ1", "Quennet receiver")]


@pytest.mark.parametrize("last", ["tcp://nowhere", "gone.nmea", "\x00", "udp:"])
def test_a_last_source_that_is_none_is_not_offered(last: str) -> None:
    assert labels(live_offers(last, PORTS)) == labels(live_offers("", PORTS))


def test_what_is_remembered(tmp_path: Path) -> None:
    walk = tmp_path / "walk.nmea"
    walk.touch()
    assert remembered_as(LiveOpening(source_name("tcp://quennet:1")), "before") == "tcp://quennet:1"
    assert remembered_as(LiveOpening(), "before") == ""
    assert remembered_as(Opening(walk, remark="demo"), "before") == "before"
    assert remembered_as(Opening(walk), "before") == str(walk)
    assert labels(live_offers(str(walk), ())) == [("walk.nmea", "last time")]


def test_recordings_are_offered_the_newest_first(tmp_path: Path) -> None:
    ours = tmp_path / "recordings"
    ours.mkdir()
    for name in ("2031-05-04_1.nmea", "2031-05-05_1.nmea.gz", "notes.txt", "half.nmea.gz.part"):
        (ours / name).touch()
    (ours / "folder.nmea").mkdir()
    assert [path.name for path in recordings_in(ours)] == ["2031-05-05_1.nmea.gz", "2031-05-04_1.nmea"]
    assert recordings_in(tmp_path / "none") == []
    assert {remark for _, remark in labels(recording_offers(tmp_path, ours))} == {"recorded here"}


async def chooser(pilot: Pilot[None], app: FixboardApp) -> ChooserScreen:
    """Opened by its key."""
    await pilot.press("o")
    await until_shown(pilot, lambda: isinstance(app.screen, ChooserScreen))
    assert isinstance(app.screen, ChooserScreen)
    return app.screen


async def test_the_chooser_lists_and_opens(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.offers.ports", lambda: PORTS)
    walk = Path("walk.nmea")
    walk.write_bytes(b"".join(BURSTS))
    remember(tmp_path / "board.toml", Memory(source="tcp://quennet:10110"))
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        app.session.keep(source="tcp://quennet:10110")
        screen = await chooser(pilot, app)
        listed = [str(option.prompt).split("  ")[0].strip() for option in screen.query_one(OptionList).options]
        assert listed[:4] == ["tcp://quennet:10110", "/dev/ttyQ1", "/dev/ttyS0", "walk.nmea"]
        await pilot.press("down", "down", "down", "enter")
        await until_shown(pilot, lambda: app.state.status.kind is SourceKind.REPLAY)
        assert app.state.status.name == "walk.nmea"
    assert memory(tmp_path).source == str(walk.absolute())


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("tcp://quennet", "is no address: write tcp://host:port"),
        ("tcp://:1", "names no host"),
        ("udp://:99999", "is no address"),
        ("-", "the board needs the keyboard"),
    ],
)
async def test_what_is_typed_is_checked_and_explained(tmp_path: Path, typed: str, words: str) -> None:
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        screen = await chooser(pilot, app)
        field = screen.query_one(Input)
        field.value = typed
        field.focus()
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is screen, "it stays open"
        assert words in str(screen.query_one("#told", Static).render())


async def test_what_is_typed_is_opened(tmp_path: Path) -> None:
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        screen = await chooser(pilot, app)
        field = screen.query_one(Input)
        field.value = " tcp://127.0.0.1:1 "
        field.focus()
        await pilot.press("enter")
        await until_shown(pilot, lambda: app.state.status.name == "tcp://127.0.0.1:1")
        await until_shown(pilot, lambda: "is the other program running" in "\n".join(rows(app)))
    assert memory(tmp_path).source == "tcp://127.0.0.1:1"


async def test_what_cannot_be_opened_is_said_and_the_board_stays(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.send(*BURSTS[:2])
        await until_shown(pilot, lambda: app.state.is_current)
        screen = await chooser(pilot, app)
        screen.query_one(Input).value = "gone.nmea"
        screen.query_one(Input).focus()
        await pilot.press("enter")
        await until_shown(pilot, lambda: any("there is no file gone.nmea" in text for text in said(app)))
        strings.send(*BURSTS[2:4])
        await until_shown(pilot, lambda: app.state.status.name == LIVE.name)
        assert app.state.is_current


# What it advises


def state_of(state: SourceState, detail: str = "", kind: SourceKind = SourceKind.LIVE) -> BoardState:
    """Without a position."""
    return BoardState(status=SourceStatus(kind, "/dev/ttyQ0", state, detail))


@pytest.mark.parametrize("state", [SourceState.SEARCHING, SourceState.WAITING, SourceState.LOST, SourceState.FAILED])
def test_the_source_says_best_what_is_wrong_with_it(state: SourceState) -> None:
    assert advice(state_of(state, "is gone: plug it in")) == "is gone: plug it in"


@pytest.mark.parametrize(
    ("signals", "words"),
    [
        ((), "the receiver reports no fix, and no satellites: stand still in the open"),
        (("", ""), "no satellite is heard: check the antenna and its view of the sky"),
        (("30", "20"), "2 satellites heard, 0 strongly: go where more of the sky is open"),
    ],
)
def test_sentences_without_a_fix_say_what_the_judge_says(signals: tuple[str, ...], words: str) -> None:
    model = FixModel(judgement=live_judgement(ErrorModel()))
    groups = "".join(f",{n + 5:02d},40,100,{signal}" for n, signal in enumerate(signals))
    sky = sentence(f"GPGSV,1,1,{len(signals):02d}{groups}") if signals else b""
    for second in range(5):
        model.feed(burst(second, fix=False).split(b"$GPGSV")[0] + sky, float(second))
    state = replace(state_of(SourceState.RECEIVING), snapshot=model.snapshot(), now_s=4.0)
    assert advice(state) == words


def test_before_anything_is_judged_there_is_nothing_to_advise() -> None:
    assert advice(state_of(SourceState.RECEIVING)) == ""


def test_with_a_position_there_is_nothing_to_advise() -> None:
    model = FixModel()
    model.feed(burst(0) + burst(1), 1.0)
    state = BoardState(snapshot=model.snapshot(), status=LIVE, now_s=1.0)
    assert isinstance(state.position, Position)
    assert advice(state) == ""


@pytest.mark.parametrize(
    ("state", "detail"),
    [
        (SourceState.SEARCHING, "no serial port with a receiver on it: plug it in"),
        (SourceState.WAITING, "the port is open and silent: is the receiver switched on, is this its port?"),
        (SourceState.LOST, "/dev/ttyQ0 is gone (unplugged?): plug it in again, it is found under any name"),
    ],
)
async def test_the_advice_stands_on_the_board(tmp_path: Path, state: SourceState, detail: str) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        strings.become(state, detail)
        await until_shown(pilot, lambda: app.state.status.detail == detail)
        await until_shown(pilot, lambda: any(detail[:20] in row for row in rows(app)[1:]))
        assert f"{state.value}  {detail[:20]}" in rows(app)[0]

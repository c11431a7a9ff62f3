"""What there is to watch, what may be typed, and what the board advises while there is no position."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from core.accuracy import ErrorModel
from core.fix import Position
from core.memory import Memory, remember
from core.model import FixModel
from core.sources.names import source_name
from core.sources.ports import Port
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.live.board import BURSTS, LIVE, SIZE, Strings, live_board, memory, rows, said, until_shown
from tests.wire import burst, sentence
from tui.app import FixboardApp
from tui.offers import live_offers, recording_offers, recordings_in, remembered_as
from tui.opening import LiveOpening, Opening, live_judgement
from tui.panes.advice import advice
from tui.screens.chooser import ChooserScreen
from tui.state import BoardState

pytestmark = pytest.mark.usefixtures("same_everywhere")


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
        # The opening it was given names no source, and is remembered as none; only after that can it be told another.
        await until_shown(pilot, lambda: not app.session.memory.source)
        app.session.keep(source="tcp://quennet:10110")
        screen = await chooser(pilot, app)
        listed = [str(option.prompt).split("  ")[0].strip() for option in screen.query_one(OptionList).options]
        assert listed[:4] == ["tcp://quennet:10110", "/dev/ttyQ1", "/dev/ttyS0", "walk.nmea"]
        await pilot.press("down", "down", "down", "enter")
        await until_shown(pilot, lambda: app.state.status.kind is SourceKind.REPLAY)
        assert app.state.status.name == "walk.nmea"
    assert memory(tmp_path).source == str(walk.absolute())


WRONG = {
    "tcp://quennet": "is no address: write tcp://host:port",
    "tcp://:1": "names no host",
    "udp://:99999": "is no address",
    "-": "the board needs the keyboard",
}


async def test_what_is_typed_is_checked_and_explained(tmp_path: Path) -> None:
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        screen = await chooser(pilot, app)
        field = screen.query_one(Input)
        field.focus()
        for typed, words in WRONG.items():
            field.value = typed
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


STATES = {
    SourceState.SEARCHING: "no serial port with a receiver on it: plug it in",
    SourceState.WAITING: "the port is open and silent: is the receiver switched on, is this its port?",
    SourceState.LOST: "/dev/ttyQ0 is gone (unplugged?): plug it in again, it is found under any name",
}


async def test_the_advice_stands_on_the_board(tmp_path: Path) -> None:
    strings = Strings()
    app = live_board(tmp_path, strings)
    async with app.run_test(size=SIZE) as pilot:
        for state, detail in STATES.items():
            strings.become(state, detail)
            begin = detail[:20]
            await until_shown(pilot, lambda: any(begin in row for row in rows(app)[1:]))  # noqa: B023  # used at once
            await until_shown(pilot, lambda: f"{state.value}  {begin}" in rows(app)[0])  # noqa: B023  # used at once

"""Feeding other programs from the board: by key, by option; what the top line says of it and of saving power."""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.errors import InputError, UsageError
from core.feed_status import NO_FEED, FeedState, FeedStatus
from core.feeding.plan import FeedPlan, feed_plan
from core.feeding.wish import FeedWish
from core.held import HeldPlace
from core.model import FixModel
from core.power import Power
from core.sources.feed import Feed
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.live.board import SIZE, Strings, live_board
from tests.live.test_network import HERE, free_port
from tests.tui.support import HERE as OCEAN
from tests.tui.support import (
    REPLAYING,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    drawn,
    rows_of,
    screen_rows,
    toasts,
    until,
)
from tests.wire import burst
from tui.arguments import parser
from tui.cli_board import _wanted_feed
from tui.opening import HeldOpening
from tui.panes.source_line import SourceLine
from tui.state import BoardState


@dataclass(frozen=True, slots=True)
class Pulled:
    """Opens a source that the test holds by the strings, whatever it calls itself."""

    strings: Strings
    label: str = "quennet.nmea"
    remark: str = ""

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Of the real kind."""
        return Feed(self.strings, FixModel(), on_news)


FED = FeedStatus(FeedState.ON, ("tcp:127.0.0.1:10110",), 3)


def plan_for(port: int, host: str = HERE) -> FeedPlan:
    return feed_plan(FeedWish((f"tcp:{host}:{port}",)))


def line(width: int = 80, **more: object) -> str:
    (row,) = rows_of(drawn(SourceLine(), BoardState(status=REPLAYING).changed(**more), (width, 1)))
    return row


async def read_until(pilot: Pilot[None], client: socket.socket, words: bytes) -> bytes:
    got = b""
    client.setblocking(False)

    def has() -> bool:
        nonlocal got
        try:
            got += client.recv(65_536)
        except BlockingIOError:
            return words in got
        return words in got

    await until(pilot, has)
    return got


# The line on top


@pytest.mark.parametrize(
    ("feed", "words"),
    [
        (FED, "feed 3 clients"),
        (replace(FED, clients=1), "feed 1 client"),
        (replace(FED, clients=0), "feed 0 clients"),
        (replace(FED, clients=None), "  feed"),
        (replace(FED, is_open=True), "OPEN FEED 3 clients"),
        (replace(FED, state=FeedState.FAILED), "FEED STOPPED"),
    ],
)
@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_feed_is_on_the_top_line(feed: FeedStatus, words: str, width: int) -> None:
    row = line(width, feeding=feed)
    assert words in row
    assert row.startswith(" REPLAY ")
    assert "playing" in row


@pytest.mark.parametrize("width", range(20, 131, 10))
@pytest.mark.parametrize("saves", [False, True])
def test_they_never_cut_what_is_watched_or_how_it_goes(width: int, saves: bool) -> None:
    row = line(width, feeding=replace(FED, is_open=True, clients=64), is_saving=saves, power=Power(True, 100))
    assert row.startswith(" REPLAY ")
    assert "  playing" in row
    assert ("playing  1x" in row) is ("playing  1x" in line(width))
    assert len(row) <= width
    assert ("OPEN FEED 64" in row) is (width >= 40)


def test_no_feed_and_no_saving_say_nothing() -> None:
    assert line(feeding=NO_FEED) == line()
    assert "saving" not in line(power=Power(True, 62))


def test_saving_is_on_the_top_line_with_what_is_left() -> None:
    assert "saving  " in line(is_saving=True)
    assert "saving 62 %  " in line(is_saving=True, power=Power(True, 62))


# By key


async def test_the_key_feeds_what_arrives_and_ends_it(tmp_path: Path) -> None:
    port, strings = free_port(), Strings()
    app = live_board(tmp_path, strings)
    app.wanted_feed = None
    async with app.run_test(size=SIZE) as pilot:
        app.wanted_feed = plan_for(port)
        await pilot.press("O")
        assert any(f"Feeding raw sentences to tcp:{HERE}:{port}. This computer alone" in one for one in toasts(app))
        with socket.create_connection((HERE, port)) as client:
            await until(pilot, lambda: app._desk.status.clients == 1)
            strings.send(burst(0), burst(1))
            assert await read_until(pilot, client, burst(1)) == burst(0) + burst(1)
            app._tick()
            await pilot.pause()
            assert "feed 1 client " in screen_rows(app)[0]
            await pilot.press("O")
            assert toasts(app)[-1] == "The feed has ended."
            client.setblocking(True)
            assert client.recv(100) == b""
        assert "feed" not in screen_rows(app)[0]
        strings.send(burst(2))
        await pilot.press("O")
        assert app._desk.is_running


async def test_without_a_source_there_is_nothing_to_feed_with(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("O")
        assert "nothing to feed" in toasts(app)[-1]


async def test_settings_say_where_to_when_no_option_does(tmp_path: Path) -> None:
    port = free_port()
    (tmp_path / "settings.toml").write_text(f'[feed]\nto = "tcp:{port}"\n')
    app = live_board(tmp_path, Strings())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("O")
        assert app._desk.status.where == (f"tcp:{HERE}:{port}",)


async def test_a_port_in_use_is_said_and_the_board_goes_on(tmp_path: Path) -> None:
    app = live_board(tmp_path, Strings())
    with socket.create_server((HERE, 0)) as taken:
        async with app.run_test(size=SIZE) as pilot:
            app.wanted_feed = plan_for(taken.getsockname()[1])
            await pilot.press("O")
            assert "is in use" in toasts(app)[-1]
            assert not app._desk.is_running
            await pilot.press("n")
            assert app.is_running


async def test_a_feed_that_is_open_to_the_network_says_so(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[home]\nplace = "10.5 N 20.25 W"\n')
    app = board_app(tmp_path, ScriptedOpening(ScriptedSource(arrivals_of(*(Epoch(second=n) for n in range(4))))))
    async with app.run_test(size=SIZE) as pilot:
        await until(pilot, lambda: app.state.position is not None)
        app.wanted_feed = plan_for(free_port(), "0.0.0.0")
        await pilot.press("O")
        assert "OPEN TO THE NETWORK: anybody" in toasts(app)[-1]
        app._tick()
        app._tick()
        await pilot.pause()
        assert "OPEN FEED" in screen_rows(app)[0]
        assert sum("where you live" in one for one in toasts(app)) == 1


async def test_a_feed_never_comes_back_to_the_board_that_sends_it(tmp_path: Path) -> None:
    port = free_port()
    status = SourceStatus(SourceKind.LIVE, f"tcp://{HERE}:{port}", SourceState.RECEIVING)
    app = live_board(tmp_path, Strings(status))
    async with app.run_test(size=SIZE) as pilot:
        app.wanted_feed = plan_for(port)
        await pilot.press("O")
        assert "is where the board itself listens" in toasts(app)[-1]
        assert not app._desk.is_running


# By option, and from one source to the next


async def test_the_option_feeds_from_the_first_source_and_on_from_the_next(tmp_path: Path) -> None:
    port = free_port()
    app = board_app(tmp_path)
    app.wanted_feed = plan_for(port)
    async with app.run_test(size=SIZE) as pilot:
        app.open(ScriptedOpening(ScriptedSource(arrivals_of(*(Epoch(second=n) for n in range(3))))))
        with socket.create_connection((HERE, port)) as client:
            await until(pilot, lambda: app._desk.status.clients == 1)
            app.open(HeldOpening(HeldPlace("Isle", OCEAN)))
            got = await read_until(pilot, client, b",M,V*")
            assert b"HELD PLACE" in got
            assert b",A,A*" not in got
            assert app._desk.status.clients == 1
            strings = Strings(REPLAYING)
            app.open(Pulled(strings))
            strings.send(burst(0))
            got = await read_until(pilot, client, b",S,V*")
            assert b"REPLAY OF A RECORDING" in got
            assert got.index(b"REPLAY") < got.index(b",S,V*")


async def test_recording_and_feeding_do_not_disturb_one_another(tmp_path: Path) -> None:
    port, strings = free_port(), Strings()
    app = live_board(tmp_path, strings, record=True)
    app.wanted_feed = plan_for(port)
    async with app.run_test(size=SIZE) as pilot:
        with socket.create_connection((HERE, port)) as client:
            await until(pilot, lambda: app._desk.status.clients == 1)
            strings.send(burst(0))
            await read_until(pilot, client, burst(0))
            await pilot.press("r")  # recording ends, the feed does not
            strings.send(burst(1))
            await read_until(pilot, client, burst(1))
            await pilot.press("r")
            strings.send(burst(2))
            await read_until(pilot, client, burst(2))
            await pilot.press("O")  # and the other way round
            strings.send(burst(3))
            await until(pilot, lambda: app.state.snapshot.counts.epochs == 4)
    recorded = b"".join(one.read_bytes() for one in sorted(tmp_path.rglob("*.nmea")))
    times = [one.split(b",")[1] for one in recorded.splitlines() if b"RMC" in one]
    assert times == [b"120000.00", b"120002.00", b"120003.00"]


def asked(*words: str) -> FeedPlan | None:
    """As `fixboard WORDS...` has it."""
    return _wanted_feed(parser().parse_args(words))


@pytest.mark.parametrize("words", [("live",), ("replay", "a.nmea"), ("demo",), ("hold", "10.5 N 20.25 W")])
def test_every_command_with_a_source_can_feed(words: tuple[str, ...]) -> None:
    port = free_port()
    options = ("--feed", f"tcp:{port}", "--feed", "pty", "--feed-as", "rebuilt", "--feed-types", "rmc,gga")
    plan = asked(*words, *options, "--feed-rate", "2", "--feed-talker", "gp")
    wished = FeedWish((f"tcp:{port}", "pty"), "rebuilt", "RMC GGA", 2.0, "GP")
    assert plan == feed_plan(wished)
    assert asked(*words) is None


def test_what_cannot_be_had_is_an_exit_code_before_there_is_a_screen() -> None:
    with socket.create_server((HERE, 0)) as taken, pytest.raises(InputError, match="choose another port") as error:
        asked("demo", "--feed", f"tcp:{taken.getsockname()[1]}")
    assert error.value.exit_code == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--feed", "tcp:x"), "is no address for a feed"),
        (("--feed", "tcp:10110", "--feed-rate", "0"), "0.01 to 50"),
        (("--feed-rate", "1"), "--feed says where to"),
        (("--feed-as", "raw"), "--feed says where to"),
    ],
)
def test_wrong_options_say_what_is_right(words: tuple[str, ...], said: str) -> None:
    with pytest.raises(UsageError, match=said) as error:
        asked("demo", *words)
    assert error.value.exit_code == 2

"""Feeding other programs and saving power from the board: by key, by option, by battery; what the top line says."""

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
from tests.live.board import Strings, live_board
from tests.live.test_network import HERE, free_port
from tests.tui.support import (
    HERE as OCEAN,
)
from tests.tui.support import (
    REPLAYING,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    drawn,
    rows_of,
    screen_rows,
    show,
    toasts,
    until,
)
from tests.wire import burst
from tui.app import FixboardApp
from tui.arguments import parser
from tui.cli_board import _wanted_feed
from tui.opening import HeldOpening
from tui.panes.compass import CompassPane
from tui.panes.source_line import SourceLine
from tui.state import BoardState, Orientation

SIZE = (120, 40)


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


# Saving power


def counted(app: FixboardApp) -> Callable[[], int]:
    """How often the board has been given a state since."""
    states: list[BoardState] = []

    def given(state: BoardState) -> None:
        states.append(state)

    app.watch(app.board, "state", given, init=False)
    return lambda: len(states)


def without_ticks(app: FixboardApp) -> FixboardApp:
    """Before it is mounted: then a second passes only where the test says so."""
    app._tick = lambda: None  # type: ignore[method-assign]  # the test calls the real one
    return app


async def test_while_saving_news_wait_for_the_tick(tmp_path: Path) -> None:
    strings = Strings()
    app = without_ticks(live_board(tmp_path, strings))
    async with app.run_test(size=SIZE) as pilot:
        strings.send(burst(0))
        await until(pilot, lambda: app.state.snapshot.counts.epochs == 1)
        await pilot.press("Y")
        assert app.state.is_saving
        drawn_again = counted(app)
        for n in range(1, 30):
            strings.send(burst(n / 10), step_s=0.1)
        await until(pilot, lambda: app._is_behind)
        await pilot.pause(0.1)
        assert drawn_again() == 0
        assert app.state.snapshot.counts.epochs == 1
        await until(pilot, lambda: not strings._waiting)
        FixboardApp._tick(app)
        await pilot.pause()
        assert drawn_again() == 1
        await pilot.press("Y")
        strings.send(burst(40))
        await until(pilot, lambda: app.state.snapshot.counts.epochs > 20)
        assert not app.state.is_saving


async def test_a_key_is_answered_at_once_with_the_newest(tmp_path: Path) -> None:
    strings = Strings()
    app = without_ticks(live_board(tmp_path, strings))
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("Y")
        strings.send(burst(0), burst(1))
        await until(pilot, lambda: app._is_behind)
        before = app.state.notation
        await pilot.press("n")
        assert app.state.notation is not before
        assert app.state.snapshot.counts.epochs > 0


async def test_while_saving_the_rose_jumps(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    app.animation_level = "full"
    async with app.run_test(size=SIZE) as pilot:
        show(app, board_state())
        await pilot.pause()
        await pilot.press("Y")
        assert str(app.animation_level) == "none"
        await pilot.press("u")
        assert app.state.turned_by is Orientation.COURSE_UP
        rose = app.board.query_one(CompassPane)
        assert rose._frames is None
        assert rose.shown_deg == 90.0
        await pilot.press("Y")
        assert app.animation_level == "full"


async def test_while_saving_there_are_no_charts(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press("9")
        assert app.board.page == "charts"
        await pilot.press("Y")
        assert app.board.page == "board"
        await pilot.press("9")
        assert app.board.page == "board"
        assert "No charts while power is saved" in toasts(app)[-1]
        app.board.page = "charts"  # as a chapter may want
        app._tick()
        assert app.board.page == "board"
        await pilot.press("2")
        assert app.board.page == "fix"
        await pilot.press("Y", "9")
        assert app.board.page == "charts"


def saving_app(folder: Path) -> FixboardApp:
    (folder / "settings.toml").write_text("[power]\nsaving_on_battery = true\n")
    return board_app(folder)


async def test_on_battery_it_saves_by_itself_where_the_settings_say_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [Power(False, 80)]
    monkeypatch.setattr("tui.actions.power.power", lambda _: now[0])
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app._tick()
        await until(pilot, lambda: app._power == Power(False, 80))
        assert not app.state.is_saving
        now[0] = Power(True, 79)
        app._ticks = 0
        app._tick()
        await until(pilot, lambda: app.state.is_saving)
        assert toasts(app)[-1].startswith("On battery. Saving power")
        await pilot.pause()
        assert "saving 79 %" in screen_rows(app)[0]


async def test_the_key_overrides_the_battery_until_the_plug_is_moved(tmp_path: Path) -> None:
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app._ticks = 1  # this computer itself is not asked
        app.take_power(Power(True, 60))
        assert app.state.is_saving
        await pilot.press("Y")
        assert not app.state.is_saving
        app.take_power(Power(True, 59))
        assert not app.state.is_saving
        app.take_power(Power(False, 59))
        app.take_power(Power(True, 58))
        assert app.state.is_saving
        app.take_power(Power(False, 58))
        assert not app.state.is_saving


async def test_what_nobody_knows_saves_nothing(tmp_path: Path) -> None:
    app = saving_app(tmp_path)
    async with app.run_test(size=SIZE):
        app._ticks = 1
        app.take_power(Power(None, None))
        assert not app.state.is_saving


async def test_without_the_setting_the_battery_is_not_even_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("tui.actions.power.power", asked.append)
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        for _ in range(40):
            app._tick()
        app.take_power(Power(True, 60))
        await pilot.pause()
        assert (asked, app.state.is_saving) == ([], False)

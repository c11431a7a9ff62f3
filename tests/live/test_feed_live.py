"""The feed over real sockets, a pseudo-terminal and a wire: who is slow, stuck or gone costs nobody else anything."""

from __future__ import annotations

import os
import socket
import struct
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from functools import partial
from pathlib import Path

import pytest

from core.errors import InputError
from core.feed import MOST_OFFERED, Feeder
from core.feed_status import FeedState
from core.feeding.plan import Origin, feed_plan
from core.feeding.tcp_outlet import MOST_CLIENTS, TcpOutlet
from core.feeding.wish import FeedWish
from core.fix import Position
from core.held import HeldPlace
from core.model import FixModel
from core.sources.network import TcpSource
from core.sources.source import Arrival, SourceKind
from core.sources.wall import anchor_now
from tests.live.rig import Computer, on_serial, until, watching
from tests.live.test_network import HERE, free_port
from tests.wire import PtyReceiver, burst, walk

LIVE = Origin(SourceKind.LIVE, "/dev/ttyQ0 9600 baud")
REPLAY = Origin(SourceKind.REPLAY, "quennet.nmea")
CLIENTS = 10
AT_ONCE = 10
"""Epochs offered before everybody is waited for: two seconds of a second's bursts at 10 Hz must never be too much."""
MUCH = 10_000_000
"""Bytes that no system takes for a client that does not read."""
SMALL = 4096
"""Bytes of the buffer of a client that does not read, so that it is stuck soon."""


@contextmanager
def feeding(*to: str, origin: Origin = LIVE, **wished: object) -> Iterator[Feeder]:
    """A feed that runs."""
    plan = feed_plan(FeedWish(to, **wished))  # type: ignore[arg-type]  # tests name FeedWish's fields
    feeder = Feeder(plan, origin, anchor_now(), time.monotonic)
    feeder.start()
    try:
        yield feeder
    finally:
        feeder.stop()
        until(lambda: not feeder._thread.is_alive())


class Client:
    """Connects and reads all there is, in a thread of its own."""

    def __init__(self, port: int) -> None:
        self._socket = socket.create_connection((HERE, port))
        self.got = bytearray()
        self.ended = threading.Event()
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        while data := self._recv():
            self.got += data
        self.ended.set()

    def _recv(self) -> bytes:
        try:
            return self._socket.recv(65_536)
        except OSError:
            return b""

    def leave(self) -> None:
        """Closing alone would wait for the read under way."""
        with suppress(OSError):
            self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()

    def __enter__(self) -> Client:
        return self

    def __exit__(self, *_: object) -> None:
        self.leave()


def deaf(port: int) -> socket.socket:
    """A client that connects and never reads."""
    client = socket.socket()
    client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, SMALL)
    client.connect((HERE, port))
    return client


def slam(client: socket.socket) -> None:
    """Leave without a word, whatever is under way (a reset instead of a goodbye)."""
    client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    client.close()


def offer(feeder: Feeder, *data: bytes) -> bytes:
    for piece in data:
        feeder.offer(Arrival(piece, 0.0))
    return b"".join(data)


def together(feeder: Feeder, count: int) -> None:
    until(lambda: feeder.status.clients == count, lambda: feeder.status)


def test_ten_clients_one_stuck_one_leaving_in_mid_write_and_nothing_lost_for_the_rest() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        good = [stack.enter_context(Client(port)) for _ in range(CLIENTS - 2)]
        stuck, leaver = deaf(port), deaf(port)
        together(feeder, CLIENTS)
        sent = b""

        def go_on(enough: Callable[[], bool]) -> None:
            """A second at 10 Hz at once, and again when those that read have got it."""
            nonlocal sent
            while not enough():
                begin = sent.count(b"RMC")
                sent += offer(feeder, *(burst((begin + n) / 10) for n in range(AT_ONCE)))
                until(partial(have_all, good, len(sent)), lambda: feeder.status)
                assert len(sent) < MUCH, feeder.status

        go_on(lambda: waits_for_both(feeder))
        assert feeder.status.clients == CLIENTS
        slam(leaver)
        together(feeder, CLIENTS - 1)
        assert feeder.status.dropped == 0
        go_on(lambda: feeder.status.clients == CLIENTS - 2)
        assert feeder.status.dropped == 1
        before = len(sent)
        go_on(lambda: len(sent) > 2 * before)
        assert [bytes(one.got) == sent for one in good] == [True] * len(good)
        assert feeder.status.clients == len(good)
        assert feeder.status.sentences == sent.count(b"\n")
        stuck.close()
    assert feeder.status.state is FeedState.OFF
    until(lambda: all(one.ended.is_set() for one in good))


def have_all(clients: list[Client], length: int) -> bool:
    """Whether each has so many bytes."""
    return all(len(one.got) == length for one in clients)


def waits_for_both(feeder: Feeder) -> bool:
    """Whether something waits for the two that do not read: they are in the middle of being written to."""
    (outlet,) = feeder._outlets
    assert isinstance(outlet, TcpOutlet)
    return sum(len(waiting) > 0 for waiting in [*outlet._clients.values()]) == 2


@pytest.mark.slow
def test_the_same_at_ten_hertz_for_a_minute() -> None:
    """As above by the clock: 600 epochs of a real line at 10 Hz, one client stuck, one leaving after half of it."""
    port, computer = free_port(), Computer()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        with PtyReceiver(115200, 10.0, walk(10.0)) as receiver:
            computer.plug("/dev/ttyQ0", receiver)
            with watching(on_serial(computer, "/dev/ttyQ0", 115200)) as watch:
                good = [stack.enter_context(Client(port)) for _ in range(CLIENTS - 2)]
                stuck, leaver = deaf(port), deaf(port)
                together(feeder, CLIENTS)
                watch.feed.outlet = feeder.offer
                begun_s = time.monotonic()
                while time.monotonic() - begun_s < 60.0:
                    if time.monotonic() - begun_s > 30.0 and leaver.fileno() >= 0:
                        slam(leaver)
                    time.sleep(0.1)
                watch.feed.outlet = None
        until(lambda: len({len(one.got) for one in good}) == 1)
        got = [bytes(one.got) for one in good]
        assert len(set(got)) == 1
        times = [line.split(b",")[1] for line in got[0].splitlines() if line[3:6] == b"RMC"]
        tenths = [round(float(t[:2]) * 36000 + float(t[2:4]) * 600 + float(t[4:]) * 10) for t in times]
        assert len(tenths) > 550
        assert tenths == list(range(tenths[0], tenths[0] + len(tenths)))
        stuck.close()


def test_a_client_that_comes_later_begins_with_a_whole_sentence() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, Client(port) as first:
        together(feeder, 1)
        half = burst(0)[:100]
        offer(feeder, half)
        until(lambda: len(first.got) > 50)
        with Client(port) as second:
            together(feeder, 2)
            rest = offer(feeder, burst(0)[100:], burst(1))
            until(lambda: second.got.endswith(burst(1)))
            assert second.got.startswith(b"$")
            assert bytes(second.got) in half + rest
            assert bytes(first.got) == half + rest


def test_who_has_left_is_not_counted_any_more() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder:
        assert feeder.status.clients in {None, 0}
        client = Client(port)
        together(feeder, 1)
        client.leave()
        with Client(port):
            together(feeder, 1)
        together(feeder, 0)
        assert feeder.status.dropped == 0


def test_what_clients_send_is_read_and_thrown_away() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        client._socket.sendall(b"GET / HTTP/1.1\r\n" + b"x" * 300_000)
        sent = offer(feeder, burst(0))
        until(lambda: bytes(client.got) == sent)


def test_there_is_an_end_to_how_many_are_let_in() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        clients = [stack.enter_context(Client(port)) for _ in range(MOST_CLIENTS + 3)]
        until(lambda: sum(one.ended.is_set() for one in clients) == 3)
        together(feeder, MOST_CLIENTS)
        sent = offer(feeder, burst(0))
        until(lambda: sum(bytes(one.got) == sent for one in clients) == MOST_CLIENTS)


def test_the_tap_never_waits_and_never_fills_the_memory() -> None:
    """The feed's thread has not begun, as if it hung: a source goes on offering."""
    plan = feed_plan(FeedWish((f"tcp:{free_port()}",)))
    feeder = Feeder(plan, LIVE, anchor_now(), time.monotonic)
    for end in (feeder._woken, feeder._wake):
        end.setblocking(False)
    offer(feeder, *[burst(0)] * (MOST_OFFERED + 500))
    assert len(feeder._offered) == MOST_OFFERED
    assert feeder.status.dropped == 500
    feeder.stop()


def test_the_address_is_free_again_after_the_end() -> None:
    port = free_port()
    for _ in range(3):
        with feeding(f"tcp:{port}") as feeder, Client(port):
            together(feeder, 1)


def test_several_outlets_of_one_feed() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", "pty", f"udp:{free_port(socket.SOCK_DGRAM)}") as feeder, Client(port) as client:
        together(feeder, 1)
        sent = offer(feeder, burst(0))
        until(lambda: bytes(client.got) == sent)
        assert [one.split(":")[0] for one in feeder.status.where[::2]] == ["tcp", "udp"]


# UDP


def test_datagrams_hold_a_sentence_each() -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as listener:
        listener.bind((HERE, 0))
        listener.settimeout(30.0)
        with feeding(f"udp:{listener.getsockname()[1]}") as feeder:
            sent = offer(feeder, burst(0), burst(1))
            found = [listener.recv(2000) for _ in range(sent.count(b"\n"))]
            assert b"".join(found) == sent
            assert feeder.status.clients is None


def test_datagrams_that_nobody_takes_end_nothing() -> None:
    with feeding(f"udp:{free_port(socket.SOCK_DGRAM)}") as feeder:
        for n in range(20):
            offer(feeder, burst(n))
            until(lambda: not feeder._offered)
        assert feeder.status.state is FeedState.ON


# A pseudo-terminal


def test_a_pseudo_terminal_is_read_like_a_serial_port() -> None:
    computer = Computer()
    with feeding("pty") as feeder:
        (device,) = feeder.status.where
        offer(feeder, burst(0))  # nobody reads: it is not kept
        until(lambda: feeder.status.sentences > 0)
        far = os.open(device, os.O_RDWR | os.O_NOCTTY)
        together(feeder, 1)
        sent = offer(feeder, burst(1), burst(2))
        got = b""
        while len(got) < len(sent):
            got += os.read(far, 4096)
        assert got == sent
        os.write(far, b"\xb5\x62 a command for a receiver\r\n")
        os.close(far)
        together(feeder, 0)
    del computer


def test_a_reader_of_it_that_is_stuck_gets_the_newest_once_it_reads_again() -> None:
    with feeding("pty") as feeder:
        far = os.open(feeder.status.where[0], os.O_RDWR | os.O_NOCTTY)
        together(feeder, 1)
        second = 0
        while feeder.status.dropped == 0:
            offer(feeder, *(burst(second + n) for n in range(20)))
            second += 20
            until(lambda: not feeder._offered)
        os.set_blocking(far, False)
        newest, got = burst(86_000), b""
        offer(feeder, newest)

        def has_newest() -> bool:
            nonlocal got
            with suppress(BlockingIOError):
                got += os.read(far, 65_536)
            return got.endswith(newest)

        until(has_newest, lambda: got[-200:])
        model = FixModel()
        model.feed(got, 0.0)
        assert model.snapshot().counts.rejected == {}
        os.close(far)


def test_a_link_to_it_is_made_and_removed_and_replaces_nothing(tmp_path: Path) -> None:
    link = tmp_path / "ttyQ"
    with feeding(f"pty:{link}") as feeder:
        assert feeder.status.where == (str(link),)
        assert link.is_symlink()
        assert link.readlink().exists()
    assert not link.is_symlink()
    link.symlink_to(tmp_path / "gone")  # as a crash leaves it
    with feeding(f"pty:{link}"):
        assert link.readlink() != tmp_path / "gone"
    link.write_text("somebody's file")
    with pytest.raises(InputError, match="there is something of the name"), feeding(f"pty:{link}"):
        pass
    assert link.read_text() == "somebody's file"
    with pytest.raises(InputError, match="cannot be opened"), feeding("pty:~nobodyofthatname/ttyQ"):
        pass


# A wire


def test_a_serial_port_gets_it_and_nobody_else_may_open_the_port() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}@38400") as feeder:
        sent = offer(feeder, burst(0), burst(1))
        until(lambda: wire.read() == sent, lambda: wire.got)
        with pytest.raises(InputError, match="is in use"), feeding(f"serial:{wire.device}"):
            pass
    wire.close()


def test_what_a_wire_cannot_carry_is_left_out_by_whole_sentences() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}@4800") as feeder:
        for n in range(300):
            offer(feeder, burst(n))
            until(lambda: not feeder._offered)
        until(lambda: feeder.status.dropped > 0, lambda: feeder.status)
        newest = burst(9000)
        offer(feeder, newest)
        until(lambda: wire.read().endswith(newest), lambda: wire.got[-200:])
        model = FixModel()
        model.feed(bytes(wire.got), 0.0)
        assert model.snapshot().counts.rejected == {}
    wire.close()


def test_a_wire_that_is_pulled_out_is_said_and_the_other_outlets_go_on() -> None:
    wire, port = Wire(), free_port()
    with feeding(f"serial:{wire.device}", f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        wire.close()
        sent = b""
        while not feeder.status.reason:
            sent += offer(feeder, burst(0))
            until(partial(have_all, [client], len(sent)))
        assert "plug it in again" in feeder.status.reason
        assert feeder.status.state is FeedState.ON
        sent += offer(feeder, burst(1))
        until(lambda: bytes(client.got) == sent)


def test_without_any_outlet_left_it_has_failed_and_says_why() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}") as feeder:
        wire.close()

        def failed() -> bool:
            offer(feeder, burst(0))
            return feeder.status.state is FeedState.FAILED

        until(failed)
        assert wire.device in feeder.status.reason


class Wire:
    """A pty that stands for a serial line with somebody at its other end."""

    def __init__(self) -> None:
        self._master, self._far = os.openpty()
        self.device = os.ttyname(self._far)
        os.set_blocking(self._master, False)
        self.got = bytearray()

    def read(self) -> bytes:
        """All that has come."""
        try:
            self.got += os.read(self._master, 65_536)
        except OSError:
            return bytes(self.got)
        return bytes(self.got)

    def close(self) -> None:
        """Pull it out."""
        for end in (self._master, self._far):
            if end >= 0:
                os.close(end)
        self._master = self._far = -1


# What it says it is


def test_a_replay_is_simulated_and_says_so_to_each_client_that_comes() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", origin=REPLAY) as feeder, Client(port) as first:
        together(feeder, 1)
        offer(feeder, burst(0), burst(1), burst(2))  # so fast that some may be left out, but never the newest
        until(lambda: b"$GNRMC,120002.00,V," in first.got, lambda: bytes(first.got))
        with Client(port) as second:
            until(lambda: b"REPLAY OF A RECORDING" in second.got)
            assert second.got.startswith(b"$GNTXT,01,01,01,REPLAY")
        assert first.got.startswith(b"$GNTXT,01,01,01,REPLAY")
        assert b",A*" not in first.got


def test_whoever_opens_the_pseudo_terminal_of_a_replay_is_told_first() -> None:
    with feeding("pty", origin=REPLAY) as feeder:
        for _ in range(2):
            far = os.open(feeder.status.where[0], os.O_RDWR | os.O_NOCTTY)
            together(feeder, 1)
            offer(feeder, burst(0))
            assert os.read(far, 4096).startswith(b"$GNTXT,01,01,01,REPLAY")
            os.close(far)
            together(feeder, 0)


def test_a_raw_replay_has_the_same_notice() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", origin=REPLAY, form="raw") as feeder, Client(port) as client:
        together(feeder, 1)
        offer(feeder, burst(0))
        until(lambda: client.got.endswith(burst(0)))
        assert client.got.startswith(b"$GNTXT,01,01,01,REPLAY")


def test_clients_stay_when_the_board_turns_to_something_else() -> None:
    port = free_port()
    held = Origin(SourceKind.HELD, "Isle", held=HeldPlace("Isle", Position(10.5, -20.25), 12.0))
    with feeding(f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        offer(feeder, burst(0))
        until(lambda: bytes(client.got) == burst(0))
        feeder.feed_from(held)
        offer(feeder, b"\n", b"\n")
        until(lambda: client.got.count(b",M,V*") == 2, lambda: bytes(client.got))
        since = bytes(client.got[len(burst(0)) :])
        assert since.startswith(b"$GNTXT,01,01,01,HELD PLACE")
        assert b"1030.00000,N,02015.00000,W" in since
        model = FixModel()
        model.feed(since, 0.0)
        assert not model.snapshot().fix.is_satellite_fix
        feeder.feed_from(LIVE)
        offer(feeder, burst(7))
        until(lambda: client.got.endswith(burst(7)))
        assert feeder.status.clients == 1


# A second board


@pytest.mark.parametrize("form", ["raw", "rebuilt"])
def test_a_second_board_on_the_first_one_s_feed_agrees(form: str) -> None:
    port, computer = free_port(), Computer()
    with feeding(f"tcp:{port}", form=form) as feeder, PtyReceiver(115200, 10.0, walk(10.0)) as receiver:
        computer.plug("/dev/ttyQ0", receiver)
        with (
            watching(on_serial(computer, "/dev/ttyQ0", 115200)) as first,
            watching(TcpSource(HERE, port, time.monotonic)) as second,
        ):
            together(feeder, 1)
            first.feed.outlet = feeder.offer
            second.until_fixes(20)
            first.feed.outlet = None
        before, after = finished(first.received()), finished(second.received())
        assert len(after) > 10
        for utc, what in after.items():
            assert before[utc] == what


def finished(data: bytes) -> dict[object, tuple[object, ...]]:
    """By time: place, mode, satellites and speed of each epoch that has come whole."""
    model = FixModel()
    found = model.feed(data, 0.0)
    return {
        fix.utc: (
            fix.position and tuple(round(one, 7) for one in fix.position),
            fix.mode,
            fix.used,
            None if fix.speed_mps is None else round(fix.speed_mps, 3),
            {one.name for one in fix.satellites},
        )
        for fix in found
        if fix.is_satellite_fix
    }

"""TCP and UDP over real sockets of this computer: what comes is treated like a damaged file."""

from __future__ import annotations

import os
import random
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from core.errors import InputError
from core.model import FixModel
from core.sources.feed import Feed
from core.sources.names import source_name
from core.sources.network import FIRST_BACKOFF_S, LONGEST_BACKOFF_S, TcpSource, UdpSource
from core.sources.source import SourceState
from tests.live.rig import hurried, runs, until, watching
from tests.wire import burst

HERE = "127.0.0.1"


class Server:
    """Accepts connections, one at a time, on a port of this computer."""

    def __init__(self, port: int = 0, host: str = HERE) -> None:
        self._listener = socket.create_server(
            (host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET, backlog=5
        )
        self.port: int = self._listener.getsockname()[1]

    def accept(self) -> socket.socket:
        """The next connection."""
        self._listener.settimeout(30.0)
        return self._listener.accept()[0]

    def close(self) -> None:
        """Accept no more."""
        self._listener.close()

    def __enter__(self) -> Server:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def free_port(kind: socket.SocketKind = socket.SOCK_STREAM) -> int:
    """One that nobody listens on at this moment."""
    with socket.socket(socket.AF_INET, kind) as probe:
        probe.bind((HERE, 0))
        port: int = probe.getsockname()[1]
    return port


def test_sentences_arrive_from_a_server() -> None:
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch, server.accept() as connection:
        watch.until_state(SourceState.WAITING)
        watch.until_told("connected, nothing has come yet")
        connection.sendall(burst(0) + burst(1))
        watch.until_total(2)
        assert watch.state is SourceState.RECEIVING
        assert watch.feed.status().name == f"tcp://{HERE}:{server.port}"


def test_a_sentence_cut_anywhere_between_segments() -> None:
    data = burst(0) + burst(1)
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch, server.accept() as connection:
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        for start in range(0, len(data), 37):
            connection.sendall(data[start : start + 37])
            time.sleep(0.001)
        until(lambda: watch.newest.counts.epochs_with_fix == 2)
        assert not watch.newest.counts.rejected


def test_a_server_that_stops_sending_is_waited_for() -> None:
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch, server.accept() as connection:
        connection.sendall(burst(0))
        watch.until_total(1)
        watch.until_told("connected, but nothing has come for")
        assert watch.state is SourceState.WAITING
        connection.sendall(burst(1))
        watch.until_total(2)
        watch.until_state(SourceState.RECEIVING)


def test_a_server_that_closes_is_connected_to_again() -> None:
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch:
        with server.accept() as connection:
            connection.sendall(burst(0) + burst(1)[:50])
            watch.until_total(1)
        watch.until_told("the other side has closed the connection; trying again")
        assert watch.state is SourceState.LOST
        with server.accept() as connection:
            connection.sendall(burst(2) + burst(3))
            watch.until_total(3)


def test_a_connection_that_is_torn_down_is_made_again() -> None:
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch:
        connection = server.accept()
        connection.sendall(burst(0))
        watch.until_total(1)
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\x01\x00\x00\x00\x00\x00\x00\x00")
        connection.close()
        watch.until_told("the connection broke")
        assert watch.state is SourceState.LOST
        with server.accept() as again:
            again.sendall(burst(2))
            watch.until_total(2)


def test_a_server_that_is_not_there_yet() -> None:
    port = free_port()
    with watching(TcpSource(HERE, port, hurried)) as watch:
        watch.until_told(f"nothing accepts connections at {HERE}:{port}: is the other program running")
        assert watch.state is SourceState.SEARCHING
        with Server(port) as server, server.accept() as connection:
            connection.sendall(burst(0))
            watch.until_total(1)


def test_waits_between_tries_grow_to_a_limit_and_start_again_with_data() -> None:
    now = [0.0]
    source = TcpSource(HERE, free_port(), lambda: now[0])
    waits = []
    for _ in range(7):
        source.read(0.0)
        before = now[0]
        while "1" not in source.status().detail or source._next_try_s > now[0]:
            now[0] += 0.5
        waits.append(now[0] - before)
    assert waits[0] == FIRST_BACKOFF_S
    assert waits == sorted(waits)
    assert waits[-1] == LONGEST_BACKOFF_S
    source.close()


def test_a_server_that_takes_and_drops_is_not_hammered() -> None:
    """Connected is not yet served: only data set the waits back."""
    now = [0.0]
    with Server() as server:
        source = TcpSource(HERE, server.port, lambda: now[0])
        for expected in (1, 2, 4, 8, 15, 15):
            source.read(0.0)
            server.accept().close()
            source.read(5.0)
            assert source.status().state is SourceState.LOST
            assert source.status().detail.endswith(f"trying again every {expected} s")
            now[0] += LONGEST_BACKOFF_S
        source.close()


@pytest.mark.parametrize("host", ["no such host.invalid", "x" * 300, "a..b", "\udcff"])
def test_a_host_that_cannot_be_is_explained(host: str) -> None:
    source = TcpSource(host, 2947, hurried)
    source.read(0.0)
    status = source.status()
    assert status.state is SourceState.SEARCHING
    assert "trying again" in status.detail
    source.close()


def test_ipv6() -> None:
    try:
        server = Server(host="::1")
    except OSError:
        pytest.skip("this computer has no IPv6 loopback")
    name = source_name(f"tcp://[::1]:{server.port}")
    with server, watching(TcpSource(name.host, name.port, hurried)) as watch, server.accept() as connection:
        connection.sendall(burst(0))
        watch.until_total(1)
        assert watch.feed.status().name == name.text


def flood(size: int) -> Iterator[bytes]:
    """Noise, endless lines, cut and whole sentences."""
    noise = random.Random(11)
    kinds = (
        *(noise.randbytes(40_000) for _ in range(6)),
        b"$" * 40_000,
        b"A" * 40_000,
        b"$GPRMC," * 6_000,
        burst(0) * 100,
        b"!\\*" * 13_000,
    )
    sent = 0
    while sent < size:
        for kind in kinds:
            sent += len(kind)
            yield kind


def resident_bytes() -> int:
    """Memory of this process."""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")


def test_a_flood_fills_nothing_and_raises_nothing() -> None:
    """20 MB as fast as the socket takes them."""
    with Server() as server, watching(TcpSource(HERE, server.port, hurried)) as watch, server.accept() as connection:
        watch.feed.tap = None  # which keeps everything
        before = resident_bytes()
        for data in flood(20_000_000):
            connection.sendall(data)
        connection.sendall(b"\r\n" + burst(4) + burst(5) + burst(6))
        until(lambda: "$GNRMC,120006.00" in str(watch.newest.wire), watch.feed.status)
        assert resident_bytes() - before < 12_000_000
        assert watch.state is SourceState.RECEIVING


@contextmanager
def full_backlog() -> Iterator[int]:
    """A port whose connections are neither taken nor refused, as behind many a firewall."""
    listener = socket.socket()
    listener.bind((HERE, 0))
    listener.listen(0)
    port = listener.getsockname()[1]
    callers = []
    for _ in range(3):
        caller = socket.socket()
        caller.setblocking(False)
        caller.connect_ex((HERE, port))
        callers.append(caller)
    yield port
    for one in (*callers, listener):
        one.close()


def test_stopping_while_it_connects_does_not_hang_and_tells_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.sources.network.CONNECT_S", 1.0)
    with full_backlog() as port:
        told: list[int] = []
        feed = Feed(TcpSource(HERE, port, hurried), FixModel(), lambda: told.append(1))
        feed.start()
        time.sleep(0.1)
        before = len(told)
        stopper = threading.Thread(target=feed.stop)
        stopper.start()
        stopper.join(30.0)
        assert not stopper.is_alive()
        until(lambda: not runs(feed))
        assert len(told) == before


@pytest.mark.parametrize("served", [True, False])
def test_stopping_lets_the_connection_go(served: bool) -> None:
    with Server() as server:
        feed = Feed(TcpSource(HERE, server.port, hurried), FixModel(), lambda: None)
        feed.start()
        with server.accept() as connection:
            if served:
                connection.sendall(burst(0))
            feed.stop()
            connection.settimeout(30.0)
            assert connection.recv(10) == b""


def send(port: int, *datagrams: bytes, host: str = HERE) -> None:
    """From a sender of its own."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_DGRAM) as sender:
        for data in datagrams:
            sender.sendto(data, (host, port))


def test_datagrams_are_listened_for_on_this_computer_only() -> None:
    port = free_port(socket.SOCK_DGRAM)
    with watching(UdpSource("", port, hurried)) as watch:
        assert watch.source._socket.getsockname() == ("127.0.0.1", port)  # type: ignore[attr-defined]
        assert watch.feed.status().name == f"udp://127.0.0.1:{port}"
        assert watch.detail == "listening, nothing has come yet"
        send(port, burst(0), burst(1))
        watch.until_total(2)
        assert watch.state is SourceState.RECEIVING


def test_other_computers_only_when_asked_for() -> None:
    name = source_name(f"udp://0.0.0.0:{free_port(socket.SOCK_DGRAM)}")
    source = UdpSource(name.host, name.port, hurried)
    assert source._socket.getsockname() == ("0.0.0.0", name.port)
    source.close()
    source.read(0.0)


def test_datagrams_on_ipv6() -> None:
    port = free_port(socket.SOCK_DGRAM)
    try:
        source = UdpSource("::1", port, hurried)
    except InputError:
        pytest.skip("this computer has no IPv6 loopback")
    with watching(source) as watch:
        send(port, burst(0), host="::1")
        watch.until_total(1)


def test_a_datagram_needs_no_line_end_and_an_empty_one_does_no_harm() -> None:
    port = free_port(socket.SOCK_DGRAM)
    with watching(UdpSource("", port, hurried)) as watch:
        for line in (burst(0) + burst(1)).split(b"\r\n"):
            send(port, line)
        until(lambda: watch.newest.counts.verified == 10)
        assert not watch.newest.counts.rejected


def test_several_senders_are_one_stream() -> None:
    port = free_port(socket.SOCK_DGRAM)
    with watching(UdpSource("", port, hurried)) as watch:
        for second in range(5):
            send(port, *burst(second).splitlines(keepends=True))
            send(port, b"\xff\x00 noise")
        until(lambda: watch.newest.counts.epochs_with_fix == 5)


def test_silence_is_said() -> None:
    port = free_port(socket.SOCK_DGRAM)
    with watching(UdpSource("", port, hurried)) as watch:
        watch.until_told("listening, but nothing has come for")
        assert watch.state is SourceState.WAITING


def test_an_address_that_is_taken() -> None:
    port = free_port(socket.SOCK_DGRAM)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind((HERE, port))
        with pytest.raises(InputError, match=f"another program listens on {HERE}:{port} already: close it, or choose"):
            UdpSource("", port, hurried)


@pytest.mark.parametrize("host", ["192.0.2.77", "no-such-host.invalid"])
def test_an_address_of_another_computer(host: str) -> None:
    """192.0.2.0/24 belongs to nobody (RFC 5737)."""
    with pytest.raises(InputError, match="is not an address of this computer: leave it away"):
        UdpSource(host, 10110, hurried)

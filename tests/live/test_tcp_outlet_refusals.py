"""What the system may refuse a feed over TCP: another connection, room for what is sent, an option. Real sockets."""

from __future__ import annotations

import errno
import os
import selectors
import socket
from collections.abc import Iterator
from contextlib import closing
from typing import NoReturn

import pytest

from core.errors import InputError
from core.feeding.address import FeedAddress
from core.feeding.tcp_outlet import MOST_CLIENTS, REST_S, TcpOutlet
from core.feeding.udp_outlet import UdpOutlet
from core.feeding.waiting import LONGEST_S
from tests.live.test_network import free_port

LONG_S = 60.0
"""No socket of this computer that works takes as long."""
LINE = b"$GPTXT,01,01,02,Q1ABC*00\r\n"


class Desk:
    """An outlet and its selector, turned by hand: nothing happens that the test does not ask for."""

    def __init__(self) -> None:
        self.port = free_port()
        self.outlet = TcpOutlet(FeedAddress("tcp", "127.0.0.1", self.port))
        self.selector = selectors.DefaultSelector()
        self.outlet.watch(self.selector)

    def turn(self) -> int:
        """What is there now is done; how much that was."""
        ready = self.selector.select(0)
        for key, events in ready:
            key.data(events)
        return len(ready)

    def turn_until_something(self) -> None:
        """Waits for the system, which may take its time."""
        ready = self.selector.select(LONG_S)
        assert ready
        for key, events in ready:
            key.data(events)

    def connect(self) -> socket.socket:
        """A client, not let in yet."""
        return socket.create_connection(("127.0.0.1", self.port), LONG_S)


@pytest.fixture
def desk() -> Iterator[Desk]:
    found = Desk()
    yield found
    found.outlet.close()
    found.selector.close()


class Refusing:
    """A listener that lets nobody in, and all else of the real one."""

    def __init__(self, real: socket.socket, error: OSError) -> None:
        self._real = real
        self._error = error
        self.asked = 0

    def __getattr__(self, name: str) -> object:
        return getattr(self._real, name)

    def accept(self) -> NoReturn:
        """As the system does where it is out of something."""
        self.asked += 1
        raise self._error


def test_without_room_for_a_connection_nobody_is_let_in_for_a_while(desk: Desk) -> None:
    """Asked again at once, the system would answer at once, and the feed would do nothing else."""
    listener = desk.outlet._listener
    full = Refusing(listener, OSError(errno.EMFILE, os.strerror(errno.EMFILE)))
    desk.outlet._listener = full  # type: ignore[assignment]  # as much of one as is used
    desk.outlet.send(b"", 100.0)
    with closing(desk.connect()) as client:
        desk.turn_until_something()
        assert full.asked == 1
        assert desk.turn() == 0
        desk.outlet.send(LINE, 100.0 + REST_S)
        assert desk.turn() == 0
        desk.outlet._listener = listener
        desk.outlet.send(LINE, 100.1 + REST_S)
        desk.turn_until_something()
        assert desk.outlet.clients == 1
        desk.outlet.send(LINE, 101.0 + REST_S)
        assert client.recv(len(LINE)) == LINE


def test_it_can_be_closed_while_nobody_is_let_in(desk: Desk) -> None:
    listener = desk.outlet._listener
    desk.outlet._listener = Refusing(listener, OSError(errno.ENFILE, ""))  # type: ignore[assignment]  # as above
    with closing(desk.connect()):
        desk.turn_until_something()
        desk.outlet.close()
        assert not desk.selector.get_map()


def test_who_has_gone_before_being_let_in_is_no_trouble(desk: Desk) -> None:
    """ECONNABORTED, or nobody there any more (accept(2))."""
    listener = desk.outlet._listener
    desk.outlet._listener = Refusing(listener, ConnectionAbortedError())  # type: ignore[assignment]  # as above
    with closing(desk.connect()):
        desk.turn_until_something()
        assert desk.outlet.clients == 0
        desk.outlet._listener = listener
        desk.turn_until_something()
        assert desk.outlet.clients == 1


def test_more_clients_than_anybody_has_are_hung_up_on(desk: Desk) -> None:
    clients: list[socket.socket] = []
    try:
        while desk.outlet.dropped == 0:
            assert len(clients) <= MOST_CLIENTS
            clients.append(desk.connect())
            desk.turn_until_something()
        assert desk.outlet.clients == MOST_CLIENTS
        assert desk.outlet.dropped == 1
        assert clients[-1].recv(1) == b"", "hung up on"
    finally:
        for client in clients:
            client.close()


def test_a_client_that_takes_nothing_is_dropped_after_a_while_and_not_before(desk: Desk) -> None:
    with closing(desk.connect()) as client:
        desk.turn_until_something()
        (ours,) = desk.outlet._clients
        ours.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 4096)
        client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        waiting = desk.outlet._clients[ours]
        while not len(waiting):
            desk.outlet.send(LINE * 100, 100.0)
        desk.outlet.send(b"", 100.0 + LONGEST_S)
        assert desk.outlet.clients == 1
        desk.outlet.send(b"", 100.1 + LONGEST_S)
        assert (desk.outlet.clients, desk.outlet.dropped) == (0, 1)


def test_a_client_that_was_slow_gets_the_rest_in_order(desk: Desk) -> None:
    """It waits for room of its own accord: no new sentence is needed for that."""
    with closing(desk.connect()) as client:
        desk.turn_until_something()
        (ours,) = desk.outlet._clients
        sent = b""
        while not len(desk.outlet._clients[ours]):
            some = b"".join(b"%07d\r\n" % (len(sent) + n) for n in range(100))
            desk.outlet.send(some, 100.0)
            sent += some
        got = b""
        while len(got) < len(sent):
            got += client.recv(65_536)
            desk.turn()
        assert got == sent
        assert desk.outlet.dropped == 0


def test_one_that_hangs_up_while_something_is_written_is_forgotten(desk: Desk) -> None:
    client = desk.connect()
    desk.turn_until_something()
    client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")  # a reset, not an orderly end
    client.close()
    desk.outlet.send(LINE, 100.0)
    while desk.outlet.clients:
        desk.outlet.send(LINE, 100.0)
    assert desk.outlet.dropped == 0, "it left, and was not dropped"
    assert desk.turn() == 0


def test_what_a_client_says_is_thrown_away(desk: Desk) -> None:
    with closing(desk.connect()) as client:
        desk.turn_until_something()
        client.sendall(b"?WATCH\r\n" * 2000)
        desk.turn_until_something()
        while desk.turn():
            assert desk.outlet.clients == 1
        desk.outlet.send(LINE, 100.0)
        assert client.recv(len(LINE)) == LINE


def test_a_system_without_an_option_feeds_all_the_same(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> NoReturn:
        raise OSError(errno.ENOPROTOOPT, os.strerror(errno.ENOPROTOOPT))

    with closing(desk.connect()) as client:
        with monkeypatch.context() as without:
            without.setattr(socket.socket, "setsockopt", refuse)
            desk.turn_until_something()
        desk.outlet.send(LINE, 100.0)
        assert client.recv(len(LINE)) == LINE


def test_a_port_that_is_taken_is_refused_in_words(desk: Desk) -> None:
    with pytest.raises(InputError) as refused:
        TcpOutlet(FeedAddress("tcp", "127.0.0.1", desk.port))
    assert str(desk.port) in str(refused.value)


@pytest.mark.parametrize("kind", [TcpOutlet, UdpOutlet])
@pytest.mark.parametrize("host", ["a" * 300, "\ud800.invalid"])
def test_a_name_that_no_computer_can_have_is_refused_in_words(
    kind: type[TcpOutlet] | type[UdpOutlet], host: str
) -> None:
    with pytest.raises(InputError):
        kind(FeedAddress("tcp" if kind is TcpOutlet else "udp", host, 10_110))

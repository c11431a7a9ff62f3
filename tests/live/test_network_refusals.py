"""What the system may answer to who reads the network: nothing yet, an error of somebody else's, a refusal."""

from __future__ import annotations

import errno
import os
import socket
from collections.abc import Iterator
from contextlib import closing

import pytest

from core.errors import InputError
from core.sources.network import SILENT_S, TcpSource, UdpSource
from core.sources.source import SourceState
from tests.live.test_network import HERE, Server, free_port
from tests.wire import burst

NO_WAIT_S = 0.0
SHORT_S = 0.01
LONG_S = 60.0


class Room:
    """A clock that goes when it is told to."""

    def __init__(self) -> None:
        self.at_s = 100.0

    def __call__(self) -> float:
        return self.at_s


@pytest.fixture
def room() -> Room:
    return Room()


@pytest.fixture
def connected(room: Room) -> Iterator[tuple[TcpSource, socket.socket]]:
    with Server() as server, closing(TcpSource(HERE, server.port, room)) as source:
        source.read(NO_WAIT_S)
        with server.accept() as connection:
            yield source, connection
        source.close()
        source.read(NO_WAIT_S)


def test_who_does_not_wait_loses_no_connection(connected: tuple[TcpSource, socket.socket], room: Room) -> None:
    """Found here: without a time to wait the system says something else than that the time is over."""
    source, connection = connected
    assert source.read(NO_WAIT_S) is None
    assert source.status().state is SourceState.WAITING
    room.at_s += SILENT_S + 1.0
    assert source.read(NO_WAIT_S) is None
    assert source.status().detail == "connected, but nothing has come for 11 s"
    connection.sendall(burst(0))
    found = source.read(LONG_S)
    assert found is not None
    assert burst(0).startswith(found.data)
    assert source.status().state is SourceState.RECEIVING


def test_datagrams_are_asked_for_without_waiting_too(room: Room) -> None:
    port = free_port(socket.SOCK_DGRAM)
    with closing(UdpSource("", port, room)) as source, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        room.at_s += SILENT_S + 1.0
        assert source.read(NO_WAIT_S) is None
        assert source.status().detail == "listening, but nothing has come for 11 s"
        assert source.now_s() == room.at_s
        sender.sendto(b"$GPTXT", (HERE, port))
        found = source.read(LONG_S)
        assert found == (b"$GPTXT\n", room.at_s)


class Answered:
    """A socket that brings one error of somebody else's, and then is the real one."""

    def __init__(self, real: socket.socket) -> None:
        self._real = real
        self.errors = [ConnectionResetError(errno.ECONNRESET, os.strerror(errno.ECONNRESET))]

    def __getattr__(self, name: str) -> object:
        return getattr(self._real, name)

    def recv(self, most: int) -> bytes:
        """As on Windows, where the answer to a datagram that nobody took comes out here (WSAECONNRESET; memory)."""
        if self.errors:
            raise self.errors.pop()
        return self._real.recv(most)


def test_an_answer_to_somebodys_datagram_ends_no_listening(room: Room) -> None:
    port = free_port(socket.SOCK_DGRAM)
    with closing(UdpSource("", port, room)) as source, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        source._socket = Answered(source._socket)  # type: ignore[assignment]  # as much of one as is used
        assert source.read(SHORT_S) is None
        sender.sendto(burst(0), (HERE, port))
        found = source.read(LONG_S)
        assert found is not None
        assert found.data == burst(0)


def test_what_was_closed_gives_nothing_and_lets_the_port_go(room: Room) -> None:
    port = free_port(socket.SOCK_DGRAM)
    source = UdpSource("", port, room)
    source.close()
    source.close()
    assert source.read(LONG_S) is None
    with closing(UdpSource("", port, room)) as again:
        assert again.status().state is SourceState.WAITING
        again.close()
        again.read(NO_WAIT_S)


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.EACCES, "port 99 needs administrator rights: choose one above 1023"),
        (errno.ENOBUFS, f"cannot listen on 127.0.0.1:99 ({os.strerror(errno.ENOBUFS)})"),
    ],
)
def test_why_nobody_can_listen_there_is_said(
    room: Room, monkeypatch: pytest.MonkeyPatch, number: int, said: str
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(socket.socket, "bind", refuse)
    with pytest.raises(InputError) as refused:
        UdpSource("", 99, room)
    assert str(refused.value) == said


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (TimeoutError(), "does not answer"),
        (OSError(errno.ENETUNREACH, "Network is unreachable"), "cannot be reached (Network is unreachable)"),
        (UnicodeError("label too long"), "cannot be reached (label too long)"),
    ],
)
def test_why_there_is_no_connection_is_said(
    room: Room, monkeypatch: pytest.MonkeyPatch, error: Exception, said: str
) -> None:
    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(socket, "create_connection", fail)
    source = TcpSource(HERE, 99, room)
    source.read(NO_WAIT_S)
    status = source.status()
    assert status.state is SourceState.SEARCHING
    assert status.detail.startswith(f"{HERE}:99 {said}")

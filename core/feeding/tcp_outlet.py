"""A TCP server. Each client has what waits for it for itself; one that is too slow, stuck or gone is dropped."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from functools import partial
from selectors import EVENT_READ, EVENT_WRITE, BaseSelector

from core.feeding.address import FeedAddress
from core.feeding.refusals import refused
from core.feeding.waiting import Waiting

MOST_CLIENTS = 64
"""More than anybody has programs; who connects without end must not fill the memory."""
SEND_BUFFER = 32_768
"""Asked of the system for each client, so that a stuck one is noticed, and does not get minutes of old positions."""
UNANSWERED_MS = 20_000
"""After which a client whose computer does not answer any more counts as gone."""
REST_S = 1.0
_FREEBIE = 4096
"""What clients send is read and thrown away, so much at a time."""


class TcpOutlet:
    """An Outlet with any number of clients."""

    def __init__(self, address: FeedAddress) -> None:
        """Listens at once. Raises InputError saying what to do."""
        self.address = address
        self.dropped = 0
        self._clients: dict[socket.socket, Waiting] = {}
        self._new: list[socket.socket] = []
        self._selector: BaseSelector | None = None
        self._now_s = 0.0
        self._rests_since_s: float | None = None
        """Since when nobody is let in, because the system had no room for another connection."""
        try:
            self._listener = _listening(address.host, address.port)
        except (OSError, UnicodeError, OverflowError) as error:
            raise refused(address, error) from error

    @property
    def where(self) -> str:
        """The address to connect to."""
        return self.address.text

    @property
    def clients(self) -> int | None:
        """Connected now."""
        return len(self._clients)

    @property
    def has_pending(self) -> bool:
        """A socket wakes the feed by itself."""
        return False

    def watch(self, selector: BaseSelector) -> None:
        """Whoever connects wakes the feed."""
        self._selector = selector
        self._listen(True)

    def _listen(self, wanted: bool) -> None:
        if self._selector and wanted:
            self._selector.register(self._listener, EVENT_READ, self._accept)
        elif self._selector:
            self._selector.unregister(self._listener)

    def send(self, data: bytes, now_s: float) -> None:
        """To each as much as it takes at this moment."""
        self._now_s = now_s
        if self._rests_since_s is not None and now_s - self._rests_since_s > REST_S:
            self._rests_since_s = None
            self._listen(True)
        for client, waiting in [*self._clients.items()]:
            if data:
                waiting.add(data, now_s)
            if len(waiting):
                self._flush(client)
            if client in self._clients and waiting.is_stuck(now_s):
                self._drop(client)

    def newcomers(self, greeting: bytes, now_s: float) -> None:
        """They get it before anything else."""
        new, self._new = self._new, []
        for client in new:
            if greeting and client in self._clients:
                self._clients[client].add(greeting, now_s)

    def close(self) -> None:
        """Hang up."""
        for client in [*self._clients]:
            self._forget(client)
        if self._listener.fileno() >= 0 and self._rests_since_s is None:
            self._listen(False)
        self._listener.close()

    def _accept(self, _: int) -> None:
        try:
            client, _peer = self._listener.accept()
        except (BlockingIOError, InterruptedError, ConnectionError):  # it has gone again
            return
        except OSError:  # no more files to be had: asked at once again, it would be so again, without end
            self._rests_since_s = self._now_s
            self._listen(False)
            return
        if len(self._clients) >= MOST_CLIENTS:
            client.close()
            self.dropped += 1
            return
        _prepare(client)
        self._clients[client] = Waiting()
        self._new.append(client)
        if self._selector:
            self._selector.register(client, EVENT_READ, partial(self._serve, client))

    def _serve(self, client: socket.socket, events: int) -> None:
        if events & EVENT_READ and not self._hears(client):
            self._forget(client)
        elif events & EVENT_WRITE:
            self._flush(client)

    def _hears(self, client: socket.socket) -> bool:
        """Whether the client is still there. It has nothing to say that would be of use."""
        try:
            return bool(client.recv(_FREEBIE))
        except (BlockingIOError, InterruptedError):
            return True
        except OSError:
            return False

    def _flush(self, client: socket.socket) -> None:
        waiting = self._clients[client]
        try:
            waiting.send(partial(_write, client.send), self._now_s)
        except OSError:
            self._forget(client)
            return
        if self._selector:
            wanted = EVENT_READ | EVENT_WRITE if len(waiting) else EVENT_READ
            if self._selector.get_key(client).events != wanted:
                self._selector.modify(client, wanted, partial(self._serve, client))

    def _drop(self, client: socket.socket) -> None:
        self.dropped += 1
        self._forget(client)

    def _forget(self, client: socket.socket) -> None:
        """It has left, or has to."""
        self._clients.pop(client, None)
        if self._selector:
            self._selector.unregister(client)
        client.close()


def _write(send: Callable[[bytes], int], data: bytes) -> int:
    try:
        return send(data)
    except (BlockingIOError, InterruptedError):
        return 0


def _listening(host: str, port: int) -> socket.socket:
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0]
    family, kind, protocol, _, address = found
    listener = socket.socket(family, kind, protocol)
    try:
        # On Windows the same option would let two programs share the port.
        option = socket.SO_REUSEADDR if os.name == "posix" else getattr(socket, "SO_EXCLUSIVEADDRUSE", 0)
        listener.setsockopt(socket.SOL_SOCKET, option, 1)
        listener.bind(address)
        listener.listen(16)
        listener.setblocking(False)
    except OSError:
        listener.close()
        raise
    return listener


def _prepare(client: socket.socket) -> None:
    """Sentences leave at once; a computer that has gone without a word is noticed."""
    client.setblocking(False)
    for level, name, value in (
        (socket.SOL_SOCKET, "SO_SNDBUF", SEND_BUFFER),
        (socket.SOL_SOCKET, "SO_KEEPALIVE", 1),
        (socket.IPPROTO_TCP, "TCP_NODELAY", 1),
        (socket.IPPROTO_TCP, "TCP_USER_TIMEOUT", UNANSWERED_MS),
    ):
        option = getattr(socket, name, None)
        if option is not None:
            try:
                client.setsockopt(level, option, value)
            except OSError:  # not every system has each of them, and the feed works without
                continue

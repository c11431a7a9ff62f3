"""A feed that runs for the time of a test, what is offered to it, and clients that read or do not."""

from __future__ import annotations

import socket
import struct
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from core.feed import Feeder
from core.feeding.plan import Origin, feed_plan
from core.feeding.wish import FeedWish
from core.sources.source import Arrival, SourceKind
from core.sources.wall import anchor_now
from tests.live.rig import until
from tests.live.test_network import HERE

LIVE = Origin(SourceKind.LIVE, "/dev/ttyQ0 9600 baud")
REPLAY = Origin(SourceKind.REPLAY, "quennet.nmea")


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


def have_all(clients: list[Client], length: int) -> bool:
    """Whether each has so many bytes."""
    return all(len(one.got) == length for one in clients)

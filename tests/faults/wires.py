"""Wires for the fault tests: what is sent down them is all received, piece by piece, or the test says that it was not.

`tests.wire` has a receiver with a mind of its own, at a rate, on a line that may lose; here the test itself sends.
"""

from __future__ import annotations

import os
import random
import socket
import termios
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from core.nmea.framing import Framer, Sentence
from tests.live.disks import files_in, read
from tests.live.rig import PATIENCE_S
from tests.live.test_tagging import untagged
from tests.wire import burst

HERE = "127.0.0.1"
LARGEST_PIECE = 1024
"""At once: the system keeps some four thousand bytes for a reader that is late."""
CORRECTIONS = b"\xd3\x00\x13"
"""How a frame of differential corrections begins, its length behind it (RTCM 3; from memory)."""
UBX_SYNC = b"\xb5\x62"
"""How a maker's binary frame begins (from memory)."""


class Wire:
    """A pty pair. The far end is the test's; what it sends waits for the near end, and is never thrown away."""

    def __init__(self) -> None:
        self._master, near = os.openpty()
        self.device = os.ttyname(near)
        attributes = termios.tcgetattr(near)
        attributes[0] = attributes[1] = attributes[3] = 0
        termios.tcsetattr(near, termios.TCSANOW, attributes)
        os.close(near)  # or the board would say, rightly, that another program has its port open
        os.set_blocking(self._master, False)
        self.sent = bytearray()

    def __enter__(self) -> Wire:
        return self

    def __exit__(self, *_: object) -> None:
        self.pull()

    def send(self, *pieces: bytes, gap_s: float = 0.0) -> bytes:
        """One after the other; all of them, as was sent."""
        for piece in pieces:
            for start in range(0, len(piece), LARGEST_PIECE):
                self._write(piece[start : start + LARGEST_PIECE])
            if gap_s:
                time.sleep(gap_s)
        return b"".join(pieces)

    def _write(self, data: bytes) -> None:
        end = time.monotonic() + PATIENCE_S
        while data:
            assert time.monotonic() < end, "nobody reads the wire"
            with suppress(BlockingIOError):
                count = os.write(self._master, data)
                self.sent += data[:count]
                data = data[count:]
                continue
            time.sleep(0.002)

    def pull(self) -> None:
        """The plug, out of its socket."""
        if self._master >= 0:
            os.close(self._master)
        self._master = -1


class Trickle:
    """Bursts down a wire, on and on, in a thread: for what takes its time elsewhere."""

    def __init__(self, wire: Wire, hz: float = 10.0, begin: int = 0) -> None:
        self._wire, self._period_s = wire, 1.0 / hz
        self._next = begin
        self._over = threading.Event()
        self.rests = threading.Event()
        self._thread = threading.Thread(target=self._run, name="trickle", daemon=True)

    def __enter__(self) -> Trickle:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """After the burst under way."""
        self._over.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._over.wait(self._period_s):
            if not self.rests.is_set():
                self._wire.send(burst(self._next))
                self._next += 1


class Listener:
    """A client of the feed: reads all there is, in a thread of its own, unless told to hold still."""

    def __init__(self, port: int) -> None:
        self.socket = _connected(port)
        self.got = bytearray()
        self.reads = threading.Event()
        self.reads.set()
        self.ended = threading.Event()
        threading.Thread(target=self._run, name="listener", daemon=True).start()

    def __enter__(self) -> Listener:
        return self

    def __exit__(self, *_: object) -> None:
        with suppress(OSError):
            self.socket.shutdown(socket.SHUT_RDWR)
        self.socket.close()

    def _run(self) -> None:
        with suppress(OSError):
            while self.reads.wait() and (data := self.socket.recv(65_536)):
                self.got += data
        self.ended.set()


def _connected(port: int) -> socket.socket:
    """As soon as somebody listens there."""
    end = time.monotonic() + PATIENCE_S
    while True:
        try:
            return socket.create_connection((HERE, port))
        except ConnectionRefusedError:
            assert time.monotonic() < end, f"nobody listens on {port}"
            time.sleep(0.05)


def has(got: Callable[[], bytes | bytearray], what: bytes) -> Callable[[], bool]:
    """Whether it is in what comes."""
    return lambda: what in got()


def longer(got: Callable[[], bytes | bytearray], more: int) -> Callable[[], bool]:
    """Whether so many bytes more have come than there are now."""
    enough = len(got()) + more
    return lambda: len(got()) > enough


def loopback_port() -> int:
    """One that nobody has just now."""
    with socket.socket() as probe:
        probe.bind((HERE, 0))
        return int(probe.getsockname()[1])


def whole(data: bytes) -> bytes:
    """Every sentence of a stream that is whole and right, each on a line of its own: what a raw feed is to hand on."""
    found = Framer(require_checksum=True).feed(data)
    return b"".join(one.text.encode("latin-1") + b"\r\n" for one in found if isinstance(one, Sentence))


def exact(folder: Path) -> bytes:
    """What the recordings of a folder hold, as it was received."""
    return untagged(b"".join(read(path) for path in files_in(folder) if path.is_file())) if folder.is_dir() else b""


def bursts(count: int, begin: int = 0) -> list[bytes]:
    """Epochs, a second apart."""
    return [burst(begin + n) for n in range(count)]


def one_by_one(data: bytes) -> Iterator[bytes]:
    """As a slow line with a hasty reader."""
    return (data[n : n + 1] for n in range(len(data)))


def with_binary(pieces: Iterable[bytes], seed: int = 1) -> Iterator[bytes]:
    """Frames of two binary protocols between bursts, their contents noise, as receivers with both turned on send."""
    noise = random.Random(seed)
    for piece in pieces:
        yield UBX_SYNC + noise.randbytes(noise.randrange(8, 120))
        yield piece
        yield CORRECTIONS + noise.randbytes(0x13 + 3)

"""Writes position texts to what the user named, when asked to: a file, a serial port, a TCP address.

A text that cannot be written at once is replaced by the next one: an old position is worth less than a new one, and the
board never waits. What goes wrong is a state with words, and is tried again with the next text.
"""

from __future__ import annotations

import errno
import os
import re
import socket
import stat
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple, Protocol

from core.errors import FixboardError, InputError, UsageError
from core.sources.names import Sort, source_name

SHORTEST_S, USUAL_S, LONGEST_S = 10, 120, 3600
"""Between two texts. A shared channel bears few: a minute or two on the way, rarer at rest (common practice)."""
PATIENCE_S = 5.0
"""How long a connection or a write may take."""
USUAL_BAUD = 9600
_WITH_BAUD = re.compile(r"(.+)@(\d{3,7})", re.ASCII)
_OURS = re.compile(rb"[/@]\d{6}[hz/][/\\A-Za-j\d]|[!=]\d\d[\d ]{2}\.[\d ]{2}[NS]")
"""How a file of position texts begins. A compressed text without a time might be anything, a ship's sentence say; those
that are written here have a time."""
_FIRST_BYTES = 40


class Outlet(Protocol):
    """Where texts go."""

    def write(self, text: str) -> None:
        """One text with its end of line. Raises InputError or OSError."""

    def close(self) -> None:
        """Let go of it."""


class SenderStatus(NamedTuple):
    """How the writing goes."""

    written: int = 0
    trouble: str = ""
    """Of the last text; empty when it was written."""


class FileOutlet:
    """Appends a line a text: a file that holds anything else is left alone, and nothing is ever replaced."""

    def __init__(self, path: Path) -> None:
        """`path`: need not be there yet."""
        self._path = path

    def write(self, text: str) -> None:
        """One line. Opened for each: the file may be moved away, and nothing is held back in a buffer."""
        # Without waiting: a pipe that nobody reads would hold the thread for ever.
        flags = os.O_RDWR | os.O_CREAT | os.O_APPEND if self._is_regular() else os.O_WRONLY
        handle = os.open(self._path, flags | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0), 0o600)
        try:
            gap = self._gap(handle)
            data = f"{gap}{text}\n".encode("ascii")
            if os.write(handle, data) < len(data):  # a full disk takes what it can, and says so only the next time
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        finally:
            os.close(handle)

    def close(self) -> None:
        """It never stays open."""

    def _is_regular(self) -> bool:
        return not self._path.exists() or self._path.is_file()

    def _gap(self, handle: int) -> str:
        """A line's end where the last line has none. Raises InputError where the file is none of ours."""
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode) or not about.st_size:
            return ""
        os.lseek(handle, 0, os.SEEK_SET)
        if not _OURS.match(os.read(handle, _FIRST_BYTES)):
            raise InputError(f"{self._path} holds something else than position texts: choose another name")
        os.lseek(handle, -1, os.SEEK_END)
        return "" if os.read(handle, 1) == b"\n" else "\n"


class SerialOutlet:
    """A modem or a radio on a serial port."""

    def __init__(self, device: str, baud: int) -> None:
        """`device`: as the system calls it."""
        self._device, self._baud = device, baud
        self._port: SerialPort | None = None

    def write(self, text: str) -> None:
        """One line, ended as terminals end it."""
        if self._port is None:
            import serial  # start-up time: few sessions need it

            exclusive = True if os.name == "posix" else None
            self._port = serial.Serial(self._device, self._baud, write_timeout=PATIENCE_S, exclusive=exclusive)
        self._port.write(f"{text}\r\n".encode("ascii"))

    def close(self) -> None:
        """The next text opens it again."""
        port, self._port = self._port, None
        if port is not None:
            with suppress(OSError):
                port.close()


class SerialPort(Protocol):
    """What is needed of pyserial."""

    def write(self, data: bytes, /) -> int | None:
        """Raises OSError."""

    def close(self) -> None:
        """Raises OSError."""


class TcpOutlet:
    """Whatever listens at an address."""

    def __init__(self, host: str, port: int) -> None:
        """`host`: a name or a number."""
        self._address = (host, port)
        self._socket: socket.socket | None = None

    def write(self, text: str) -> None:
        """One line; what the other side says is thrown away, so that it is never stuck on us."""
        if self._socket is None:
            self._socket = socket.create_connection(self._address, PATIENCE_S)
        self._drain(self._socket)
        self._socket.settimeout(PATIENCE_S)
        self._socket.sendall(f"{text}\r\n".encode("ascii"))

    def close(self) -> None:
        """The next text connects again."""
        connection, self._socket = self._socket, None
        if connection is not None:
            connection.close()

    def _drain(self, connection: socket.socket) -> None:
        connection.setblocking(False)
        with suppress(BlockingIOError):
            for _ in range(64):
                if not connection.recv(4096):
                    raise InputError("the other side has closed the connection")


def outlet(named: str) -> Outlet:
    """What the user named. Raises UsageError for what texts cannot be written to."""
    text = named.strip()
    with_baud = _WITH_BAUD.fullmatch(text)
    found = source_name(with_baud[1] if with_baud else text)
    if found.sort is Sort.SERIAL:
        return SerialOutlet(found.text, int(with_baud[2]) if with_baud else USUAL_BAUD)
    if found.sort is Sort.TCP:
        return TcpOutlet(found.host, found.port)
    if found.sort is not Sort.FILE:
        raise UsageError(f"{text!r} cannot be written to: name a file, a serial port or tcp://host:port")
    try:
        return FileOutlet(Path(text).expanduser())
    except RuntimeError as error:  # the way Path says that it knows no such user
        raise UsageError(f"{text!r}: there is no such home folder") from error


def interval(typed: str) -> int:
    """Seconds between two texts. Raises UsageError naming what would be right."""
    plain = typed.strip().removesuffix("s").strip()
    if not (plain.isascii() and plain.isdigit() and SHORTEST_S <= int(plain[:9]) <= LONGEST_S):
        raise UsageError(f"{typed!r} is no interval: write whole seconds from {SHORTEST_S} to {LONGEST_S}")
    return int(plain)


class TextSender:
    """One outlet with a thread of its own."""

    def __init__(self, outlet: Outlet, on_news: Callable[[], object]) -> None:
        """`on_news`: called from the thread after every attempt."""
        self._outlet = outlet
        self._on_news = on_news
        self._waiting = threading.Condition()
        self._next: str | None = None
        self._ends = False
        self._status = SenderStatus()
        self._thread = threading.Thread(target=self._run, name="position texts", daemon=True)
        self._thread.start()

    @property
    def status(self) -> SenderStatus:
        """As of the last attempt."""
        return self._status

    def offer(self, text: str) -> None:
        """Have it written as soon as the one before is; it takes the place of one that still waits. Never blocks."""
        with self._waiting:
            self._next = text
            self._waiting.notify()

    def close(self, wait_s: float = 0.0) -> None:
        """No further text, one that still waits included."""
        with self._waiting:
            self._ends = True
            self._waiting.notify()
        self._thread.join(wait_s)

    def _run(self) -> None:
        while (text := self._take()) is not None:
            trouble = self._write(text)
            self._status = SenderStatus(self._status.written + (not trouble), trouble)
            self._on_news()
        self._outlet.close()

    def _take(self) -> str | None:
        with self._waiting:
            self._waiting.wait_for(lambda: self._ends or self._next is not None)
            text, self._next = self._next, None
            return None if self._ends else text

    def _write(self, text: str) -> str:
        """In words what went wrong."""
        try:
            self._outlet.write(text)
        except (OSError, FixboardError, ValueError) as error:
            self._outlet.close()
            return str(getattr(error, "strerror", None) or error) or "it could not be written"
        return ""

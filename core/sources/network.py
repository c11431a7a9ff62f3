"""NMEA 0183 from the network: a TCP server to connect to, or datagrams to listen for.

Whatever comes is treated like a damaged file: it goes through the same framing, checksums required.
"""

from __future__ import annotations

import errno
import socket
import threading
from collections.abc import Callable

from core.errors import InputError
from core.feeding.address import LOOPBACK, is_loopback
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus

CONNECT_S = 3.0
FIRST_BACKOFF_S, LONGEST_BACKOFF_S = 1.0, 15.0
SILENT_S = 10.0
LARGEST_READ = 65_536
ANYBODY = "anybody on the network can send places here"
"""Of one that listens to more than this computer."""


class TcpSource:
    """Connects, reads, and connects again when the connection is lost."""

    def __init__(self, host: str, port: int, clock: Callable[[], float]) -> None:
        """`clock`: monotonic seconds."""
        self._address = (host, port)
        self._clock = clock
        self._started_s = self._last_byte_s = clock()
        self._closing = threading.Event()
        self._socket: socket.socket | None = None
        self._backoff_s = FIRST_BACKOFF_S
        self._next_try_s = self._started_s
        self._was_connected = False
        self._state, self._detail = SourceState.SEARCHING, "connecting"

    def read(self, timeout_s: float) -> Arrival | None:
        """The next bytes, or a step towards a connection."""
        if self._closing.is_set():
            self._drop()
            return None
        if self._socket is None:
            self._connect(timeout_s)
            return None
        return self._receive(self._socket, timeout_s)

    def status(self) -> SourceStatus:
        """The state now."""
        name = f"tcp://{_written(*self._address)}"
        elapsed_s = self._clock() - self._started_s
        return SourceStatus(SourceKind.LIVE, name, self._state, self._detail, elapsed_s=elapsed_s)

    def now_s(self) -> float:
        """The clock of the room."""
        return self._clock()

    def close(self) -> None:
        """Stop; a read under way returns within its time."""
        self._closing.set()
        if self._socket:
            _shut(self._socket)

    def _connect(self, timeout_s: float) -> None:
        wait_s = self._next_try_s - self._clock()
        if wait_s > 0:
            self._closing.wait(min(wait_s, timeout_s))
            return
        try:
            self._socket = socket.create_connection(self._address, CONNECT_S)
        except (OSError, UnicodeError, ValueError, OverflowError) as error:
            self._lose(_why_not_connected(self._address, error))
            return
        self._was_connected, self._last_byte_s = True, self._clock()
        self._state, self._detail = SourceState.WAITING, "connected, nothing has come yet"

    def _receive(self, connection: socket.socket, timeout_s: float) -> Arrival | None:
        try:
            connection.settimeout(timeout_s)
            data = connection.recv(LARGEST_READ)
        except (TimeoutError, BlockingIOError):  # the latter where no time was given
            self._note_silence()
            return None
        except OSError as error:
            self._lose(f"the connection broke ({error.strerror or error})")
            return None
        if not data:
            self._lose("the other side has closed the connection")
            return None
        self._last_byte_s, self._backoff_s = self._clock(), FIRST_BACKOFF_S
        self._state, self._detail = SourceState.RECEIVING, ""
        return Arrival(data, self._last_byte_s)

    def _note_silence(self) -> None:
        quiet_s = self._clock() - self._last_byte_s
        if quiet_s > SILENT_S:
            self._state, self._detail = SourceState.WAITING, f"connected, but nothing has come for {quiet_s:.0f} s"

    def _lose(self, why: str) -> None:
        self._drop()
        self._state = SourceState.LOST if self._was_connected else SourceState.SEARCHING
        self._detail = f"{why}; trying again every {self._backoff_s:.0f} s"
        self._next_try_s = self._clock() + self._backoff_s
        self._backoff_s = min(2 * self._backoff_s, LONGEST_BACKOFF_S)

    def _drop(self) -> None:
        connection, self._socket = self._socket, None
        if connection:
            connection.close()


class UdpSource:
    """Listens for datagrams, on the loopback address unless told otherwise."""

    def __init__(self, host: str, port: int, clock: Callable[[], float]) -> None:
        """`host`: the address to listen on, empty for loopback. Raises InputError where that cannot be."""
        self._clock = clock
        self._started_s = self._last_byte_s = clock()
        self._closing = threading.Event()
        self._state, self._detail = SourceState.WAITING, "listening, nothing has come yet"
        self._host, self._port = host or LOOPBACK, port
        try:
            self._socket = _listening(self._host, port)
        except (OSError, UnicodeError, OverflowError) as error:
            raise InputError(_why_not_listening(self._host, port, error)) from error

    def read(self, timeout_s: float) -> Arrival | None:
        """The next datagram."""
        if self._closing.is_set():
            self._socket.close()
            return None
        try:
            self._socket.settimeout(timeout_s)
            data = self._socket.recv(LARGEST_READ)
        except (TimeoutError, BlockingIOError):  # the latter where no time was given
            self._note_silence()
            return None
        except OSError:
            # An ICMP answer to somebody's datagram, or closed under the read: neither ends a listener by itself.
            self._closing.wait(timeout_s)
            return None
        self._last_byte_s = self._clock()
        self._state, self._detail = SourceState.RECEIVING, ""
        return Arrival(_line_ended(data), self._last_byte_s)

    def status(self) -> SourceStatus:
        """The state now."""
        elapsed_s = self._clock() - self._started_s
        name = f"udp://{_written(self._host, self._port)}"
        warning = "" if is_loopback(self._host) else ANYBODY
        return SourceStatus(SourceKind.LIVE, name, self._state, self._detail, elapsed_s=elapsed_s, warning=warning)

    def now_s(self) -> float:
        """The clock of the room."""
        return self._clock()

    def close(self) -> None:
        """Stop listening; a read under way returns within its time."""
        self._closing.set()
        _shut(self._socket)

    def _note_silence(self) -> None:
        quiet_s = self._clock() - self._last_byte_s
        if quiet_s > SILENT_S:
            self._state, self._detail = SourceState.WAITING, f"listening, but nothing has come for {quiet_s:.0f} s"


def _listening(host: str, port: int) -> socket.socket:
    family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_DGRAM)[0]
    listener = socket.socket(family, kind, protocol)
    try:
        listener.bind(address)
    except OSError:
        listener.close()
        raise
    return listener


def _line_ended(data: bytes) -> bytes:
    """A datagram is whole by itself: its last sentence need not wait for the next one's first byte."""
    return data if data.endswith((b"\n", b"\r")) else data + b"\n"


def _shut(connection: socket.socket) -> None:
    try:
        connection.shutdown(socket.SHUT_RDWR)
    except OSError:
        return


def _written(host: str, port: int) -> str:
    """As in an address: IPv6 in brackets (RFC 3986)."""
    return f"[{host}]:{port}" if ":" in host else f"{host}:{port}"


def _why_not_connected(address: tuple[str, int], error: Exception) -> str:
    where = _written(*address)
    if isinstance(error, socket.gaierror):
        return f"no host of the name {address[0]} is known: check it"
    if isinstance(error, ConnectionRefusedError):
        return f"nothing accepts connections at {where}: is the other program running, is the port right?"
    if isinstance(error, TimeoutError):
        return f"{where} does not answer"
    return f"{where} cannot be reached ({getattr(error, 'strerror', None) or error})"


def _why_not_listening(host: str, port: int, error: Exception) -> str:
    number = getattr(error, "errno", None)
    if number == errno.EADDRINUSE:
        return f"another program listens on {_written(host, port)} already: close it, or choose another port"
    if number == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return f"{host} is not an address of this computer: leave it away for this computer alone, 0.0.0.0 for all"
    if number == errno.EACCES:
        return f"port {port} needs administrator rights: choose one above 1023"
    return f"cannot listen on {_written(host, port)} ({getattr(error, 'strerror', None) or error})"

"""A serial line as the source needs it, and the real one.

fixboard never writes to a receiver: `Line` has no way to.
"""

from __future__ import annotations

import errno
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Protocol

from core.errors import InputError
from core.sources.ports import other_users

try:
    from termios import error as _TerminalError  # noqa: N812  # a class, whatever its module calls it
except ImportError:  # Windows has no termios, and nothing there raises it
    _TerminalError = OSError  # type: ignore[misc,assignment]


class Line(Protocol):
    """An open serial line, read only."""

    def read(self, timeout_s: float) -> bytes:
        """What is there, at least one byte if any comes in time. Raises OSError when the line is gone."""

    def set_baud(self, baud: int) -> None:
        """Listen at another speed. Raises OSError when the line is gone."""

    def cancel(self) -> None:
        """Let a read under way in another thread return."""

    def close(self) -> None:
        """Let go of the port; never raises."""


class SerialLine:
    """A Line by pyserial."""

    def __init__(self, device: str, baud: int) -> None:
        """Open it for this program alone. Raises InputError saying what to do."""
        import serial

        try:
            # Exclusive is a lock that other programs may ignore, so `other_users` looks for those that do.
            self._port = serial.Serial(device, baud, timeout=0.25, exclusive=True if os.name == "posix" else None)
        except (OSError, ValueError, _TerminalError) as error:
            raise InputError(why_not(device, error)) from error

    def read(self, timeout_s: float) -> bytes:
        """What is there; OSError (pyserial's own error is one) when the line is gone."""
        with _gone_is_oserror():
            if self._port.timeout != timeout_s:  # setting it makes pyserial set up the whole port again
                self._port.timeout = timeout_s
            data: bytes = self._port.read(max(1, self._port.in_waiting))
            if data and (more := self._port.in_waiting):
                # A burst wakes the reader by its first byte: taken alone, that would go the whole way by itself.
                data += self._port.read(more)
        return data

    def set_baud(self, baud: int) -> None:
        """Listen at another speed from now on; what came at the old one is thrown away."""
        with _gone_is_oserror():
            self._port.baudrate = baud
            self._port.reset_input_buffer()

    def cancel(self) -> None:
        """Wake the reader."""
        try:
            self._port.cancel_read()
        except (OSError, AttributeError, TypeError):  # gone, or never had a reader, or closed meanwhile
            return

    def close(self) -> None:
        """Let go; a device that is gone already may complain, to nobody."""
        try:
            self._port.close()
        except OSError:
            return


@contextmanager
def _gone_is_oserror() -> Iterator[None]:
    """What else pyserial raises where it should be an OSError.

    termios.error after a hang-up, TypeError when closed under a read, ValueError for a speed that the driver lacks.
    """
    try:
        yield
    except (_TerminalError, TypeError, ValueError) as error:
        raise OSError(errno.EIO, str(error)) from error


REMEDIES = {
    errno.EACCES: "this user may not open it: on Linux join its group (sudo usermod -a -G dialout $USER; uucp on some "
    "systems), then log out and in",
    errno.EPERM: "this user may not open it: ask for the right to use serial ports",
    errno.ENOENT: "there is no such port: plug the receiver in, `fixboard ports` lists what there is",
    errno.ENODEV: "the device behind it is gone: plug it in again",
    errno.ENXIO: "there is no device behind it: `fixboard ports` lists what there is",
    errno.ENOTTY: "it is not a serial port",
    errno.EINVAL: "it does not take this speed or is not a serial port",
    errno.EIO: "the device does not answer: unplug it and plug it in again",
}
_BUSY = {errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK}
_BUSY_ON_WINDOWS = _BUSY | {errno.EACCES}
"""A port is for one program there and needs no rights: access is denied to the second (CreateFile; from memory)."""


def why_not(device: str, error: Exception, platform: str = sys.platform) -> str:
    """Why a port cannot be opened, and what to do about it. `platform`: as sys.platform."""
    number = _number(error)
    if number in (_BUSY_ON_WINDOWS if platform == "win32" else _BUSY) or "exclusively lock" in str(error):
        users = ", ".join(other_users(device)) or "another program"
        return f"{device} is in use by {users}: close that first (right after plugging in, wait ten seconds)"
    remedy = REMEDIES.get(number or 0)
    return f"{device}: {remedy}" if remedy else f"{device} cannot be opened: {error}"


def _number(error: Exception) -> int | None:
    """The system's error number. pyserial puts that of a port it cannot set up into its text alone: `(25, '...')`."""
    known = error.errno if isinstance(error, OSError) else None
    stated = re.search(r"\((\d+), ", str(error))
    return known or (int(stated[1]) if stated else None)

"""A serial port that the user names. What the line cannot carry is left out, whole sentences at a time."""

from __future__ import annotations

import os
from selectors import BaseSelector
from typing import TYPE_CHECKING

from core.feeding.address import FeedAddress
from core.feeding.refusals import refused
from core.feeding.waiting import Waiting

try:
    from termios import error as TerminalError  # noqa: N812  # a class, whatever its module calls it
except ImportError:  # Windows has no termios, and nothing there raises it
    TerminalError = OSError  # type: ignore[misc,assignment]

if TYPE_CHECKING:
    import serial

MOST_LATE_S = 2.0
"""Of the line's own time: what would come later than that is old."""
_BITS_A_BYTE = 10
"""A start bit, eight of data, a stop bit."""


class SerialOutlet:
    """An Outlet for one wire."""

    def __init__(self, address: FeedAddress) -> None:
        """Opens it for this program alone. Raises InputError saying what to do."""
        import serial

        self.address = address
        self.dropped = 0
        self._waiting = Waiting()
        self._most = max(1024, int(address.baud / _BITS_A_BYTE * MOST_LATE_S))
        exclusive = True if os.name == "posix" else None
        try:
            self._port: serial.Serial | None = serial.Serial(
                address.device, address.baud, timeout=0, write_timeout=0, exclusive=exclusive
            )
        except (OSError, ValueError, OverflowError, TerminalError) as error:
            raise refused(address, error) from error

    @property
    def where(self) -> str:
        """The port and its speed."""
        return f"{self.address.device} {self.address.baud} baud"

    @property
    def clients(self) -> int | None:
        """Nobody knows who is at the other end of a wire."""
        return None

    @property
    def has_pending(self) -> bool:
        """It does not wake the feed when it can take more."""
        return bool(len(self._waiting))

    def watch(self, selector: BaseSelector) -> None:
        """Nothing is expected back."""

    def send(self, data: bytes, now_s: float) -> None:
        """As much as the line takes. Raises OSError when the port is gone."""
        self.dropped += self._waiting.add_newest(data, now_s, self._most)
        self._waiting.send(self._write, now_s)

    def newcomers(self, greeting: bytes, now_s: float) -> None:
        """There are none that would be known."""

    def close(self) -> None:
        """Let go; a device that is gone already may complain, to nobody."""
        port, self._port = self._port, None
        if port:
            try:
                port.reset_output_buffer()  # or the system waits half a minute for a line that takes nothing
                port.close()
            except (OSError, TerminalError):
                return

    def _write(self, data: bytes) -> int:
        if self._port is None:
            return 0
        if os.name != "posix":
            return self._port.write(data) or 0
        try:
            # Not by pyserial: it tries again without end where the line can take nothing.
            return os.write(self._port.fileno(), data)
        except BlockingIOError:
            return 0

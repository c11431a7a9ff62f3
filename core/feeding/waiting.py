"""What waits for one client: bounded in bytes and in time, so that nobody slow costs anybody else anything."""

from __future__ import annotations

from collections.abc import Callable

MOST_BYTES = 65_536
"""Six seconds of a receiver that sends ten epochs of a kilobyte a second; more is no position any more but history."""
LONGEST_S = 10.0
"""For which a client may take nothing, though something waits: as long as an old value may stand on the board."""


class Waiting:
    """Bytes that a client has not taken yet."""

    def __init__(self) -> None:
        self._bytes = bytearray()
        self._moved_s = 0.0
        """When something was last taken, or began to wait."""
        self._in_a_line = False
        """Whether the client has the beginning of a line, and not its end."""

    def __len__(self) -> int:
        return len(self._bytes)

    def add(self, data: bytes, now_s: float) -> None:
        """Whole lines."""
        if not self._bytes:
            self._moved_s = now_s
        self._bytes += data

    def send(self, write: Callable[[bytes], int], now_s: float) -> int:
        """Write as much as is taken; how much that was. `write` returns 0 where it would have to wait."""
        taken = write(bytes(self._bytes)) if self._bytes else 0
        if taken:
            self._in_a_line = self._bytes[taken - 1] != ord("\n")
            self._moved_s = now_s
            del self._bytes[:taken]
        return taken

    def is_stuck(self, now_s: float, most: int = MOST_BYTES) -> bool:
        """Whether more than `most` bytes wait, or nothing has been taken for too long."""
        return len(self._bytes) > most or bool(self._bytes and now_s - self._moved_s > LONGEST_S)

    def add_newest(self, data: bytes, now_s: float, most: int = MOST_BYTES) -> bool:
        """Whole lines that are worth more than what waits, which goes if it is too much; whether it had to go."""
        sheds = bool(self._bytes) and self.is_stuck(now_s, most - len(data))
        if sheds:
            self.shed(now_s)
        if data:
            self.add(data, now_s)
        return sheds

    def shed(self, now_s: float) -> None:
        """Forget what waits, but for the rest of a line that has begun."""
        end = self._bytes.find(b"\n") + 1 if self._in_a_line else 0
        del self._bytes[end:]
        self._moved_s = now_s

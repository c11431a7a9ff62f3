"""Finding the speed of a line: the right one is that at which checksums come out right."""

from __future__ import annotations

from core.nmea.framing import Framer, Sentence

BAUDS = (9600, 38400, 115200, 4800, 57600, 230400, 460800, 19200)
"""In the order of how common they are among receivers (nmea-notes.md): 9600 and 38400 are makers' defaults."""
GOOD_SENTENCES = 2
"""One right checksum comes by chance in 256 wrong ones; two in a row of different sentences do not."""
PROBE_S = 2.3
"""Two seconds hold two bursts of a receiver at 1 Hz; the rest is for a late one."""
ENOUGH_GARBAGE = 1500
"""Bytes without a good sentence after which a speed is given up early: several bursts of any receiver."""


class BaudProbe:
    """Watches bytes read at one speed."""

    def __init__(self, at_s: float) -> None:
        """`at_s`: when listening began."""
        self._since_s = at_s
        self._framer = Framer(require_checksum=True)
        self._good = 0
        self.heard = b""
        """Everything so far: once the speed is found it is data like any other."""

    def feed(self, data: bytes) -> None:
        """Take what was read."""
        self.heard += data
        self._good += sum(isinstance(event, Sentence) for event in self._framer.feed(data))

    @property
    def found(self) -> bool:
        """Whether this is the speed."""
        return self._good >= GOOD_SENTENCES

    def hopeless(self, now_s: float) -> bool:
        """Whether to try the next speed."""
        return now_s - self._since_s > PROBE_S or (self._good == 0 and len(self.heard) > ENOUGH_GARBAGE)

"""One read takes what there is."""

from __future__ import annotations

from core.sources.line import SerialLine


class BurstyPort:
    """Shaped like pyserial's: nothing is there until a read waits, then all of a burst is."""

    timeout = 0.25

    def __init__(self, burst: bytes) -> None:
        self._burst = burst
        self._came = b""
        self.reads = 0

    @property
    def in_waiting(self) -> int:
        return len(self._came)

    def read(self, size: int) -> bytes:
        """Waits for the first byte, as a read of one byte does."""
        self.reads += 1
        if not self._came:
            self._came, self._burst = self._burst, b""
        taken, self._came = self._came[:size], self._came[size:]
        return taken


def line_on(port: BurstyPort) -> SerialLine:
    line = SerialLine.__new__(SerialLine)
    line._port = port  # type: ignore[assignment]  # as much of it as is used
    return line


def test_a_burst_that_wakes_the_reader_is_taken_in_one_piece() -> None:
    burst = b"$GPGGA,,,,,,0,,,,,,,,*66\r\n" * 20
    assert line_on(BurstyPort(burst)).read(0.25) == burst


def test_a_quiet_line_is_read_once() -> None:
    port = BurstyPort(b"")
    assert line_on(port).read(0.25) == b""
    assert port.reads == 1

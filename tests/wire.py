"""A receiver on a wire, for tests: a pty pair stands for the serial line, the far end is a thread of this process.

Like a real line it is only understood at the right speed: the far end looks at the speed that the near end has set
(both ends of a pty share their settings) and sends noise at any other. It also keeps whatever the near end writes,
which must be nothing. POSIX only.
"""

from __future__ import annotations

import os
import random
import termios
import threading
import time
from collections.abc import Callable, Iterator
from functools import reduce

SPEEDS = {getattr(termios, f"B{baud}"): baud for baud in (4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800)}
UNSET = termios.B50
"""The speed of a pty that nobody has opened yet."""
BUFFER = 600
"""Bytes that a receiver keeps for a line that is too slow. Invented: a burst that finds it half full is dropped, the
end of one that does not fit is lost in mid-sentence.
"""
TICK_S = 0.01
Bursts = Callable[[], Iterator[bytes]]

SKY = (
    "GPGSV,2,1,08,05,45,090,41,07,30,180,38,13,60,270,44,15,12,010,33",
    "GPGSV,2,2,08,20,22,045,35,24,75,200,46,28,18,310,34,30,50,120,42",
)


def sentence(body: str) -> bytes:
    """The body with `$`, checksum and line end."""
    total = reduce(lambda a, b: a ^ b, body.encode("ascii"), 0)
    return f"${body}*{total:02X}\r\n".encode("ascii")


def burst(second: float, fix: bool = True) -> bytes:
    """One epoch of an invented receiver in the open ocean, `second` seconds after noon of an invented day."""
    bodies = _with_fix(second) if fix else _without_fix(second)
    return b"".join(sentence(body) for body in (*bodies, *SKY))


def _clock(second: float) -> str:
    hundredths = round(second * 100)
    whole = 43_200 + hundredths // 100
    return f"{whole // 3600 % 24:02d}{whole // 60 % 60:02d}{whole % 60:02d}.{hundredths % 100:02d}"


def _with_fix(second: float) -> tuple[str, ...]:
    clock, place = _clock(second), f"47{18 + second % 600 * 0.0005:07.4f},S,01242.2000,W"
    return (
        f"GNRMC,{clock},A,{place},1.900,001.00,040531,,,A",
        f"GNGGA,{clock},{place},1,08,0.9,31.0,M,21.4,M,,",
        "GNGSA,A,3,05,07,13,15,20,24,28,30,,,,,1.6,0.9,1.3",
    )


def _without_fix(second: float) -> tuple[str, ...]:
    clock = _clock(second)
    return f"GNRMC,{clock},V,,,,,,,040531,,,N", f"GNGGA,{clock},,,,,0,00,,,M,,M,,", "GNGSA,A,1,,,,,,,,,,,,,,,"


def walk(hz: float = 1.0, without: int = 0) -> Bursts:
    """A walk without end, epochs 1/`hz` seconds apart; the first `without` of them have no fix."""
    return lambda: (burst(n / hz, fix=n >= without) for n in range(10**6))


class PtyReceiver:
    """Sends bursts until it is unplugged."""

    def __init__(self, baud: int = 9600, hz: float = 10.0, bursts: Bursts | None = None, limited: bool = False) -> None:
        """`hz`: bursts a second; `limited`: the line carries no more than its speed allows, and the rest is lost."""
        self.baud = baud
        self.sent: list[bytes] = []
        """What was sent at the right speed; of a limited line what was put into the receiver's buffer."""
        self.heard = bytearray()
        """What the near end has written."""
        self.silent = threading.Event()
        self._buffer = b""
        self._limit = baud / 10 * TICK_S if limited else None
        self._period_s = 1.0 / hz
        self._bursts = bursts or walk()
        self._master, self._slave = os.openpty()
        self.device = os.ttyname(self._slave)
        self._make_raw()
        self._stop = threading.Event()
        self._noise = random.Random(1)
        self._thread = threading.Thread(target=self._send, name="receiver", daemon=True)
        self._thread.start()

    def __enter__(self) -> PtyReceiver:
        return self

    def __exit__(self, *_: object) -> None:
        self.unplug()

    def unplug(self) -> None:
        """Hang up, in the middle of whatever is being sent."""
        if not self._stop.is_set():
            self._stop.set()
            self._thread.join()
            os.close(self._slave)
            os.close(self._master)

    def heard_at(self) -> int:
        """The speed that the near end listens at."""
        return SPEEDS.get(termios.tcgetattr(self._master)[5], 0)

    def _make_raw(self) -> None:
        """No echo, no translation, and no speed of any receiver.

        A new pty stands at 38,400 baud: a receiver of that speed could look at it, find itself understood, and write
        only after the near end has set another.
        """
        attributes = termios.tcgetattr(self._slave)
        attributes[0] = attributes[1] = attributes[3] = 0
        attributes[4] = attributes[5] = UNSET
        termios.tcsetattr(self._slave, termios.TCSANOW, attributes)

    def _send(self) -> None:
        os.set_blocking(self._master, False)
        due = time.monotonic()
        for data in self._bursts():
            due = max(due + self._period_s, time.monotonic() - self._period_s)  # a machine that stalls, catches up once
            if self._limit is None:
                self._write(self._garbled(data))
                self._stop.wait(max(0.0, due - time.monotonic()))
            else:
                self._trickle(data, due)
            self._listen()
            if self._stop.is_set():
                return

    def _garbled(self, data: bytes) -> bytes:
        """What the near end makes of it at the speed that it listens at."""
        if self.silent.is_set():
            return b""
        if self.heard_at() != self.baud:
            return self._noise.randbytes(len(data))
        self.sent.append(data)
        return data

    def _trickle(self, data: bytes, due: float) -> None:
        """As many bytes a tick as the speed allows, while the next burst comes closer."""
        if len(self._buffer) <= BUFFER // 2:
            self._buffer = (self._buffer + self._garbled(data))[:BUFFER]
        budget = 0.0
        while not self._stop.wait(TICK_S) and time.monotonic() < due:
            budget += self._limit or 0.0
            now, self._buffer = self._buffer[: int(budget)], self._buffer[int(budget) :]
            budget -= int(budget)
            self._write(now)

    def _write(self, data: bytes) -> None:
        while data and not self._stop.is_set():
            try:
                data = data[os.write(self._master, data) :]
            except BlockingIOError:
                termios.tcflush(self._slave, termios.TCIFLUSH)  # nobody reads: a real line does not wait for that
            except OSError:
                return

    def _listen(self) -> None:
        try:
            self.heard += os.read(self._master, 4096)
        except OSError:
            return

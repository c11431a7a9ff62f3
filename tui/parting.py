"""When the board is told to end, or its terminal goes: that is left as it was found, and nothing goes on alone.

The program then dies of the signal, as whoever sent it expects. What is recorded is on the disk by then, and that it
was being recorded is remembered, so that the next start offers to go on. To end in order instead would be to wait for a
terminal that perhaps takes nothing any more.
"""

from __future__ import annotations

import os
import select
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Any

_OFF = b"".join(b"\x1b[?%dl" % number for number in (1006, 1015, 1003, 1000, 1004, 2004, 2048))
LEAVE = _OFF + b"\x1b[<u\x1b[?7h\x1b[?1049l\x1b[?25h"
"""Mouse, focus, paste and size reports off, keys and line ends as usual, the first screen, the cursor (xterm's control
sequences; the keys' is that of the keyboard protocol which the screen library turns on)."""
TOLD = ("SIGTERM", "SIGHUP")
GRACE_S = 0.5
"""For the system to tell of a hang-up itself, as it does unless it was told not to."""


@contextmanager
def tidy_parting() -> Iterator[None]:
    """For the time in which the terminal is the board's. Does nothing where there are no such terminals."""
    terminal = _terminal()
    if terminal is None:
        yield
        return
    parting = _Parting(terminal)
    parting.begin()
    try:
        yield
    finally:
        parting.end()


def _terminal() -> int | None:
    """Where keys come from; None for what is no terminal, or none of this kind."""
    if os.name != "posix" or sys.__stdin__ is None:
        return None
    with suppress(OSError, ValueError):  # closed
        handle = sys.__stdin__.fileno()
        return handle if os.isatty(handle) else None
    return None


class _Parting:
    def __init__(self, terminal: int) -> None:
        import termios  # Windows has none

        self._terminal = terminal
        self._over = threading.Event()
        self._before: list[Any] | None = None
        self._replaced: list[signal.Signals] = []
        with suppress(termios.error):
            self._before = termios.tcgetattr(terminal)

    def begin(self) -> None:
        """A signal that the program was started to ignore stays ignored (nohup)."""
        for number in (getattr(signal, name) for name in TOLD):
            if signal.getsignal(number) is signal.SIG_DFL:
                signal.signal(number, self._die)
                self._replaced.append(number)
        threading.Thread(target=self._watch, name="terminal watch", daemon=True).start()

    def end(self) -> None:
        """The terminal is given back by then."""
        self._over.set()
        for number in self._replaced:
            signal.signal(number, signal.SIG_DFL)

    def _die(self, number: int, frame: FrameType | None) -> None:
        del frame
        signal.signal(number, signal.SIG_DFL)
        self._restore()
        os.kill(os.getpid(), number)

    def _restore(self) -> None:
        """Without waiting: a terminal that takes nothing does not get it."""
        import termios

        with suppress(OSError, termios.error):
            if self._before:
                termios.tcsetattr(self._terminal, termios.TCSANOW, self._before)
            if select.select([], [self._terminal], [], 0)[1]:
                os.write(self._terminal, LEAVE)

    def _watch(self) -> None:
        """Whoever started the program may have it ignore hang-ups: it would go on for ever, seen and stopped by nobody.

        What the terminal says when it is asked for no events is that it has gone.
        """
        if not hasattr(select, "poll"):  # a Python for a system whose poll was found not to work, as some macOS
            return
        poll = select.poll()
        poll.register(self._terminal, 0)
        found = poll.poll()
        if found and found[0][1] & select.POLLHUP and not self._over.wait(GRACE_S):
            os.kill(os.getpid(), signal.SIGTERM)

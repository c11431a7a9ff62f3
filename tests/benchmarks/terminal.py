"""A board on a pty of its own, for the benchmarks; on the screen of a tmux it is in multiplexer.py."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pyte

from core.memory import Memory, remember
from tui.session import EDITION

COLUMNS, ROWS = 120, 40


def has_read_the_cautions(folder: Path) -> None:
    """So that they do not lie over what is measured."""
    folder.mkdir(exist_ok=True)
    remember(folder / "board.toml", Memory(notice=EDITION))


class Terminal:
    """Runs a command and keeps its screen."""

    def __init__(self, command: list[str], prepare: Callable[[Path], None] | None = None) -> None:
        """`prepare`: what is done to the user's folder before the command has it."""
        self.folder = tempfile.mkdtemp(prefix="fixboard-benchmark-")
        has_read_the_cautions(Path(self.folder))
        if prepare:
            prepare(Path(self.folder))
        self.written = 0
        """Bytes that the terminal has received."""
        self._screen = pyte.Screen(COLUMNS, ROWS)
        self._stream = pyte.ByteStream(self._screen)
        self.pid, self._handle = pty.fork()
        if self.pid == 0:
            ours = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LC_ALL": "C.UTF-8"}
            os.execvpe(command[0], command, {**os.environ, **ours, "FIXBOARD_DATA": self.folder})
        fcntl.ioctl(self._handle, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))

    def read(self, timeout_s: float) -> bool:
        """Take what comes; whether anything has."""
        if not select.select([self._handle], [], [], timeout_s)[0]:
            return False
        data = os.read(self._handle, 65_536)
        self.written += len(data)
        self._stream.feed(data)
        return True

    def run(self, seconds: float) -> None:
        """Keep the screen for a while."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.read(0.05)

    def shows(self, text: str) -> bool:
        """Whether any row has it."""
        return any(text in row for row in self._screen.display)

    def wait_for(self, text: str, timeout_s: float) -> float | None:
        """When what shows it arrived, on the monotonic clock; None where it was not."""
        end = time.monotonic() + timeout_s
        while (now := time.monotonic()) < end:
            if self.shows(text):
                return now
            self.read(0.02)
        return None

    def press(self, keys: bytes) -> None:
        """Type."""
        os.write(self._handle, keys)

    def close(self) -> None:
        """Quit, and tidy up."""
        self.press(b"q")
        end = time.monotonic() + 10.0
        while time.monotonic() < end and os.waitpid(self.pid, os.WNOHANG) == (0, 0):
            try:
                self.read(0.1)
            except OSError:
                time.sleep(0.1)
        if time.monotonic() >= end:
            os.kill(self.pid, signal.SIGKILL)
        os.close(self._handle)
        shutil.rmtree(self.folder, ignore_errors=True)


class Quiet(Terminal):
    """Takes what is drawn and looks at none of it: a picture of each frame costs more than the frame."""

    def read(self, timeout_s: float) -> bool:
        """Take what comes."""
        if not select.select([self._handle], [], [], timeout_s)[0]:
            return False
        with suppress(OSError):  # it has ended
            self.written += len(os.read(self._handle, 65_536))
        return True


def board(*arguments: str) -> list[str]:
    """The command for a board from this source tree."""
    os.environ["PYTHONPATH"] = str(Path(__file__).parents[2])
    return [sys.executable, "-m", "tui", *arguments]

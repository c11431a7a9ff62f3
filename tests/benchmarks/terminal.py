"""A board in a terminal of its own, for the benchmarks: directly on a pty, or through tmux on a pty."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

import pyte

COLUMNS, ROWS = 120, 40
TICKS_PER_S = os.sysconf("SC_CLK_TCK")
SOCKET = "fixboard-benchmark"
"""Of a tmux server of our own."""


class Terminal:
    """Runs a command and keeps its screen."""

    def __init__(self, command: list[str], through_tmux: bool = False) -> None:
        self.folder = tempfile.mkdtemp(prefix="fixboard-benchmark-")
        self._tmux = through_tmux
        self.written = 0
        """Bytes that the terminal has received."""
        self._screen = pyte.Screen(COLUMNS, ROWS)
        self._stream = pyte.ByteStream(self._screen)
        size = ["-x", str(COLUMNS), "-y", str(ROWS)]
        full = ["tmux", "-L", SOCKET, "-f", "/dev/null", "new-session", *size, *command] if through_tmux else command
        self.pid, self._handle = pty.fork()
        if self.pid == 0:
            environment = {**os.environ, "TERM": "xterm-256color", "FIXBOARD_DATA": self.folder, "LC_ALL": "C.UTF-8"}
            os.execvpe(full[0], full, environment)
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

    def board_pid(self) -> int:
        """The process that draws."""
        if not self._tmux:
            return self.pid
        listed = subprocess.run(
            ["tmux", "-L", SOCKET, "list-panes", "-F", "#{pane_pid}"], capture_output=True, text=True, check=True
        )
        return int(listed.stdout)

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


def board(*arguments: str) -> list[str]:
    """The command for a board from this source tree."""
    os.environ["PYTHONPATH"] = str(Path(__file__).parents[2])
    return [sys.executable, "-m", "tui", *arguments]


def cpu_s(pid: int) -> float:
    """Seconds of processor time that a process has used."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_PER_S


def resident_kb(pid: int) -> int:
    """Memory of a process in kB."""
    fields = Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()
    return int(fields[1]) * os.sysconf("SC_PAGE_SIZE") // 1024

"""A board on the screen of a real tmux, watched through tmux's own control mode: what is on that screen, and when."""

from __future__ import annotations

import os
import select
import shutil
import subprocess
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from tests.benchmarks.terminal import COLUMNS, ROWS, has_read_the_cautions

SOCKET = "fixboard-benchmark-screen"
"""Of a tmux server of our own."""
SETTINGS = "set -g default-terminal tmux-256color\nset -g status off\n"


def has_tmux() -> bool:
    """Whether there is one to measure with."""
    return shutil.which("tmux") is not None


class Multiplexer:
    """Runs a command in a window of its own. The client asks for the screen whenever tmux says that it has changed."""

    def __init__(self, command: list[str], environment: Mapping[str, str]) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="fixboard-benchmark-"))
        settings = self._folder / "tmux.conf"
        settings.write_text(SETTINGS)
        has_read_the_cautions(self._folder / "data")
        base = ["tmux", "-L", SOCKET, "-f", str(settings), "-C"]
        full = [*base, "new-session", "-x", str(COLUMNS), "-y", str(ROWS), *command]
        ours = {**os.environ, **environment, "FIXBOARD_DATA": str(self._folder / "data")}
        self._client = subprocess.Popen(full, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=ours, bufsize=0)
        self._buffer = b""
        self._say(f"refresh-client -C {COLUMNS}x{ROWS}")

    def wait_for(self, text: str, timeout_s: float) -> float | None:
        """When the screen was first seen to show it, on the monotonic clock; None where it was not in time."""
        wanted, end_s = text.encode(), time.monotonic() + timeout_s
        while time.monotonic() < end_s:
            if wanted in self.screen(end_s):
                return time.monotonic()
            self._until(b"%output", end_s)
        return None

    def run(self, seconds: float) -> None:
        """Let it run."""
        end_s = time.monotonic() + seconds
        while time.monotonic() < end_s:
            self._line(end_s)

    def screen(self, end_s: float) -> bytes:
        """What it shows now."""
        self._say("capture-pane -p")
        self._until(b"%begin", end_s)
        rows = []
        while (line := self._line(end_s)) is not None and not line.startswith((b"%end", b"%error")):
            rows.append(line)
        return b"\n".join(rows)

    def board_pid(self) -> int:
        """The process that draws."""
        listed = subprocess.run(
            ["tmux", "-L", SOCKET, "list-panes", "-F", "#{pane_pid}"], capture_output=True, text=True, check=True
        )
        return int(listed.stdout)

    def press(self, keys: str) -> None:
        """Type."""
        self._say(f"send-keys -l {keys}")

    def close(self) -> None:
        """Quit, and tidy up: the server ends with its only session."""
        with suppress(OSError):  # the board may have ended by itself
            self._say("kill-session")
        with suppress(subprocess.TimeoutExpired):
            self._client.wait(10.0)
        self._client.kill()
        self._client.wait()
        shutil.rmtree(self._folder, ignore_errors=True)

    def _say(self, command: str) -> None:
        assert self._client.stdin is not None
        self._client.stdin.write(f"{command}\n".encode())

    def _until(self, start: bytes, end_s: float) -> None:
        while (line := self._line(end_s)) is not None and not line.startswith(start):
            pass

    def _line(self, end_s: float) -> bytes | None:
        """The next line of the client; None where none comes in time."""
        assert self._client.stdout is not None
        handle = self._client.stdout.fileno()
        while b"\n" not in self._buffer:
            left_s = end_s - time.monotonic()
            if left_s <= 0 or not select.select([handle], [], [], left_s)[0]:
                return None
            data = os.read(handle, 65_536)
            if not data:
                raise RuntimeError("the board has ended")
            self._buffer += data
        line, _, self._buffer = self._buffer.partition(b"\n")
        return line

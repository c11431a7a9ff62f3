"""The board as a process: its terminal goes, it is killed, it is told to quit; what was recorded is there each time."""

from __future__ import annotations

import fcntl
import os
import pty
import signal
import struct
import sys
import termios
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from core.memory import recall
from core.sources.recording import open_recording
from tests.live.child import Child
from tests.live.disks import files_in, read
from tests.live.rig import until
from tests.live.test_tagging import untagged
from tests.wire import PtyReceiver

ROOT = Path(__file__).parents[2]
ROWS, COLUMNS = 40, 120


class BoardProcess(Child):
    """A board on a terminal of its own, which takes everything and shows nothing."""

    def __init__(self, folder: Path, *arguments: str) -> None:
        self.drawn = bytearray()
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            os.chdir(ROOT)
            environment = {**os.environ, "TERM": "xterm-256color", "FIXBOARD_DATA": str(folder), "LC_ALL": "C.UTF-8"}
            os.execve(sys.executable, [sys.executable, "-m", "tui", *arguments], environment)
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        threading.Thread(target=self._drain, daemon=True).start()

    def _drain(self) -> None:
        while True:
            try:
                self.drawn += os.read(self._terminal, 65_536)
            except OSError:
                return

    def press(self, keys: bytes) -> None:
        """Type."""
        os.write(self._terminal, keys)

    def close(self) -> None:
        """Whatever happened before."""
        self.end()
        os.close(self._terminal)


@contextmanager
def on_board(folder: Path, *arguments: str) -> Iterator[BoardProcess]:
    """For the time of a test."""
    process = BoardProcess(folder, *arguments)
    try:
        yield process
    finally:
        process.close()


def recorded(folder: Path) -> bytes:
    """What is on the disk so far."""
    place = folder / "recordings"
    return untagged(b"".join(read(path) for path in files_in(place))) if place.is_dir() else b""


@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGHUP, signal.SIGTERM])
def test_a_board_that_dies_leaves_its_recording_and_the_wish_to_go_on(tmp_path: Path, end: signal.Signals) -> None:
    with PtyReceiver(9600, 20.0) as receiver, on_board(tmp_path, "live", receiver.device, "--record") as board:
        until(lambda: len(recorded(tmp_path)) > 3000, lambda: bytes(board.drawn[-2000:]))
        board.signal(end)
        until(board.has_ended)
        assert recall(tmp_path / "board.toml").recording.startswith(receiver.device)
        sent = b"".join(receiver.sent)
    kept = recorded(tmp_path)
    assert len(kept) > 3000
    assert kept in sent
    recording = open_recording(files_in(tmp_path / "recordings")[0])
    assert sum(1 for _ in recording.pieces()) > 5
    recording.close()


@pytest.mark.parametrize("port", ["receiving", "silent", "absent"])
def test_q_quits_in_every_state(tmp_path: Path, port: str) -> None:
    with PtyReceiver(9600, 20.0) as receiver:
        if port == "silent":
            receiver.silent.set()
        device = "/dev/ttyQUENNET" if port == "absent" else receiver.device
        with on_board(tmp_path, "live", device) as board:
            until(lambda: b"Quit" in board.drawn or b"LIVE" in board.drawn)
            if port == "receiving":
                until(lambda: receiver.sent)
            board.press(b"q")
            until(board.has_ended)
            assert board.status == 0
            assert b"Traceback" not in board.drawn


def test_quitting_ends_the_recording_in_order(tmp_path: Path) -> None:
    with PtyReceiver(9600, 20.0) as receiver, on_board(tmp_path, "live", receiver.device, "--record") as board:
        until(lambda: len(recorded(tmp_path)) > 1000)
        board.press(b"q")
        until(board.has_ended)
        assert board.status == 0
        assert recall(tmp_path / "board.toml").recording == ""
        assert receiver.heard == b""

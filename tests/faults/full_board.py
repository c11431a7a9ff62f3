"""A board with everything on, as a process on a terminal of its own that the test may stop reading at any moment.

What is on: the recorder, feeds by TCP, UDP and a pseudo-terminal, the keeping of the trip, a target, a list of
stations, and what a user may set, each to something else than usual. Averaging begins when the test presses `S`. Linux,
since it is `/proc` that tells what a process uses.
"""

from __future__ import annotations

import ctypes
import fcntl
import os
import pty
import resource
import select
import signal
import struct
import sys
import termios
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pyte

from core.fix import Position
from core.memory import Memory, remember
from core.route_memory import written
from core.waypoint import Waypoint
from core.waypoints import Waypoints
from tests.faults.wires import exact, loopback_port
from tests.live.child import Child
from tests.live.rig import until
from tui.session import EDITION

ROOT = Path(__file__).parents[2]
ROWS, COLUMNS = 40, 120
MODULE = "tui"
SOCKETS = "tests.faults.sockets"
"""The same board on a computer whose serial ports are links in a folder: `tests.faults.sockets`."""
SETTINGS = """\
[recorder]
exact = true
[track]
rule = "every 2 s or 5 m or 20 deg"
[before_dark]
margin_min = 45
[position]
pin_digits = true
[stations]
antenna_m = 6.0
[report]
leading_zeros = true
[home]
place = "10.5 N 20.25 W"
radius_m = 900
"""
"""Invented, all of it."""
STATIONS = "call,latitude,longitude,frequency\nQ0ISL,-47.31,-12.71,145.750\nQ0SEA,-47.40,-12.60,439.000\n"
FAR_AWAY = Waypoint("Quennet", Position(-47.2, -12.6))
_OVER_PERMISSIONS = (1, 2)
_DROP_FOR_GOOD = 24
"""CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH, PR_CAPBSET_DROP: capability.h and prctl.h of Linux, from memory."""
_TICKS = os.sysconf("SC_CLK_TCK")


def heed_permissions() -> None:
    """Where the tests are run by root, its programs may open anything; from the next program on this one may not."""
    if os.geteuid() == 0 and sys.platform == "linux":
        system = ctypes.CDLL(None)
        for privilege in _OVER_PERMISSIONS:
            system.prctl(_DROP_FOR_GOOD, privilege, 0, 0, 0)


def furnish(folder: Path) -> None:
    """A user's folder with something in every corner."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "settings.toml").write_text(SETTINGS, encoding="utf-8")
    (folder / "stations").mkdir()
    (folder / "stations" / "isles.csv").write_text(STATIONS, encoding="utf-8")
    place = Waypoints(folder / "waypoints.gpx").add(FAR_AWAY)
    remember(
        folder / "board.toml", Memory(route=written([place]), notation="UTM", theme="night", alert="on", notice=EDITION)
    )


class FullBoard(Child):
    """The process, its terminal, its files."""

    def __init__(self, folder: Path, *arguments: str, module: str = MODULE, nohup: bool = False) -> None:
        """`arguments`: after `live`; recorder and feeds come by themselves. `nohup`: it is told nothing of hang-ups.

        What else its environment holds is the test's own: see `monkeypatch.setenv`.
        """
        self.folder = folder
        if not folder.exists():
            furnish(folder)
        self.port = loopback_port()
        self.link = folder / "ttyFeed"
        feeds = [f"--feed=tcp:{self.port}", f"--feed=pty:{self.link}", f"--feed=udp:{loopback_port()}"]
        command = [sys.executable, "-m", module, "live", *arguments, "--record", *feeds]
        self.reading = threading.Event()
        self.reading.set()
        self._drawn = bytearray()
        self.ever_drawn = bytearray()
        """All that has come to the terminal."""
        self._screen = pyte.Screen(COLUMNS, ROWS)
        self._stream = pyte.ByteStream(self._screen)
        self._lock = threading.Lock()
        self._over = threading.Event()
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            os.chdir(ROOT)
            if nohup:
                signal.signal(signal.SIGHUP, signal.SIG_IGN)
            heed_permissions()
            ours = {"TERM": "xterm-256color", "LC_ALL": "C.UTF-8", "FIXBOARD_DATA": str(folder), "TZ": "UTC"}
            os.execve(sys.executable, command, {**os.environ, **ours, "TEXTUAL_DISABLE_KITTY_KEY": "1"})
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        self._drain = threading.Thread(target=self._read, name="terminal", daemon=True)
        self._drain.start()

    # What a person sees and does

    @property
    def rows(self) -> list[str]:
        """The screen as it is drawn now."""
        with self._lock:
            drawn, self._drawn = bytes(self._drawn), bytearray()
            self._stream.feed(drawn)
            return list(self._screen.display)

    @property
    def text(self) -> str:
        """All of it, its lines joined as they stand."""
        return "\n".join(self.rows)

    def shows(self, *words: str) -> None:
        """Wait until all of this stands on the screen, in the order of reading or not."""
        looked: list[int] = []

        def does() -> bool:
            if looked == [self.drawn_bytes]:  # nothing new: to look again would cost more than the board does
                time.sleep(0.02)
                return False
            looked[:] = [self.drawn_bytes]
            text = " ".join(self.text.split())
            return all(word in text for word in words)

        until(does, lambda: (words, self.rows))

    def press(self, keys: str) -> None:
        """Type."""
        os.write(self._terminal, keys.encode())

    def resize(self, rows: int, columns: int) -> None:
        """As a window that is dragged."""
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    @property
    def modes(self) -> list[object]:
        """How the terminal treats what is typed and drawn."""
        return list(termios.tcgetattr(self._terminal)[:4])

    @property
    def drawn_bytes(self) -> int:
        """How many have come to the terminal."""
        return len(self.ever_drawn)

    def hang_up(self) -> None:
        """The terminal vanishes: its window is closed, its connection lost."""
        self._over.set()
        self._drain.join()
        os.close(self._terminal)
        self._terminal = -1

    def _read(self) -> None:
        while not self._over.is_set():
            if not self.reading.wait(0.05) or not select.select([self._terminal], [], [], 0.05)[0]:
                continue
            try:
                data = os.read(self._terminal, 65_536)
            except OSError:
                return
            with self._lock:
                self._drawn += data
                self.ever_drawn += data

    # What the system sees

    def is_stopped(self) -> bool:
        """As the system lists it: T for stopped."""
        return self._stat()[0] == "T"

    @property
    def cpu_s(self) -> float:
        """Processor time, of the program and for it."""
        found = self._stat()
        return (int(found[11]) + int(found[12])) / _TICKS

    @property
    def reads(self) -> int:
        """System calls that read, since the beginning."""
        told = Path(f"/proc/{self.pid}/io").read_text(encoding="ascii").split()
        return int(told[told.index("syscr:") + 1])

    @property
    def memory_bytes(self) -> int:
        """That is in use."""
        pages = Path(f"/proc/{self.pid}/statm").read_text(encoding="ascii").split()[1]
        return int(pages) * resource.getpagesize()

    @property
    def threads(self) -> int:
        """How many."""
        return sum(1 for _ in Path(f"/proc/{self.pid}/task").iterdir())

    @property
    def files(self) -> list[str]:
        """That it has open."""
        found = []
        for one in Path(f"/proc/{self.pid}/fd").iterdir():
            try:
                found.append(str(one.readlink()))
            except OSError:  # closed meanwhile
                continue
        return found

    def _stat(self) -> list[str]:
        """From the state on: the name before it may hold anything."""
        return Path(f"/proc/{self.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()

    # What it has written

    @property
    def recorded(self) -> bytes:
        """What is on the disk so far, as it was received."""
        return exact(self.folder / "recordings")

    def close(self) -> None:
        """Whatever happened before."""
        self.end()
        if self._terminal >= 0:
            self.hang_up()

    def quit(self) -> None:
        """By its key, in order: nothing on the screen but the board, no traceback, the status of success."""
        self.press("q")
        until(self.has_ended, lambda: self.text)
        assert self.status == 0, self.text
        assert "Traceback" not in self.text


@contextmanager
def full_board(folder: Path, *arguments: str, module: str = MODULE, nohup: bool = False) -> Iterator[FullBoard]:
    """For the time of a test."""
    board = FullBoard(folder, *arguments, module=module, nohup=nohup)
    try:
        yield board
    finally:
        board.close()

"""A pseudo terminal to run a program on, as a person at a screen would."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from tests.cli.running import LIMIT_S, Run

if sys.platform != "win32":
    import fcntl
    import pty
    import struct
    import termios


class Terminal:
    """Forty rows of 120, and one program on them. POSIX only."""

    def __init__(self, command: Sequence[str], environment: Mapping[str, str], folder: Path | None = None) -> None:
        self.master, self.slave = pty.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
        self.before = termios.tcgetattr(self.slave)
        self.seen = bytearray()
        self.process = subprocess.Popen(
            command,
            stdin=self.slave,
            stdout=self.slave,
            stderr=self.slave,
            env=environment,
            cwd=folder,
            start_new_session=True,
        )

    def look(self, until: Callable[[], bool], step_s: float = 0.1) -> None:
        """Take in what is drawn until that is so; gives up after a time in which any machine would have done it."""
        give_up = time.monotonic() + LIMIT_S
        while not until():
            assert time.monotonic() < give_up, bytes(self.seen[-2000:])
            if select.select([self.master], [], [], step_s)[0]:
                self.seen += os.read(self.master, 65_536)

    def ended(self) -> bool:
        return self.process.poll() is not None and not select.select([self.master], [], [], 0)[0]

    def type(self, keys: bytes) -> None:
        os.write(self.master, keys)

    def run(self) -> Run:
        """To the end."""
        self.look(self.ended)
        return Run(self.process.returncode, bytes(self.seen), b"")

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)
        os.close(self.slave)

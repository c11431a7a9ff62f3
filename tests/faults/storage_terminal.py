"""A board in a process of its own, on a terminal that is read as a person would, with any user, home and folder."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import pyte

from tests.cli.running import ROOT
from tests.cli.terminal import Terminal
from tests.live.rig import PATIENCE_S
from tui.screens.notice import TITLE

_AS_NOBODY = "import pwd; pwd.getpwuid = {}.__getitem__; "
"""As for a number that no list of users has, in a container. Not by becoming one: an interpreter may lie in somebody's
home, where nobody else can read it."""
_RUN = "import sys; from tui.cli import main; sys.exit(main(sys.argv[1:]))"


NOTICES = 57
"""Column from which notices stand, on 120."""


def _plain(row: str) -> str:
    """Without what is drawn, and one space between words."""
    return " ".join("".join(char if ord(char) < 0x2500 else " " for char in row).split())


class Seen:
    """The screen of a terminal."""

    def __init__(self, terminal: Terminal) -> None:
        self.terminal = terminal
        self._screen = pyte.Screen(120, 40)
        self._stream = pyte.ByteStream(self._screen)
        self._taken = 0

    @property
    def text(self) -> str:
        """As it stands now, on one line, and once more its right part alone: notices stand there, in several lines."""
        fresh = bytes(self.terminal.seen[self._taken :])
        self._taken += len(fresh)
        self._stream.feed(fresh)
        rows = [*self._screen.display, *(row[NOTICES:] for row in self._screen.display)]
        return " ".join(filter(None, map(_plain, rows)))

    def shows(self, *words: str) -> None:
        """Wait until all of this stands on it."""
        give_up = time.monotonic() + PATIENCE_S

        def stands() -> bool:
            text = self.text
            assert time.monotonic() < give_up, f"{words} are not in: {text}"
            return all(word in text for word in words)

        self.terminal.look(stands)

    def reads_the_cautions(self) -> None:
        """Which are shown to everybody of whom nothing is remembered, until a key closes them."""
        begins = TITLE[: NOTICES - 30]  # the rest of it may lie under notices
        self.shows(begins)
        self.terminal.type(b"\r")
        self.terminal.look(lambda: begins not in self.text)

    def quit(self) -> None:
        """In order."""
        self.terminal.type(b"q")
        run = self.terminal.run()
        assert run.code == 0, self.text
        assert b"Traceback" not in run.out


@contextmanager
def seen(arguments: Sequence[str], environment: Mapping[str, str], *, nobody: bool = False) -> Iterator[Seen]:
    """A board; `nobody`: run by somebody whom the system does not know."""
    ours = {"TERM": "xterm-256color", "LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-c", (_AS_NOBODY if nobody else "") + _RUN, *arguments]
    terminal = Terminal(command, {**ours, **environment})
    try:
        yield Seen(terminal)
    finally:
        terminal.close()

"""Real processes on pseudo terminals of many kinds: what is refused, what is drawn, and what is sent to them."""

from __future__ import annotations

import os
import select
import signal
import struct
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pyte
import pytest

from tests.cli.running import DEMO, LIMIT_S, check_civil, command, environment, posix
from tests.cli.terminal import Terminal
from tests.faults.hostile_text import sent, strange_letters, strangers

if sys.platform != "win32":
    import fcntl
    import termios

pytestmark = posix


class Shown(Terminal):
    """A terminal with somebody looking at it."""

    def __init__(self, arguments: list[str | Path], env: Mapping[str, str], size: tuple[int, int] = (100, 30)) -> None:
        self.screen = pyte.Screen(*size)
        self.stream = pyte.ByteStream(self.screen)
        self.fed = 0
        super().__init__(command(arguments), env)
        self.resize(*size)

    def resize(self, columns: int, rows: int) -> None:
        self.screen.resize(rows, columns)
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        os.kill(self.process.pid, signal.SIGWINCH)

    def text(self) -> str:
        self.stream.feed(bytes(self.seen[self.fed :]))
        self.fed = len(self.seen)
        return "\n".join(self.screen.display)

    def wait_for(self, words: str) -> None:
        self.look(lambda: words in self.text() or self.process.poll() is not None)
        assert words in self.text(), self.text()

    def drain(self, seconds: float) -> None:
        """Take in what comes for a while."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if select.select([self.master], [], [], 0.05)[0]:
                self.seen += os.read(self.master, 65_536)


@contextmanager
def shown(tmp_path: Path, *arguments: str | Path, size: Any = (100, 30), **env: Any) -> Iterator[Shown]:
    surroundings = environment(tmp_path / "data", **env)
    for name in [name for name, value in env.items() if value == "-"]:
        del surroundings[name]
    terminal = Shown(list(arguments), surroundings, size)
    try:
        yield terminal
    finally:
        terminal.close()


@pytest.mark.parametrize("term", ["linux", "xterm", "xterm-256color", "tmux-256color", "screen", "vt100"])
def test_on_this_terminal_the_board_runs_and_sends_nothing_strange(tmp_path: Path, term: str) -> None:
    with shown(tmp_path, "demo", "first_walk", TERM=term) as terminal:
        terminal.wait_for("Position")
        terminal.wait_for("F1 Help")
        terminal.type(b"7")
        terminal.wait_for("thresholds")
        terminal.type(b"q")
        run = terminal.run()
        assert run.code == 0
        found = sent(run.out)
        assert not strangers(found)
        assert not strange_letters(found)


@pytest.mark.parametrize("term", ["dumb", "", "-"], ids=["dumb", "empty", "unset"])
def test_a_terminal_that_cannot_move_its_cursor_is_refused(tmp_path: Path, term: str) -> None:
    with shown(tmp_path, "demo", TERM=term) as terminal:
        run = terminal.run()
    check_civil(run)
    assert run.code == 1
    assert b"fixboard now" in run.out


@pytest.mark.parametrize(
    "env",
    [
        {"COLORTERM": "truecolor"},
        {"COLORTERM": "24bit", "TERM": "xterm"},
        {"COLORTERM": "nonsense\x1b[31m"},
        {"NO_COLOR": "1"},
        {"NO_COLOR": "1", "TEXTUAL_COLOR_SYSTEM": "256"},
        {"TEXTUAL_COLOR_SYSTEM": "standard"},
        {"TEXTUAL_COLOR_SYSTEM": "truecolor", "TERM": "vt100"},
        {"TEXTUAL_FPS": "nonsense"},
    ],
    ids=str,
)
def test_colours_by_the_environment(tmp_path: Path, env: dict[str, str]) -> None:
    with shown(tmp_path, "demo", "first_walk", **env) as terminal:
        terminal.wait_for("no position")
        terminal.type(b"q")
        run = terminal.run()
        assert run.code == 0
        assert not strangers(sent(run.out))


def test_a_depth_of_colour_that_is_none_is_refused_in_words(tmp_path: Path) -> None:
    with shown(tmp_path, "demo", TEXTUAL_COLOR_SYSTEM="nonsense\x1b[31m") as terminal:
        run = terminal.run()
    check_civil(run)
    assert run.code == 1
    assert b"truecolor" in run.out


POOR = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "euc-jp"])
def test_without_utf_8_every_cell_keeps_its_place(tmp_path: Path, encoding: str) -> None:
    with shown(tmp_path, "demo", "first_walk", **POOR, PYTHONIOENCODING=encoding) as terminal:
        for keys, words in ((b"", "F1 Help"), (b"7", "thresholds"), (b"o", "What to watch"), (b"\x1b", "F1 Help")):
            terminal.type(keys)
            terminal.wait_for(words)
        terminal.drain(1.0)
        terminal.type(b"q")
        terminal.look(terminal.ended)
        found = sent(bytes(terminal.seen), "ascii" if encoding != "latin-1" else encoding)
        assert "\\x" not in found.words
        assert "\\u" not in found.words
        assert not strangers(found)


def test_bytes_that_are_no_utf_8_are_no_keys_and_no_end(tmp_path: Path) -> None:
    with shown(tmp_path, "demo", "first_walk") as terminal:
        terminal.wait_for("F1 Help")
        for noise in (b"\xff\xfe", b"\xe9", b"\xc3(", b"\x80\x81\x9b\x9d", bytes(range(128, 256))):
            terminal.type(noise)
            terminal.drain(0.3)
        terminal.type(b"4")
        terminal.drain(0.5)
        terminal.type(b"4")
        terminal.wait_for("Compass")
        assert terminal.process.poll() is None
        terminal.type(b"q")
        assert terminal.run().code == 0


def test_a_screen_that_is_too_small_says_so_and_the_board_is_there_when_it_grows(tmp_path: Path) -> None:
    with shown(tmp_path, "replay", DEMO, size=(20, 5)) as terminal:
        terminal.wait_for("Too small: 20x5")
        assert "30x8" in terminal.text()
        assert "fixboard now" in terminal.text()
        for size, words in (
            ((12, 3), "Too small"),
            ((30, 8), "Position"),
            ((25, 8), "Too small: 25x8"),
            ((80, 24), "Compass"),
        ):
            terminal.resize(*size)
            terminal.wait_for(words)
        terminal.drain(0.5)
        assert "Too small" not in terminal.text()
        terminal.type(b"q")
        assert terminal.run().code == 0
        assert LIMIT_S > 0

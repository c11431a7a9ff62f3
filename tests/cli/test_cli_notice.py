"""The cautions at the first board, as somebody sees them whose home holds nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from core.memory import recall
from tests.cli.running import DEMO, command, environment, posix
from tests.cli.terminal import Terminal
from tui.screens.notice import TITLE
from tui.session import EDITION

pytestmark = posix
Start = Callable[..., Terminal]


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    terminals: list[Terminal] = []

    def started(*arguments: str | Path) -> Terminal:
        terminals.append(Terminal(command(arguments), environment(tmp_path / "data")))
        return terminals[-1]

    yield started
    for terminal in terminals:
        terminal.close()


def shows(terminal: Terminal, words: str) -> None:
    terminal.look(lambda: words.encode() in terminal.seen)


def leave(terminal: Terminal) -> None:
    terminal.type(b"q")
    run = terminal.run()
    assert run.code == 0
    assert b"Traceback" not in run.out


def test_they_are_shown_before_the_first_board_and_after_a_key_never_again(start: Start, tmp_path: Path) -> None:
    first = start("replay", DEMO)
    shows(first, TITLE)
    first.type(b"\r")
    first.look(lambda: recall(tmp_path / "data" / "board.toml").notice == EDITION)
    leave(first)
    second = start("replay", DEMO)
    shows(second, "Wire")
    second.type(b"6")
    shows(second, "taken")
    leave(second)
    assert TITLE.encode() not in second.seen


def test_a_demo_does_not_show_them_and_does_not_count_as_the_first_board(start: Start, tmp_path: Path) -> None:
    demo = start("demo", "first_walk")
    shows(demo, "taken")
    leave(demo)
    assert TITLE.encode() not in demo.seen
    held = start("hold", "10.5 N 20.25 W")
    shows(held, TITLE)
    leave(held)
    assert recall(tmp_path / "data" / "board.toml").notice == ""


def test_a_key_that_was_pressed_before_there_was_a_board_is_not_lost_to_them(start: Start) -> None:
    terminal = start("replay", DEMO)
    terminal.look(lambda: b"opening first_walk" in terminal.seen, 0.001)
    terminal.type(b"q")
    run = terminal.run()
    assert (run.code, b"Traceback" in run.out) == (0, False)

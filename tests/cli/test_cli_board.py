"""The commands that open the board: what they say where there is no terminal, and a real run on a pseudo terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pyte
import pytest

from tests.cli.running import DEMO, check_civil, command, environment, fixboard, posix
from tests.cli.terminal import Terminal

if sys.platform != "win32":
    import termios

ENDS_THE_OTHER_SCREEN, SHOWS_THE_CURSOR = b"\x1b[?1049l", b"\x1b[?25h"


@pytest.mark.parametrize("arguments", [["replay", DEMO], ["demo"], []], ids=["replay", "demo", "alone"])
def test_without_a_terminal_the_board_says_what_to_use_instead(tmp_path: Path, arguments: list[str | Path]) -> None:
    run = fixboard(tmp_path, *arguments)
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert "needs a terminal" in run.complaint
    assert "fixboard now" in run.complaint


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["replay", "no-such-file"], 1, "there is no file no-such-file"),
        (["replay", "."], 1, "is a folder"),
        (["replay", str(DEMO), "--with", "no-such-file"], 1, "there is no file no-such-file"),
        (["replay", str(DEMO), "--with", "."], 1, "is a folder"),
        (["demo", "no-such-demo"], 2, "there are: ferry, first_walk"),
    ],
)
def test_what_cannot_be_opened_is_said_before_the_terminal_is_asked_for(
    tmp_path: Path, arguments: list[str], code: int, words: str
) -> None:
    run = fixboard(tmp_path, *arguments)
    check_civil(run)
    assert (run.code, run.out) == (code, b"")
    assert words in run.complaint


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    terminals: list[Terminal] = []

    def start(*arguments: str | Path, term: str = "xterm-256color") -> Terminal:
        terminals.append(Terminal(command(arguments), environment(tmp_path / "data", TERM=term)))
        return terminals[-1]

    yield start
    for terminal in terminals:
        terminal.close()


@posix
@pytest.mark.parametrize("term", ["dumb", ""])
def test_a_terminal_that_only_prints_lines_is_refused(opened: Callable[..., Terminal], term: str) -> None:
    run = opened("demo", term=term).run()
    check_civil(run)
    assert run.code == 1
    assert b"this terminal can only print lines" in run.out


@posix
def test_the_demo_runs_until_it_is_left_and_gives_the_terminal_back(
    opened: Callable[..., Terminal], tmp_path: Path
) -> None:
    terminal = opened("demo", "first_walk")
    terminal.look(lambda: b"REPLAY" in terminal.seen)
    assert not termios.tcgetattr(terminal.slave)[3] & termios.ECHO
    terminal.type(b"q")
    run = terminal.run()
    assert run.code == 0
    assert b"Traceback" not in run.out
    assert termios.tcgetattr(terminal.slave) == terminal.before
    assert run.out.rfind(ENDS_THE_OTHER_SCREEN) > run.out.rfind(b"REPLAY")
    assert run.out.rfind(SHOWS_THE_CURSOR) > run.out.rfind(b"REPLAY")
    assert not (tmp_path / "data" / "waypoints.gpx").exists()


@posix
def test_no_caption_of_the_first_frame_is_ever_moved_or_wiped(opened: Callable[..., Terminal]) -> None:
    terminal = opened("demo", "first_walk")
    terminal.look(lambda: b"REPLAY" in terminal.seen)
    terminal.type(b"q")
    before, _, _ = terminal.run().out.rpartition(ENDS_THE_OTHER_SCREEN)
    screen = pyte.Screen(120, 40)
    stream = pyte.ByteStream(screen)
    seen: list[tuple[int, ...]] = []
    for start in range(0, len(before), 1000):
        stream.feed(before[start : start + 1000])
        row = "".join(screen.buffer[2][x].data for x in range(120))
        seen.append(tuple(map(row.find, ("Position", "Sky", "Compass"))))
    there = (1, 40, 83)
    assert set(seen[seen.index(there) :]) == {there}


@posix
def test_a_key_that_is_pressed_at_the_first_frame_is_obeyed_by_the_board(opened: Callable[..., Terminal]) -> None:
    terminal = opened("demo", "first_walk")
    terminal.look(lambda: b"opening first_walk" in terminal.seen, 0.001)
    terminal.type(b"q")
    run = terminal.run()
    assert (run.code, b"Traceback" in run.out) == (0, False)


@posix
def test_a_damaged_waypoint_file_is_said_and_set_aside_and_the_board_opens(
    opened: Callable[..., Terminal], tmp_path: Path
) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "waypoints.gpx").write_bytes(b"<gpx")
    terminal = opened("demo", "first_walk")
    terminal.look(lambda: b"REPLAY" in terminal.seen and b"Damaged file" in terminal.seen)
    terminal.type(b"q")
    assert terminal.run().code == 0
    (aside,) = (tmp_path / "data").glob("waypoints.2*.gpx")
    assert aside.read_bytes() == b"<gpx"


@posix
def test_demo_without_a_name_lists_the_bundled_sessions_first(opened: Callable[..., Terminal]) -> None:
    terminal = opened("demo")
    terminal.look(lambda: b"under_trees" in terminal.seen)
    terminal.type(b"\r")
    terminal.look(lambda: b"REHEARSAL" in terminal.seen)
    terminal.type(b"q")
    run = terminal.run()
    assert run.code == 0

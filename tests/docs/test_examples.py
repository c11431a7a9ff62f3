"""Every example of the help, and every command line in README, works as it is pasted.

Lines that need a receiver are only parsed; those that open the board run on a pseudo terminal until they are left.
"""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
import subprocess
import sys
from importlib.resources import as_file
from pathlib import Path

import pytest

import replays
from core.memory import Memory, remember
from tests.cli.running import LIMIT_S, ROOT, command, environment, posix
from tests.cli.terminal import Terminal
from tui.arguments import parser
from tui.command_examples import EXAMPLES, Example
from tui.session import EDITION

README = (ROOT / "README.md").read_text("utf-8")
ALL = [(name, example) for name, examples in EXAMPLES.items() for example in examples]
STATIONS = "call,latitude,longitude,frequency,mode\nQ0ISL,47.31,8.6,145.750,FM\nQ0SEA,47.4,8.5,439.000,FM\n"
"""Invented."""
NEEDS_RECEIVER = re.compile(r"fixboard (live|now|clock|position-text$|say --for land$)")
PLACEHOLDER = re.compile(r"(?<![\w$])[A-Z]+(?![\w])|\.\.\.")
"""FILE, A, PLACE...: for the reader to fill in."""


def with_parts(one: argparse.ArgumentParser, name: str = "") -> dict[str, argparse.ArgumentParser]:
    """Every command, and every part of one, by what is typed."""
    found = {name: one} if name else {}
    for action in one._actions:
        if isinstance(action, argparse._SubParsersAction):
            for part, below in action.choices.items():
                found |= with_parts(below, f"{name} {part}".strip())
    return found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With a recording, a list of stations, and a home in which three sessions are kept."""
    recordings = tmp_path / "home" / "recordings"
    recordings.mkdir(parents=True)
    with as_file(replays.path("under_trees")) as path:
        shutil.copy(path, tmp_path / "walk.nmea.gz")
        for number in range(3):
            shutil.copy(path, recordings / f"session {number}.nmea.gz")
    (tmp_path / "stations.csv").write_text(STATIONS, encoding="utf-8")
    remember(tmp_path / "home" / "board.toml", Memory(notice=EDITION))
    return tmp_path


def pasted(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """In a shell, where `fixboard` is this one."""
    ours = f'fixboard() {{ "{sys.executable}" -m tui "$@"; }}; {line}'
    return subprocess.run(
        ["bash", "--norc", "-c", ours],
        cwd=folder,
        env=environment(folder / "home"),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=LIMIT_S,
        check=False,
    )


def words(line: str) -> list[str]:
    """What the program gets of it: not what is the shell's."""
    return shlex.split(line.partition(" > ")[0])[1:]


def run_board(line: str, folder: Path) -> int:
    terminal = Terminal(command(words(line)), environment(folder / "home"), folder)
    try:
        names = b"under_trees" in line.encode() or len(words(line)) > 1
        shown = (b"REPLAY", b"REHEARSAL", b"HELD") if names else (b"tall_houses",)
        terminal.look(lambda: any(word in terminal.seen for word in shown))
        terminal.type(b"q" if names else b"\x1b")
        run = terminal.run()
        assert b"Traceback" not in run.out
        return run.code
    finally:
        terminal.close()


def test_every_command_and_every_part_of_one_has_examples() -> None:
    assert list(EXAMPLES) == list(with_parts(parser()))
    assert all(1 <= len(examples) <= 2 for examples in EXAMPLES.values())


@pytest.mark.parametrize("name", EXAMPLES)
def test_help_ends_with_them_line_by_line(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = with_parts(parser())[name].format_help().rstrip().splitlines()
    wanted = ["for example:", *(f"  {example.line}" for example in EXAMPLES[name])]
    assert lines[-len(wanted) :] == wanted


@pytest.mark.parametrize(("name", "example"), ALL, ids=[example.line for _, example in ALL])
def test_each_is_of_its_command_and_is_understood(name: str, example: Example) -> None:
    assert example.line.startswith(f"fixboard {name}")
    assert callable(parser().parse_args(words(example.line)).run)


RUN = [example.line for _, example in ALL if not example.needs]


@posix
@pytest.mark.parametrize("line", RUN)
def test_each_that_needs_neither_receiver_nor_terminal_works(line: str, folder: Path) -> None:
    if " rehearse " in line:
        (folder / "walk.nmea.gz").unlink()  # this is what makes it
    done = pasted(line, folder)
    assert "Traceback" not in done.stderr
    # What is wrong with the ports of the computer that the tests run on is no fault of the example.
    assert done.returncode in ({0, 1} if " doctor" in line else {0}), done.stderr
    output = re.search(r"(?:-o|>) (\S+)", line)
    assert (folder / output[1]).stat().st_size > 0 if output else done.stdout


@posix
@pytest.mark.parametrize("line", [example.line for _, example in ALL if example.needs == "terminal"])
def test_each_that_opens_the_board_does(line: str, folder: Path) -> None:
    assert run_board(line, folder) == 0


def test_the_recording_that_the_top_help_makes_is_the_one_the_examples_use() -> None:
    (line,) = [line.strip() for line in parser(()).format_help().splitlines() if line.startswith("  fixboard ")]
    assert line == EXAMPLES["rehearse"][0].line


# README

SHOWN = sorted(
    set(re.findall(r"`(fixboard [^`]+)`", re.sub(r"\s+", " ", re.sub(r"^```.*?^```", "", README, flags=re.S | re.M))))
)
COMPLETE = [line for line in SHOWN if not PLACEHOLDER.search(line) and not NEEDS_RECEIVER.match(line)]
BOARDS = [line for line in COMPLETE if re.match(r"fixboard (demo|replay|hold)", line)]


@pytest.mark.parametrize("line", SHOWN)
def test_each_line_in_readme_is_understood(line: str) -> None:
    assert callable(parser().parse_args(words(line)).run)


@posix
@pytest.mark.parametrize("line", [line for line in COMPLETE if line not in BOARDS])
def test_each_line_in_readme_that_is_complete_works(line: str, folder: Path) -> None:
    done = pasted(line, folder)
    assert "Traceback" not in done.stderr
    assert done.returncode in ({0, 1} if " doctor" in line else {0}), done.stderr


@posix
@pytest.mark.parametrize("line", BOARDS)
def test_each_line_in_readme_that_opens_the_board_does(line: str, folder: Path) -> None:
    assert run_board(line, folder) == 0

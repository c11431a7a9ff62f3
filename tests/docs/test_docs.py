"""What is written about the program holds of the program."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.locations import locations
from tui.arguments import parser
from tui.commands import COMMANDS, key_names

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
SKIPPED = {
    ".git",
    ".venv",
    "build",
    "dist",
    "__pycache__",
    ".mypy_cache",
    ".pytest_cache",
    ".ruff_cache",
    ".hypothesis",
}
BINARY = {".gz", ".png", ".bin", ".pyc"}


def shell_commands() -> dict[str, argparse.ArgumentParser]:
    """By name, each with its own parser."""
    (commands,) = [a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(commands.choices)


def with_parts(one: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """A parser, and those of its commands, and of theirs."""
    yield one
    for action in one._actions:
        if isinstance(action, argparse._SubParsersAction):
            for part in action.choices.values():
                yield from with_parts(part)


def fenced() -> list[str]:
    """The lines of README's fenced blocks that are commands."""
    blocks = re.findall(r"^```sh\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


def text_files() -> Iterator[tuple[str, str]]:
    """Every text file of the tree that a clone would hold, by name."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if path.is_file() and not SKIPPED & set(parts) and path.suffix not in BINARY and "egg-info" not in parts[0]:
            yield "/".join(parts), path.read_bytes().decode("utf-8", "replace")


# README


@pytest.mark.parametrize("command", shell_commands())
def test_readme_shows_every_command(command: str) -> None:
    assert re.search(rf"fixboard {re.escape(command)}\b", README)


def test_every_command_that_readme_shows_exists() -> None:
    shown = set(re.findall(r"`fixboard ([a-z-]+)", README))
    assert shown
    assert shown <= set(shell_commands())


def test_every_option_that_readme_shows_exists() -> None:
    every = list(with_parts(parser()))
    known = {option for one in every for action in one._actions for option in action.option_strings}
    prose = re.sub(r"^```.*?^```", "", README, flags=re.DOTALL | re.MULTILINE)
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", prose)) <= known


def test_the_commands_in_fenced_blocks_can_be_typed() -> None:
    lines = fenced()
    assert any("-m pytest" in line for line in lines)
    ours = [part for line in lines for part in line.split("&&") if "fixboard" in part.split()[0]]
    assert ours
    for part in ours:
        options = parser().parse_args(shlex.split(part)[1:])
        assert callable(options.run)


def test_readme_says_where_every_file_lies() -> None:
    home = Path("home")
    places = locations({}, "linux", home)
    for name in (places.waypoints.name, places.board.name, places.recordings.name, f"{places.waypoints.name}.bak"):
        assert name in README
    assert "~/.local/share/fixboard" in README
    assert places.data == home / ".local" / "share" / "fixboard"
    mac = locations({}, "darwin", home).data.relative_to(home)
    assert f"~/{mac.as_posix()}" in README
    for word in ("FIXBOARD_DATA", "XDG_DATA_HOME", r"%APPDATA%\fixboard"):
        assert word in README


def test_readme_s_table_of_keys_names_the_first_key_of_every_command() -> None:
    table = "\n".join(line for line in README.splitlines() if line.startswith("|"))
    shown = set(re.findall(r"`([^`]+)`", table))
    for first, last in re.findall(r"`(\d)` to `(\d)`", table):
        shown |= {str(number) for number in range(int(first), int(last) + 1)}
    assert [command.id for command in COMMANDS if key_names(command).split()[0] not in shown] == []


def test_every_picture_and_file_that_is_linked_exists() -> None:
    linked = re.findall(r"\]\(([^)]+)\)", README + DEVELOPERS)
    named = re.findall(r"`((?:tests|replays|tui|core)/[\w./]+)`", README + DEVELOPERS)
    assert linked
    assert [name for name in (*linked, *named) if "://" not in name and not (ROOT / name).exists()] == []


# DEVELOPERS.md


def rooms() -> list[str]:
    return sorted(path.name for path in ROOT.iterdir() if path.is_dir() and list(path.rglob("*.py")))


@pytest.mark.parametrize("room", [name for name in rooms() if name not in SKIPPED and not name.startswith(".")])
def test_every_room_is_named(room: str) -> None:
    assert f"{room}/" in DEVELOPERS


def test_every_module_that_is_named_exists() -> None:
    there = {path.name for room in ("core", "tui", "replays", "tests") for path in (ROOT / room).rglob("*.py")}
    named = set(re.findall(r"(?<![\w*])(\w+\.py)\b", DEVELOPERS))
    assert len(named) > 10
    assert sorted(named - there) == []


def test_every_benchmark_that_is_named_exists() -> None:
    (sentence,) = re.findall(r"Benchmarks are scripts.*?(?=\n\n|\Z)", DEVELOPERS, re.DOTALL)
    named = [name.removeprefix("python -m tests.benchmarks.") for name in re.findall(r"`([\w. -]+)`", sentence)]
    assert "board" in named
    assert [name for name in named if not (ROOT / "tests" / "benchmarks" / f"{name}.py").is_file()] == []


# Everywhere


FORBIDDEN = {
    "a machine's path": re.compile("|".join(f"/{word}/" for word in ("work", "root"))),
    "a registry's host": re.compile(
        r"\b(?:" + "|".join(("py" + r"pi\.org", "python" + r"hosted\.org", "npm" + r"js\.")) + ")"
    ),
}


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_text_file_holds(what: str) -> None:
    found = [name for name, text in text_files() if FORBIDDEN[what].search(text)]
    assert found == []


def test_text_files_are_utf_8_with_unix_line_ends() -> None:
    odd = [
        name
        for name, text in text_files()
        if name.endswith((".py", ".md", ".toml", ".tcss", ".cfg")) and ("\r" in text or "\ufffd" in text)
    ]
    assert odd == []

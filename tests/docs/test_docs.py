"""What is written about the program holds of the program."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.locations import locations
from core.settings import read_settings
from core.settings.example import example_block
from tui import commands
from tui.arguments import parser
from tui.commands import CAUTIONS, COMMANDS, key_names
from tui.guides import GUIDES, Guide
from tui.own_keys import screens

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
    "snapshot_report.html",
}
LARGEST_PICTURE = 100_000
"""Bytes: a clone carries them for good."""
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


def test_readme_s_settings_are_those_of_the_table_each_key_and_no_other() -> None:
    (block,) = re.findall(r"^```toml\n(.*?)\n```", README, re.DOTALL | re.MULTILINE)
    assert block == example_block()


def test_readme_s_settings_are_read_without_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(example_block(), encoding="utf-8")
    found = read_settings(path, screens())
    assert found.keys == {"mark_here": "m,f12"}
    assert found.board.panes == ("position", "fix", "goto", "compass")


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


def test_readme_says_each_caution() -> None:
    section = README.partition("\n## Cautions\n")[2].partition("\n## ")[0]
    assert [line.removeprefix("- ") for line in section.splitlines() if line] == list(CAUTIONS)


def test_readme_says_first_what_it_is_for_then_how_to_run_it_then_what_it_does() -> None:
    wanted = [
        "## Run it",
        "## What it does, in ten lines",
        "## In detail",
        "## On the board",
        "## Files",
        "## Cautions",
    ]
    headings = [line for line in README.splitlines() if line.startswith("## ")]
    assert headings == [*wanted, "## Limits of this version"]
    assert README.index("four questions") < README.index("![") < README.index("## Run it")


def test_pictures_are_small() -> None:
    sizes = {path.name: path.stat().st_size for path in (ROOT / "tui" / "pictures").glob("*.png")}
    assert len(sizes) == README.count("](tui/pictures/")
    assert max(sizes.values()) < LARGEST_PICTURE


# Guides


def in_backticks(text: str) -> list[str]:
    """What stands between them, on one line each."""
    return re.findall(r"`([^`]+)`", re.sub(r"\s+", " ", text))


def every_command() -> list[commands.Command]:
    """Of the board and of all its lists."""
    tables = (table for name, table in vars(commands).items() if name.endswith("COMMANDS"))
    return [command for table in tables for command in table]


NO_KEYS = {"settings.toml", "[home]"}
"""What else the guides name."""


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_every_key_that_a_guide_names_exists(guide: Guide) -> None:
    keys = {key for command in every_command() for key in key_names(command).split()}
    named = {one for one in in_backticks("\n".join(guide.lines)) if not one.startswith("fixboard ")}
    assert sorted(named - keys - NO_KEYS) == []


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.name)
def test_every_command_line_of_a_guide_is_understood(guide: Guide) -> None:
    lines = [one for one in in_backticks("\n".join(guide.lines)) if one.startswith("fixboard ")]
    assert lines
    for line in lines:
        assert callable(parser().parse_args(shlex.split(line)[1:]).run)


def test_every_command_of_the_board_and_of_its_lists_is_named_in_readme_or_a_guide() -> None:
    """By the first of its keys."""
    shown = {word for one in in_backticks(README) for word in (one, *one.split())}
    shown |= set(re.findall(r"\b(F\d+|Enter|Esc|Up|Down|Left|Right)\b", README))
    shown |= {one for guide in GUIDES for one in in_backticks("\n".join(guide.lines))}
    for first, last in re.findall(r"`(\d)` to `(\d)`", README):
        shown |= {str(number) for number in range(int(first), int(last) + 1)}
    assert [command.id for command in every_command() if key_names(command).split()[0] not in shown] == []


@pytest.mark.parametrize("command", shell_commands())
def test_every_command_of_the_shell_is_in_a_guide_or_readme(command: str) -> None:
    guides = "\n".join("\n".join(guide.lines) for guide in GUIDES)
    assert re.search(rf"fixboard {re.escape(command)}\b", f"{README}\n{guides}")


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
    headings = {"#" + line.removeprefix("## ").lower().replace(" ", "-") for line in README.splitlines()}
    files = [name for name in (*linked, *named) if "://" not in name and name not in headings]
    assert [name for name in files if not (ROOT / name).exists()] == []


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

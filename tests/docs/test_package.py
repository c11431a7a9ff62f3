"""What is built from the tree: all that it needs at run time and no tests, and one place for its version."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from importlib.metadata import entry_points, version
from importlib.resources import files
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.version import Version

from tui.cli import main

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
BUILT = PROJECT["tool"]["hatch"]["build"]["targets"]
PACKAGES: list[str] = BUILT["wheel"]["packages"]
IGNORED = [line for line in (ROOT / ".gitignore").read_text("utf-8").splitlines() if line and not line.startswith("#")]
DATA = {".toml", ".tcss", ".gz", ".csv", ".md", ".png", ".txt"}
VERSION: str = PROJECT["project"]["version"]


def is_ignored(path: Path) -> bool:
    """By the patterns that .gitignore has: a folder's name with a slash, any other name without; hatch goes by them."""
    parts = path.relative_to(ROOT).parts
    folders = [pattern.rstrip("/") for pattern in IGNORED if pattern.endswith("/")]
    names = [pattern for pattern in IGNORED if not pattern.endswith("/")]
    return any(fnmatch(part, one) for part in parts[:-1] for one in folders) or any(
        fnmatch(parts[-1], one) for one in names
    )


def tree(room: str) -> Iterator[Path]:
    """Every file of a room but what Python leaves behind."""
    return (path for path in sorted((ROOT / room).rglob("*")) if path.is_file() and "__pycache__" not in path.parts)


# The wheel


def test_the_packages_are_the_rooms_that_run_and_no_tests() -> None:
    rooms = {path.parent.name for path in ROOT.glob("*/__init__.py")}
    assert set(PACKAGES) == rooms
    assert "tests" not in rooms
    assert set(BUILT["wheel"]) == {"packages"}, "a rule that leaves files out needs a test of its own here"


def test_every_file_of_a_package_is_taken_along() -> None:
    """A folder that is called build or dist would be left out without a word."""
    assert [str(path) for room in PACKAGES for path in tree(room) if is_ignored(path)] == []


def test_packages_hold_modules_and_known_data_alone() -> None:
    kinds = {path.suffix for room in PACKAGES for path in tree(room)}
    assert kinds - {".py"} == DATA


def test_data_is_where_the_program_looks_for_it() -> None:
    texts = [one.name for one in (files("core") / "explanation_texts").iterdir() if one.name.endswith(".toml")]
    styles = [one.name for one in files("tui").iterdir() if one.name.endswith(".tcss")]
    recordings = [one.name for one in files("replays").iterdir() if one.name.endswith(".nmea.gz")]
    assert all((texts, styles, recordings))
    for room in PACKAGES:
        for path in (one for one in tree(room) if one.suffix in DATA):
            assert files(room).joinpath(*path.relative_to(ROOT / room).parts).is_file()


def test_every_folder_with_modules_is_a_package() -> None:
    """Without an __init__.py it would be found here and, by some tools, not where it is installed."""
    folders = {path.parent for room in PACKAGES for path in tree(room) if path.suffix == ".py"}
    assert [str(folder) for folder in folders if not (folder / "__init__.py").exists()] == []


# The source


def test_the_source_has_all_that_its_own_checks_read() -> None:
    included = [name.removeprefix("/") for name in BUILT["sdist"]["include"]]
    assert [name for name in included if not (ROOT / name).exists()] == []
    assert {*PACKAGES, "tests", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE"} <= set(included)


def test_what_the_metadata_names_is_there() -> None:
    project = PROJECT["project"]
    assert [name for name in (project["readme"], *project["license-files"]) if not (ROOT / name).is_file()] == []


def test_the_command_is_one_that_can_be_called() -> None:
    (command,) = [one for one in entry_points(group="console_scripts") if one.name == "fixboard"]
    assert command.value == PROJECT["project"]["scripts"]["fixboard"]
    assert command.load() is main


def test_the_pythons_that_are_named_are_those_that_are_taken() -> None:
    taken = SpecifierSet(PROJECT["project"]["requires-python"])
    prefix = "Programming Language :: Python :: 3."
    named = [int(one.removeprefix(prefix)) for one in PROJECT["project"]["classifiers"] if one.startswith(prefix)]
    assert named == list(range(min(named), max(named) + 1))
    assert f"3.{min(named)}" in taken
    assert f"3.{min(named) - 1}" not in taken


# What it needs


def requirements() -> list[Requirement]:
    return [Requirement(line) for line in PROJECT["project"]["dependencies"]]


def test_what_is_tested_is_within_what_is_required() -> None:
    lines = (ROOT / "tests" / "constraints.txt").read_text("utf-8").splitlines()
    pins = dict(line.split(";")[0].strip().split("==") for line in lines if "==" in line and not line.startswith("#"))
    known = {name.lower(): Version(pin) for name, pin in pins.items()}
    extra = [Requirement(line) for line in PROJECT["project"]["optional-dependencies"]["test"]]
    for one in (*requirements(), *extra):
        assert known[one.name.lower()] in one.specifier, one


# The version


def test_the_version_stands_in_one_place(capsys: pytest.CaptureFixture[str]) -> None:
    """In pyproject.toml. An installed tree knows the one it was installed with: install again after a change."""
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out == f"fixboard {VERSION}\n"
    assert version("fixboard") == VERSION
    elsewhere = re.compile(rf"(?<![\w.]){re.escape(VERSION)}(?![\w.])")
    sources = [path for room in PACKAGES for path in tree(room) if path.suffix == ".py"]
    assert [str(path) for path in sources if elsewhere.search(path.read_text("utf-8"))] == []


def test_the_changes_begin_with_this_version() -> None:
    """A version that is being made (`.dev`) stands there without its date."""
    first = re.findall(r"^## (.+)$", (ROOT / "CHANGELOG.md").read_text("utf-8"), re.MULTILINE)[0]
    named, _, when = first.partition(", ")
    assert named == Version(VERSION).base_version
    assert re.fullmatch("unreleased" if Version(VERSION).is_devrelease else r"\d{4}-\d\d-\d\d", when)

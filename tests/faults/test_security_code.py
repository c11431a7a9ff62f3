"""What the code never does, found in its syntax: nothing that is received, read or typed is ever run.

Each exception stands in a table with the reason for it, and an exception that is not needed any more is a failure too.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("core", "tui", "replays")
MODULES = sorted(path for room in ROOMS for path in (ROOT / room).rglob("*.py"))


def words(text: str) -> frozenset[str]:
    """Names with blanks between."""
    return frozenset(text.split())


CALLS = frozenset({"eval", "exec", "compile", "__import__", "breakpoint"})
"""`compile` of a name alone, not `re.compile`: what is compiled is meant to be run."""
ATTRIBUTES = words(
    """os.system os.popen os.spawnl os.spawnv os.spawnlp os.spawnvp os.execv os.execl os.execvp os.startfile pty.spawn
    subprocess.getoutput subprocess.getstatusoutput tempfile.mktemp asyncio.create_subprocess_shell ctypes.CDLL
    ssl._create_unverified_context xml.etree.ElementTree.parse ElementTree.parse ElementTree.fromstring"""
)
MODULES_BANNED = words(
    """pickle marshal shelve dill cloudpickle yaml telnetlib ftplib xmlrpc code codeop ctypes cgi imp http.server
    urllib.request http.client requests multiprocessing"""
)
"""Formats that run what they hold, remains, and whatever would fetch or serve pages: the board does neither."""
STARTS = frozenset({"subprocess"})
"""Other programs may be started only where it says which, and why."""


class Allowed(NamedTuple):
    """Allowed, and why."""

    module: str
    what: str
    why: str


ALLOWED = (
    Allowed(
        "core/checkpoint.py",
        "import pickle",
        "copies a model within this process: what is unpickled are bytes that `pack` made, kept in a list in memory; "
        "no file, socket or argument can bring any (`test_what_is_unpickled_was_pickled_in_this_process`). A copy by "
        "`copy.deepcopy` takes three and a half times as long, and could not be kept packed (DEVELOPERS.md)",
    ),
    Allowed("core/packed_log.py", "import pickle", "the same, for logs that are kept packed in memory"),
    Allowed("core/power.py", "import subprocess", "asks the system's own tool for the battery: fixed words"),
    Allowed("core/power.py", "import ctypes", "asks the system's own library for the battery: no other way there"),
    Allowed("core/comparing.py", "assert", "tells the type checker what the line before has made sure of"),
    Allowed("core/sources/clocks.py", "import subprocess", "asks the system's own tool for the clock: a fixed command"),
)
FIXED_PROGRAMS = {"core/power.py", "core/sources/clocks.py"}


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def dotted(node: ast.expr) -> str:
    """`a.b.c` as it is written; empty for what is no such name."""
    if isinstance(node, ast.Attribute):
        before = dotted(node.value)
        return f"{before}.{node.attr}" if before else ""
    return node.id if isinstance(node, ast.Name) else ""


def imported(node: ast.AST) -> Iterator[str]:
    """Modules that this brings in."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom) and not node.level:
        yield node.module or ""
        yield from (f"{node.module}.{alias.name}" for alias in node.names)


def found_in(source: str) -> set[str]:
    """All that must not be, as it would be called in the table."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        names = [*imported(node)]
        banned = {one for name in names for one in MODULES_BANNED | STARTS if name == one or name.startswith(f"{one}.")}
        found |= {f"import {one}" for one in banned} | {name for name in names if name in ATTRIBUTES}
        if isinstance(node, ast.Attribute) and dotted(node) in ATTRIBUTES:
            found.add(dotted(node))
        elif isinstance(node, ast.Call):
            found |= called(node)
        elif isinstance(node, ast.Assert):
            found.add("assert")
    return found


def called(node: ast.Call) -> set[str]:
    """Of one call."""
    found = {node.func.id} & CALLS if isinstance(node.func, ast.Name) else set()
    for keyword in node.keywords:
        is_plain_false = isinstance(keyword.value, ast.Constant) and keyword.value.value is False
        if keyword.arg == "shell" and not is_plain_false:
            found.add("shell=")
    return found


@pytest.mark.parametrize(
    ("source", "what"),
    [
        ("eval('1')", {"eval"}),
        ("exec(x)", {"exec"}),
        ("compile(x, 'f', 'exec')", {"compile"}),
        ("import re; re.compile('a')", set()),
        ("import os\nos.system('ls')", {"os.system"}),
        ("from os import system", {"os.system"}),
        ("import pickle", {"import pickle"}),
        ("from pickle import loads", {"import pickle"}),
        ("def f():\n import marshal as m", {"import marshal"}),
        ("import yaml", {"import yaml"}),
        ("import subprocess\nsubprocess.run('ls', shell=True)", {"import subprocess", "shell="}),
        ("run('ls', shell=yes)", {"shell="}),
        ("run(['ls'], shell=False)", set()),
        ("import tempfile\ntempfile.mktemp()", {"tempfile.mktemp"}),
        ("import tempfile\ntempfile.mkstemp()", set()),
        ("assert x", {"assert"}),
        ("import urllib.request", {"import urllib.request"}),
        ("import urllib.parse", set()),
    ],
)
def test_the_search_finds_it(source: str, what: set[str]) -> None:
    assert found_in(source) == what


def test_nothing_is_run_unpickled_or_asserted_but_what_is_argued() -> None:
    """Asserts go with `python -O`: what protects anybody is an `if`."""
    found = {(name_of(path), what) for path in MODULES for what in found_in(path.read_text("utf-8"))}
    assert found == {(one.module, one.what) for one in ALLOWED}


def test_every_exception_is_argued_and_of_a_module_there_is() -> None:
    assert {one.module for one in ALLOWED} <= {name_of(path) for path in MODULES}
    assert all(len(one.why) > 20 for one in ALLOWED)


@pytest.mark.parametrize("module", sorted(FIXED_PROGRAMS))
def test_programs_are_started_by_a_list_of_fixed_words(module: str) -> None:
    """No word of it comes from a file, a receiver or a user: each command is written out in the module."""
    tree = ast.parse((ROOT / module).read_text("utf-8"))
    runs = [node for node in ast.walk(tree) if isinstance(node, ast.Call) and dotted(node.func) == "subprocess.run"]
    assert runs
    lists = [node for node in ast.walk(tree) if isinstance(node, ast.List | ast.Tuple) and node.elts]
    words = [[one.value for one in found.elts if isinstance(one, ast.Constant)] for found in lists]
    assert any(all(isinstance(word, str) for word in found) and found for found in words)
    for run in runs:
        assert run.args
        assert {"timeout", "capture_output"} <= {keyword.arg for keyword in run.keywords}, "it may hang, or draw"


TOUCHING = re.compile(r"\bopen\(|read_bytes|read_text|write_bytes|socket|\bPath\b|os\.read|sys\.std|argv|environ")
"""How anything would come from outside."""


def test_what_is_unpickled_was_pickled_in_this_process() -> None:
    """No module that unpickles touches a file, a socket or the command line: each unpickles what it has packed."""
    for module in (one.module for one in ALLOWED if one.what == "import pickle"):
        code = "\n".join(line.partition("#")[0] for line in (ROOT / module).read_text("utf-8").splitlines())
        assert not TOUCHING.search(code), module
        assert code.count("dump") >= 1, f"{module} unpickles what another module has packed"


# What is declared


def declared(table: str = "dependencies") -> dict[str, str]:
    """By name: the range of versions."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    found = [re.fullmatch(r"([A-Za-z0-9._-]+)(.*)", one) for one in project[table]]
    return {one[1]: one[2] for one in found if one}


IMPORTED_AS = {"pyserial": "serial"}
"""Where a distribution and its module have different names."""
BROUGHT_ALONG = {"rich": "textual's own drawing library, pinned by it; its types are those of textual's methods"}
"""Imported, and not declared, since a range of ours could only contradict the one of the library that brings it."""

ONLY_DATA = {"tzdata": "zones for Python's own zoneinfo, where the system has none; data, which no version breaks"}
"""Declared, and imported by no module of ours."""


def outside_imports() -> set[str]:
    """Top-level packages that are neither ours nor Python's."""
    found = {
        name.partition(".")[0]
        for path in MODULES
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        for name in [*imported(node)][:1]
    }
    return found - set(sys.stdlib_module_names) - set(ROOMS) - {""}


def test_every_import_is_declared_and_everything_declared_is_imported() -> None:
    modules = {IMPORTED_AS.get(name, name) for name in declared() if name not in ONLY_DATA}
    assert outside_imports() - set(BROUGHT_ALONG) == modules
    assert set(BROUGHT_ALONG) <= outside_imports()


def test_every_dependency_has_a_lowest_version_and_ends_before_one_that_may_break_it() -> None:
    for name, versions in declared().items():
        if name not in ONLY_DATA:
            assert re.fullmatch(r">=[\d.]+,<[\d.]+", versions), f"{name}{versions}"

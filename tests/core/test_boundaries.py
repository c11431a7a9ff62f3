"""The house's walls: core knows nothing of the screen, and reads no clock."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MODULES = sorted((ROOT / "core").rglob("*.py"))
SCREEN = {"textual", "rich", "tui"}
BANNED_CLOCKS = {
    ("time", "time"), ("time", "time_ns"), ("time", "monotonic"), ("time", "monotonic_ns"), ("time", "perf_counter"),
    ("time", "localtime"), ("time", "gmtime"), ("datetime", "now"), ("datetime", "utcnow"), ("datetime", "today"),
    ("date", "today"),
}  # fmt: skip


def dotted(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def test_importing_all_of_core_brings_no_screen_along() -> None:
    """In a process of its own: this one has long imported the screen."""
    script = f"""
import importlib, sys
for name in {[dotted(path) for path in MODULES]!r}:
    importlib.import_module(name)
print(*sorted({{name.partition(".")[0] for name in sys.modules}} & {SCREEN!r}))
"""
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout.split(), done.stderr) == (0, [], "")


def imports_of(tree: ast.AST) -> set[str]:
    """Every top-level package that the module imports, inside functions too."""
    found = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    found |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    return {name.partition(".")[0] for name in found}


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_no_module_of_core_imports_the_screen_even_late(path: Path) -> None:
    assert not imports_of(ast.parse(path.read_text("utf-8"))) & SCREEN


def clocks_read(source: str) -> list[str]:
    """Clocks that this source reads, called or handed on: `time.monotonic`, `datetime.now`, `from time import time`."""
    tree = ast.parse(source)
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name | ast.Attribute):
            owner = node.value.id if isinstance(node.value, ast.Name) else node.value.attr
            found += [f"{owner}.{node.attr}"] if (owner, node.attr) in BANNED_CLOCKS else []
        elif isinstance(node, ast.ImportFrom) and node.module == "time":
            found += [f"time.{alias.name}" for alias in node.names if ("time", alias.name) in BANNED_CLOCKS]
    return found


@pytest.mark.parametrize(
    ("source", "clocks"),
    [
        ("import time\nx = time.monotonic()", ["time.monotonic"]),
        ("from time import time as now", ["time.time"]),
        ("from datetime import datetime\ndef f(): return datetime.now()", ["datetime.now"]),
        ("import datetime\nx = datetime.datetime.utcnow", ["datetime.utcnow"]),
        ("import datetime\nx = datetime.date.today()", ["date.today"]),
        ("from time import sleep\nfrom datetime import datetime\nx = datetime(2031, 5, 4)", []),
    ],
)
def test_the_search_for_clocks_finds_them(source: str, clocks: list[str]) -> None:
    assert clocks_read(source) == clocks


@pytest.mark.parametrize("path", [path for path in MODULES if "sources" not in path.parts], ids=dotted)
def test_no_clock_is_read_in_core(path: Path) -> None:
    """Clocks are passed in, so that a recording is read as it was and tests need not wait."""
    assert clocks_read(path.read_text("utf-8")) == []


def test_there_are_modules_to_check() -> None:
    assert {"core.fix", "core.model", "core.nmea.framing", "core.nmea.decode"} <= {dotted(path) for path in MODULES}

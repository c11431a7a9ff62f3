"""Finds every function of the program that touches a disk: opens for writing, moves, removes, makes a folder."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
_WHOLE = {"replace_file", "create_file", "append_lines", "part_beside", "give_name"}
_MOVED = {"move_away", "move_aside", "set_aside"}
OWN = _WHOLE | _MOVED
"""Our own ways of writing: who calls them writes."""
METHODS = {"write_text", "write_bytes", "hardlink_to", "symlink_to", "touch", "rename", "mkdir", "rmdir", "unlink"}
OF_OS = {"rename", "replace", "link", "symlink", "unlink", "remove", "truncate", "ftruncate", "mkdir", "makedirs"}
_WRITES = set("wax+")


@cache
def sites() -> dict[str, set[str]]:
    """What is called, by `file:function`."""
    found: dict[str, set[str]] = {}
    for folder in ("core", "tui", "replays"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for function, call in _calls(ast.parse(path.read_text("utf-8"))):
                what = _writes(call)
                if what:
                    found.setdefault(f"{path.relative_to(ROOT).as_posix()}:{function}", set()).add(what)
    return found


def _calls(tree: ast.AST, function: str = "") -> Iterator[tuple[str, ast.Call]]:
    for node in ast.iter_child_nodes(tree):
        inner = function
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            inner = node.name
        if isinstance(node, ast.Call):
            yield inner, node
        yield from _calls(node, inner)


def _writes(call: ast.Call) -> str:
    """What makes it a write; empty for none."""
    name = _name(call.func)
    *_, last = name.split(".")
    if last in OWN or name.startswith(("shutil.copy", "shutil.move", "shutil.rmtree", "tempfile.")):
        return name
    if name.startswith("os.") and last in OF_OS:
        return name
    if name == "os.open":
        return name if "O_CREAT" in ast.dump(call) or "O_WRONLY" in ast.dump(call) or "O_RDWR" in ast.dump(call) else ""
    if last in {"open", "fdopen", "GzipFile"}:
        return name if _WRITES & set(_mode(call)) else ""
    if last == "replace":  # of a path: text takes two, a dataclass is a name without a dot
        return name if "." in name and len(call.args) == 1 and not call.keywords else ""
    return name if (last in METHODS and "." in name) or name == "save" else ""


def _name(node: ast.expr) -> str:
    if isinstance(node, ast.Attribute):
        return f"{_name(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else "?"


def _mode(call: ast.Call) -> str:
    texts = (*call.args, *(keyword.value for keyword in call.keywords if keyword.arg == "mode"))
    found = [one.value for one in texts if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    return next((text for text in found if text and set(text) <= set("rwaxbt+")), "")

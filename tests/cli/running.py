"""Runs fixboard as a user's shell does: another process, an environment of its own, files of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple, Protocol

import pytest

from tui.cli import main

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "replays" / "first_walk.nmea.gz"
LIMIT_S = 120.0
"""A run that takes longer hangs; none of these takes a hundredth of it."""
CONTROLS = frozenset(range(32)) - frozenset(b"\n\r\t") | {127}

posix = pytest.mark.skipif(os.name != "posix", reason="devices, pipes and names as on POSIX")


class Run(NamedTuple):
    """What one command did."""

    code: int
    out: bytes
    err: bytes

    @property
    def complaint(self) -> str:
        """The words on standard error."""
        return self.err.decode("utf-8", "strict")


def environment(data: Path, **more: str) -> dict[str, str]:
    """Nothing of the surroundings but what a process needs."""
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    ours = {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", "FIXBOARD_DATA": str(data), "HOME": str(data)}
    return kept | ours | {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color"} | more


def command(arguments: Sequence[str | bytes | Path]) -> list[str]:
    """The command line."""
    return [sys.executable, "-m", "tui", *(os.fsdecode(argument) for argument in arguments)]


def fixboard(
    data: Path,
    *arguments: str | bytes | Path,
    env: dict[str, str] | None = None,
    stdout: int | BinaryIO = subprocess.PIPE,
) -> Run:
    """Run to the end, with nothing on standard input."""
    done = subprocess.run(
        command(arguments),
        stdin=subprocess.DEVNULL,
        stdout=stdout,
        stderr=subprocess.PIPE,
        env=environment(data, **(env or {})),
        timeout=LIMIT_S,
        check=False,
    )
    return Run(done.returncode, done.stdout or b"", done.stderr)


class Ask(Protocol):
    """Runs a command within the test's own process: quicker, and the same but for how a process begins and ends."""

    def __call__(self, *arguments: str | bytes | Path) -> Run:
        """The command line without the program's name."""


def asker(capture: pytest.CaptureFixture[bytes]) -> Ask:
    """For a fixture; `capture` is `capfdbinary`."""

    def ask(*arguments: str | bytes | Path) -> Run:
        try:
            code = main([os.fsdecode(argument) for argument in arguments])
        except SystemExit as ended:
            code = int(ended.code or 0)
        captured = capture.readouterr()
        return Run(code, captured.out, captured.err)

    return ask


def printed(ask: Ask, *arguments: str) -> str:
    """What a command says that does what it was asked for."""
    run = ask(*arguments)
    check_civil(run)
    assert run.code == 0, run.complaint
    return run.out.decode()


def object_of(ask: Ask, *arguments: str) -> dict[str, Any]:
    """The same as an object."""
    found: dict[str, Any] = json.loads(printed(ask, *arguments, "--json"))
    return found


def check_civil(run: Run) -> None:
    """No traceback, no last resort, nothing that a terminal would obey."""
    for text in (run.out, run.err):
        assert b"Traceback" not in text
        assert b"Exception ignored" not in text
        assert b"unexpected " not in text
        assert not CONTROLS & set(text)

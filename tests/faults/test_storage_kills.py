"""kill -9 while the program writes, for every kind of write: what was acknowledged is there, and the next one goes on.

Fifteen kills of each kind here; a thousand of each with `-m slow`, or `python -m tests.faults.storage_kills`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.storage_kinds import KINDS, Kind

ROOT = Path(__file__).parents[2]
posix = pytest.mark.skipif(os.name != "posix", reason="fork and SIGKILL as on POSIX")


def killed(kind: Kind, folder: Path, count: int) -> str:
    """In a small process of its own, which may fork; what it said."""
    command = [sys.executable, "-m", "tests.faults.storage_kills", kind.name, "--count", str(count)]
    done = subprocess.run([*command, "--folder", str(folder)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.startswith(f"{kind.name}: {count} kills, ")
    return done.stdout


@posix
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_killed_while_it_writes(kind: Kind, tmp_path: Path) -> None:
    killed(kind, tmp_path, 15)
    assert list(tmp_path.iterdir()) == []


@posix
@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_killed_a_thousand_times(kind: Kind, tmp_path: Path) -> None:
    said = killed(kind, tmp_path, 1000)
    print(said)
    if kind.name != "debug log":
        assert int(said.split(" kills, ")[1].split(" ")[0]) > 200, "most were killed while they wrote"

"""kill -9 at any moment: the file of waypoints can be read and holds all that was acknowledged, round after round."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from core.formats.gpx_document import read_document
from core.waypoints import Waypoints
from tests.live.waypoint_process import expected, step

ROOT = Path(__file__).parents[2]
AT_ONCE = 5
"""Files, each with its own row of processes: killed ones leave their file to the next."""
LONGEST_S = 0.25
"""That a process lives after its first change: some tens of changes, by experiment."""


@dataclass
class Lane:
    """One file and who has it now."""

    path: Path
    steps: int = 0
    """Acknowledged, or found in the file after a kill."""
    unheard: int = 0
    """Rounds in which a change was saved and the process killed before it could say so."""
    process: subprocess.Popen[str] | None = None
    dies_s: float = 0.0

    def start(self) -> None:
        """A process that goes on where the last was killed."""
        command = [sys.executable, "-m", "tests.live.waypoint_process", str(self.path), str(self.steps)]
        self.process = subprocess.Popen(command, cwd=ROOT, text=True, stdout=subprocess.PIPE)

    def await_ready(self, lives_s: float) -> None:
        """From then on its time runs: on a busy machine it takes long to start."""
        assert self.process
        assert self.process.stdout
        assert self.process.stdout.readline() == "ready\n"
        self.dies_s = time.monotonic() + lives_s

    def kill(self) -> int:
        """At its moment; checks what is left. How many changes were acknowledged in this round."""
        assert self.process
        time.sleep(max(0.0, self.dies_s - time.monotonic()))
        self.process.send_signal(signal.SIGKILL)
        out, _ = self.process.communicate()
        assert self.process.returncode == -signal.SIGKILL
        said = [int(line) for line in out.splitlines(keepends=True) if line.endswith("\n")]
        assert said == list(range(self.steps, self.steps + len(said)))
        self.steps += len(said)
        self._check()
        return len(said)

    def _check(self) -> None:
        """All that was acknowledged, and at most the one change that was under way."""
        found = [one.name for one in Waypoints(self.path).all()]
        if found != expected(self.steps):
            self.steps += 1
            self.unheard += 1
        assert found == expected(self.steps)
        backup = self.path.with_name(self.path.name + ".bak")
        if backup.exists():
            read_document(backup.read_bytes(), "the backup")
        left = [one.name for one in self.path.parent.iterdir() if one.name.endswith(".part")]
        assert len(left) <= 1, "the next one sweeps up after the last"


def kill_in_a_loop(folder: Path, rounds: int, seed: int) -> tuple[list[int], list[Lane]]:
    """Changes acknowledged in each round, and the lanes."""
    dice = random.Random(seed)
    lanes = [Lane(folder / str(number) / "waypoints.gpx") for number in range(AT_ONCE)]
    counts = []
    for _ in range(rounds // AT_ONCE):
        for lane in lanes:
            lane.start()
        for lane in lanes:
            lane.await_ready(dice.random() * LONGEST_S)
        counts += [lane.kill() for lane in sorted(lanes, key=lambda one: one.dies_s)]
    return counts, lanes


def test_killed_in_a_loop(tmp_path: Path) -> None:
    counts, _ = kill_in_a_loop(tmp_path, 25, seed=1)
    assert len(counts) == 25
    assert sum(count > 0 for count in counts) > 10, "most were killed while they saved"


@pytest.mark.slow
def test_killed_a_thousand_times(tmp_path: Path) -> None:
    counts, lanes = kill_in_a_loop(tmp_path, 1000, seed=2)
    assert len(counts) == 1000
    assert sum(count > 0 for count in counts) > 500
    assert sum(lane.unheard for lane in lanes) > 0, "some were killed between saving and saying so"
    print(f"{sum(counts)} changes acknowledged, {sum(lane.unheard for lane in lanes)} saved and not acknowledged")


def test_the_row_of_changes_has_all_three_kinds() -> None:
    names: list[str] = []
    kinds = set()
    for number in range(200):
        kinds.add(step(number, len(names))[0])
        names = expected(number + 1)
    assert kinds == {"add", "change", "remove"}
    assert len(names) > 10

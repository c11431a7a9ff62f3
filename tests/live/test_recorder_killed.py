"""kill -9 at any moment: the files hold what was received up to the last second at most, and can be replayed."""

from __future__ import annotations

import gzip
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from core.logbook_files import SYNC_S
from core.model import FixModel
from core.sources.recording import open_recording
from tests.live.disks import files_in, read
from tests.live.test_tagging import untagged
from tests.wire import burst

ROOT = Path(__file__).parents[2]
AT_ONCE = 10
"""Processes running side by side: they mostly sleep."""


@dataclass
class Victim:
    """A recorder at work."""

    folder: Path
    process: subprocess.Popen[str]
    lives_s: float
    dies_s: float = 0.0
    killed_s: float = 0.0
    first: str = ""

    def await_first_burst(self) -> None:
        """From then on its time runs: on a busy machine it takes long to start."""
        assert self.process.stdout
        self.first = self.process.stdout.readline()
        self.dies_s = time.monotonic() + self.lives_s

    def kill(self) -> None:
        """At its moment."""
        time.sleep(max(0.0, self.dies_s - time.monotonic()))
        self.killed_s = time.monotonic()
        self.process.send_signal(signal.SIGKILL)

    def handed_over(self) -> dict[int, float]:
        """Number of each burst and when it was handed over; the clock is the same in all processes."""
        out, _ = self.process.communicate()
        lines = [line.split() for line in (self.first + out).splitlines(keepends=True) if line.endswith("\n")]
        return {int(line[0]): float(line[1]) for line in lines}


def start(folder: Path, dice: random.Random) -> Victim:
    """A recorder with one of several ways of recording."""
    folder.mkdir()
    largest = dice.choice([1_000, 5_000, 10**8])
    compress = dice.choice(["plain", "compress"])
    pause_s = dice.choice([0.005, 0.03, 0.2])
    command = [sys.executable, "-m", "tests.live.recording_process", str(folder), str(largest), compress, str(pause_s)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    return Victim(folder, process, dice.random() * 1.3)


def check(victim: Victim) -> int:
    """How many epochs came through."""
    offered = victim.handed_over()
    assert victim.process.returncode == -signal.SIGKILL
    files = whole_files(victim.folder)
    kept = untagged(b"".join(read(file) for file in files))
    sent = b"".join(burst(number) for number in range(len(offered) + 2))
    assert sent.startswith(kept), "a prefix of what was sent, without a gap"
    due = [number for number, at_s in offered.items() if at_s < victim.killed_s - SYNC_S]
    assert len(kept) >= len(sent_until(max(due, default=-1))), "what is older than a second is there"
    return epochs_in(files)


def sent_until(last: int) -> bytes:
    """All bursts up to this one."""
    return b"".join(burst(number) for number in range(last + 1))


def whole_files(folder: Path) -> list[Path]:
    """Of a file and its compressed copy, one: both are whole if both are there. Half a copy counts for nothing."""
    plain = [path for path in files_in(folder) if path.suffix == ".nmea"]
    packed = [path for path in files_in(folder) if path.suffix == ".gz"]
    for path in packed:
        gzip.decompress(path.read_bytes())
    alone = [path for path in plain if path.with_name(path.name + ".gz") not in packed]
    return sorted([*alone, *packed], key=lambda path: (path.name[:17], len(path.name.removesuffix(".gz")), path.name))


def epochs_in(files: list[Path]) -> int:
    """As a replay counts them."""
    model = FixModel()
    found = 0
    for file in files:
        recording = open_recording(file)
        found += sum(len(model.feed(piece.data, piece.at_s)) for piece in recording.pieces())
        recording.close()
    return found + len(model.finish())


def kill_in_a_loop(folder: Path, rounds: int, seed: int) -> list[int]:
    """Epochs that came through, by round."""
    dice = random.Random(seed)
    kept = []
    for first in range(0, rounds, AT_ONCE):
        victims = [start(folder / str(first + n), dice) for n in range(min(AT_ONCE, rounds - first))]
        for victim in victims:
            victim.await_first_burst()
        for victim in sorted(victims, key=lambda one: one.dies_s):
            victim.kill()
        kept += [check(victim) for victim in victims]
    return kept


def test_killed_in_a_loop(tmp_path: Path) -> None:
    kept = kill_in_a_loop(tmp_path, 40, seed=1)
    assert sum(count > 0 for count in kept) > 20, "most were killed while they recorded"


@pytest.mark.slow
def test_killed_a_thousand_times(tmp_path: Path) -> None:
    kept = kill_in_a_loop(tmp_path, 1000, seed=2)
    assert sum(count > 0 for count in kept) > 500


def test_killed_while_compressing(tmp_path: Path) -> None:
    """One of the two is there, and complete."""
    whole = b"".join(burst(number) for number in range(12_000))
    code = "import sys; from pathlib import Path; from core.logbook_files import RealFiles; print(flush=True);"
    code += "RealFiles().compress(Path(sys.argv[1]))"
    dice = random.Random(4)
    left = set()
    for number in range(10):
        file = tmp_path / f"{number}.nmea"
        file.write_bytes(whole)
        with subprocess.Popen([sys.executable, "-c", code, str(file)], cwd=ROOT, stdout=subprocess.PIPE) as process:
            assert process.stdout
            process.stdout.readline()
            time.sleep(dice.random() * 0.4)
            process.kill()
        packed = file.with_name(file.name + ".gz")
        assert file.exists() or packed.exists()
        if file.exists():
            assert file.read_bytes() == whole
        if packed.exists():
            assert gzip.decompress(packed.read_bytes()) == whole
        parts = [path for path in tmp_path.iterdir() if path.suffix == ".part"]
        assert len(parts) <= 1, "the next one sweeps up after the last"
        left |= {path.suffix for path in parts}
    assert ".part" in left, "some were killed half way"

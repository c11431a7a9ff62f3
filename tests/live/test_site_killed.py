"""kill -9 at any moment: an averaging keeps all that was said to be on the disk, and goes on behind an honest gap."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

from core.site import SiteAverager, SiteState
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper
from tests.live.site_process import START, place

ROOT = Path(__file__).parents[2]
ROUNDS = 6
APART_S = 2_000
"""Between the fixes of two rounds, in seconds of the receiver's afternoon: they are scripted, nobody waits."""
LONGEST_S = 0.3


def killed(folder: Path, first: int, lives_s: float) -> int:
    """A process that averages from a second of the afternoon on, killed: how many fixes it said to have saved."""
    command = [sys.executable, "-m", "tests.live.site_process", str(folder), str(first)]
    process = subprocess.Popen(command, cwd=ROOT, text=True, stdout=subprocess.PIPE)
    assert process.stdout
    assert process.stdout.readline() == "ready\n"
    assert process.stdout.readline().strip().isdigit(), "something is on the disk before it is killed"
    time.sleep(lives_s)
    process.send_signal(signal.SIGKILL)
    out, _ = process.communicate()
    assert process.returncode == -signal.SIGKILL
    said = [int(line) for line in out.splitlines(keepends=True) if line.endswith("\n")]
    return max(said, default=1)


def test_killed_again_and_again(tmp_path: Path) -> None:
    dice = random.Random(3)
    total, gaps = 0, 0
    for number in range(ROUNDS):
        before = SiteFile(tmp_path).counted()
        first = number * APART_S
        said = killed(tmp_path, first, dice.random() * LONGEST_S)
        found = SiteFile(tmp_path).counted()
        fresh = found[len(before) :]
        assert found[: len(before)] == before, "what was there stays as it was"
        assert len(fresh) >= said, "all that was acknowledged is there"
        expected = [place(first + n) for n in range(len(fresh))]
        assert [(round(a, 9), round(b, 9)) for a, b in expected] == [one.position for one in fresh], "in its order"
        total, gaps = total + said, gaps + bool(before)
    assert total > 100
    site, keeper = SiteAverager(), SiteKeeper(SiteFile(tmp_path))
    keeper.begin(site, START + timedelta(seconds=ROUNDS * APART_S))
    keeper.end()
    report = site.report()
    assert report.state is not SiteState.NONE
    assert report.samples.count == len(SiteFile(tmp_path).counted())
    assert report.gaps == gaps == ROUNDS - 1
    jumps = [b.t_s - a.t_s for a, b in pairwise(report.samples.points) if b.t_s - a.t_s > 10]
    assert all(0 < jump < APART_S for jump in jumps)
    assert report.covered_s + report.gap_s == report.samples.points[report.samples.count - 1].t_s

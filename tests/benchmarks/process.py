"""What the kernel knows of a process. Linux only."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NamedTuple

TICKS_PER_S = os.sysconf("SC_CLK_TCK")


class Used(NamedTuple):
    """So far, by all threads that a process has now."""

    cpu_s: float
    woken: int
    """Times that it slept and was woken up again."""

    def since(self, before: Used) -> Used:
        """The difference."""
        return Used(self.cpu_s - before.cpu_s, self.woken - before.woken)


def used(pid: int) -> Used:
    """Processor time and wake-ups. By the scheduler's account to the nanosecond, where there is one, else by ticks."""
    threads = list(Path(f"/proc/{pid}/task").iterdir())
    woken = sum(_switches(thread) for thread in threads)
    try:
        return Used(sum(int((thread / "schedstat").read_text().split()[0]) for thread in threads) / 1e9, woken)
    except OSError:  # a kernel without CONFIG_SCHED_INFO
        return Used(cpu_s(pid), woken)


def cpu_s(pid: int) -> float:
    """User and system time (proc(5), fields 14 and 15 of stat), to a hundredth, threads that have ended included."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_PER_S


def resident_kb(pid: int) -> int:
    """Memory in kB."""
    fields = Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()
    return int(fields[1]) * os.sysconf("SC_PAGE_SIZE") // 1024


def _switches(thread: Path) -> int:
    """voluntary_ctxt_switches of proc(5)'s status: each time that it had nothing more to do."""
    for line in (thread / "status").read_text(encoding="ascii", errors="replace").splitlines():
        if line.startswith("voluntary_ctxt_switches"):
            return int(line.split()[1])
    return 0

"""Reads this computer's two clocks, and asks the system whether network time keeps the one that is shown."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Callable, Sequence

from core.clock import Clocks

CAN_SET = hasattr(time, "clock_settime")
"""Windows has no such call: there the printed command does it."""
ASK = ("timedatectl", "show", "--property=NTPSynchronized", "--value")
ASK_S = 5.0
"""How long the system may take to answer."""


def read_clocks() -> Clocks:
    """Both at one moment: the steady one is read before and after the other, and the middle taken."""
    before_s = time.monotonic()
    unix_s = time.time()
    return Clocks(unix_s, (before_s + time.monotonic()) / 2)


def move_clock(by_s: float) -> None:
    """Set the clock that is shown, by so much from where it stands. Raises OSError where that is not allowed."""
    time.clock_settime(time.CLOCK_REALTIME, time.time() + by_s)


def run(command: Sequence[str]) -> str | None:
    """What a command prints; None where it cannot be run, or fails."""
    try:
        done = subprocess.run(command, capture_output=True, timeout=ASK_S, check=True, text=True)
    except (OSError, subprocess.SubprocessError, UnicodeDecodeError):
        return None
    return done.stdout


def network_keeps_time(ask: Callable[[Sequence[str]], str | None] = run) -> bool | None:
    """Whether the system says that network time keeps its clock; None where it has no way to say (no systemd)."""
    answer = ask(ASK)
    return {"yes": True, "no": False}.get(answer.strip()) if answer is not None else None

"""Setting the computer's clock: the command that does it, and what must hold before fixboard does it by itself.

A time in a printed command is old by the time it is typed. So the commands name no time: each moves the clock, as it
then stands, by the offset. Only those are named that can: `timedatectl set-time` and the `date` of macOS know whole
seconds alone, and would leave up to one behind.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from core.clock_report import ClockReport
from core.trust import Verdict

CAP_SYS_TIME = 25
"""Number of the right to set the clock (capabilities(7), linux/capability.h; from memory)."""
CAUTIONS = (
    "Setting a clock can disturb other programs, logs and the records that a licence asks for: note when it was set.",
    "Where network time keeps the clock, leave it to that: it sets the clock back.",
    "A slot mode transmits: within your licence.",
)
_CAPABILITIES = re.compile(r"^CapEff:\s*([0-9a-fA-F]+)", re.MULTILINE)


def command(platform: str, offset_s: float) -> str:
    """What to type to move the clock by `-offset_s`; `platform` is `sys.platform`."""
    by_s = -offset_s
    if platform == "win32":
        # Set-Date -Adjust takes a span of time (its documentation; from memory), in a PowerShell of an administrator.
        return f"Set-Date -Adjust ([TimeSpan]::FromMilliseconds({by_s * 1000:.0f}))"
    if platform.startswith("linux"):
        # GNU date takes relative items with a fraction, counted from now (coreutils manual, Date input formats).
        return f'sudo date -u -s "{by_s:+.3f} seconds"'
    body = f"import time; time.clock_settime(time.CLOCK_REALTIME, time.time() + ({by_s:.3f}))"
    return f'sudo python3 -c "{body}"'


class Right(NamedTuple):
    """Whether this program may set the clock."""

    user_id: int | None
    """The effective one; None on Windows."""
    status: Path = Path("/proc/self/status")

    @property
    def is_given(self) -> bool:
        """As the superuser, or with the right to set the clock alone (Linux)."""
        if self.user_id == 0:
            return True
        try:
            found = _CAPABILITIES.search(self.status.read_text(encoding="ascii", errors="replace"))
        except OSError:
            return False
        return found is not None and bool(int(found[1], 16) >> CAP_SYS_TIME & 1)


def why_not(report: ClockReport, verdict: Verdict, right: Right) -> str:
    """Why the clock must not be set now, and what would help; empty where it may be."""
    return next((words for stands, words in _refusals(report, verdict, right) if stands), "")


def _refusals(report: ClockReport, verdict: Verdict, right: Right) -> Iterator[tuple[bool, str]]:
    yield report.recorded, "a recording says nothing of this computer's clock now: use a receiver"
    low_s, high_s = report.low_s, report.high_s
    if low_s is None or high_s is None:
        yield True, f"the offset is not bounded: {report.reasons[0]}"
        return
    yield bool(report.guards), "; ".join(guard.words for guard in report.guards)
    yield not report.settable, "the receiver tells no date, and a clock needs one"
    firm = "only a firm one will do; stand in the open and try again"
    yield verdict is not Verdict.FIRM, f"the fix is {verdict.words}: {firm}"
    yield low_s <= 0.0 <= high_s, "the clock is right as far as the bounds tell: there is nothing to gain"
    yield not right.is_given, "this user may not set the clock: run the command above, or fixboard as administrator"

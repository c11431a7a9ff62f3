"""What a snapshot says of one of two receivers that are compared."""

from __future__ import annotations

from collections.abc import Iterator

from core.aged import Freshness
from core.comparing import Side
from core.history import USUAL_PERIOD_S
from core.model import Snapshot
from core.series import Sample, sample


def side_of(letter: str, snapshot: Snapshot, now_s: float, *, is_current: bool) -> Side:
    """Of a receiver. `now_s`: its own clock; `is_current`: whether its position may be taken for the present one."""
    period_s = snapshot.values.position.period_s if snapshot.values.position else USUAL_PERIOD_S
    return Side(letter, (*snapshot.samples, *_open(snapshot)), now_s, period_s, is_current)


def _open(snapshot: Snapshot) -> Iterator[Sample]:
    """Epochs that are not finished, with the newest verdict's error: it hardly changes from one to the next."""
    finished_s = snapshot.samples[-1].at_s if snapshot.samples else float("-inf")
    for moment in snapshot.open_epochs:
        if moment.fix.told and moment.at_s > finished_s:
            yield sample(moment.fix, moment.at_s, snapshot.trust)


def used_names(snapshot: Snapshot, now_s: float) -> frozenset[str] | None:
    """Names of the satellites in the fix; None where it does not list them, or no longer."""
    used = snapshot.values.used
    return used.value if used and used.freshness(now_s) is Freshness.FRESH else None

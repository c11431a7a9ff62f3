"""The second of two recordings, B, as of one moment: what a screen needs to draw it beside the first."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.model import Snapshot
from core.pair_axis import SAME, Axis
from core.sources.source import SourceStatus


@dataclass(frozen=True, slots=True)
class Other:
    """B beside A."""

    status: SourceStatus
    snapshot: Snapshot = field(default_factory=Snapshot)
    now_s: float = 0.0
    """The common moment on B's own clock: below zero before B begins; goes on after its end, so that its values age."""
    axis: Axis = SAME
    is_lined_up: bool = False
    """False while the files are still being read for what they have in common."""

    @property
    def begins_in_s(self) -> float | None:
        """Seconds until B begins; None once it has."""
        return -self.now_s if self.is_lined_up and self.now_s < 0.0 else None

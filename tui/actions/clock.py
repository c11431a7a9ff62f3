"""Actions on the clock: what was learned with receivers goes with each source that is opened."""

from __future__ import annotations

from dataclasses import replace

from core.locations import Locations
from tui.actions.watching import SourceActions
from tui.opening import LiveOpening, Openable


class ClockActions(SourceActions):
    """Learned latencies."""

    def open(self, opening: Openable) -> None:
        """With the latencies that are on the disk now: `fixboard clock --learn` may have run since."""
        if isinstance(opening, LiveOpening):
            from core.latency_file import LatencyFile, LearnedLatencies  # start-up time: a replay has none

            opening = replace(opening, learned=LearnedLatencies(LatencyFile(Locations(self.session.data).latencies)))
        super().open(opening)

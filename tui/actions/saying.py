"""Giving the position by voice: the key, and what its screen is told of the board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.fix import Position
from core.sources.source import SourceKind
from core.trust import Verdict
from tui.actions.base import BoardApp
from tui.state import BoardState
from tui.wording import MODE_WORDS

if TYPE_CHECKING:
    from core.position_report import Situation

NOWHERE = "No position yet, so there is nothing to give: wait for a fix, or hold a saved place."
ORIGINS = {
    SourceKind.HELD: "a saved place, not a measurement",
    SourceKind.REPLAY: "from a recording, not where anybody is now",
    SourceKind.REHEARSAL: "from a rehearsal: simulated, nobody was ever there",
    SourceKind.TRACK: "from somebody's track, not where anybody is now",
}


class SayActions(BoardApp):
    """One key."""

    def action_say_position(self) -> None:
        """The script of the position of this moment."""
        from tui.screens.say import SayContext, SayScreen  # start-up time: few sessions need it

        situation = situation_of(self.state)
        if situation is None:
            self._say(NOWHERE, "warning")
            return
        settings = self.session.settings
        context = SayContext(
            lambda: situation_of(self.state), self._walked_points, settings.home, settings.report.leading_zeros
        )
        self.push_screen(SayScreen(self.board, situation, context))

    def _walked_points(self) -> list[Position]:
        track = self.state.trip.track
        return [point.position for point in track.points[: track.count]]


def situation_of(state: BoardState) -> Situation | None:
    """What can be reported of the board; None without a position that may be shown."""
    from core.position_report import Situation  # start-up time: few sessions need it

    position, snapshot, aged = state.position, state.snapshot, state.snapshot.values.position
    if position is None or aged is None:
        return None
    fix = snapshot.fix
    is_now = fix.position is not None and not state.is_held
    mode = "" if fix.is_satellite_fix or not is_now else MODE_WORDS[fix.mode]
    doubt = (state.reasons or (state.verdict.words,))[0] if state.verdict < Verdict.USABLE else ""
    return Situation(
        position,
        snapshot.trust.error.horizontal_m if state.is_current else None,
        fix.utc if is_now else None,
        None if state.is_held else aged.age_s(state.now_s),
        ORIGINS.get(state.status.kind, "") or mode,
        "" if state.is_held else doubt,
        fix.datum,
    )

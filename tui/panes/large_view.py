"""What the large page shows of the board's state."""

from __future__ import annotations

from textual.reactive import reactive

from core.guidance import Guidance
from core.sources.source import SourceKind
from tui import wording
from tui.own_keys import own_words
from tui.panes.goto import CAUTION, turn_words
from tui.panes.large import LargePane, LargeView
from tui.state import BoardState


class BoardLarge(LargePane):
    """The large page as the state has it."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.show(large_view(self.state))


_LABELS = {
    SourceKind.REPLAY: "REPLAY",
    SourceKind.REHEARSAL: "REHEARSAL",
    SourceKind.TRACK: SourceKind.TRACK.value,
    SourceKind.HELD: "HELD PLACE",
    SourceKind.NOTHING: "NO SOURCE",
}


def large_view(state: BoardState) -> LargeView:
    """Distance, turn and kite; where there is no course the kite is counted from north."""
    guidance = state.guidance
    if state.target is None or guidance is None:
        why = own_words("no target: t lists the waypoints") if state.target is None else "no position: no guidance"
        name = state.target.name if state.target else ""
        return LargeView(turn_words=why, target=name, label=_LABELS.get(state.status.kind, ""), caution=CAUTION)
    left_m = state.trail_left_m
    figure, unit = wording.distance(guidance.distance_m if left_m is None else left_m).split(" ")
    kite, up = _kite(state, guidance)
    return LargeView(
        distance=figure,
        distance_unit=unit,
        turn=_turn(guidance),
        turn_words=turn_words(state),
        kite_deg=kite,
        up_name=up,
        target=state.target.name if left_m is None else f"{state.target.name}, along it",
        then=state.then[0].name if state.then else "",
        stale=not state.is_current,
        label=_LABELS.get(state.status.kind, ""),
        caution=CAUTION,
    )


def _turn(guidance: Guidance) -> str:
    """As a figure and a side; empty where words say it better."""
    if guidance.turn_deg is None:
        return ""
    words = wording.turn(guidance.turn_deg)
    return words.replace("°", "") if words[0].isdigit() else ""


def _kite(state: BoardState, guidance: Guidance) -> tuple[float | None, str]:
    if guidance.bearing_deg is None:
        return None, ""
    if guidance.turn_deg is not None:
        return guidance.turn_deg, "your way"
    return guidance.bearing_deg, "north"

"""The two receivers that are compared, as the board's state has them."""

from __future__ import annotations

from core.comparing import Difference, Side, difference, history
from core.model import Snapshot
from core.pair_other import Other
from core.pair_side import side_of
from core.sources.source import SourceState
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.state import BoardState

LAG_S = 0.25
"""How long of the room's time one of two feeds may be behind the other: two threads, one processor."""


def b_state(state: BoardState, other: Other) -> BoardState:
    """The board as it would show B alone. Before B begins nothing of it is known, though its first epoch is read."""
    begun = other.is_lined_up and other.begins_in_s is None
    return state.changed(
        snapshot=other.snapshot if begun else Snapshot(),
        status=other.status,
        now_s=max(0.0, other.now_s),
        target=None,
        route=None,
        timeline=None,
        other=None,
    )


def sides(state: BoardState, other: Other) -> tuple[Side, Side]:
    """Both, for comparing."""
    return tuple(_side(letter, one) for letter, one in (("A", state), ("B", b_state(state, other))))  # type: ignore[return-value]  # two of two


def _side(letter: str, state: BoardState) -> Side:
    side = side_of(letter, state.snapshot, state.now_s, is_current=state.is_current)
    return side._replace(is_track=state.is_positions_only)


def difference_now(state: BoardState, other: Other) -> Difference:
    """Where B is from A, or why that is not to be said."""
    absent = absence(state, other)
    if absent:
        return Difference(why=absent)
    return difference(*sides(state, other), other.axis, LAG_S * (state.status.pace or 1.0))


def distances(state: BoardState, other: Other, since_s: float) -> list[tuple[float, float | None]]:
    """How far apart they were, by A's clock; None begins a gap."""
    return history(*sides(state, other), other.axis, since_s) if other.is_lined_up else []


def absence(state: BoardState, other: Other) -> str:
    """Why there are not two of them at this moment; empty where there are."""
    if not other.is_lined_up:
        return "B is being lined up: both files are read for what they have in common"
    if other.begins_in_s is not None:
        return f"B begins in {wording.clock(other.begins_in_s)}"
    if state.timeline is not None and state.timeline.is_seeking:
        return "seeking"
    if other.status.state is SourceState.FAILED:
        return one_cell_each(f"B cannot be read on: {other.status.detail}")
    return "B has ended" if other.status.state is SourceState.ENDED and b_is_over(state, other) else ""


def b_is_over(state: BoardState, other: Other) -> bool:
    """Whether what B said last is old by now; its last epoch may be compared for as long as any."""
    return not b_state(state, other).is_current


def axis_words(other: Other) -> str:
    """By which clock the two are laid side by side, and why by no better one."""
    if not other.is_lined_up:
        return ""
    axis = other.axis
    ahead = -axis.offset_s
    begins = "" if abs(ahead) < 1.0 else f", B began {wording.clock(abs(ahead))} {'later' if ahead > 0 else 'earlier'}"
    # In a caption of 80 columns: the sentence of the shell without its subject.
    why = f" ({axis.why.removeprefix('they have ')})" if axis.why else ""
    return one_cell_each(f"{axis.basis.value}{begins}{why}")

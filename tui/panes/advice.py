"""What is happening with the source, and what to do about it: the words where a position would stand."""

from __future__ import annotations

from core.sources.source import SourceKind, SourceState
from tui.state import BoardState


def advice(state: BoardState) -> str:
    """One or two short sentences; empty while there is a current position."""
    status = state.status
    if state.is_current:
        return ""
    if status.state in {SourceState.SEARCHING, SourceState.WAITING, SourceState.LOST, SourceState.FAILED}:
        return status.detail
    if status.kind is SourceKind.LIVE:
        return f"Sentences come, but no fix{_heard(state)}: stand still in the open."
    return f"The receiver reports no fix{_heard(state)}." if state.snapshot.counts.epochs else ""


def _heard(state: BoardState) -> str:
    sky = state.snapshot.sky
    if sky is None:
        return ""
    heard = sum(1 for satellite in sky.value if satellite.cno_dbhz)
    return f", {heard} satellite{'' if heard == 1 else 's'} heard" if heard else ", no satellite heard"

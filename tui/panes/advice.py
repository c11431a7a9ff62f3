"""What is happening with the source, and what to do about it: the words where a position would stand."""

from __future__ import annotations

from core.sources.source import SourceKind, SourceState
from tui.state import BoardState

NO_SOURCE = "o opens a receiver, a recording or the network"


def advice(state: BoardState) -> str:
    """One or two short sentences; empty while there is a current position."""
    status = state.status
    if state.is_current:
        return ""
    if status.kind is SourceKind.NOTHING:
        return NO_SOURCE
    if status.state in {SourceState.SEARCHING, SourceState.WAITING, SourceState.LOST, SourceState.FAILED}:
        return status.detail
    trust = state.snapshot.trust
    if trust.judged:
        return ": ".join(part for part in (trust.reasons[0] if trust.reasons else "", trust.advice) if part)
    return ""

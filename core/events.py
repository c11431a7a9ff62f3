"""What happened, and when: the moments of a session that somebody would point at."""

from __future__ import annotations

from collections import deque
from enum import Enum
from typing import NamedTuple

from core.fix import SATELLITE_FIX_MODES, Fix, FixMode, Utc
from core.trust import Trust, Verdict
from core.units import in_use

EVENTS_KEPT = 500


class EventKind(Enum):
    """Sorts of events, in plain words."""

    FIRST_HEARD = "first satellite heard"
    FIRST_FIX = "first fix"
    LOST = "fix lost"
    REGAINED = "fix back"
    MODE = "mode"
    JUMP = "jump"
    VERDICT = "verdict"


FIRSTS = frozenset({EventKind.FIRST_HEARD, EventKind.FIRST_FIX})


class Event(NamedTuple):
    """One of them."""

    at_s: float
    """On the source's clock."""
    utc: Utc | None
    kind: EventKind
    text: str


class EventLog:
    """Finds events in judged epochs, in their order; keeps the newest."""

    def __init__(self) -> None:
        self._events: deque[Event] = deque(maxlen=EVENTS_KEPT)
        self._firsts: list[Event] = []
        self.count = 0
        """All that were found, kept or not."""
        self._mode = FixMode.NONE
        self._verdict = Verdict.NO_FIX
        self._heard = self._fixed = self._jumping = False

    def all(self) -> tuple[Event, ...]:
        """Oldest first. The first of their sort are kept for good, however much comes after them."""
        newest = tuple(self._events)
        return (*(one for one in self._firsts if one not in self._events), *newest)

    def swap(self, events: deque[Event]) -> deque[Event]:
        """Go on with these as the newest; those that there were. They are appended to."""
        before, self._events = self._events, events
        return before

    def take(self, fix: Fix, at_s: float, trust: Trust) -> None:
        """The next epoch."""
        for kind, text in (*self._of_sky(trust), *self._of_fix(fix), *self._of_trust(trust)):
            event = Event(at_s, fix.utc, kind, text)
            self._events.append(event)
            self.count += 1
            if kind in FIRSTS:
                self._firsts.append(event)

    def _of_sky(self, trust: Trust) -> list[tuple[EventKind, str]]:
        evidence = trust.evidence
        found: list[tuple[EventKind, str]] = []
        if evidence and evidence.heard and not self._heard:
            self._heard = True
            found.append((EventKind.FIRST_HEARD, f"{evidence.heard} tracked"))
        jumped_m = evidence.jumped_m if evidence is not None else None
        jumping = jumped_m is not None
        if jumped_m is not None and not self._jumping:
            found.append((EventKind.JUMP, f"about {in_use().plain(jumped_m)} beyond what the speed explains"))
        self._jumping = jumping
        return found

    def _of_fix(self, fix: Fix) -> list[tuple[EventKind, str]]:
        """A fix is one of satellites; dead reckoning that takes over from it is a fix lost."""
        before, self._mode = self._mode, fix.mode
        had, has = before in SATELLITE_FIX_MODES, fix.is_satellite_fix
        if has and not had:
            kind = EventKind.REGAINED if self._fixed else EventKind.FIRST_FIX
            self._fixed = True
            return [(kind, _how(fix))]
        if had and not has:
            return [(EventKind.LOST, "" if fix.mode is FixMode.NONE else f"now {fix.mode}")]
        return [] if before is fix.mode else [(EventKind.MODE, f"{before} to {fix.mode}")]

    def _of_trust(self, trust: Trust) -> list[tuple[EventKind, str]]:
        before, self._verdict = self._verdict, trust.verdict
        if before is trust.verdict:
            return []
        why = f": {trust.reasons[0]}" if trust.reasons and trust.verdict < before else ""
        return [(EventKind.VERDICT, f"{before.words} to {trust.verdict.words}{why}")]


def _how(fix: Fix) -> str:
    dimensions = f", {fix.dimensions}D" if fix.dimensions else ""
    count = f", {fix.satellites_in_fix} satellites" if fix.satellites_in_fix else ""
    return f"{fix.mode}{dimensions}{count}"

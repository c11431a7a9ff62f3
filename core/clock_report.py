"""What is known of the computer's clock against the satellites', as one record, and whether it is good for slot modes.

Slot modes transmit in slots of seconds, by the clock: 12.64 s in 15, 4.48 s in 7.5 (trade-facts, section h, from
memory). Common practice: within 1 s works, within 0.5 s is wanted.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, NamedTuple

from core.clock_guards import Guard
from core.fix import Utc
from core.latency import ASSUMED, Latency, ReceiverKey

WORKS_S, WANTED_S = 1.0, 0.5
NOTHING_YET = ("nothing has come yet",)


class SlotVerdict(StrEnum):
    """Whether the computer's clock is good for slot modes."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Jump(NamedTuple):
    """A clock that was set while we watched."""

    at_s: float
    """When, on the clock of the arrivals."""
    by_s: float
    words: str


@dataclass(frozen=True, slots=True)
class ClockReport:
    """All of it; seconds, positive where the computer is ahead of UTC. None is unknown."""

    low_s: float | None = None
    high_s: float | None = None
    """The offset lies between the two, as far as the latency does; both or neither."""
    at_most_s: float | None = None
    """The computer is ahead by no more, whatever the latency: certain, if the receiver's second is right."""
    epochs: int = 0
    """Seconds with a satellite fix that the bounds are made from."""
    watched_s: float = 0.0
    median_s: float | None = None
    """Of the delays, the offset in it."""
    spread_s: float | None = None
    """Between the delays that a tenth is below of and a tenth above."""
    latency: Latency = ASSUMED
    verdict: SlotVerdict = SlotVerdict.UNKNOWN
    reasons: tuple[str, ...] = NOTHING_YET
    guards: tuple[Guard, ...] = ()
    notes: tuple[str, ...] = ()
    jumps: tuple[Jump, ...] = ()
    utc: Utc | None = None
    """The newest second that was named, its date corrected."""
    computer_s: float | None = None
    """What the computer's clock said when the first byte of that came, Unix seconds."""
    recorded: bool = False
    """Whether the computer's clock is that of a recording, then."""
    worth: str = ""
    """What the arrival of a first byte is worth on this source."""
    key: ReceiverKey | None = None
    """What a latency would be learned for."""
    delay_s: float | None = None
    """The smallest delay of a sentence, the offset in it: what is learned where the offset is 0."""
    settable: bool = False
    """Whether a clock may be set by it: live, no guard standing, the date known, the offset bounded."""

    @property
    def offset_s(self) -> float | None:
        """Half way between the bounds."""
        return None if self.low_s is None or self.high_s is None else (self.low_s + self.high_s) / 2

    def as_json(self) -> dict[str, Any]:
        """contract.md's `clock`, and further keys of ours."""
        return {
            "offset_s": _rounded(self.offset_s),
            "low_s": _rounded(self.low_s),
            "high_s": _rounded(self.high_s),
            "latency_assumed_s": _rounded(self.latency.middle_s),
            "epochs": self.epochs,
            "verdict": str(self.verdict),
            "reasons": list(self.reasons),
            "at_most_s": _rounded(self.at_most_s),
            "latency": {
                "low_s": _rounded(self.latency.low_s),
                "high_s": _rounded(self.latency.high_s),
                "basis": self.latency.basis.value,
            },
            "median_s": _rounded(self.median_s),
            "spread_s": _rounded(self.spread_s),
            "guards": [guard.words for guard in self.guards],
            "jumps_s": [_rounded(jump.by_s) for jump in self.jumps],
            "utc": self.utc.iso() if self.utc else None,
        }


NO_CLOCK = ClockReport()


class Offsets(NamedTuple):
    """Computer less UTC as the filter has it, before anything speaks against it. Seconds."""

    low_s: float
    high_s: float
    at_most_s: float
    median_s: float
    """Of the delays, the offset in it."""
    spread_s: float

    def moved(self, by_s: float) -> Offsets:
        """All but the spread, by so much."""
        low_s, high_s, at_most_s, median_s, spread_s = self
        return Offsets(low_s + by_s, high_s + by_s, at_most_s + by_s, median_s + by_s, spread_s)


class Doubts(NamedTuple):
    """What speaks against them."""

    guards: tuple[Guard, ...] = ()
    waits: str = ""
    """Why it is too early; empty where it is not."""
    trouble: str = ""
    """Why the smallest delay means nothing from below: the line cannot keep up. From above it still holds."""
    dated: bool = True
    """Whether the date is known well enough to set a clock by."""


def concluded(facts: ClockReport, found: Offsets, doubts: Doubts) -> ClockReport:
    """The facts with as much of the offsets as may be stated, and the verdict on it."""
    if any(guard.withholds for guard in doubts.guards):
        return replace(facts, guards=doubts.guards, reasons=_words(doubts))
    bounded = not (doubts.waits or doubts.trouble)
    high_s = found.high_s if bounded else found.at_most_s if doubts.trouble else None
    verdict, reasons = judge(found.low_s if bounded else None, high_s, doubts.guards)
    return replace(
        facts,
        low_s=found.low_s if bounded else None,
        high_s=found.high_s if bounded else None,
        at_most_s=found.at_most_s,
        median_s=found.median_s,
        spread_s=found.spread_s,
        verdict=verdict,
        reasons=(reasons or _words(doubts)) if bounded else (*_words(doubts), *reasons),
        guards=doubts.guards,
        delay_s=found.at_most_s if bounded else None,
        settable=bounded and doubts.dated and not (doubts.guards or facts.recorded),
    )


def _words(doubts: Doubts) -> tuple[str, ...]:
    said = (doubts.trouble, doubts.waits, *(guard.words for guard in doubts.guards))
    return tuple(one for one in said if one)


def judge(low_s: float | None, high_s: float | None, guards: tuple[Guard, ...]) -> tuple[SlotVerdict, tuple[str, ...]]:
    """Good for slot modes only if all of the interval is; bad only if none of it is. None: not bounded there."""
    if high_s is None or guards:
        return SlotVerdict.UNKNOWN, tuple(guard.words for guard in guards)
    if high_s < -WORKS_S:
        return SlotVerdict.NO, (f"the computer is behind by more than {WORKS_S:g} s",)
    if low_s is None:
        return SlotVerdict.UNKNOWN, ("how far the computer may be behind is not known",)
    return _judge_interval(low_s, high_s)


def _judge_interval(low_s: float, high_s: float) -> tuple[SlotVerdict, tuple[str, ...]]:
    if low_s > WORKS_S:
        return SlotVerdict.NO, (f"the computer is ahead by more than {WORKS_S:g} s",)
    farthest_s = max(-low_s, high_s)
    if farthest_s > WORKS_S:
        return SlotVerdict.UNKNOWN, (f"the bounds reach beyond {WORKS_S:g} s: a learned latency makes them narrower",)
    if farthest_s > WANTED_S:
        return SlotVerdict.YES, (f"within {WORKS_S:g} s, which works; within {WANTED_S:g} s is wanted, and not sure",)
    return SlotVerdict.YES, (f"within {WANTED_S:g} s, as is wanted",)


def _rounded(value: float | None) -> float | None:
    """To milliseconds: more than any of this is worth."""
    return None if value is None else round(value, 3)

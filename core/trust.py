"""One verdict with reasons: how far the position can be trusted.

Each rule looks at one thing and says the best verdict that it allows; the lowest of them stands, and the rules that
hold it down are the reasons. Getting worse shows at once; getting better must last, so that the word does not flicker.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from itertools import repeat
from typing import NamedTuple

from core.accuracy import NO_ERROR, Error95
from core.evidence import Evidence

_new = tuple.__new__

BETTER_AFTER_S = 8.0
BETTER_AFTER_EPOCHS = 3
"""A better verdict is believed after this long, and this many epochs in a row. Measured on a recorded drive through a
town, 12 minutes: better words that lasted under 5 s came six times with 5 s, once with 8 s, once with 10 s."""
TOP_REASONS = 3


class Verdict(IntEnum):
    """The words of design.md, worst first."""

    NO_FIX = 0
    DOUBTFUL = 1
    USABLE = 2
    FIRM = 3

    @property
    def words(self) -> str:
        """As it is shown."""
        return ("no fix", "doubtful", "usable", "firm")[self]


class Look(NamedTuple):
    """What a rule found."""

    value: str
    """The figure or fact, as shown; a dash where there is none."""
    allows: Verdict
    """The best verdict that this finding allows."""
    reason: str = ""
    """In plain words, where it allows less than FIRM."""
    advice: str = ""
    """What to do about it."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the table."""

    id: str
    name: str
    thresholds: str
    """In words: from where on it allows how much."""
    source: str
    look: Callable[[Evidence], Look]


class Judged(NamedTuple):
    """A rule and what it found."""

    rule: Rule
    look: Look


@dataclass(frozen=True, slots=True)
class Trust:
    """The verdict on one epoch."""

    verdict: Verdict = Verdict.NO_FIX
    reasons: tuple[str, ...] = ("nothing has come yet",)
    """The weightiest first."""
    advice: str = ""
    error: Error95 = NO_ERROR
    judged: tuple[Judged, ...] = ()
    """Every rule."""
    evidence: Evidence | None = None


NO_TRUST = Trust()


class Held(NamedTuple):
    """The verdict that is shown, and the better one that has not lasted yet."""

    shown: Verdict = Verdict.NO_FIX
    rising: Verdict | None = None
    since_s: float = 0.0
    epochs: int = 0


def judge(evidence: Evidence, rules: tuple[Rule, ...]) -> Trust:
    """All rules on one epoch, without regard to the past verdict."""
    looks = [rule.look(evidence) for rule in rules]
    judged = tuple(map(_new, repeat(Judged), zip(rules, looks, strict=True)))
    verdict = min([look.allows for look in looks])
    if verdict is Verdict.FIRM:  # then no rule has a reason to give
        return Trust(verdict, (), "", evidence.error, judged, evidence)
    worst_first = sorted((look for look in looks if look.reason), key=lambda look: look.allows)
    reasons = tuple(look.reason for look in worst_first[:TOP_REASONS])
    advice = next((look.advice for look in worst_first if look.advice), "")
    return Trust(verdict, reasons, advice, evidence.error, judged, evidence)


def hold(held: Held, verdict: Verdict, at_s: float) -> Held:
    """What to show after an epoch with this verdict: worse at once, better after a while."""
    if verdict <= held.shown:
        return Held(verdict)
    # From nothing to something is news that nobody wants to wait for; how good it is may wait.
    if held.shown is Verdict.NO_FIX:
        return Held(Verdict.DOUBTFUL, verdict, at_s, 1) if verdict > Verdict.DOUBTFUL else Held(verdict)
    if held.rising is None or at_s < held.since_s:
        return Held(held.shown, verdict, at_s, 1)
    rising = min(verdict, held.rising)
    epochs = held.epochs + 1
    if at_s - held.since_s >= BETTER_AFTER_S and epochs >= BETTER_AFTER_EPOCHS:
        return Held(rising, verdict if verdict > rising else None, at_s, 1)
    return Held(held.shown, rising, held.since_s, epochs)

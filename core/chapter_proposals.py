"""Chapters proposed from what a whole recording holds: about a dozen, the weightiest, not too close to each other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from core.accuracy import ErrorModel
from core.chapter_file import TITLE_LIMIT, WORDS_LIMIT
from core.chapter_moments import watches
from core.chapter_words import Found, Kind
from core.chapters import Chapter
from core.epochs import EpochReader, Pieces

MOST = 12
"""An evening's talk has no more (common practice, no source)."""
LEAD_S = 3.0
"""A chapter begins so long before what it is about: the audience is to see it happen."""
PART, LEAST_APART_S, MOST_APART_S = 40, 10.0, 120.0
"""Chapters are at least this part of the recording apart, within these bounds."""
AGAIN = 0.5
"""Each further one of a kind weighs so much less: the third jump teaches little."""
KEPT = 200
"""Moments kept of a kind, the weightiest: a receiver may lose its fix every second for a day."""


class Proposal(NamedTuple):
    """All that was found worth showing."""

    chapters: tuple[Chapter, ...]
    duration_s: float
    """Up to the last epoch."""
    epochs: int


class Plan(NamedTuple):
    """How to read."""

    required: bool
    """Refuse sentences without a checksum."""
    errors: ErrorModel
    progress: Callable[[], None] = lambda: None


def propose(recording: Pieces, plan: Plan) -> Proposal:
    """Read all of a recording. Raises InputError where it cannot be read on."""
    found, all_watches = Moments(), watches()
    at_s, count = 0.0, 0
    for epoch in EpochReader(recording, plan.required, plan.errors).epochs(plan.progress):
        at_s = epoch.at_s
        if epoch.fix.told:
            count += 1
            for watch in all_watches:
                found.take(watch.take(epoch))
    for watch in all_watches:
        found.take(watch.end())
    return Proposal(tuple(_chapter(one) for one in weightiest(found.all(), at_s)), at_s, count)


class Moments:
    """What was found, bounded by kind."""

    def __init__(self) -> None:
        self._kinds: dict[Kind, list[Found]] = {}

    def take(self, found: Iterable[Found]) -> None:
        """Some more."""
        for one in found:
            kept = self._kinds.setdefault(one.kind, [])
            kept.append(one)
            if len(kept) >= 2 * KEPT:
                kept.sort(key=lambda moment: (-moment.weight, moment.at_s))
                del kept[KEPT:]

    def all(self) -> list[Found]:
        """In the order of time."""
        return sorted((one for kept in self._kinds.values() for one in kept), key=lambda one: one.at_s)


def weightiest(found: Sequence[Found], duration_s: float) -> list[Found]:
    """At most a dozen, in the order of time. Of equals, those that are far from the others taken already come first."""
    apart_s = min(MOST_APART_S, max(LEAST_APART_S, duration_s / PART))
    chosen: list[Found] = []
    left = list(found)
    while left and len(chosen) < MOST:
        best = max(left, key=lambda one: (_worth(one, chosen), -one.at_s))
        chosen.append(best)
        left = [one for one in left if abs(one.at_s - best.at_s) >= apart_s]
    return sorted(chosen, key=lambda one: one.at_s)


def _worth(one: Found, chosen: Sequence[Found]) -> float:
    again = sum(other.kind is one.kind for other in chosen)
    return one.weight / (1.0 + AGAIN * again)


def _chapter(found: Found) -> Chapter:
    """To the second before: what is written by hand is, too."""
    at_s = float(int(max(0.0, found.at_s - LEAD_S)))
    return Chapter(at_s, found.title[:TITLE_LIMIT], found.words[:WORDS_LIMIT], found.kind.page)

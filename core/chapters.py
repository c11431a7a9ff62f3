"""Chapters: the named moments of a recording, and what an audience should know about them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

AGAIN_S = 2.0
"""Who goes back within this of a chapter's begin means the one before it (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """One of them."""

    at_s: float
    """Seconds since the recording's first piece."""
    title: str
    words: str = ""
    """A sentence or two for the audience."""
    page: str = ""
    """The board's page that shows it; empty: whichever is open."""
    mask_deg: float | None = None
    """Elevation below which the sky's what-if leaves satellites out, 0 to 90 degrees."""
    pace: float | None = None
    """Times the pace of life, 0.1 to 100."""


@dataclass(frozen=True, slots=True)
class Chapters:
    """All of a recording, in the order of time."""

    items: tuple[Chapter, ...] = ()

    def at(self, at_s: float) -> Chapter | None:
        """The one that this moment belongs to; None before the first."""
        count = bisect_right(self.items, at_s, key=_begin)
        return self.items[count - 1] if count else None

    def after(self, at_s: float) -> Chapter | None:
        """The next to come."""
        count = bisect_right(self.items, at_s, key=_begin)
        return self.items[count] if count < len(self.items) else None

    def before(self, at_s: float, again_s: float = AGAIN_S) -> Chapter | None:
        """Where going back leads: the begin of the one under way, or, within `again_s` of that, the one before it.

        None where there is nothing to go back to. `again_s`: in the recording's seconds.
        """
        now = self.at(at_s)
        if now is None or at_s - now.at_s > again_s:
            return now
        first = bisect_left(self.items, now.at_s, key=_begin)
        return self.items[first - 1] if first else None


def _begin(chapter: Chapter) -> float:
    return chapter.at_s


NO_CHAPTERS = Chapters()

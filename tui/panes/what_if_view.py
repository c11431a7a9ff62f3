"""What the what-if panel tells: the figures, the rows to choose from, and the effect in a sentence.

Worked out again only when the satellites in the fix, their directions or the choice change: signal strengths do not
matter to it, and a receiver at 10 Hz repeats its sky ten times.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from core.aged import Freshness
from core.fix import Satellite
from core.geometry import Dops, Sight, dops
from core.history import Dops as OwnDops
from core.what_if import Outcome, WhatIf, what_if
from tui.sky_choice import FIGURES, SATELLITE, SYSTEM, SkyChoice
from tui.state import BoardState

HIDES = {
    "below the mask": "mask hides {}",
    "behind the cliff": "cliff hides {}",
    "behind the houses": "street hides {}",
    "system dropped": "{} of systems dropped",
    "dropped": "{} dropped",
}
"""By why a satellite is lost (core/what_if.py), in the order of the sentence."""
WORDS = {
    "below the mask": "mask", "behind the cliff": "cliff", "behind the houses": "street",
    "dropped": "dropped", "system dropped": "system",
}  # fmt: skip
"""The same in a word, for lists and labels."""


class Ranked(NamedTuple):
    """A satellite of the fix and what it is worth."""

    name: str
    why: str
    """Why it is lost; empty where it is kept."""
    hdop: float | None
    """What HDOP would change by if it were lost, or, of one that is, if it were back. None: cannot be said."""
    pdop: float | None
    decides: bool
    """Whether there is a position with it and none without."""


class Imagined(NamedTuple):
    """What the satellites in the fix come to under a what-if."""

    outcome: Outcome
    ranked: tuple[Ranked, ...]
    """Dearest first; those that are lost stay where they would be worth as much."""
    unplaced: tuple[str, ...]
    """In the fix without a direction: no part of any figure."""

    @property
    def systems(self) -> dict[str, tuple[int, int]]:
        """Kept and all, by letter."""
        kept = Counter(one.name[:1] for one in self.ranked if not one.why)
        return {letter: (kept[letter], n) for letter, n in sorted(Counter(one.name[:1] for one in self.ranked).items())}


class Panel(NamedTuple):
    """One frame's worth."""

    imagined: Imagined
    choice: SkyChoice
    own: OwnDops | None = None
    """What the receiver says of its own."""
    note: str = ""
    """Why there is nothing to work with, where that is so."""
    stale: bool = False
    holds_height: bool = False
    """A fix in two dimensions: the receiver has an unknown less than our figures."""

    @property
    def changed(self) -> bool:
        """Whether anything is imagined."""
        return not self.choice.what_if.is_nothing

    def own_of(self, name: str) -> float | None:
        """The receiver's own figure; no sentence tells TDOP or GDOP."""
        value: float | None = getattr(self.own, name.lower(), None)
        return value

    @property
    def remarks(self) -> tuple[str, ...]:
        """Why the receiver's own figures may be others."""
        unplaced = self.imagined.unplaced
        return (
            *((f"not worked in, no direction: {len(unplaced)}",) if unplaced and self.imagined.ranked else ()),
            *(("2D: the receiver holds the height",) if self.holds_height and self.imagined.ranked else ()),
        )

    @property
    def rows(self) -> tuple[str, ...]:
        """Keys of the rows that can be chosen, in order."""
        return row_keys(self.imagined, self.choice)


def panel(state: BoardState) -> Panel:
    """What the panel shows of a state."""
    aged, choice = state.snapshot.values.dops, state.sky
    satellites, stale = _satellites(state)
    found = imagined(_geometry(satellites), choice.what_if)
    shown = aged if aged and state.is_current and aged.freshness(state.now_s) is Freshness.FRESH else None
    own, note = shown.value if shown else None, _why_nothing(state, satellites, found)
    return Panel(found, choice, own, note, stale, state.snapshot.fix.dimensions == 2)


def row_keys(found: Imagined, choice: SkyChoice) -> tuple[str, ...]:
    """Figures, systems, satellites.

    What is dropped stays listed after it has left the sky, or who could take it back?
    """
    systems = {SYSTEM + letter: None for letter in (*found.systems, *sorted(choice.dropped_systems))}
    names = [SATELLITE + name for name in (*(one.name for one in found.ranked), *sorted(choice.dropped))]
    keys = dict.fromkeys((*FIGURES, *systems, *names))
    return (*keys, choice.row) if choice.row not in keys else tuple(keys)


def effect(found: Imagined, change: WhatIf) -> str:
    """What the what-if does to the fix, in a sentence."""
    before, after, total = found.outcome.before, found.outcome.dops, len(found.ranked)
    if change.is_nothing:
        return "" if before else f"No figures: {found.outcome.reason}."
    if before is not None and after is None:
        return f"NO POSITION: {found.outcome.reason}."
    if before is None or after is None:
        return f"No figures: {found.outcome.reason}."
    if not found.outcome.lost:
        return f"Hides none of the {total} in the fix: nothing changes."
    return f"HDOP {before.hdop:.1f} -> {after.hdop:.1f}: {_losses(found)} of {total}."


def _losses(found: Imagined) -> str:
    counts = Counter(lost.why for lost in found.outcome.lost)
    return ", ".join(words.format(counts[why]) for why, words in HIDES.items() if counts[why])


@lru_cache(maxsize=8)
def imagined(in_fix: tuple[Satellite, ...], change: WhatIf) -> Imagined:
    """Of the satellites in the fix, whatever their order and signal."""
    outcome = what_if(in_fix, change)
    unplaced = tuple(one.name for one in in_fix if one.azimuth_deg is None or one.elevation_deg is None)
    ranked = [*_kept(outcome), *(_lost(outcome, one.sight, one.why) for one in outcome.lost)]
    return Imagined(outcome, tuple(sorted(ranked, key=_dearest)), unplaced)


def _dearest(one: Ranked) -> tuple[bool, bool, float, str]:
    return not one.decides, one.pdop is None, -abs(one.pdop or 0.0), one.name


def _kept(outcome: Outcome) -> Iterable[Ranked]:
    """Where there is no position, losing one more costs nothing that could be said."""
    if outcome.dops is None:
        return (Ranked(one.name, "", None, None, decides=False) for one in outcome.kept)
    return (Ranked(one.name, "", one.hdop_rise, one.pdop_rise, one.without is None) for one in outcome.ranking)


def _lost(outcome: Outcome, sight: Sight, why: str) -> Ranked:
    """What having it back would change."""
    back, now = dops((*outcome.kept, sight)), outcome.dops
    if back is None or now is None:
        return Ranked(sight.name, why, None, None, decides=back is not None)
    return Ranked(sight.name, why, *_change(now, back), decides=False)


def _change(now: Dops, then: Dops) -> tuple[float, float]:
    return then.hdop - now.hdop, then.pdop - now.pdop


def _satellites(state: BoardState) -> tuple[tuple[Satellite, ...], bool]:
    """Those reported while they may be shown, and whether they are old."""
    sky = state.snapshot.sky
    freshness = sky.freshness(state.now_s) if sky else Freshness.GONE
    if sky is None or state.is_held or freshness is Freshness.GONE:
        return (), False
    return sky.value, freshness is Freshness.STALE or not state.is_current


def _geometry(satellites: Iterable[Satellite]) -> tuple[Satellite, ...]:
    """All that matters: who is in the fix, and where."""
    return tuple(sorted(one._replace(cno_dbhz=None) for one in satellites if one.in_fix))


def _why_nothing(state: BoardState, satellites: tuple[Satellite, ...], found: Imagined) -> str:
    if state.is_held:
        return "A held place: no receiver, no satellites, nothing to imagine away."
    if not satellites:
        return "No satellites are reported: nothing to work with."
    if found.ranked:
        return ""
    if found.unplaced:
        return f"{len(found.unplaced)} in the fix, none with a direction: nothing to work with."
    if state.position is None or not state.is_current:
        return "No fix: no satellite is in one, so nothing can be lost."
    return "The receiver does not list the satellites in its fix: nothing to work with."

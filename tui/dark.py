"""When to turn back before dark, from the board's state."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from typing import NamedTuple

from core.before_dark import Countdown, Reserve, countdown
from core.fix import Position
from core.trip import Totals
from core.units import Units, in_use
from core.way_back import WayBack, WayBackBook
from tui import wording
from tui.own_keys import key_of
from tui.state import BoardState

LEAST_AWAY_M = 1000.0
"""Nearer to the start than this nobody needs to be told loudly (common practice, no source)."""
FASTEST_WALK_MPS = 3.0
"""On average while moving: above it somebody drives, sails or runs, and no rule for walkers holds (common practice)."""
NOWHERE = WayBack(0.0, 0, 0.0)
_book = WayBackBook()
"""Lengths along the trail that is shown: one at a time, and only ever used on the screen's thread."""


class DarkWords(NamedTuple):
    """The countdown as it is shown."""

    latest_turn: str
    """A time, or why there is none."""
    seconds_left: float | None = None
    """Negative: overdue."""
    assumptions: tuple[str, ...] = ()
    away_m: float = 0.0
    """How far the way back is."""


class _Way(NamedTuple):
    """What the countdown is made of, rounded, so that it is worked out a few times a minute and not ten a second."""

    here: Position
    minute: datetime | None
    back_m: float
    out: Totals
    reserve: Reserve
    units: Units
    """What the words on it are in."""


def before_dark(state: BoardState) -> DarkWords:
    """The latest turn for the way back along the trail; words where there is no way, no place or no light to tell.

    Without a fix it goes on from the last position: that is when it is needed most.
    """
    last = state.snapshot.last_fix
    here = last.fix.position if last else None
    if here is None or state.is_held:
        return DarkWords("not known: no position yet")
    if not state.trip.track.count:
        return DarkWords("not known: no trail yet")
    average_mps = state.trip.totals.average_mps
    if average_mps is not None and average_mps > FASTEST_WALK_MPS:
        return DarkWords("not worked out: this is faster than a walk")
    now, way = _now(state), _way_back(state, here)
    found = _counted(_way(state, here, now, way.distance_m))
    told = (*_along(state, way), *found.assumptions)
    if found.latest_turn is None or now is None:
        return DarkWords(found.why_none, None, told, way.distance_m)
    left_s = (found.latest_turn - now).total_seconds()
    return DarkWords(f"{found.latest_turn:%H:%M} UTC", left_s, told, way.distance_m)


def overdue_words(state: BoardState) -> str:
    """What to say on every page once it is past the latest turn, and far from the start; else empty."""
    found = before_dark(state)
    if found.away_m < LEAST_AWAY_M or found.seconds_left is None or found.seconds_left >= 0.0:
        return ""
    if state.is_by_trail:
        return f"LATE: by this sum it is dark before you are back (latest turn was {found.latest_turn}; see i)"
    return f"TURN BACK: the latest turn was {found.latest_turn}; see i"


def _now(state: BoardState) -> datetime | None:
    """By the receiver, carried on by the source's clock while that is silent."""
    aged, utc = state.snapshot.values.utc, state.utc
    then = utc.datetime() if utc else None
    if then is None or aged is None:
        return None
    try:
        return then + timedelta(seconds=aged.age_s(state.now_s))
    except OverflowError:  # a damaged date, and a receiver that is silent since: the calendar has no such time
        return None


def _way_back(state: BoardState, here: Position) -> WayBack:
    found = _book.from_here(state.trip.track, here) or NOWHERE
    left_m = state.trail_left_m
    return found if left_m is None else found._replace(distance_m=left_m)


def _along(state: BoardState, way: WayBack) -> tuple[str, ...]:
    """What the way back was taken to be."""
    lost = "" if state.is_current else " From the last position: there is no current one."
    how = "what is left of the trail" if state.is_by_trail else "along the trail to where it began"
    begins = f"{key_of('reset_trip')} at the car or trailhead begins it there"
    along = f"Way back: {how}, {wording.distance(way.distance_m)}; {begins}.{lost}"
    if not way.gaps:
        return (along,)
    gaps = f"Gaps: {way.gaps}, {wording.distance(way.gaps_m)} of it as straight lines; the ground there is not known."
    return along, gaps


def _way(state: BoardState, here: Position, now: datetime | None, back_m: float) -> _Way:
    totals = state.trip.totals
    coarse = Position(round(here.latitude_deg, 2), round(here.longitude_deg, 2))
    minute = now.replace(second=0, microsecond=0) if now else None
    return _Way(coarse, minute, round(back_m, -1), _rounded(totals), state.reserve, in_use())


def _rounded(totals: Totals) -> Totals:
    """Only what the pace and the climb are made of."""
    return Totals(
        distance_m=round(totals.distance_m, -1),
        moving_s=round(totals.moving_s, -1),
        ascent_m=(0.0, round(max(totals.ascent_m))),
        descent_m=(0.0, round(max(totals.descent_m))),
        climb_known=totals.climb_known,
    )


@lru_cache(maxsize=4)
def _counted(way: _Way) -> Countdown:
    """What was climbed on the way out goes down on the way back, and the other way round; of ranges the larger."""
    from core.pace import own_pace, time_back

    out = way.out
    up, down = (max(out.ascent_m), max(out.descent_m)) if out.climb_known else (None, None)
    own = own_pace(out.distance_m, out.moving_s, up, down)
    share = way.back_m / out.distance_m if out.distance_m else 1.0
    back = time_back(way.back_m, _part(down, share), _part(up, share), own)
    return countdown(way.here, way.minute, back, way.reserve)


def _part(metres: float | None, share: float) -> float | None:
    return None if metres is None else metres * min(1.0, share)

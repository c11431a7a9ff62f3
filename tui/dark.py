"""When to turn back before dark, from the board's state."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

from core.before_dark import Countdown, Reserve, countdown
from core.fix import Position
from core.pace import own_pace, time_back
from core.trip import Totals
from tui.state import BoardState

LEAST_AWAY_M = 1000.0
"""Nearer to the start than this nobody needs to be told loudly (common practice, no source)."""


class DarkWords(NamedTuple):
    """The countdown as it is shown."""

    latest_turn: str
    """A time, or why there is none."""
    seconds_left: float | None = None
    """Negative: overdue."""
    assumptions: tuple[str, ...] = ()


class _Way(NamedTuple):
    """What the countdown is made of, rounded, so that it is worked out a few times a minute and not ten a second."""

    here: Position
    minute: datetime | None
    back_m: float
    out: Totals
    reserve: Reserve


def before_dark(state: BoardState) -> DarkWords:
    """The latest turn for the way back along the trail; words where there is no way, no place or no light to tell."""
    here = state.position
    if here is None or not state.is_current or state.is_held:
        return DarkWords("not known: no current position")
    if not state.trip.track.count:
        return DarkWords("not known: no trail yet")
    utc = state.utc
    now = utc.datetime() if utc else None
    found = _counted(_way(state, here, now))
    if found.latest_turn is None or now is None:
        return DarkWords(found.why_none, None, (_along(state), *found.assumptions))
    left_s = (found.latest_turn - now).total_seconds()
    return DarkWords(f"back by {found.latest_turn:%H:%M} UTC", left_s, (_along(state), *found.assumptions))


def is_overdue(state: BoardState) -> bool:
    """Whether it is past the latest turn, and far enough from the start to be said on every page."""
    if state.trip.totals.distance_m < LEAST_AWAY_M:
        return False
    left_s = before_dark(state).seconds_left
    return left_s is not None and left_s < 0.0


def _along(state: BoardState) -> str:
    if state.is_by_trail:
        return "Way back: what is left of the trail, as you are led along it."
    return "Way back: along the trail, as far as this trip is long; F8 at the car or trailhead begins it there."


def _way(state: BoardState, here: Position, now: datetime | None) -> _Way:
    left_m, totals = state.trail_left_m, state.trip.totals
    coarse = Position(round(here.latitude_deg, 2), round(here.longitude_deg, 2))
    minute = now.replace(second=0, microsecond=0) if now else None
    back_m = round(totals.distance_m if left_m is None else left_m, -1)
    return _Way(coarse, minute, back_m, _rounded(totals), state.reserve)


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
    out = way.out
    up, down = (max(out.ascent_m), max(out.descent_m)) if out.climb_known else (None, None)
    own = own_pace(out.distance_m, out.moving_s, up, down)
    share = way.back_m / out.distance_m if out.distance_m else 1.0
    back = time_back(way.back_m, _part(down, share), _part(up, share), own)
    return countdown(way.here, way.minute, back, way.reserve)


def _part(metres: float | None, share: float) -> float | None:
    return None if metres is None else metres * min(1.0, share)

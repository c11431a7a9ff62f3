"""When to turn back at the latest, to be back in the light.

Latest turn = deadline - time back x factor - margin. The deadline is the end of civil twilight here: the limit of
ordinary outdoor work without lamps (trade-facts.md f, S43). A factor of 1.25 to 1.5 on the time back is common practice
(trade-facts.md f). It is a sum, and no advice: what it was made from goes with it, and what it knows nothing of.

By hand: civil twilight ends at 19:40, the way back takes 1 h 36 min. Times 1.25 that is 2 h, with a margin of half an
hour the latest turn is 17:10; at 16:55 that is 900 s ahead, at 17:20 it is 600 s overdue.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.errors import InputError
from core.fix import Position
from core.pace import Estimate, in_hours
from core.places.sun import DayKind, SunDay, solar_date, sun_day

FACTOR, LEAST_FACTOR, MOST_FACTOR = 1.25, 1.0, 2.0
MARGIN_MIN, MOST_MARGIN_MIN = 30.0, 600.0
"""Half an hour is common practice, no source; ten hours is more than any day's."""
LAST_WORD = "Terrain, weather and company decide: this is a sum, not advice."


@dataclass(frozen=True, slots=True)
class Reserve:
    """What the walker keeps in hand. Raises InputError out of range."""

    factor: float = FACTOR
    """The time back is taken so many times, 1.0 to 2.0."""
    margin_min: float = MARGIN_MIN
    """To be back so long before the deadline, 0 to 600 minutes."""

    def __post_init__(self) -> None:
        if not LEAST_FACTOR <= self.factor <= MOST_FACTOR:
            raise InputError("the factor on the time back goes from 1.0 to 2.0: 1.25 is usual")
        if not 0.0 <= self.margin_min <= MOST_MARGIN_MIN:
            raise InputError("the margin before dark goes from 0 to 600 minutes: 30 is usual")


RESERVE = Reserve()


@dataclass(frozen=True, slots=True)
class Countdown:
    """To the latest turn. Without a deadline there is no figure, and `why_none` says why."""

    deadline: datetime | None
    """End of civil twilight, UTC."""
    latest_turn: datetime | None
    """UTC."""
    seconds_left: float | None
    """Until then; negative: overdue by so many."""
    time_back: Estimate
    assumptions: tuple[str, ...]
    """Plain sentences; the last always says who decides."""
    why_none: str = ""
    """Empty where there is a deadline."""


def countdown(here: Position, now: datetime | None, back: Estimate, reserve: Reserve = RESERVE) -> Countdown:
    """The latest turn for who is `here` and has this way back. `now`: aware; None where the date is not known.

    Raises ValueError for a time without a zone.
    """
    deadline, light = _deadline(here, now)
    spare = f"Margin: back {reserve.margin_min:.0f} min before that."
    factor = f"Factor: the time back of {in_hours(back.seconds)} is taken {reserve.factor:g} times."
    if deadline is None or now is None:
        return Countdown(None, None, None, back, (*back.assumptions, LAST_WORD), light)
    turn = _less(deadline, back.seconds * reserve.factor + 60.0 * reserve.margin_min)
    assumptions = (*back.assumptions, factor, spare, light, LAST_WORD)
    return Countdown(deadline, turn, (turn - now).total_seconds(), back, assumptions)


def _deadline(here: Position, now: datetime | None) -> tuple[datetime | None, str]:
    """End of the light of this day, and what is to be said of it."""
    if now is None:
        return None, "The date is not known yet, so neither is the end of the light."
    if not (math.isfinite(here.latitude_deg) and math.isfinite(here.longitude_deg)):
        return None, "Where this is is not known, so neither is the end of the light."
    try:
        day = sun_day(here, solar_date(here, now))
    except (ValueError, OverflowError):
        if now.tzinfo is None:
            raise
        return None, f"The light of the year {now.year} is not known: is the date right?"
    return _end_of_light(day, now)


_NEVER_DARK = "Civil twilight lasts all night: it does not get dark."
_ENDLESS = {
    DayKind.ABOVE: _NEVER_DARK,
    DayKind.ONLY_RISES: _NEVER_DARK,
    DayKind.BELOW: "There is no civil twilight on this day: it is dark all day.",
}


def _end_of_light(day: SunDay, now: datetime) -> tuple[datetime | None, str]:
    """After midnight the evening to come is no deadline for who is out since yesterday."""
    if day.civil_dawn and now < day.civil_dawn:
        return None, f"It is dark; civil twilight begins at {day.civil_dawn:%H:%M} UTC."
    if day.civil_dusk is None:
        return None, _ENDLESS.get(day.civil, _NEVER_DARK)
    return day.civil_dusk, (
        f"Light: civil twilight ends at {day.civil_dusk:%H:%M} UTC, over a level and open horizon; "
        "in a valley or under trees it is dark up to an hour earlier."
    )


def _less(moment: datetime, seconds: float) -> datetime:
    """So long before; no earlier than the calendar goes."""
    try:
        return moment - timedelta(seconds=seconds)
    except OverflowError:
        return datetime.min.replace(tzinfo=moment.tzinfo)

"""When a receiver's second may not be believed, whatever the delays say.

Two things are wrong by whole units and look right: leap seconds that a receiver has not got yet after a cold start, and
dates that are 1024 weeks early. Neither may move an offset in silence.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from core.clock_samples import DAY_S
from core.dates import BUILT_ON, MARGIN_DAYS, ROLLOVER_DAYS, corrected_day, is_too_early
from core.fix import Fix, Utc

LEAP_WAIT_S = 780.0
"""13 minutes: the satellites send the leap seconds every 12.5 (trade-facts, section h)."""
MOST_LEAP_S = 4
"""Two receivers of one make were seen to differ by about 3 s after a cold start (trade-facts, section h)."""
ZONE_S, ZONE_MARGIN_S = 1800.0, 60.0
"""Time zones are whole half-hours but for a few; a recording whose times are off by one is written in local time."""
_UNIX = datetime(1970, 1, 1, tzinfo=UTC)


class Guard(NamedTuple):
    """Something that speaks against the receiver's second."""

    id: str
    words: str
    withholds: bool
    """Whether no offset may be stated at all."""


class ColdStart:
    """Whether the receiver was seen to start without knowing the time, and how long ago it has had a fix since."""

    def __init__(self) -> None:
        self.first_fix_s: float | None = None
        """When it had a fix for the first time since watching began, or since it started."""
        self.seen = False
        """Whether it was seen to start: inferred from a beginning without a fix, or seconds that it does not know."""

    def take(self, fix: Fix, at_s: float) -> None:
        """The next finished epoch that says whether there is a fix, on the clock of the arrivals."""
        if fix.utc is None or (self.first_fix_s is None and not fix.is_satellite_fix):
            self.seen, self.first_fix_s = True, None
        elif fix.is_satellite_fix and self.first_fix_s is None:
            self.first_fix_s = at_s

    def left_s(self, now_s: float) -> float:
        """How long its leap seconds may still be the wrong ones: from its first fix, or since watching began."""
        return 0.0 if self.first_fix_s is None else max(0.0, LEAP_WAIT_S - (now_s - self.first_fix_s))


def leap_guard(start: ColdStart, now_s: float, bounds: tuple[float, float] | None) -> Guard | None:
    """For an offset between two bounds: None where the two clocks agree, or the time for it has passed.

    `bounds`: None while there are none that mean anything, so that nothing can agree.
    """
    left_s = start.left_s(now_s)
    if left_s <= 0.0 or (bounds and bounds[0] <= 0.0 <= bounds[1]):
        return None
    wait = f"wait {left_s / 60:.0f} min" if left_s >= 60.0 else f"wait {left_s:.0f} s"
    if start.seen:
        agree = "do not agree" if bounds else "are not known to agree"
        words = f"the receiver has just started and the clocks {agree}: its leap seconds may not have come yet"
        return Guard("leap", f"{words}; {wait}", withholds=True)
    if bounds is None:
        return None
    low_s, high_s = bounds
    whole_s = round((low_s + high_s) / 2)
    if 1 <= abs(whole_s) <= MOST_LEAP_S and low_s <= whole_s <= high_s:
        words = f"the clocks differ by a whole {abs(whole_s)} s: may be leap seconds that have not come yet"
        return Guard("leap", f"{words}, if the receiver was switched on lately; {wait}", withholds=False)
    return None


class Days(NamedTuple):
    """What the dates of both clocks say."""

    apart: int
    """Whole days to add to an offset that is known modulo a day."""
    day: date | None = None
    """The receiver's, moved by whole rollovers where that mends it."""
    note: str = ""
    guard: Guard | None = None
    sure: bool = True
    """Whether the date is known well enough to set a clock by."""


def compare_days(utc: Utc, unix_s: float, offset_s: float, *, recorded: bool) -> Days:
    """The dates, at a moment when the computer's clock said `unix_s`, its time of day `offset_s` ahead.

    `recorded`: the computer's clock is that of a recording, which may be of any age.
    """
    here = _day_of(unix_s)
    reference = here if recorded or here is None else max(here, BUILT_ON)
    if utc.day is None:
        return Days(0, None, "the receiver tells no date: compared by the time of day alone", None, sure=False)
    if here is None or reference is None:
        return _unknown(utc.day, "this computer's date is none that a calendar has")
    if is_too_early(utc.day, reference):
        mended = corrected_day(utc.day, reference)
        if mended is None:
            return _unknown(utc.day, f"the receiver's date, {utc.day}, cannot be right")
        weeks = (mended - utc.day).days // 7
        return Days(_apart(mended, utc, unix_s, offset_s), mended, f"date corrected from {utc.day} by {weeks} weeks")
    # A computer that is older than this program has lost its date: then the receiver's stands, if no rollover is in it.
    ahead = MARGIN_DAYS if here == reference else ROLLOVER_DAYS - MARGIN_DAYS
    days = (utc.day - reference).days
    if days > ahead:
        return _unknown(utc.day, f"the receiver's date, {utc.day}, is {days} days ahead of {reference}")
    return Days(_apart(utc.day, utc, unix_s, offset_s), utc.day)


def zone_guard(offset_s: float) -> Guard | None:
    """For the times in a recording."""
    if abs(offset_s) < ZONE_S / 2 or abs(offset_s - round(offset_s / ZONE_S) * ZONE_S) > ZONE_MARGIN_S:
        return None
    hours = round(offset_s / ZONE_S) * ZONE_S / 3600
    words = f"the times in this recording are {hours:+g} h from the satellites': local time, not UTC?"
    return Guard("zone", words, withholds=True)


def _unknown(day: date, why: str) -> Days:
    guard = Guard("date", f"{why}: which clock is right cannot be told", withholds=True)
    return Days(0, day, "", guard, sure=False)


def _apart(day: date, utc: Utc, unix_s: float, offset_s: float) -> int:
    stamped_s = (day - _UNIX.date()).days * DAY_S + utc.time_ms / 1000
    return round((unix_s - stamped_s - offset_s) / DAY_S)


def _day_of(unix_s: float) -> date | None:
    try:
        return (_UNIX + timedelta(seconds=unix_s)).date()
    except OverflowError:
        return None

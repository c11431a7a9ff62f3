"""When the epochs of a session were, as Unix milliseconds, whatever their receiver knew of the date.

A receiver may say no date for its first minutes, or never, or one that is 1024 weeks early. The first epoch with a
believable date ties the recording's own clock to it, and all others follow. Without one the recorder's name for the
file gives the day, by this computer's clock of then; without that too there are only times of day, counted from
1970-01-01, and `Dates` says so.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from enum import Enum
from typing import NamedTuple

from core.dates import corrected_day, is_too_early
from core.epochs import Epoch
from core.fix import MS_PER_DAY, Utc

_EPOCH_DAY = date(1970, 1, 1).toordinal()
_ZERO = datetime(1970, 1, 1, tzinfo=UTC)
_FIRST_MS, _LAST_MS = -62_135_596_800_000, 253_402_300_799_999
"""Of the calendar, years 1 to 9999. A damaged date may lie at its end, and the seconds after it beyond."""


class Dates(Enum):
    """What the dates of a session rest on; the values stand in `summaries.json`."""

    RECEIVER = "receiver"
    MENDED = "mended"
    COMPUTER = "computer"
    NONE = "none"

    @property
    def words(self) -> str:
        """What the user must know of it; empty where there is nothing."""
        return _WORDS[self]


_WORDS = {
    Dates.RECEIVER: "",
    Dates.MENDED: "the receiver's date was 1024 weeks early: moved",
    Dates.COMPUTER: "the receiver told no date: the day is by the computer's clock of then",
    Dates.NONE: "no date is known: times of day only",
}


class Anchor(NamedTuple):
    """One moment on both clocks."""

    at_s: float
    """The recording's own."""
    unix_ms: int


class SessionClock:
    """Dates epochs. `anchor`: None until an epoch with a believable date has come, where none is known before."""

    def __init__(self, began: datetime | None = None, anchor: Anchor | None = None) -> None:
        """`began`: when the recorder began the file, by the computer's clock; None where that is not known."""
        self._began = began
        self.anchor = anchor
        self._mended = False
        self._first: Anchor | None = None

    @property
    def dates(self) -> Dates:
        """As of the epochs so far."""
        if self.anchor is not None:
            return Dates.MENDED if self._mended else Dates.RECEIVER
        return Dates.COMPUTER if self._began else Dates.NONE

    def unix_ms(self, epoch: Epoch) -> int | None:
        """When it was; None where its sentences have no time, or one after the end of the calendar.

        A leap second counts as the next midnight.
        """
        utc = epoch.fix.utc
        if utc is None:
            return None
        day = self._day(epoch, utc)
        found = self._nearest(utc.time_ms, epoch.at_s) if day is None else _midnight_ms(day) + utc.time_ms
        if not in_calendar(found):
            return None
        if day is not None:
            self.anchor = self.anchor or Anchor(epoch.at_s, found)
        return found

    def _day(self, epoch: Epoch, utc: Utc) -> date | None:
        """None where there is no date, or one that cannot be."""
        evidence = epoch.trust.evidence
        if evidence and evidence.corrected_day:
            self._mended = True
            return evidence.corrected_day
        reference = self._began.date() if self._began else None
        if utc.day is None:
            return None
        if not is_too_early(utc.day, reference):
            return utc.day if reference else self._rolled_over(utc.day)
        mended = corrected_day(utc.day, reference) if reference else None
        self._mended = self._mended or mended is not None
        return mended

    def _rolled_over(self, day: date) -> date:
        """The date as the first one has it, where a rollover came since that the receiver does not know of."""
        mended = corrected_day(day, moment(self.anchor.unix_ms).date()) if self.anchor else None
        self._mended = self._mended or mended is not None
        return mended or day

    def _nearest(self, time_ms: int, at_s: float) -> int:
        """The day on which this time of day is nearest to where the recording's clock would have it."""
        expected = self._expected_ms(at_s)
        if expected is None:
            self._first = Anchor(at_s, time_ms)
            return time_ms
        days = round((expected - time_ms) / MS_PER_DAY)
        return days * MS_PER_DAY + time_ms

    def _expected_ms(self, at_s: float) -> int | None:
        if self.anchor is not None:
            return self.anchor.unix_ms + round((at_s - self.anchor.at_s) * 1000)
        if self._began is not None:
            return round(self._began.timestamp() * 1000 + at_s * 1000)
        first = self._first
        return None if first is None else first.unix_ms + round((at_s - first.at_s) * 1000)


def _midnight_ms(day: date) -> int:
    return (day.toordinal() - _EPOCH_DAY) * MS_PER_DAY


def in_calendar(unix_ms: int) -> bool:
    """Whether there is such a date: years 1 to 9999."""
    return _FIRST_MS <= unix_ms <= _LAST_MS


def moment(unix_ms: int) -> datetime:
    """As an aware datetime, UTC. Raises OverflowError for years that there are none of."""
    return _ZERO + timedelta(milliseconds=unix_ms)


def iso(unix_ms: int, dates: Dates) -> str:
    """contract.md, Times: without a date the time alone."""
    text = f"{moment(unix_ms):%Y-%m-%dT%H:%M:%S}.{unix_ms % 1000:03d}Z"
    return text[text.index("T") :] if dates is Dates.NONE else text

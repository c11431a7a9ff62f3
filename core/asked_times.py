"""Times that the user asks for: `14:32`, `14:32:10`, `2031-05-04 14:32`, UTC unless `local` stands behind them.

ISO 8601 with T and Z is read too. Without a date the session gives it; over midnight the reading that lies inside.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple

from core.errors import InputError

LONGEST = 60
"""Characters of one time."""
MOST = 200
"""Times in one question: a contest log's worth."""
_SHAPE = re.compile(
    r"(?:(\d{4})-(\d\d)-(\d\d)[T ]\s*|T)?(\d\d?):(\d\d)(?::(\d\d)(?:\.(\d{1,3}))?)?\s*(z|utc|l|local)?",
    re.IGNORECASE | re.ASCII,
)

ToUtc = Callable[[datetime], datetime]
"""From a naive local time, its `fold` heeded, to UTC: a clock on a wall in, the sun's out. Passed in, since only the
computer knows its zone."""


class Asked(NamedTuple):
    """One time as it was asked for."""

    text: str
    """As it was typed, without blanks around it."""
    at: time
    day: date | None
    """None: of the session."""
    is_local: bool

    def readings(self, day: date, to_utc: ToUtc) -> list[datetime]:
        """The instants it means on this day (its own where it has one), UTC, the earlier first.

        None in an hour that a clock skips in spring, two in one that it goes through twice in autumn. Raises
        OverflowError at the ends of the calendar.
        """
        moment = datetime.combine(self.day or day, self.at)
        if not self.is_local:
            return [moment.replace(tzinfo=UTC)]
        both = [to_utc(moment.replace(fold=fold)) for fold in (0, 1)]
        # In a skipped hour fold 0 reads the clock of before, so it lies later than fold 1, which reads that of after.
        return [] if both[0] > both[1] else sorted(set(both))


def read_times(text: str) -> list[Asked]:
    """Times with commas or semicolons between them. Raises InputError naming the one that is none."""
    parts = [part.strip() for part in re.split(r"[,;\n]", text)]
    found = [read_time(part) for part in parts if part]
    if not found:
        raise InputError("no time: 14:32, or 14:32, 15:10, or 2031-05-04 14:32; UTC, or with the word local behind it")
    if len(found) > MOST:
        raise InputError(f"{len(found)} times are too many at once: {MOST} at most")
    return found


def read_time(text: str) -> Asked:
    """One time. Raises InputError."""
    text = text.strip()
    found = _SHAPE.fullmatch(text) if len(text) <= LONGEST else None
    if found is None:
        raise InputError(
            f"{text[:LONGEST]!r} is no time: 14:32, 14:32:10 or 2031-05-04 14:32, with local behind it if so"
        )
    year, month, day, hour, minute, second, part, zone = found.groups()
    try:
        at = time(int(hour), int(minute), int(second or 0), int((part or "0").ljust(3, "0")) * 1000)
        on = date(int(year), int(month), int(day)) if year else None
    except ValueError as error:
        raise InputError(f"{text!r} is no time of any day ({error})") from error
    return Asked(text, at, on, (zone or "").lower() in {"l", "local"})


def instants(asked: Asked, span: tuple[datetime, datetime], to_utc: ToUtc) -> list[datetime]:
    """What a time can mean for a session from the first to the second of `span`: each reading that lies inside.

    Where none does, the one that is nearest to the session. None at all only in an hour that a clock skips.
    """
    inside: list[datetime] = []
    outside: list[datetime] = []
    for one in _readings(asked, span, to_utc):
        (inside if span[0] <= one <= span[1] else outside).append(one)
    return inside or sorted(outside, key=lambda one: away(one, span))[:1]


def _readings(asked: Asked, span: tuple[datetime, datetime], to_utc: ToUtc) -> Iterator[datetime]:
    """One day more on both sides: a local day is not one of UTC."""
    day, last = _moved(span[0].date(), -1), _moved(span[1].date(), 1)
    yield from asked.readings(day, to_utc)
    while asked.day is None and day < last:
        day += timedelta(1)
        yield from asked.readings(day, to_utc)


def _moved(day: date, by: int) -> date:
    """So many days on; the same day where the calendar ends."""
    try:
        return day + timedelta(by)
    except OverflowError:
        return day


def away(one: datetime, span: tuple[datetime, datetime]) -> timedelta:
    """How far outside; zero or less inside."""
    return max(span[0] - one, one - span[1])


def local_to_utc(moment: datetime) -> datetime:
    """By this computer's zone."""
    return moment.astimezone(UTC)

"""Which epochs lie in the part of a recording that is asked for.

With a date, an epoch's own date decides; an epoch without one is then in no part. A time of day is made an instant by
the first fix: `--since` is the one of that day, or of the next where it lies more than half a day before the first fix;
`--until` is the first one after that. So 22:00 to 01:30 works over midnight, and in recordings that know no date.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from core.export_plan import Bound
from core.fix import MS_PER_DAY, Fix, Utc

HALF_DAY_MS = MS_PER_DAY // 2


class Window:
    """Takes epochs in their order."""

    def __init__(self, since: Bound | None, until: Bound | None) -> None:
        if since and until and since.day and until.day is None:
            until = until._replace(day=_day_after(since, until))
        self._since, self._until = since, until
        self._since_ms = self._until_ms = 0
        self._now_ms = 0
        self._before: Utc | None = None

    def holds(self, fix: Fix) -> bool:
        """Whether this epoch is in it. Before the first fix there is no telling: then only without `--since`."""
        if self._since is None and self._until is None:
            return True
        if self._before is None and not fix.is_satellite_fix:
            return self._since is None
        if fix.utc is None:
            return False
        self._go_on(fix.utc)
        return self._after_since(fix.utc) and self._before_until(fix.utc)

    def _go_on(self, utc: Utc) -> None:
        """Milliseconds since the midnight before the first fix, over midnights; a date is not needed for it."""
        if self._before is None:
            self._now_ms = utc.time_ms
            self._resolve()
        else:
            self._now_ms += _step_ms(self._before, utc)
        self._before = utc

    def _resolve(self) -> None:
        start_ms = self._now_ms
        if self._since and self._since.day is None:
            self._since_ms = self._since.time_ms
            if start_ms - self._since_ms > HALF_DAY_MS:
                self._since_ms += MS_PER_DAY
            start_ms = self._since_ms
        if self._until:
            days = max(0, -(-(start_ms - self._until.time_ms) // MS_PER_DAY))
            self._until_ms = self._until.time_ms + days * MS_PER_DAY

    def _after_since(self, utc: Utc) -> bool:
        if self._since is None:
            return True
        if self._since.day is None:
            return self._now_ms >= self._since_ms
        moment = utc.datetime()
        return moment is not None and moment >= _moment(self._since.day, self._since.time_ms)

    def _before_until(self, utc: Utc) -> bool:
        if self._until is None:
            return True
        if self._until.day is None:
            return self._now_ms <= self._until_ms
        moment = utc.datetime()
        return moment is not None and moment <= _moment(self._until.day, self._until.time_ms)


def _step_ms(before: Utc, after: Utc) -> int:
    """By the dates where they tell less than a day forward, else within half a day either way: a clock that was set."""
    if before.day and after.day:
        step = (after.day - before.day).days * MS_PER_DAY + after.time_ms - before.time_ms
        if 0 <= step < MS_PER_DAY:
            return step
    return (after.time_ms - before.time_ms + HALF_DAY_MS) % MS_PER_DAY - HALF_DAY_MS


def _moment(day: date, time_ms: int) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(milliseconds=time_ms)


def _day_after(since: Bound, until: Bound) -> date | None:
    """The day of an end that was given as a time of day."""
    if since.day is None or until.time_ms >= since.time_ms or since.day == date.max:
        return since.day
    return since.day + timedelta(days=1)

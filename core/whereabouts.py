"""Where one was at given times, from a session: for the contact log.

A position is only given where there is a fix to vouch for it: at that instant, between two usable fixes less than ten
seconds apart (along the line between them), else the nearer one with its age. Outside a session, and in a gap, it is
said, with the fixes before and after; there is no going on by the last course.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from geographiclib.geodesic import Geodesic

from core.epochs import Epoch
from core.fix import Position
from core.places.locator import locator
from core.session_clock import Dates, SessionClock, iso
from core.trust import Verdict

BRIDGED_S = 10.0
"""Two fixes this far apart or farther have a gap between them, as in the trip's totals (`core.trip`)."""
BRIDGED_MS = round(BRIDGED_S * 1000)


class FixThen(NamedTuple):
    """A satellite fix of the session."""

    unix_ms: int
    position: Position
    error_95_m: float | None
    verdict: Verdict

    def as_json(self, asked_ms: int, dates: Dates) -> dict[str, object]:
        """Beside an answer; its age is negative where it came after the time asked for."""
        return {
            "utc": iso(self.unix_ms, dates),
            "latitude": round(self.position.latitude_deg, 9),
            "longitude": round(self.position.longitude_deg, 9),
            "locator": locator(self.position, 6),
            "error_95_m": _metres(self.error_95_m),
            "verdict": self.verdict.words,
            "age_s": round((asked_ms - self.unix_ms) / 1000, 3),
        }


class Whereabouts(NamedTuple):
    """The answer for one instant."""

    asked: str
    """As the user wrote it."""
    unix_ms: int | None
    """What it was taken for; None where the session cannot tell."""
    dates: Dates
    how: str
    """How the position came about, or why there is none."""
    position: Position | None = None
    error_95_m: float | None = None
    """Horizontal, estimated; None where nothing is known, as of a fix that is not of that moment."""
    age_s: float | None = None
    """From that time to the nearest fix, either way; None without a position."""
    before: FixThen | None = None
    after: FixThen | None = None

    def as_json(self) -> dict[str, object]:
        """The keys of `fixboard log at --json`."""
        asked_ms = self.unix_ms or 0
        place = self.position
        return {
            "asked": self.asked,
            "utc": None if self.unix_ms is None else iso(self.unix_ms, self.dates),
            "latitude": None if place is None else round(place.latitude_deg, 9),
            "longitude": None if place is None else round(place.longitude_deg, 9),
            "locator": None if place is None else locator(place, 6),
            "error_95_m": _metres(self.error_95_m),
            "age_s": self.age_s,
            "how": self.how,
            "before": self.before.as_json(asked_ms, self.dates) if self.before else None,
            "after": self.after.as_json(asked_ms, self.dates) if self.after else None,
        }


class _Sought:
    """One instant, and the fixes nearest to it so far: in any order, since a receiver's clock may step back."""

    def __init__(self, asked: str, unix_ms: int) -> None:
        self.asked = asked
        self.unix_ms = unix_ms
        self.before: FixThen | None = None
        self.after: FixThen | None = None

    def take(self, fix: FixThen) -> None:
        if fix.unix_ms <= self.unix_ms:
            if self.before is None or fix.unix_ms >= self.before.unix_ms:
                self.before = fix
        elif self.after is None or fix.unix_ms < self.after.unix_ms:
            self.after = fix


def whereabouts(times: Sequence[tuple[str, int]], epochs: Iterable[Epoch], clock: SessionClock) -> list[Whereabouts]:
    """Where one was at each of `times` (as typed, and Unix milliseconds), in one pass over a session's epochs."""
    sought = [_Sought(*one) for one in times]
    first = last = None
    for epoch in epochs:
        unix_ms = clock.unix_ms(epoch)
        if unix_ms is None:
            continue
        first = unix_ms if first is None else min(first, unix_ms)
        last = unix_ms if last is None else max(last, unix_ms)
        fix = _fix(epoch, unix_ms)
        if fix is not None:
            for one in sought:
                one.take(fix)
    span = None if first is None or last is None else (first, last)
    return [_answer(one, span, clock.dates) for one in sought]


def _fix(epoch: Epoch, unix_ms: int) -> FixThen | None:
    position = epoch.fix.position
    if position is None or not epoch.fix.is_satellite_fix:
        return None
    return FixThen(unix_ms, position, epoch.trust.error.horizontal_m, epoch.trust.verdict)


def _answer(sought: _Sought, span: tuple[int, int] | None, dates: Dates) -> Whereabouts:
    nothing = Whereabouts(sought.asked, sought.unix_ms, dates, "", before=sought.before, after=sought.after)
    before, after = sought.before, sought.after
    if span is None or (before is None and after is None):
        return nothing._replace(how="no fix in this session")
    if before is not None and before.unix_ms == sought.unix_ms:
        return _at(nothing, before, 0, f"a fix of that moment{_doubt(before)}")
    if before is not None and after is not None:
        return _between(nothing, before, after)
    return _beyond(nothing, span)


def _between(nothing: Whereabouts, before: FixThen, after: FixThen) -> Whereabouts:
    asked_ms, apart_ms = nothing.unix_ms or 0, after.unix_ms - before.unix_ms
    sure = min(before.verdict, after.verdict) >= Verdict.USABLE
    nearer = before if asked_ms - before.unix_ms <= after.unix_ms - asked_ms else after
    away_ms = abs(asked_ms - nearer.unix_ms)
    if apart_ms >= BRIDGED_MS:
        how = f"in a gap of {_length(apart_ms)}: the nearer fix, {_side(asked_ms, nearer)}{_doubt(nearer)}"
        return _at(nothing, nearer, away_ms, how)
    if not sure:
        return _at(nothing, nearer, away_ms, f"the nearer fix, {_side(asked_ms, nearer)}{_doubt(nearer)}")
    place = _along(before.position, after.position, (asked_ms - before.unix_ms) / apart_ms)
    found = _at(nothing, nearer, away_ms, f"between two fixes {_length(apart_ms)} apart")
    return found._replace(position=place, error_95_m=_worse(before.error_95_m, after.error_95_m))


def _beyond(nothing: Whereabouts, span: tuple[int, int]) -> Whereabouts:
    """All fixes lie on one side: before the first one, after the last one."""
    only = nothing.before or nothing.after
    asked_ms = nothing.unix_ms or 0
    if only is None:
        return nothing
    outside = "before this session" if asked_ms < span[0] else "after this session" if asked_ms > span[1] else ""
    side = "before its first fix" if nothing.before is None else "after its last fix"
    away_ms = abs(asked_ms - only.unix_ms)
    if away_ms < BRIDGED_MS:
        return _at(nothing, only, away_ms, f"{side}, {_side(asked_ms, only)}{_doubt(only)}")
    return nothing._replace(how=f"{outside or side}: the nearest fix came {_side(asked_ms, only)}")


def _at(nothing: Whereabouts, fix: FixThen, away_ms: int, how: str) -> Whereabouts:
    """How far one has gone since that fix is not known: its error is that of its own moment alone."""
    error_m = None if away_ms else fix.error_95_m
    return nothing._replace(how=how, position=fix.position, error_95_m=error_m, age_s=round(away_ms / 1000, 3))


def _along(start: Position, end: Position, part: float) -> Position:
    """A point of the geodesic: right over the antimeridian and near a pole as well."""
    line = Geodesic.WGS84.InverseLine(*start, *end)
    found = line.Position(line.s13 * part)
    return Position(found["lat2"], found["lon2"])


def _side(asked_ms: int, fix: FixThen) -> str:
    return f"{_length(abs(asked_ms - fix.unix_ms))} {'earlier' if fix.unix_ms <= asked_ms else 'later'}"


def _doubt(fix: FixThen) -> str:
    return "" if fix.verdict >= Verdict.USABLE else ", doubtful"


def _length(ms: int) -> str:
    seconds = ms / 1000
    if seconds < BRIDGED_S:
        return f"{seconds:g} s"
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min {whole % 60:02d} s"
    if whole < 2 * 86_400:
        return f"{whole // 3600} h {whole % 3600 // 60:02d} min"
    return f"{round(whole / 86_400)} days"


def _worse(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else max(a, b)


def _metres(value: float | None) -> float | None:
    return None if value is None else round(value, 2)

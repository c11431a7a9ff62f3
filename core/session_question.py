"""From the times a user asks for to answers: which session, which readings, one pass over its epochs."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import datetime, timedelta
from typing import NamedTuple

from core.accuracy import ErrorModel
from core.asked_times import Asked, ToUtc, away, instants
from core.epochs import EpochReader
from core.errors import InputError
from core.session_clock import Dates, SessionClock, moment
from core.session_files import Session
from core.session_reading import needs_checksums, open_session
from core.session_summary import Summary
from core.sessions import Entry
from core.whereabouts import Whereabouts, whereabouts


class Ways(NamedTuple):
    """How times and files are read."""

    to_utc: ToUtc
    """From a local time to UTC."""
    errors: ErrorModel | None = None
    """What the 95 % error is estimated with."""
    progress: Callable[[float], None] = lambda _: None
    """As in `summarise`."""


LONGEST = timedelta(days=400)
"""A session that claims to be longer has a clock that leapt: only times with a date are looked up in it."""


def session_for(asked: Sequence[Asked], entries: Sequence[Entry], to_utc: ToUtc) -> Entry:
    """The session that most of the times lie in, else the nearest to those with a date; of equal ones the last.

    `entries`: with their summaries, in any order. Raises InputError where none of them has a fix.
    """
    usable = [entry for entry in entries if entry.summary and entry.summary.first and _span(entry.summary)]
    if not usable:
        raise InputError("no session of the logbook has a fix: fixboard log lists them with the reason")
    return max(reversed(usable), key=lambda entry: _fits(asked, entry.summary, to_utc))


def _fits(asked: Sequence[Asked], summary: Summary | None, to_utc: ToUtc) -> tuple[int, float]:
    """How many of the times lie inside; and how near the others are, those with a date, seconds, the farther the less.

    A session without dates fits no time, as far as anybody can tell.
    """
    span = _span(summary) if summary else None
    if span is None or (summary and summary.dates is Dates.NONE):
        return 0, -math.inf
    inside, near_s = 0, 0.0
    for one in asked:
        nearest_s = min((away(instant, span).total_seconds() for instant in _instants(one, span, to_utc)), default=1.0)
        inside += nearest_s <= 0.0
        near_s -= max(0.0, nearest_s) if one.day else 0.0
    return inside, near_s


class Answer(NamedTuple):
    """One reading of one time, and the session that was asked."""

    entry: Entry
    found: Whereabouts


def answers_of(
    asked: Sequence[Asked], entries: Sequence[Entry], ways: Ways, chosen: Entry | None = None
) -> list[Answer]:
    """Where one was at each time, in the order asked: a time with its date in the session that it lies in.

    Times without a date are of `chosen`; without that, of the one session that most of them lie in. `entries`: with
    their summaries. Each session is read once. Raises InputError as `session_for` and `answers` do.
    """
    undated = [one for one in asked if one.day is None]
    shared = (chosen or session_for(undated, entries, ways.to_utc)) if undated else None
    of = [shared if one.day is None else session_for([one], entries, ways.to_utc) for one in asked]
    found: dict[int, list[Answer]] = {}
    for entry in {entry.session.key: entry for entry in of if entry is not None}.values():
        mine = [number for number, one in enumerate(of) if one is not None and one.session.key == entry.session.key]
        for number, several in zip(mine, _each([asked[number] for number in mine], entry, ways), strict=True):
            found[number] = [Answer(entry, one) for one in several]
    return [one for number in sorted(found) for one in found[number]]


def answers(asked: Sequence[Asked], entry: Entry, ways: Ways) -> list[Whereabouts]:
    """The same of one session."""
    return [one for several in _each(asked, entry, ways) for one in several]


def _each(asked: Sequence[Asked], entry: Entry, ways: Ways) -> list[list[Whereabouts]]:
    """For each time its answers; a time with two readings inside the session has two answers.

    `entry`: with its summary. Raises InputError where the session cannot be read.
    """
    summary = entry.summary or Summary()
    span = _span(summary)
    if span is None:
        reason = summary.problem or "holds no epoch with a time"
        raise InputError(f"{entry.session.paths[0].name} {reason}: it cannot tell where you were")
    planned = [_planned(one, span, summary.dates, ways.to_utc) for one in asked]
    times = [(one.text, _unix_ms(instant)) for one, (found, _) in zip(asked, planned, strict=True) for instant in found]
    looked_up = iter(_look_up(times, entry.session, summary, ways))
    return [
        [next(looked_up) for _ in readings] or [Whereabouts(one.text, None, summary.dates, why_not)]
        for one, (readings, why_not) in zip(asked, planned, strict=True)
    ]


def _planned(one: Asked, span: tuple[datetime, datetime], dates: Dates, to_utc: ToUtc) -> tuple[list[datetime], str]:
    """The instants to look up; where there are none, why."""
    if dates is Dates.NONE and (one.day or one.is_local):
        return [], "this session knows no date: ask by the time of day alone, UTC"
    found = _instants(one, span, to_utc)
    return found, "" if found else "there was no such time: the clocks were put forward over it"


def _instants(one: Asked, span: tuple[datetime, datetime], to_utc: ToUtc) -> list[datetime]:
    if one.day is None and span[1] - span[0] > LONGEST:
        span = span[0], span[0] + LONGEST
    try:
        return instants(one, span, to_utc)
    except (OverflowError, ValueError, OSError):  # the ends of the calendar, or of what the system's zones know
        return []


def _look_up(times: Sequence[tuple[str, int]], session: Session, summary: Summary, ways: Ways) -> list[Whereabouts]:
    if not times:
        return []
    recording = open_session(session.paths)
    with closing(recording):
        reader = EpochReader(recording, needs_checksums(session.paths), ways.errors)
        epochs = reader.epochs(lambda: ways.progress(recording.fraction))
        return whereabouts(times, epochs, SessionClock(session.began, summary.anchor))


def _span(summary: Summary) -> tuple[datetime, datetime] | None:
    if summary.begins_ms is None or summary.ends_ms is None:
        return None
    first, last = sorted((summary.begins_ms, summary.ends_ms))
    return moment(first), moment(last)


def _unix_ms(instant: datetime) -> int:
    return (instant - moment(0)) // timedelta(milliseconds=1)

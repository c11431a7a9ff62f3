"""Sessions in words, for the logbook's screen and for the shell."""

from __future__ import annotations

from datetime import datetime

from core.places.locator import locator
from core.session_clock import Dates, moment
from core.session_summary import Summary
from core.sessions import DiskUse, Entry
from core.trust import Verdict
from core.whereabouts import Whereabouts
from tui import wording

WORKING = "..."
"""In the place of what is still being worked out."""
UNKNOWN = "-"
_UNITS = ("kB", "MB", "GB", "TB")


def when(entry: Entry) -> str:
    """Date and minute, UTC; by the file's name until more is known, the time alone without a date."""
    found = entry.summary
    if found is None or found.begins_ms is None:
        return f"{entry.session.began:%Y-%m-%d %H:%M}" if entry.session.began else UNKNOWN
    if found.dates is Dates.NONE:
        return f"no date    {moment(found.begins_ms):%H:%M}"
    return f"{moment(found.begins_ms):%Y-%m-%d %H:%M}"


def when_local(entry: Entry) -> str:
    """The same by this computer's zone, to the minute with the zone's offset; empty without a date."""
    found = entry.summary
    if found is None or found.begins_ms is None or found.dates is Dates.NONE:
        return ""
    return local(moment(found.begins_ms))


def local(instant: datetime) -> str:
    """By this computer's zone; empty where the system has none for it."""
    try:
        return f"{instant.astimezone():%Y-%m-%d %H:%M UTC%z}"
    except (OverflowError, ValueError, OSError):
        return ""


def until(found: Summary) -> str:
    """When it ended, UTC, to the second."""
    if found.ends_ms is None:
        return UNKNOWN
    text = f"{moment(found.ends_ms):%Y-%m-%d %H:%M:%S}"
    return text[-8:] if found.dates is Dates.NONE else text


def length(entry: Entry) -> str:
    """h:mm:ss."""
    found = entry.summary
    if found is None:
        return WORKING
    return UNKNOWN if found.duration_s is None else wording.clock(found.duration_s)


def way(entry: Entry) -> str:
    """The honest distance."""
    found = entry.summary
    if found is None:
        return WORKING
    return UNKNOWN if found.distance_m is None else wording.distance(found.distance_m)


def square(entry: Entry) -> str:
    """The locator of the first fix; that of the last one behind it where it is another."""
    found = entry.summary
    if found is None:
        return WORKING
    first, last = found.locator, found.last_locator
    if first is None:
        return UNKNOWN
    return first if first == last else f"{first}-{last}"


def quality(entry: Entry) -> str:
    """Shares of the verdicts, best first; what is wrong, where something is."""
    found = entry.summary
    if found is None:
        return WORKING
    if found.problem:
        return found.problem
    if not found.epochs_with_fix:
        return "no fix at all"
    return ", ".join(
        f"{_percent(count, found.epochs)} {verdict.words}"
        for verdict, count in reversed(list(zip(Verdict, found.verdicts, strict=True)))
        if count
    )


def _percent(count: int, total: int) -> str:
    """Never 0 % of what there is, nor 100 % of what is not all."""
    share = 100 * count / total
    return f"{min(max(round(share), 1), 99 if count < total else 100)} %"


def size(count: int) -> str:
    """Bytes as kB, MB ... of a thousand each."""
    value, unit = float(count), "B"
    for larger in _UNITS:
        if value < 999.5:
            break
        value, unit = value / 1000, larger
    return f"{value:.0f} {unit}" if unit == "B" or value >= 9.95 else f"{value:.1f} {unit}"


def disk(use: DiskUse) -> str:
    """One line."""
    free = f", {size(use.free)} free" if use.free is not None else ""
    deleted = f"; deleted: {size(use.deleted)}" if use.deleted else ""
    return f"{size(use.sessions)} in sessions{free}{deleted}"


def spot(found: Whereabouts) -> str:
    """An answer as one line for a contact log: time, position, locator, error, how."""
    asked = found.as_json()
    at = str(asked["utc"] or UNKNOWN).replace(".000Z", "Z")
    if found.position is None:
        return f"{at}  no position: {found.how}"
    place = f"{found.position.latitude_deg:.5f} {found.position.longitude_deg:.5f}"
    error = UNKNOWN if found.error_95_m is None else f"{wording.metres(found.error_95_m)} (95 %)"
    return f"{at}  {place}  {locator(found.position, 6)}  {error}  {found.how}"

"""`fixboard position-text`: the APRS text of a position, alone on one line. No screen, and nothing is transmitted."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from datetime import UTC, datetime
from typing import NamedTuple

from core.aged import Freshness
from core.aprs.ambiguity import ambiguity_for, box_size_m
from core.aprs.compressed import Origin
from core.aprs.extensions import Motion
from core.aprs.symbols import symbol
from core.aprs.text import NO_AMBIGUITY, Line, Report, clock_stamp, compressed_line, day_stamp, plain_line
from core.blur import Blur, BlurKind, leaving
from core.course import SURE
from core.errors import UsageError
from core.fix import Position, Utc
from core.locations import own_locations
from core.model import Snapshot
from core.settings import read_settings
from core.sources.names import Sort, source_name
from core.trust import Verdict
from core.units import in_use
from tui.cli_places import resolve
from tui.cli_queries import asked_fix
from tui.own_files import speak_own_units
from tui.speaking import complain, printable, tell

LIVE = {Sort.SERIAL, Sort.TCP, Sort.UDP}
LARGE_M = 10_000.0


class Known(NamedTuple):
    """What is told of one position."""

    position: Position
    error_m: float | None
    is_current: bool
    """Whether a receiver says so now."""
    utc: Utc | None
    motion: Motion | None = None
    altitude_m: float | None = None


def position_text(options: Namespace) -> int:
    """The text on standard output, whatever there is to say of it on standard error, in the user's own units."""
    _check(options)
    speak_own_units()
    wanted = symbol(options.symbol)
    known = _of_place(options.at) if options.at is not None else _of_fix(options)
    report = Report(
        known.position,
        wanted,
        options.comment,
        _motion(options, known),
        _altitude_m(options, known),
        _stamp(known.utc, options.time),
        options.ambiguity,
    )
    line = _line(report, Origin(known.is_current), options.compressed)
    for remark in (*line.remarks, *_remarks(options, known)):
        complain(remark)
    tell(line.text)
    return 0


def _check(options: Namespace) -> None:
    """What could never come to a text, before anybody waits for a fix. Raises UsageError."""
    if options.compressed and options.ambiguity:
        raise UsageError(NO_AMBIGUITY)
    if options.course is not None and options.speed is None:
        raise UsageError("--course needs --speed beside it: the protocol has them together")
    if options.compressed and options.speed is not None and options.course is None:
        raise UsageError("--speed needs --course beside it: the compressed form has no unknown course")


def _of_place(text: str) -> Known:
    found = resolve(text)
    error_m = found.waypoint.error_95_m if found.waypoint else found.radius_m
    now = datetime.now(tz=UTC)
    time_ms = (now - now.replace(hour=0, minute=0, second=0, microsecond=0)).seconds * 1000
    return Known(found.position, error_m, False, Utc(time_ms, now.date()))


def _of_fix(options: Namespace) -> Known:
    """Raises what the source raises, NoFixInTime among it: a void or old position makes no text."""
    asked = asked_fix(options)
    if asked.snapshot is None or asked.snapshot.fix.position is None:
        raise asked.trouble or UsageError("no fix")
    shot = asked.snapshot
    if shot.trust.verdict < Verdict.USABLE:
        complain(f"the fix is {shot.trust.verdict.words}: {'; '.join(shot.trust.reasons)}")
    return Known(
        asked.snapshot.fix.position,
        shot.trust.error.horizontal_m,
        options.source is None or source_name(options.source).sort in LIVE,
        shot.fix.utc,
        _fixed_motion(shot),
        _fixed_altitude_m(shot),
    )


def _fixed_motion(shot: Snapshot) -> Motion | None:
    """The course only from the speed on at which it can be trusted."""
    fix = shot.fix
    if fix.speed_mps is None:
        return None
    return Motion(fix.course_deg if fix.speed_mps >= SURE.enter_mps else None, fix.speed_mps)


def _fixed_altitude_m(shot: Snapshot) -> float | None:
    height = shot.values.height
    return height.value.altitude_m if height and height.freshness(shot.at_s) is Freshness.FRESH else None


def _motion(options: Namespace, known: Known) -> Motion | None:
    if options.speed is not None:
        return Motion(options.course, options.speed)
    return None if options.bare else known.motion


def _altitude_m(options: Namespace, known: Known) -> float | None:
    """A blurred position has none unless it is given: on a hill it would tell the place."""
    if options.altitude is not None:
        found: float = options.altitude
        return found
    return None if options.bare or options.ambiguity else known.altitude_m


def _stamp(utc: Utc | None, kind: str | None) -> str:
    if kind is None:
        return ""
    found = None if utc is None else day_stamp(utc) if kind == "day" else clock_stamp(utc)
    if found is None:
        raise UsageError(f"--time {kind}: the source has not told it")
    return found


def _line(report: Report, origin: Origin, is_compressed: bool) -> Line:
    try:
        return compressed_line(report, origin) if is_compressed else plain_line(report)
    except ValueError as error:
        raise UsageError(str(error)) from error


def _remarks(options: Namespace, known: Known) -> list[str]:
    level = options.ambiguity
    home = read_settings(own_locations(os.environ, sys.platform).settings).home
    warning = leaving(known.position, Blur(BlurKind.AMBIGUITY, level), home, known.error_m)
    high, wide = box_size_m(known.position, level)
    honest = ambiguity_for(known.error_m)
    said = [
        f"{_size(known.error_m or 0.0)} is how well the place is known: --ambiguity {honest} says so"
        if honest > level
        else "",
        f"others see a box of {_size(wide)} west to east by {_size(high)}" if level else "",
        f"a recording, not now: {printable(options.source)}" if options.at is None and not known.is_current else "",
    ]
    return [remark for remark in (warning, *said) if remark]


def _size(metres: float) -> str:
    """To the unit, so that two sides are told alike; of what is larger the figures would be no longer read."""
    return in_use().plain(metres) if metres < LARGE_M else in_use().coarse(metres)

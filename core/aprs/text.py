"""A position report as the one line that a packet carries."""

from __future__ import annotations

import re
from typing import NamedTuple

from core.aprs.ambiguity import LEVELS, coordinates
from core.aprs.comment import cleaned
from core.aprs.compressed import Origin, compressed
from core.aprs.extensions import Extension, Motion, altitude_words, plain
from core.aprs.symbols import ON_FOOT, Symbol
from core.errors import UsageError
from core.fix import Position, Utc

_PLAIN_COMMENT, _COMPRESSED_COMMENT = 43, 40
"""Longest comment, extension and altitude included (APRS Protocol Reference 1.0.1, chapters 8 and 9, from memory)."""
_STAMP = re.compile(r"\d{6}[hz/]", re.ASCII)
_STARTS = {(False, False): "!", (False, True): "=", (True, False): "/", (True, True): "@"}
"""By timestamp and messaging."""
NO_AMBIGUITY = (
    "the compressed form has no ambiguity: its characters hold all digits or none. "
    "Leave out the one or the other; a blurred position needs the plain form"
)


class Report(NamedTuple):
    """What is told."""

    position: Position
    symbol: Symbol = ON_FOOT
    comment: str = ""
    """As typed."""
    extension: Extension | None = None
    altitude_m: float | None = None
    """Above mean sea level; it goes into the comment."""
    stamp: str = ""
    """See `day_stamp` and `clock_stamp`; empty for none, which means: as of the moment it is received."""
    ambiguity: int = 0
    """Digits left blank, 0 to 4."""
    takes_messages: bool = False


class Line(NamedTuple):
    """The text, and what was left out of it."""

    text: str
    remarks: tuple[str, ...] = ()


def plain_line(report: Report) -> Line:
    """The uncompressed form. Raises ValueError for figures that it cannot say."""
    if report.ambiguity not in LEVELS:
        raise ValueError(f"an ambiguity of {report.ambiguity} is not from 0 to 4")
    where = coordinates(report.position, report.ambiguity)
    extension = plain(report.extension)
    comment = _comment(report, _PLAIN_COMMENT - len(extension))
    place = f"{where.latitude}{report.symbol.table}{where.longitude}{report.symbol.code}"
    return Line(_start(report) + place + extension + comment.text, comment.remarks)


def compressed_line(report: Report, origin: Origin) -> Line:
    """The compressed form.

    Raises UsageError with an ambiguity, which it cannot express, and ValueError for other figures that it cannot say.
    """
    if report.ambiguity:
        raise UsageError(NO_AMBIGUITY)
    comment = _comment(report, _COMPRESSED_COMMENT)
    lost = isinstance(report.extension, Motion) and report.extension.course_deg is None
    remarks = ("the speed is left out: the compressed form has none without a course",) if lost else ()
    text = compressed(report.position, report.symbol, report.extension, origin)
    return Line(_start(report) + text + comment.text, remarks + comment.remarks)


def day_stamp(utc: Utc) -> str | None:
    """Day, hour and minute, UTC; None without a date. Twelve hours later it still says which day it was."""
    return None if utc.day is None else f"{utc.day.day:02d}{_six(utc)[:4]}z"


def clock_stamp(utc: Utc) -> str:
    """Hour, minute and second, UTC; a leap second as the one before it, because readers know no sixtieth."""
    return f"{_six(utc)}h"


def _six(utc: Utc) -> str:
    return Utc(min(utc.time_ms, 86_399_999), utc.day).clock().replace(":", "")


def _start(report: Report) -> str:
    if report.stamp and not _STAMP.fullmatch(report.stamp):
        raise ValueError(f"{report.stamp!r} is no timestamp")
    return _STARTS[bool(report.stamp), report.takes_messages] + report.stamp


def _comment(report: Report, room: int) -> Line:
    """Comment, then altitude, which is never cut."""
    altitude = "" if report.altitude_m is None else altitude_words(report.altitude_m)
    gap = 1 if altitude else 0
    words = cleaned(report.comment, room - len(altitude) - gap)
    return Line(f"{words.text} {altitude}" if words.text and altitude else words.text + altitude, words.remarks)

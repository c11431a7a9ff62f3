"""`fixboard say`: a position to read out, what was read back held against it, a doubtful one resolved. No screen."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from core.blur import EXACT, leaving, parse_blur
from core.errors import InputError, UsageError
from core.fix import Position
from core.heard_position import HeardReading, resolve_heard
from core.locations import own_locations
from core.places.notation import Notation, write
from core.position_report import Audience, Manner, Report, Situation, report
from core.read_back import ReadBack, check
from core.settings import read_settings
from core.sources.names import Sort, source_name
from core.sources.rehearsal_label import is_rehearsal
from core.trust import Trust, Verdict
from tui import wording
from tui.cli_places import resolve
from tui.cli_queries import asked_fix, show
from tui.own_files import speak_own_units
from tui.speaking import complain, printable, tell

REHEARSED = "from a rehearsal: simulated, nobody was ever there"
RECORDED = "from a recording, not where anybody is now"


class Given(NamedTuple):
    """A position with what is known of it beside the report."""

    situation: Situation
    verdict: Verdict | None = None
    """None for a place that was typed."""


def say(options: Namespace) -> int:
    """The script; with --check the comparison, with --heard the plausible readings."""
    _check_usage(options)
    speak_own_units(json=options.json)
    if options.heard is not None:
        return _resolve(options)
    settings = read_settings(own_locations(os.environ, sys.platform).settings)
    given = _given(options)
    blur = parse_blur(options.blur) if options.blur else EXACT
    said = report(given.situation, Manner(Audience(options.audience), settings.report.leading_zeros, blur))
    warning = leaving(given.situation.position, blur, settings.home, given.situation.error_m)
    read = _read_back(said, options.check)
    if warning:
        complain(warning)
    if options.json:
        show(_json(given, said) | {"warning": warning, "check": _check_json(read)}, True)
    else:
        tell(printable_lines("\n".join(check_lines(read)) if read else said.script))
    return 0


def _check_usage(options: Namespace) -> None:
    if options.near is not None and options.heard is None:
        raise UsageError("--near says where the one who was heard ought to be: it goes with --heard TEXT")
    if options.heard is not None and options.check is not None:
        raise UsageError("--check is for your own position read back, --heard for somebody else's: one at a time")


def printable_lines(text: str) -> str:
    """Line by line: names that were typed may hold anything."""
    return "\n".join(printable(line) for line in text.split("\n"))


def _given(options: Namespace) -> Given:
    if options.at is not None:
        return Given(_typed(options.at))
    asked = asked_fix(options)
    if asked.trouble:
        raise asked.trouble
    snapshot = asked.snapshot
    if snapshot is None or snapshot.fix.position is None:
        raise InputError(f"{asked.label} has no position")
    trust, fix = snapshot.trust, snapshot.fix
    origin = _recorded(options.source)
    age_s = None if origin else max(0.0, asked.now_s - snapshot.at_s)
    error_m = trust.error.horizontal_m
    return Given(
        Situation(snapshot.fix.position, error_m, fix.utc, age_s, origin, doubt_of(trust), fix.datum), trust.verdict
    )


def doubt_of(trust: Trust) -> str:
    """Why the verdict is below usable; empty where it is not."""
    return "" if trust.verdict >= Verdict.USABLE else (trust.reasons or (trust.verdict.words,))[0]


def _recorded(source: str | None) -> str:
    """What a file is; empty for a live source."""
    if source is None or source_name(source).sort is not Sort.FILE:
        return ""
    return REHEARSED if is_rehearsal(Path(source)) else RECORDED


def _typed(text: str) -> Situation:
    """A place that was typed is known as coarsely as its figures; a waypoint as it was marked."""
    found = resolve(text)
    if found.waypoint:
        origin = f"the waypoint {printable(found.waypoint.name)}, not a measurement of now"
        return Situation(found.position, found.waypoint.error_95_m, origin=origin)
    return Situation(found.position, found.radius_m or None, origin="a place that was typed, not a measurement")


def _read_back(said: Report, text: str | None) -> ReadBack | None:
    if text is None:
        return None
    read = check(said.forms, text)
    if read is None:
        raise InputError("nothing in that read-back is a figure or a letter: write what was read back")
    return read


def check_lines(read: ReadBack) -> list[str]:
    """What is wrong, and how far off."""
    lines = [f"Said, {read.form.title}: {read.form.written}"]
    if read.is_right:
        lines.append("Right: all of it was read back as it was said.")
    else:
        lines += [f"Wrong: {slip.words}." for slip in read.slips]
        is_place = read.off_m is not None
        lines.append(f"That is {wording.distance(read.off_m or 0.0)} off." if is_place else "That is no place at all.")
        lines.append("Give it again, and have it read back again.")
    if read.unknown:
        lines.append(f"Not understood: {' '.join(read.unknown)}.")
    return lines


def _json(given: Given, said: Report) -> dict[str, Any]:
    situation = given.situation
    return {
        "script": said.script,
        "for": str(said.audience),
        "text": said.forms[0].written,
        "form": str(said.forms[0].form),
        "second_text": said.forms[1].written if len(said.forms) > 1 else None,
        "second_form": str(said.forms[1].form) if len(said.forms) > 1 else None,
        "utc": situation.utc.iso() if situation.utc else None,
        "age_s": None if situation.age_s is None else round(situation.age_s, 3),
        "error_95_m": None if situation.error_m is None else round(situation.error_m, 2),
        "verdict": given.verdict.words if given.verdict is not None else None,
    }


def _check_json(read: ReadBack | None) -> dict[str, Any] | None:
    if read is None:
        return None
    return {
        "right": read.is_right,
        "form": str(read.form.form),
        "slips": [
            {"group": one.group, "place": one.number, "kind": one.kind.value, "said": one.said, "heard": one.heard}
            for one in read.slips
        ],
        "off_m": None if read.off_m is None else round(read.off_m, 1),
        "not_understood": list(read.unknown),
    }


# Somebody else's position, in doubt


def _resolve(options: Namespace) -> int:
    near, radius_m = _near(options)
    found = resolve_heard(options.heard, near, radius_m)
    if options.json:
        show({"readings": [_reading_json(one) for one in found]}, True)
    else:
        tell("\n".join(heard_lines(found)))
    return 0


def _near(options: Namespace) -> tuple[Sequence[Position], float]:
    """Where the other ought to be: a place, along a recording's track, where the receiver is, or nobody knows."""
    place = options.near if options.near is not None else options.at
    if place is not None:
        found = resolve(place)
        return (found.position,), found.radius_m
    if options.source is None:
        return (), 0.0
    if source_name(options.source).sort is Sort.FILE:
        return _track_of(options), 0.0
    return (_given(options).situation.position,), 0.0


def _track_of(options: Namespace) -> list[Position]:
    from core.epochs import EpochReader  # start-up time: few runs need it
    from tui.cli_queries import open_named  # the same

    options.file = options.source
    recording, required = open_named(options)
    try:
        points = [one.fix.position for one in EpochReader(recording, required).epochs() if one.fix.position]
    finally:
        recording.close()
    if not points:
        raise InputError(f"{recording.path} holds no position to weigh the readings by")
    return points


def heard_lines(found: Sequence[HeardReading]) -> list[str]:
    """The readings, the likeliest first; a line of how each was read under it."""
    lines = ["The likeliest first. None is a measurement: ask again, and have it spelt."]
    for number, one in enumerate(found, 1):
        place = "  ".join(write(one.position, Notation.DEGREES_MINUTES))
        away = "" if one.distance_m is None else f"  {wording.distance(one.distance_m)} away"
        lines += [f"{number:>2}  {place}{away}", f"    {printable(one.how)}"]
    return lines


def _reading_json(one: HeardReading) -> dict[str, Any]:
    return {
        "latitude": round(one.position.latitude_deg, 9),
        "longitude": round(one.position.longitude_deg, 9),
        "how": one.how,
        "oddness": round(one.oddness, 3),
        "distance_m": None if one.distance_m is None else round(one.distance_m, 1),
    }

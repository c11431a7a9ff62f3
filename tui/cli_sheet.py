"""`fixboard sheet`: a trip worked out before leaving, as plain pages to print. No screen, and no import of one."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from datetime import date, datetime
from pathlib import Path

from core.before_dark import Reserve
from core.errors import InputError, UsageError
from core.locations import own_locations
from core.pace import KMH, Pace
from core.settings import read_settings
from core.sheet_page import FORM_FEED
from core.sheet_pen import Pen
from core.sheet_sections import BEGINS, text
from core.sheet_time import Zone, computer_zone, zone
from core.sheet_turn import Climb, parse_climb
from core.storage import create_file, replace_file
from core.trip_sheet import Outing, Place, TripSheet, trip_sheet
from tui.cli_places import resolve
from tui.own_files import speak_own_units
from tui.speaking import is_terminal, printable, tell

_MARKS = "°±"


def sheet(options: Namespace) -> int:
    """`fixboard sheet PLACE... [--target PLACE]`."""
    clocks = zone(options.zone) if options.zone else computer_zone()
    places = [_place(one) for one in options.places]
    target = None if options.target is None else _place(options.target)
    found = trip_sheet(places, target, _outing(options, clocks, len(places) - 1))
    if options.output is None:
        _print(found, options.ascii)
    else:
        _save(found, options)
    return 0


def _outing(options: Namespace, clocks: Zone, legs: int) -> Outing:
    climbs = tuple(_climb(one) for one in options.climb)
    if len(climbs) > legs:
        raise UsageError(f"{len(climbs)} climbs are given for {legs} legs: one --climb for each leg, in order")
    speak_own_units()
    kept = read_settings(own_locations(os.environ, sys.platform).settings).before_dark
    return Outing(
        options.date or _today(clocks),
        clocks,
        options.depart,
        None if options.pace is None else Pace(options.pace * KMH, "as you gave it"),
        climbs,
        Reserve(kept.factor, kept.margin_min),
    )


def _today(clocks: Zone) -> date:
    return clocks.local(datetime.now().astimezone()).date()


def _climb(words: str) -> Climb:
    try:
        return parse_climb(words)
    except InputError as error:
        raise UsageError(str(error)) from error


def _place(words: str) -> Place:
    """A notation goes by what was typed, a waypoint by its name."""
    found = resolve(words)
    known = found.waypoint
    if known is None:
        return Place(words, found.position, found.radius_m)
    return Place(known.name, known.position, known.error_95_m, known.altitude_m)


def _print(found: TripSheet, ascii_only: bool) -> None:
    """A terminal has no pages, and is sent nothing that it might obey."""
    pen = Pen(found.outing.day, found.outing.zone, ascii_only or not _can_say(_MARKS))
    tell(text(found, pen, "\n" if is_terminal("stdout") else FORM_FEED).removesuffix("\n"))


def _can_say(marks: str) -> bool:
    try:
        marks.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except (LookupError, UnicodeEncodeError):
        return False
    return True


def _save(found: TripSheet, options: Namespace) -> None:
    out = Path(options.output)
    content = text(found, Pen(found.outing.day, found.outing.zone, options.ascii)).encode("utf-8", "backslashreplace")
    if "\0" in options.output:
        raise InputError(f"{printable(options.output)} is no name for a file: choose another")
    if os.path.lexists(out) and options.force:
        _check_may_go(out)
        replace_file(out, content)
    else:
        create_file(out, content)
    tell(printable(f"{out}: {len(found.spots)} places, {len(content)} bytes"))


def _check_may_go(out: Path) -> None:
    """What is no trip sheet may be the only copy of something."""
    try:
        with out.open("rb") as stream:
            is_sheet = stream.read(len(BEGINS)) == BEGINS.encode("ascii")
    except OSError as error:
        raise InputError(f"{out} cannot be replaced ({error.strerror or error}): choose another name") from error
    if not is_sheet:
        raise InputError(
            f"{out} is no trip sheet, and --force replaces nothing else: move it away, or choose another name"
        )

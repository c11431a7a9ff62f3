"""`fixboard export`: a recording, and the user's places, for other programs. No screen, and no import of one."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

from core import export_plan
from core.accuracy import ErrorModel
from core.errors import InputError, UsageError
from core.export_plan import EVERYTHING, Format, Plan
from core.exporting import WRITERS, Outcome, Source, export, many
from core.formats.given_track import is_track
from core.formats.track_text import About
from core.formats.waypoints_out import write_waypoint_csv
from core.locations import Locations, own_locations
from core.rehearsal.writer import save, taken
from core.settings import read_settings
from core.sources.recording import open_recording
from core.sources.rehearsal_label import is_rehearsal
from core.waypoint import Waypoint
from core.waypoints import Waypoints
from tui.cli_queries import open_named
from tui.own_files import own_files
from tui.progress import bar
from tui.speaking import complain, flush, printable, tell

_T = TypeVar("_T")
STANDARD_OUTPUT = "-"
BESIDE_A_TRACK = (Format.GPX, Format.KML, Format.GEOJSON)
"""Formats that have a place for both."""


def run(options: Namespace) -> int:
    """`fixboard export FILE --to FORMAT`, or `fixboard export --waypoints --to FORMAT`."""
    plan = _plan(options)
    _check(options, plan)
    out = _out(options)
    waypoints = Waypoints(_places().waypoints).all() if options.waypoints else ()
    if options.waypoints and not waypoints:
        raise InputError("there are no waypoints to export: mark one on the board first")
    if options.file is None:
        _write(_waypoints(plan.to, waypoints), out, force=options.force)
        _say(many(len(waypoints), "waypoint"), out)
        return 0
    return _recording(options, plan, waypoints)


def _recording(options: Namespace, plan: Plan, waypoints: tuple[Waypoint, ...]) -> int:
    out, path = _out(options), Path(options.file)
    if is_track(path):
        raise InputError(f"{path} is a track already, no recording of a receiver: fixboard replay opens it")
    recording, required = open_named(options)
    recording.close()
    outcome = Outcome()
    with bar(path.name) as progress:
        source = file_source(path, required, read_settings(_places().settings).errors, progress)
        _write(export(source, plan, About(path.name, waypoints=waypoints), outcome), out, force=options.force)
    _say(outcome.words(), out)
    return 0


def file_source(path: Path, required: bool, errors: ErrorModel, progress: Callable[[float], None]) -> Source:
    """A recording as an export reads it. Raises InputError where it cannot be read."""
    return Source(lambda: open_recording(path), required, errors, is_rehearsal(path), progress)


def _waypoints(to: Format, waypoints: tuple[Waypoint, ...]) -> Iterable[bytes]:
    return write_waypoint_csv(waypoints) if to is Format.CSV else WRITERS[to]((), About("Waypoints", "", waypoints))


# What was asked for


def _plan(options: Namespace) -> Plan:
    """Raises UsageError for what is no time or amount, and for choices that contradict one another."""
    return Plan(
        Format(options.to),
        since=_read(options.since, export_plan.since),
        until=_read(options.until, export_plan.until),
        only=_read(options.only, export_plan.only),
        trim_m=_read(options.trim_ends, export_plan.metres),
        every=_read(options.every, export_plan.every) or EVERYTHING,
        simplify_m=_read(options.simplify, export_plan.metres),
    )


def _read(text: str | None, reader: Callable[[str], _T]) -> _T | None:
    return None if text is None else reader(text)


def _check(options: Namespace, plan: Plan) -> None:
    if options.file is None and not options.waypoints:
        raise UsageError("name a recording to export, or --waypoints for your places")
    if options.waypoints and plan.to is Format.NMEA:
        raise UsageError("waypoints go into gpx, kml, geojson or csv: nmea is the receiver's own sentences")
    if options.waypoints and options.file is not None and plan.to not in BESIDE_A_TRACK:
        raise UsageError("a csv is one table: export the recording and the waypoints into one each")
    if options.file is None and not plan.is_whole:
        raise UsageError(
            "--since, --until, --only, --trim-ends, --every and --simplify are about a recording: name one"
        )
    _check_out(options)


def _check_out(options: Namespace) -> None:
    """Said at once, not after minutes of reading."""
    out = _out(options)
    if out is None:
        return
    if os.path.isdir(out):  # noqa: PTH112 - Path.is_dir raises for a name that is too long
        raise InputError(f"{out} is a folder: name the file to write in it")
    if options.file is not None and _is_same(out, Path(options.file)):
        raise InputError(f"{out} is the recording itself: choose another name")
    if taken(out) and _is_ours(out):
        raise InputError(f"{out} is one of the files that fixboard keeps: choose another name")
    if taken(out) and not options.force:
        raise InputError(f"{out} exists already: choose another name, or --force to replace it")


def _is_same(a: Path, b: Path) -> bool:
    try:
        return a.samefile(b)
    except (OSError, ValueError):
        return False


def _is_ours(out: Path) -> bool:
    """Waypoints, trips, recordings: what is in them is nowhere else."""
    places, real = own_files(), Path(os.path.realpath(out))
    return any(real.is_relative_to(os.path.realpath(one)) for one in (places.data, places.recordings, places.stations))


def _out(options: Namespace) -> Path | None:
    return None if options.output in {None, STANDARD_OUTPUT} else Path(options.output)


def _places() -> Locations:
    return own_locations(os.environ, sys.platform)


# Where it goes


def _write(pieces: Iterable[bytes], out: Path | None, *, force: bool) -> None:
    if out is not None:
        save(out, pieces, replace=force)
        return
    if getattr(sys, "stdout", None) is None:
        raise InputError("there is no standard output: name a file with -o")
    try:
        for piece in pieces:
            sys.stdout.buffer.write(piece)
    except OSError as error:
        flush()  # says what is wrong where it is still so; a reader that has left is no error
        if not isinstance(error, BrokenPipeError):
            raise InputError(f"the output could not be written ({error.strerror or error}): is there room?") from error
    flush()


def _say(words: str, out: Path | None) -> None:
    """Beside the bytes, never among them."""
    if out is None:
        complain(words)
    else:
        tell(printable(f"{out}: {words}"))

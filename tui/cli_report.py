"""`fixboard report`: a recording as one page to read and print. No screen, and no import of one."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from pathlib import Path

from core.errors import InputError
from core.locations import own_locations
from core.rehearsal.writer import taken
from core.report.collect import Plan, collect
from core.report.page import GENERATOR, page
from core.settings import read_settings
from core.sources.rehearsal_label import is_rehearsal
from core.storage import create_file, replace_file
from tui.cli_queries import open_named
from tui.own_files import speak_own_units
from tui.progress import reading_bar
from tui.speaking import printable, tell

MARK = f'content="{GENERATOR}"'.encode()
FIRST_BYTES = 512


def report(options: Namespace) -> int:
    """`fixboard report FILE -o OUT.html`."""
    out = Path(options.output)
    _check_free(out, Path(options.file), force=options.force)
    speak_own_units()
    errors = read_settings(own_locations(os.environ, sys.platform).settings).errors
    rehearsal = is_rehearsal(Path(options.file))
    recording, required = open_named(options)
    try:
        with reading_bar(recording) as tick:
            found = collect(recording, Plan(required, rehearsal, errors, tick))
    finally:
        recording.close()
    if not (found.counts.verified or found.counts.unverified):
        raise InputError(f"{options.file} holds no sentence of NMEA 0183: there is nothing to report on")
    content = page(found, options.version()).encode("utf-8")
    _write(out, content, force=options.force)
    tell(printable(f"{out}: {len(content)} bytes. It shows where you were: think before you pass it on"))
    return 0


def _check_free(out: Path, source: Path, *, force: bool) -> None:
    """Before the work, not after it; and --force never replaces what is no report of ours."""
    if not taken(out):
        return
    if not force:
        raise InputError(f"{out} exists already: choose another name, or --force to replace an older report")
    if out.is_dir() or _is_same(out, source) or not _is_page(out):
        raise InputError(f"{out} is no report, and --force replaces nothing else: move it away, or choose another name")


def _is_same(out: Path, source: Path) -> bool:
    return source.exists() and out.exists() and out.samefile(source)


def _is_page(out: Path) -> bool:
    try:
        with out.open("rb") as stream:
            return MARK in stream.read(FIRST_BYTES)
    except OSError as error:
        raise InputError(f"{out} cannot be looked at ({error.strerror or error}): choose another name") from error


def _write(out: Path, content: bytes, *, force: bool) -> None:
    """Whole or not at all; without --force, not even over a file that has come meanwhile."""
    if force and taken(out):
        replace_file(out, content)
    else:
        create_file(out, content)

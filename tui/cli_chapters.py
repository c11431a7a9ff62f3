"""`fixboard chapters`: chapters proposed for a recording, from what happens in it. No screen, and no import of one."""

from __future__ import annotations

import json
import os
import sys
from argparse import Namespace
from pathlib import Path

from core.chapter_blocks import BEGINNING, written_out
from core.chapter_file import chapters_path, entry_of
from core.chapter_proposals import Plan, Proposal, propose
from core.chapters import Chapter
from core.errors import InputError, UsageError
from core.locations import own_locations
from core.rehearsal.writer import taken
from core.settings import read_settings
from core.storage import create_file, replace_file
from tui.cli_queries import open_named
from tui.progress import reading_bar
from tui.speaking import complain, printable, tell


def chapters(options: Namespace) -> int:
    """`fixboard chapters FILE [--write] [--json] [--force]`."""
    out = _target(options)
    errors = read_settings(own_locations(os.environ, sys.platform).settings).errors
    recording, required = open_named(options)
    try:
        with reading_bar(recording) as tick:
            found = propose(recording, Plan(required, errors, tick))
    finally:
        recording.close()
    if not found.epochs:
        raise InputError(f"{options.file} holds no epoch of NMEA 0183: there is nothing to make chapters of")
    text = _text(found)
    if out is not None:
        _write(out, text.encode("utf-8"), force=options.force)
    _show(found, text, out, as_json=options.json)
    return 0


def _target(options: Namespace) -> Path | None:
    """Where to write, None for nowhere. Checked before the work, not after it."""
    if options.force and not options.write:
        raise UsageError("--force replaces a chapter file, so it goes with --write")
    if not options.write:
        return None
    out = chapters_path(Path(options.file))
    if taken(out) and not options.force:
        raise InputError(f"{out} exists already: --force replaces it, and keeps the old one as {out.name}.bak")
    if os.path.isdir(out):  # noqa: PTH112 - Path.is_dir raises for a name that is too long
        raise InputError(f"{out} is a folder: move it away")
    return out


def _write(out: Path, content: bytes, *, force: bool) -> None:
    """Whole or not at all; without --force, not even over a file that has come meanwhile."""
    if force and taken(out):
        replace_file(out, content)
    else:
        create_file(out, content)


def _text(found: Proposal) -> str:
    """As the file has it."""
    return "\n".join([BEGINNING, *(written_out(entry_of(chapter)) for chapter in found.chapters)])


def _show(found: Proposal, text: str, out: Path | None, *, as_json: bool) -> None:
    if as_json:
        result = {
            "chapters": [as_values(chapter) for chapter in found.chapters],
            "duration_s": round(found.duration_s, 3),
            "written": None if out is None else str(out),
        }
        tell(json.dumps(result, allow_nan=False))
    elif out is None:
        tell(text.rstrip("\n"))
    else:
        tell(printable(f"{out}: {len(found.chapters)} chapters. Read them over: the words are a beginning"))
    if not found.chapters:
        complain("nothing was found in it that would make a chapter")


def as_values(chapter: Chapter) -> dict[str, object]:
    """For the JSON; null is what was not given."""
    return {
        "at_s": chapter.at_s,
        "title": chapter.title,
        "words": chapter.words or None,
        "page": chapter.page or None,
        "mask_deg": chapter.mask_deg,
        "pace": chapter.pace,
    }

"""`fixboard log`: the sessions, one of them, and where one was at given times."""

from __future__ import annotations

import json
import os
import re
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from core.accuracy import ErrorModel
from core.asked_times import Asked, local_to_utc, read_times
from core.errors import InputError, UsageError
from core.locations import own_locations
from core.session_files import session_of
from core.session_question import Answer, Ways, answers, answers_of
from core.sessions import Entry, Logbook
from core.settings import read_settings
from core.trust import Verdict
from tui import session_words as words
from tui.cli_queries import show
from tui.own_files import own_files, speak_own_units
from tui.progress import bar
from tui.speaking import complain, printable, tell

_DAY = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_ZONES = {"local", "l", "utc", "z"}
NOTHING = "no session yet: r on the board records, fixboard live --record from the start"


def log(options: Namespace) -> int:
    """`fixboard log`: all sessions, the oldest first."""
    book = _logbook()
    entries = _worked_out(book, book.entries(_now()))
    _say_trouble(book)
    use = book.disk_use(entries)
    if options.json:
        disk = {"sessions_bytes": use.sessions, "deleted_bytes": use.deleted, "free_bytes": use.free}
        tell(json.dumps({"sessions": [entry.as_json() for entry in entries], "disk": disk}, allow_nan=False))
        return 0
    speak_own_units()
    lines = [_line(entry) for entry in entries]
    tell("\n".join([_line_of(_HEAD), *lines, words.disk(use)] if lines else [NOTHING]))
    return 0


def show_one(options: Namespace) -> int:
    """`fixboard log show N|NAME`."""
    book = _logbook()
    entries = book.entries(_now())
    (entry,) = _worked_out(book, (named(entries, options.session),))
    _say_trouble(book)
    found = entry.as_json()
    counts = entry.summary.verdicts if entry.summary else ()
    found["verdicts"] = {verdict.words: count for verdict, count in zip(Verdict, counts, strict=True)}
    if not options.json:
        found |= {"files": len(found["files"]), "local": words.when_local(entry) or None}
    show(found, options.json)
    return 0


def at(options: Namespace) -> int:
    """`fixboard log at TIME... [--session N|FILE]`."""
    asked = _asked(options.times)
    book = _logbook()
    with bar("looking") as progress:
        found = _answered(book, options.session, asked, progress)
    sessions = list({one.entry.session.key: one.entry for one in found}.values())
    if options.json:
        spots = [{**one.found.as_json(), "session": one.entry.number} for one in found]
        tell(json.dumps({"sessions": [entry.as_json() for entry in sessions], "at": spots}, allow_nan=False))
        return 0
    for entry in sessions:
        if entry.summary and entry.summary.dates.words:
            complain(f"{entry.session.paths[0].name}: {entry.summary.dates.words}")
        tell(f"session {_called(entry)}")
        mine = [one.found for one in found if one.entry.session.key == entry.session.key]
        tell("\n".join(printable(f"{one.asked:<18} {words.spot(one)}") for one in mine))
    return 0


def _answered(
    book: Logbook, session: str | None, asked: Sequence[Asked], progress: Callable[[float], None]
) -> list[Answer]:
    ways = Ways(local_to_utc, _errors(), progress)
    if session is None:
        return answers_of(asked, _worked_out(book, book.entries(_now())), ways)
    entry = _session(book, session)
    return [Answer(entry, one) for one in answers(asked, entry, ways)]


def named(entries: Sequence[Entry], text: str) -> Entry:
    """The session of a number, a name or a file's name. Raises InputError for none, and for several."""
    found = [entry for entry in entries if text == str(entry.number)]
    wanted = text.casefold()
    found = found or [entry for entry in entries if wanted in _names(entry)]
    if not found:
        raise InputError(f"there is no session {text!r}: fixboard log lists {len(entries)} with their numbers")
    if len(found) > 1:
        numbers = ", ".join(str(entry.number) for entry in found)
        raise InputError(f"{text!r} is the name of several sessions: name one by its number: {numbers}")
    return found[0]


def _names(entry: Entry) -> set[str]:
    files = {name for path in entry.session.paths for name in (path.name, path.name.removesuffix(".gz"))}
    return {name.casefold() for name in (entry.words.name, *files) if name}


def _session(book: Logbook, text: str) -> Entry:
    """A file of anywhere comes before a name, and a number before both."""
    entries = book.entries(_now())
    if not text.isdecimal() and os.path.lexists(text):
        return book.summarised(Entry(0, session_of(Path(text), _now())))
    return _worked_out(book, (named(entries, text),))[0]


def _asked(typed: Sequence[str]) -> list[Asked]:
    """A date, a time and its zone may come as words of their own. Raises UsageError for what is no time."""
    parts: list[str] = []
    for word in (word for argument in typed for word in argument.replace(",", " , ").split()):
        goes_on = parts and (_DAY.fullmatch(parts[-1]) or word.lower() in _ZONES)
        if goes_on:
            parts[-1] = f"{parts[-1]} {word}"
        else:
            parts.append(word)
    try:
        return read_times(",".join(parts))
    except InputError as error:
        raise UsageError(str(error)) from error


def _worked_out(book: Logbook, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """With their summaries; a bar on a terminal while that takes its time."""
    done: dict[str, Entry] = {}
    missing = sum(entry.summary is None for entry in entries)
    if missing:
        with bar("sessions", missing) as progress:

            def found(entry: Entry) -> bool:
                done[entry.session.key] = entry
                return True

            book.work_out(entries, found, lambda part: progress(len(done) + part))
    return tuple(replace(entry, summary=done.get(entry.session.key, entry).summary) for entry in entries)


_HEAD = ("no", "begins, UTC", "local", "length", "way", "locator", "size", "")
_WIDTHS = (4, 16, 27, 9, 9, 13, 7)


def _line(entry: Entry) -> str:
    """Columns; the verdicts, or what is wrong, and the user's words close the line."""
    close = "  ".join(part for part in (words.quality(entry), _marked(entry)) if part)
    return _line_of((
        str(entry.number),
        words.when(entry),
        words.when_local(entry),
        words.length(entry),
        words.way(entry),
        words.square(entry),
        words.size(entry.session.size),
        printable(close),
    ))  # fmt: skip


def _line_of(cells: Sequence[str]) -> str:
    fixed = [f"{cell:<{width}}" for cell, width in zip(cells, _WIDTHS, strict=False)]
    return "  ".join([*fixed, cells[-1]]).rstrip()


def _marked(entry: Entry) -> str:
    growing = "being recorded" if entry.session.growing else ""
    note = entry.words.note.split("\n", maxsplit=1)[0][:60]
    return "; ".join(part for part in (growing, entry.name[:60], note) if part)


def _called(entry: Entry) -> str:
    number = f"{entry.number}: " if entry.number else ""
    return printable(f"{number}{entry.name}, {words.when(entry)} UTC")


def _say_trouble(book: Logbook) -> None:
    if book.trouble:
        complain(f"names and notes are not shown: {book.trouble}")


def _logbook() -> Logbook:
    return Logbook(own_files().recordings, _errors())


def _errors() -> ErrorModel:
    return read_settings(own_locations(os.environ, sys.platform).settings).errors


def _now() -> datetime:
    return datetime.now(tz=UTC)

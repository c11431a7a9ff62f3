"""Chapters beside a recording: a TOML file that people write by hand, and that the board edits without disturbing it.

    [[chapter]]
    at = "0:04:10"          # h:mm:ss or m:ss from the recording's begin
    title = "The fix is lost"
    words = "Four satellites are still heard, too weak to use."
    page = "signals"        # optional: the board's page that shows it
    mask_deg = 20           # optional: the sky's what-if leaves out what is lower, 0 to 60
    pace = 0.5              # optional: times the pace of life, 0.1 to 100

    [[chapter]]
    at = "14:32:10Z"        # or the UTC time of day: the first time it is that, after the chapter above
    title = "Back in the open"

A time is a text, since a bare 04:10:00 would be a time of day to TOML and a length to whoever wrote it; the Z tells
the two apart. `NAME.chapters.toml` belongs to NAME.nmea, packed or not: the recorder compresses a file and must not
lose its chapters. Any other file's whole name counts (walk.gpx.chapters.toml), since walk.gpx and walk.log may well
lie side by side and be two things.

It lies beside the recording and nowhere else: it is passed on with it, and two places would soon tell two stories.
Where the folder may not be written, edits are refused with words. Comments, order and whatever else stands in the file
stay as they are; a file that is damaged is named with its line, and never written to.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from core.chapters import Chapter
from core.errors import InputError
from core.plain_files import read_plain
from core.rehearsal.scenario_table import TOP, Lines, Table, nearest, top_table
from core.shown import shown

ENDING = ".chapters.toml"
LARGEST, MOST = 1_000_000, 500
"""Bytes of a file, and chapters in it: far more than a talk has, and nothing that fills a memory."""
TITLE_LIMIT, WORDS_LIMIT = 80, 400
"""Characters: a line, and what an audience reads in one go (our own choice)."""
MOST_MASK_DEG = 60.0
"""As far as the sky's what-if goes."""
SLOWEST, FASTEST = 0.1, 100.0
DAY_S = 86_400.0
LONGEST_S = 100 * DAY_S
KEYS = ("at", "title", "words", "page", "mask_deg", "pace")
_PLAIN = re.compile(r"\.nmea(\.gz)?$", re.IGNORECASE)
_CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d):([0-5]\d)(?:\.(\d{1,3}))?Z", re.ASCII)
_LENGTH = re.compile(r"(?:(\d{1,4}):)?(\d{1,3}):([0-5]\d(?:\.\d{1,3})?)", re.ASCII)
WANTED = "0:04:10 from the begin, or 14:32:10Z for a UTC time of day, is wanted"


@dataclass(frozen=True, slots=True)
class When:
    """Of a chapter, as it was written: one of the two."""

    at_s: float | None = None
    """Seconds since the recording's first piece."""
    time_ms: int | None = None
    """UTC time of day."""

    def __str__(self) -> str:
        """As the file has it."""
        if self.time_ms is None:
            return length_text(self.at_s or 0.0)
        seconds, ms = divmod(self.time_ms, 1000)
        return f"{_hms(seconds)}{f'.{ms:03d}' if ms else ''}Z"


@dataclass(frozen=True, slots=True)
class Entry:
    """One chapter of the file; its place on the time axis may still have to be found."""

    when: When
    title: str
    words: str = ""
    page: str = ""
    mask_deg: float | None = None
    pace: float | None = None

    def at(self, at_s: float) -> Chapter:
        """It, at this moment of the recording."""
        return Chapter(at_s, self.title, self.words, self.page, self.mask_deg, self.pace)


def entry_of(chapter: Chapter) -> Entry:
    """A chapter whose moment is known, to be written."""
    when = When(at_s=chapter.at_s)
    return Entry(when, chapter.title, chapter.words, chapter.page, chapter.mask_deg, chapter.pace)


def chapters_path(recording: Path) -> Path:
    """The file of a recording's chapters. Raises InputError for a path that ends in no name."""
    if not recording.name:  # `.`, `/`, or nothing at all
        raise InputError(f"{recording} is a folder: name one recording in it")
    return recording.with_name(_PLAIN.sub("", recording.name) + ENDING)


def length_text(at_s: float) -> str:
    """A length as h:mm:ss, with as much of the second as there is."""
    ms = round(at_s * 1000)
    seconds, part = divmod(ms, 1000)
    return f"{_hms(seconds, width=1)}{f'.{part:03d}'.rstrip('0') if part else ''}"


def parse_when(text: str) -> When:
    """Raises ValueError, whose words say what is wanted, for what is no time."""
    text = text.strip()
    if found := _CLOCK.fullmatch(text):
        hour, minute, second = (int(part) for part in found.groups()[:3])
        return When(time_ms=(hour * 3600 + minute * 60 + second) * 1000 + int((found[4] or "0").ljust(3, "0")))
    found = _LENGTH.fullmatch(text)
    if found is None or (found[1] and int(found[2]) > 59):
        raise ValueError(WANTED)
    at_s = int(found[1] or 0) * 3600.0 + int(found[2]) * 60.0 + float(found[3])
    if at_s > LONGEST_S:
        raise ValueError(f"at most {LONGEST_S / DAY_S:g} days are wanted")
    return When(at_s=at_s)


def read_entries(path: Path, pages: Collection[str]) -> tuple[Entry, ...]:
    """The chapters of a file in its order, none where there is no such file. Raises InputError naming line and key.

    `pages`: names of the board's pages.
    """
    return parse_entries(read_text(path), path.name, pages)


def read_text(path: Path) -> str:
    """Its text, empty where there is none. Raises InputError where it cannot be read."""
    try:
        data = read_plain(path, LARGEST)
    except FileNotFoundError:
        return ""
    except OSError as error:
        raise InputError(f"{path.name} cannot be read ({error.strerror or error}): look at its permissions") from error
    if len(data) > LARGEST:
        raise InputError(f"{path.name} is far too long for chapters: {LARGEST} bytes at most")
    try:
        return data.decode("utf-8-sig")  # some editors put a mark of three bytes first
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(f"{path.name}, line {line}: no UTF-8: save it as UTF-8 text") from error


def parse_entries(text: str, file: str, pages: Collection[str]) -> tuple[Entry, ...]:
    """The chapters of a text. Raises InputError; `file` is what to call it."""
    tables = top_table(text, file, ("chapter",)).tables("chapter")
    if len(tables) > MOST:
        raise tables[MOST].wrong("", f"more than {MOST} chapters: nobody could show them")
    return tuple(_entry(table, pages) for table in tables)


def _entry(table: Table, pages: Collection[str]) -> Entry:
    table.only(KEYS)
    return Entry(
        _when(table),
        _line(table, "title", TITLE_LIMIT, None),
        _line(table, "words", WORDS_LIMIT, ""),
        _page(table, pages),
        table.number("mask_deg", 0.0, MOST_MASK_DEG) if "mask_deg" in table.values else None,
        table.number("pace", SLOWEST, FASTEST) if "pace" in table.values else None,
    )


def _when(table: Table) -> When:
    value = table.values.get("at")
    if value is None:
        raise table.wrong("", f"at is missing: {WANTED}")
    if not isinstance(value, str):
        raise table.wrong("at", f"is {shown(value)}: as a text, in quotes, {WANTED}")
    try:
        return parse_when(value)
    except ValueError as error:
        raise table.wrong("at", f"is {shown(value)}: {error}") from error


def _line(table: Table, key: str, limit: int, usual: str | None) -> str:
    """A text on one line, however it was written."""
    text = " ".join(table.words(key, "Fix lost", usual).split())
    if not text and usual is None:
        raise table.wrong(key, "is empty: a few words are wanted")
    if len(text) > limit:
        raise table.wrong(key, f"has {len(text)} characters: {limit} at most are wanted")
    return text


def _page(table: Table, pages: Collection[str]) -> str:
    page = table.words("page", "sky", "")
    if page and page not in pages:
        raise table.wrong("page", f"is {shown(page)}: {nearest(page, pages)}")
    return page


def _hms(seconds: int, width: int = 2) -> str:
    return f"{seconds // 3600:0{width}d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


class Typed(NamedTuple):
    """A chapter as somebody typed it into lines of a form; empty lines mean that it is not given."""

    at: str
    title: str
    words: str = ""
    page: str = ""
    mask_deg: str = ""
    pace: str = ""


def typed_from(entry: Entry) -> Typed:
    """What to put into the lines of a form."""
    numbers = ("" if value is None else f"{value:g}" for value in (entry.mask_deg, entry.pace))
    return Typed(str(entry.when), entry.title, entry.words, entry.page, *numbers)


def entry_typed(typed: Typed, pages: Collection[str]) -> Entry:
    """What was typed, by the rules of the file. Raises InputError naming the line of the form."""
    values: dict[str, Any] = {key: text for key, text in typed._asdict().items() if key in {"at", "title"} or text}
    for key in ("mask_deg", "pace"):
        if key in values:
            values[key] = _number(key, values[key])
    return _entry(Typings("", Lines(""), TOP, values), pages)


class Typings(Table):
    """A form has no lines to name, and its labels are words."""

    __slots__ = ()

    def wrong(self, key: str, what: str) -> InputError:
        """What to raise for a line of the form."""
        return InputError(f"{_LABELS.get(key, key)} {what}".strip())


_LABELS = {"mask_deg": "mask", "at": "time"}


def _number(key: str, text: str) -> float:
    try:
        return float(text)
    except ValueError as error:
        raise InputError(f"{_LABELS.get(key, key)} is {shown(text)}: a number is wanted") from error

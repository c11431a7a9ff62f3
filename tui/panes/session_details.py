"""One session: what it holds, the user's words on it, its files."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from core.session_summary import Summary
from core.sessions import Entry
from core.trust import Verdict
from tui import session_words as words
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.position import labelled

SMALL = 14
"""Rows up to which a note has one line: the figures come first."""
LONGEST_NOTE = 12
"""Lines of a note, where there is room."""


class SessionDetailsPane(RowsPane):
    """The session under the cursor."""

    caption = "Chosen"

    def __init__(self) -> None:
        super().__init__(id="session-details")
        self._entry: Entry | None = None

    def show(self, entry: Entry | None) -> None:
        """Show this one."""
        if entry != self._entry:
            self._entry = entry
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Words, times, what was walked, how good it was, files."""
        entry = self._entry
        if entry is None:
            return []
        small = height <= SMALL
        return [
            *_words(entry, width, 1 if small else LONGEST_NOTE),
            *_warnings(entry, width),
            *_times(entry),
            *_figures(entry),
            *(() if small or entry.summary is None else _verdicts(entry.summary)),
            *_files(entry),
        ]


def _words(entry: Entry, width: int, lines: int) -> Iterator[Row]:
    yield (Span(entry.name, Ink.TITLE, bold=True),)
    for line in wrap(one_cell_each(entry.words.note[:4000]), max(10, width - 2))[:lines]:
        yield (Span(line),)


def _warnings(entry: Entry, width: int) -> Iterator[Row]:
    if entry.session.growing:
        yield (Span("being recorded, or just ended", Ink.ACCENT),)
    found = entry.summary
    if found is None:
        yield (Span("being read ...", Ink.MUTED),)
        return
    for text in (found.problem, found.dates.words if found.begins_ms is not None else ""):
        for line in wrap(one_cell_each(text), max(10, width - 2))[:3]:
            yield (Span(line, Ink.WARN),)


def _times(entry: Entry) -> Iterator[Row]:
    zone = "" if words.when(entry) == words.UNKNOWN else " UTC"
    yield labelled("begins", Span(f"{words.when(entry)}{zone}"))
    if words.when_local(entry):
        yield labelled("local", Span(words.when_local(entry)))
    if entry.summary and entry.summary.ends_ms is not None:
        yield labelled("ends", Span(f"{words.until(entry.summary)} UTC"))
    yield labelled("length", Span(words.length(entry)))


def _figures(entry: Entry) -> Iterator[Row]:
    known = entry.summary is not None and entry.summary.distance_m is not None
    yield labelled("distance", Span(words.way(entry)), Span("  standing not counted" if known else "", Ink.MUTED))
    yield labelled("locator", Span(words.square(entry)))
    yield labelled("quality", Span(words.quality(entry) if not _problem(entry) else words.UNKNOWN))


def _verdicts(found: Summary) -> Iterator[Row]:
    yield labelled("epochs", Span(f"{found.epochs:,}"), Span(f"  {found.epochs_with_fix:,} with a fix", Ink.MUTED))
    for verdict, count in reversed(list(zip(Verdict, found.verdicts, strict=True))):
        if count:
            yield labelled("", Span(f"{count:>9,} {verdict.words}"))


def _files(entry: Entry) -> Iterator[Row]:
    count = len(entry.session.files)
    more = f" in {count} files" if count > 1 else ""
    yield labelled("size", Span(f"{words.size(entry.session.size)}{more}"))
    for number, path in enumerate(entry.session.paths):
        yield labelled("" if number else "file", Span(path.name, Ink.MUTED))


def _problem(entry: Entry) -> bool:
    return bool(entry.summary and entry.summary.problem)

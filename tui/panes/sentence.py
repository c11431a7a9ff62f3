"""One sentence, field by field: number, name, as it stands, what it says, what that means."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from core.nmea.explain import Explained
from core.nmea.explain_frame import checksum_words
from core.nmea.explain_records import Field, Told, escaped, value_words
from core.nmea.explain_remarks import remarks, title
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane

COLUMNS = ((150, (34, 24, 26)), (110, (24, 16, 20)), (0, (18, 12, 15)))
"""From so many columns on: widths of name, text and value; the meaning has the rest."""


class SentencePane(RowsPane):
    """Scrolled by its screen; `show` gives it another sentence."""

    caption = "Sentence"

    def __init__(self) -> None:
        super().__init__(id="sentence")
        self.one: Explained | None = None
        self.first = 0
        """The first row that is seen."""

    def show(self, one: Explained, aside: str) -> None:
        """From its beginning."""
        self.one, self.first = one, 0
        self.aside = Span(aside, Ink.MUTED)
        self.repaint()

    def scroll_rows(self, by: int) -> None:
        """Never beyond the last row."""
        self.first = max(0, min(self.first + by, self._last_first()))
        self.repaint()

    def page(self) -> int:
        """How many rows are seen, the caption aside."""
        return max(1, self.content_size.height - 1)

    def _last_first(self) -> int:
        return len(self._all(self.content_size.width)) - self.page()

    def _all(self, width: int) -> list[Row]:
        return list(_rows(self.one, width - 2)) if self.one else []

    def rows(self, width: int, height: int) -> list[Row]:
        """Those from the first that is seen; the last says where there is more."""
        rows = self._all(width)
        self.first = max(0, min(self.first, len(rows) - height))
        seen = rows[self.first : self.first + height]
        below = len(rows) - self.first - len(seen)
        if below:
            seen[-1] = (Span(f"{below + 1} more rows below: Down", Ink.ACCENT),)
        return seen


def _rows(one: Explained, width: int) -> Iterator[Row]:
    for line in wrap(escaped(one.text), width, break_on_hyphens=False):
        yield (Span(line, Ink.TEXT if one.accepted else Ink.WARN),)
    yield from _verdict(one, width)
    for before in one.before:
        yield from _block(f"before it, {before.what}: {escaped(before.raw)}: {before.meaning}", width, Ink.MUTED)
    for remark in remarks(one):
        yield from _block(remark, width, Ink.MUTED)
    for field in one.fields:
        yield from _field(field, width)


def _verdict(one: Explained, width: int) -> Iterator[Row]:
    if title(one):
        yield from _block(title(one), width, Ink.TITLE)
    refused = f"Refused, {one.reason.value}." if one.reason else "Not a sentence."
    checksum = f" {checksum_words(one.checksum)}." if one.checksum else ""
    head = "Taken." if one.accepted else refused
    yield from _block(head + checksum, width, Ink.GOOD if one.accepted else Ink.ALERT)
    for line in one.why:
        yield from _block(line, width, Ink.WARN)
    if one.is_cut:
        yield from _block("Only its beginning was kept.", width, Ink.WARN)


def _block(text: str, width: int, ink: Ink) -> Iterator[Row]:
    for line in wrap(one_cell_each(text), width):
        yield (Span(line, ink),)


def _field(field: Field, width: int) -> Iterator[Row]:
    """One row, or more: what is too long for its column goes on below, and is never cut."""
    name, raw, value = next(columns for least, columns in COLUMNS if width >= least)
    told = field.told
    columns = (
        (wrap(field.name, name), name, Ink.MUTED),
        (wrap(escaped(field.raw), raw, break_on_hyphens=False), raw, Ink.TEXT),
        (wrap(one_cell_each(value_words(told)), value), value, Ink.WARN if told.is_wrong else Ink.TEXT),
        (_meaning(told, width - name - raw - value - 7), 0, Ink.WARN if told.is_wrong else Ink.MUTED),
    )
    for n in range(max(1, *(len(lines) for lines, _, _ in columns))):
        number = f"{field.number:>3} " if n == 0 else "    "
        cells = [Span(_cell(lines, n, room), ink) for lines, room, ink in columns]
        yield (Span(number, Ink.MUTED), *cells)


def _meaning(told: Told, width: int) -> list[str]:
    return wrap(one_cell_each(told.meaning), max(12, width))


def _cell(lines: list[str], n: int, room: int) -> str:
    """One line of a column with the gap after it; the last column, of no stated room, is not filled up."""
    text = lines[n] if n < len(lines) else ""
    return f"{text:<{room}} " if room else text

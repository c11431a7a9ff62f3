"""Signal strengths as bars: by system, the strongest first, filled when in the fix."""

from __future__ import annotations

from itertools import groupby

from textual.reactive import reactive

from core.aged import Freshness
from core.fix import Satellite
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, signal_step
from tui.canvas.rows import Row, RowsPane
from tui.state import BoardState

STRONGEST_DBHZ = 55
"""The right end of the scale: the best that antennas deliver is about 50 (trade facts, C/N0 table)."""
COLUMN = 34
SYSTEMS = {
    "G": "GPS", "R": "GLONASS", "E": "Galileo", "C": "BeiDou", "J": "QZSS", "I": "NavIC",
    "S": "augmentation", "?": "unnamed",
}  # fmt: skip


class SignalsPane(RowsPane):
    """One line a satellite, in as many columns as fit."""

    caption = "Signals"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        sky = self.state.snapshot.sky
        old = sky is not None and sky.freshness(self.state.now_s) is not Freshness.FRESH
        text = f"{wording.age(sky.age_s(self.state.now_s))} old" if sky and old else "dB-Hz, filled: in the fix"
        self.aside = Span(text, Ink.STALE if old else Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Columns beside each other; what has no room is counted."""
        sky = self.state.snapshot.sky
        if sky is None or not sky.value or sky.freshness(self.state.now_s) is Freshness.GONE:
            return [(Span("no satellites reported", Ink.MUTED),)]
        entries = _entries(sky.value)
        columns = max(1, (width - 2) // COLUMN)
        shown = entries[: columns * (height - 1)] if len(entries) > columns * height else entries
        depth = _depth(len(shown), columns)
        rows = [_side_by_side(shown[y::depth], width, columns) for y in range(depth)]
        missing = len(entries) - len(shown)
        return [*rows, (Span(f"and {missing} lines more: no room here", Ink.MUTED),)] if missing else rows


def _depth(count: int, columns: int) -> int:
    return max(1, -(-count // columns))


def _entries(satellites: tuple[Satellite, ...]) -> list[Row]:
    """A heading for each system, its satellites below, the strongest first."""
    ordered = sorted(satellites, key=lambda one: (one.name[0], -(one.cno_dbhz or 0), one.name))
    found: list[Row] = []
    for letter, group in groupby(ordered, key=lambda one: one.name[0]):
        members = list(group)
        used = sum(one.in_fix for one in members)
        heading = Span(SYSTEMS.get(letter, letter), Ink.TITLE, bold=True)
        found.append((heading, Span(f"  {used} of {len(members)}", Ink.MUTED)))
        found.extend(_bar(one) for one in members)
    return found


def _bar(satellite: Satellite) -> Row:
    """Name, strength, bar: a block of paper when in the fix, a row of dashes when not. Readable without colour."""
    strength = satellite.cno_dbhz
    name = Span(f"{satellite.name:<4}", Ink.TEXT if satellite.in_fix else Ink.MUTED, bold=satellite.in_fix)
    if strength is None:
        return (name, Span("  - not tracked", Ink.MUTED))
    step = signal_step(strength)
    length = max(1, min(20, round(20 * strength / STRONGEST_DBHZ)))
    bar = Span(" " * length, paper=PILL_PAPERS[step]) if satellite.in_fix else Span("-" * length, SIGNAL_INKS[step])
    return (name, Span(f"{strength:>3} "), bar)


def _side_by_side(cells: list[Row], width: int, columns: int) -> Row:
    """Cells padded to the width of a column."""
    column = (width - 2) // columns
    row: list[Span] = []
    for cell in cells:
        used = sum(len(span.text) for span in cell)
        row += [*cell, Span(" " * max(1, column - used))]
    return tuple(row)

"""Signal strengths as bars: by system, the strongest first, filled when in the fix."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from textual.reactive import reactive

from core.aged import Freshness
from core.fix import Satellite
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import PILL_PAPERS, SIGNAL_INKS, Ink, signal_step
from tui.canvas.rows import Row, RowsPane
from tui.panes.scrolling import window
from tui.state import BoardState

STRONGEST_DBHZ = 55
"""The right end of the scale: the best that antennas deliver is about 50 (trade facts, C/N0 table)."""
COLUMN = 34
OVERTAKES_DB = 3
"""What a signal must have changed by to change places: they waver by one or two from second to second, and rows that
swap each second cannot be read."""
SYSTEMS = {
    "G": "GPS", "R": "GLONASS", "E": "Galileo", "C": "BeiDou", "J": "QZSS", "I": "NavIC",
    "S": "augmentation", "?": "unnamed",
}  # fmt: skip


class SignalsPane(RowsPane):
    """One line a satellite, in as many columns as fit."""

    caption = "Signals"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    furthest = 0
    """The greatest row that it can begin with, as drawn last."""
    _placed_by: Mapping[str, int] = {}
    """By name, the strength that gave a satellite its place."""

    def watch_state(self) -> None:
        """Draw the new state."""
        sky = self.state.snapshot.sky
        old = sky is not None and sky.freshness(self.state.now_s) is not Freshness.FRESH
        text = f"{wording.age(sky.age_s(self.state.now_s))} old" if sky and old else "dB-Hz, filled: in the fix"
        self.aside = Span(text, Ink.STALE if old else Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Columns beside each other, as deep as all satellites need."""
        self.furthest = 0
        sky = self.state.snapshot.sky
        if sky is None or not sky.value or sky.freshness(self.state.now_s) is Freshness.GONE:
            return [(Span("no satellites reported", Ink.MUTED),)]
        count = max(1, (width - 2) // COLUMN)
        self._placed_by = settled(sky.value, self._placed_by)
        columns = _fitting(sky.value, self._placed_by, count, height)
        depth = max(len(column) for column in columns)
        rows = [_side_by_side(columns, y, width) for y in range(depth)]
        seen, self.furthest = window(rows, height, self.state.first_row)
        return seen


def settled(satellites: tuple[Satellite, ...], before: Mapping[str, int]) -> dict[str, int]:
    """The strength that each is placed by: as before, unless its own has moved away from that."""
    found = {}
    for one in satellites:
        strength = one.cno_dbhz or 0
        old = before.get(one.name, strength)
        found[one.name] = old if abs(strength - old) < OVERTAKES_DB else strength
    return found


def _fitting(
    satellites: tuple[Satellite, ...], placed_by: Mapping[str, int], count: int, height: int
) -> list[list[Row]]:
    """At most `count` columns: as deep as the pane is high, or, where that is too little, as they must be."""
    columns = _columns(satellites, placed_by, height)
    while len(columns) > count:
        height += 1
        columns = _columns(satellites, placed_by, height)
    return columns


def _columns(satellites: tuple[Satellite, ...], placed_by: Mapping[str, int], height: int) -> list[list[Row]]:
    """A heading for each system, its satellites below, the strongest first; the heading again where a column begins."""
    ordered = sorted(satellites, key=lambda one: (one.name[0], -placed_by[one.name], one.name))
    columns: list[list[Row]] = [[]]
    for letter, group in groupby(ordered, key=lambda one: one.name[0]):
        members = list(group)
        heading = _heading(letter, f"{sum(one.in_fix for one in members)} of {len(members)} in the fix")
        if len(columns[-1]) > max(0, height - 2):
            columns.append([])
        columns[-1].append(heading)
        for one in members:
            if len(columns[-1]) >= max(2, height):
                columns.append([_heading(letter, "more")])
            columns[-1].append(_bar(one))
    return columns


def _heading(letter: str, remark: str) -> Row:
    return (Span(SYSTEMS.get(letter, letter), Ink.TITLE, bold=True), Span(f"  {remark}", Ink.MUTED))


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


def _side_by_side(columns: list[list[Row]], y: int, width: int) -> Row:
    """One line of all columns, each padded to its width."""
    wide = (width - 2) // len(columns)
    row: list[Span] = []
    for column in columns:
        cell = column[y] if y < len(column) else ()
        used = sum(len(span.text) for span in cell)
        row += [*cell, Span(" " * max(1, wide - used))]
    return tuple(row)

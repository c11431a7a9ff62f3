"""The computer's clock against the satellites': the second they name, how far off it is, and what it is good for.

The offset is drawn as the stretch it may lie in, over marks at half a second and at one: what slot modes want and need.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from textwrap import wrap

from textual.reactive import reactive

from core.aged import Freshness
from core.clock_report import WANTED_S, WORKS_S, ClockReport, SlotVerdict
from core.fix import Utc, ms_to
from core.set_clock import CAUTIONS
from tui.canvas.digits import Size, extent, put_large, size_for
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, put_row
from tui.canvas.widget import CanvasPane
from tui.clock_words import ASSUMPTIONS, at_most_words, computer_words, gps_words, made_from_words, offset_words
from tui.panes.scrolling import window
from tui.state import BoardState

REACH_S = 1.5
"""From the middle of the bar to either end."""
RECORDED = "the clock of the recording, then"
LABEL = 12
LARGEST_SHARE = 4
"""The figures take a fourth of the height at most, so that the words have room."""
LEAST_BAR = 24
"""Cells below which a bar says nothing."""
PERIODS_BEHIND, ROUNDING_MS = 3, 1000
"""What the report may be behind the newest second: the epochs that are not finished yet, and that it is told of once
a second. A second that is further ahead was not named with a satellite fix."""
NOTHING_TO_COMPARE = "no receiver: nothing to compare this computer's clock with"
_INKS = {SlotVerdict.YES: Ink.GOOD, SlotVerdict.NO: Ink.ALERT, SlotVerdict.UNKNOWN: Ink.WARN}


class ClockPane(CanvasPane):
    """All of the report, the weightiest first."""

    caption = "Clock"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    furthest = 0
    """The greatest row that what the verdict rests on can begin with, as drawn last."""

    def watch_state(self) -> None:
        """Draw the new state."""
        recorded = self.state.snapshot.clock.recorded
        self.aside = Span(RECORDED if recorded else "bounds, not a bare number", Ink.MUTED)
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """Figures, offset with its bar, verdict; then what they rest on, as far as there is room."""
        self.furthest = 0
        if self.state.is_held:
            put_row(grid, 0, (Span("HELD PLACE", Ink.WARN, bold=True), Span(f"  {NOTHING_TO_COMPARE}")))
            return
        report = self.state.snapshot.clock
        y = _write_time(grid, *newest_second(self.state))
        y = _write(grid, y, answer_rows(report, grid.width))
        y = _draw_bar(grid, y, report)
        y = _write(grid, y, verdict_rows(report, grid.width))
        seen, self.furthest = window(_rest(report, grid.width, grid.height - y), grid.height - y, self.state.first_row)
        _write(grid, y, iter(seen))


def newest_second(state: BoardState) -> tuple[Utc | None, bool]:
    """The newest second named with a satellite fix, and whether it still is the present one.

    The report is made from finished epochs, so its own second is one or two behind what every other page shows: no
    figure to set a watch by. A second that came long ago, or time without a fix, must not pass for it either.
    """
    said, aged = state.snapshot.clock.utc, state.snapshot.values.utc
    if said is None or aged is None or aged.freshness(state.now_s) is not Freshness.FRESH:
        return said, False
    ahead_ms = ms_to(said.time_ms, aged.value.time_ms)
    if ahead_ms > PERIODS_BEHIND * aged.period_s * 1000 + ROUNDING_MS:
        return said, False
    over_midnight = aged.value.time_ms < said.time_ms
    return Utc(aged.value.time_ms, said.day + timedelta(days=over_midnight) if said.day else None), True


def _write(grid: Grid, y: int, rows: Iterator[Row]) -> int:
    for row in rows:
        put_row(grid, y, row)
        y += 1
    return y


def _write_time(grid: Grid, utc: Utc | None, is_present: bool) -> int:
    """The newest second named, large; the first row after it."""
    if utc is None:
        put_row(grid, 0, (Span("no second of a satellite fix yet", Ink.ALERT, bold=True),))
        return 1
    size = size_for(utc.clock(), grid.width - 26, grid.height // LARGEST_SHARE)
    wide, high = extent(utc.clock(), size)
    put_large(grid, (1, 0), Span(utc.clock(), Ink.TEXT if is_present else Ink.STALE), size)
    day = utc.day.isoformat() if utc.day else "no date"
    x = grid.put(3 + wide, high - 1, Span(f"UTC  {day}", Ink.MUTED))
    if not is_present:
        # Above the date, or beside it where the figures are one row high: never out of sight.
        put_row(
            grid,
            max(0, high - 2),
            (Span(" " * (x if high == 1 else 2 + wide)), Span("not current", Ink.WARN, bold=True)),
        )
    return high + (1 if size is not Size.TEXT and grid.height > 18 else 0)


def _labelled(label: str, words: str, width: int, ink: Ink = Ink.TEXT) -> Iterator[Row]:
    """Words broken over as many rows as they need, the label before the first."""
    lines = wrap(words, max(10, width - LABEL - 2))
    for n, line in enumerate(lines):
        yield (Span(f"{label if n == 0 else '':<{LABEL}}", Ink.MUTED), Span(line, ink))


def answer_rows(report: ClockReport, width: int) -> Iterator[Row]:
    """What the computer's clock said, and how far off it is."""
    if report.computer_s is not None and report.utc is not None:
        said = f"{computer_words(report)} when the first byte of {report.utc.clock()} UTC came"
        yield from _labelled("computer", said, width)
    first, *others = _labelled("offset", offset_words(report), width)
    yield (first[0], first[1]._replace(bold=True))
    yield from others


def verdict_rows(report: ClockReport, width: int) -> Iterator[Row]:
    """Good for slot modes or not, and why."""
    ink = _INKS[report.verdict]
    words = "; ".join(report.reasons)
    head = f"{report.verdict.value.upper()}: "
    first, *others = wrap(head + words, max(10, width - LABEL - 2))
    yield (Span(f"{'slot modes':<{LABEL}}", Ink.MUTED), Span(first, ink, bold=True))
    for line in others:
        yield (Span(" " * LABEL), Span(line, ink))


# The bar


def _draw_bar(grid: Grid, y: int, report: ClockReport) -> int:
    """The stretch that the offset may lie in, over marks at -1, -0.5, 0, 0.5 and 1 s; the first row after it."""
    cells = grid.width - LABEL - 4
    if cells < LEAST_BAR or y + 2 > grid.height or report.at_most_s is None:
        return y
    middle = LABEL + 2 + cells // 2
    scale = (cells // 2) / REACH_S
    line = [Span("-", Ink.FAINT)] * (2 * round(REACH_S * scale) + 1)
    left = middle - round(REACH_S * scale)
    for n, span in enumerate(line):
        grid.put(left + n, y, span)
    for mark_s in (-WORKS_S, -WANTED_S, 0.0, WANTED_S, WORKS_S):
        x = middle + round(mark_s * scale)
        grid.put(x, y, Span("|", Ink.MUTED))
        label = f"{mark_s:+g} s" if mark_s else "0"
        grid.put(x - len(label) // 2, y + 1, Span(label, Ink.MUTED))
    _draw_stretch(grid, (left, y), (middle, scale), report)
    grid.put(1, y + 1, Span("behind", Ink.MUTED))
    grid.put(left + len(line) - 5, y + 1, Span("ahead", Ink.MUTED))
    return y + 2


def _draw_stretch(grid: Grid, at: tuple[int, int], axis: tuple[int, float], report: ClockReport) -> None:
    """Filled between the bounds; without a lower one, an arrow that points away from the one that is certain."""
    (left, y), (middle, scale) = at, axis
    right = 2 * middle - left
    ink = _INKS[report.verdict]
    bounded = report.low_s is not None and report.high_s is not None
    low_s = report.low_s if bounded else None
    high_s = report.high_s if bounded else report.at_most_s
    end = middle + round((high_s or 0.0) * scale)
    begin = left if low_s is None else middle + round(low_s * scale)
    if end < left or begin > right:
        char, x = ("<", left) if end < left else (">", right)
        grid.put(x, y, Span(char, ink, bold=True))
        return
    char = "=" if bounded else "<"
    for x in range(max(left, begin), min(right, max(end, begin)) + 1):
        grid.put(x, y, Span(char, ink, bold=True))
    for x, mark in ((begin, "["), (end, "]")):
        if left <= x <= right and (bounded or mark == "]"):
            grid.put(x, y, Span(mark, ink, bold=True))


# What it rests on


def _rest(report: ClockReport, width: int, room: int) -> list[Row]:
    """Guards and notes before all else, cautions before what explains; blank rows between where there is room."""
    blocks = [list(block) for block in rest_blocks(report, width)]
    gap: list[Row] = [()] if sum(map(len, blocks)) + len(blocks) <= room else []
    return [row for block in blocks for row in (*gap, *block)]


def rest_blocks(report: ClockReport, width: int) -> Iterator[Iterator[Row]]:
    """What it rests on, the weightiest first."""
    shown = set(report.reasons)
    warned = [guard.words for guard in report.guards if guard.words not in shown] + list(report.notes)
    warned += [jump.words for jump in report.jumps[-2:]]
    if warned:
        yield (row for words in warned for row in _labelled("note", words, width, Ink.WARN))
    if report.at_most_s is not None:
        yield _labelled("certain", at_most_words(report), width)
    yield _labelled("latency", report.latency.words, width)
    yield _labelled("to set it", "`fixboard clock` prints the command for this computer", width)
    yield _labelled("take care", CAUTIONS[0], width)
    yield _labelled("", CAUTIONS[2], width)
    if report.epochs:
        yield _labelled("made from", made_from_words(report), width)
    yield (row for n, line in enumerate(gps_words(report)) for row in _labelled("" if n else "GPS time", line, width))
    yield _labelled("bytes", report.worth, width, Ink.MUTED)
    yield _labelled("assumes", ASSUMPTIONS, width, Ink.MUTED)
    yield _labelled("", CAUTIONS[1], width, Ink.MUTED)

"""The page of averaging in words: how far it is, the mean, what it is worth and what it is made of."""

from __future__ import annotations

from collections.abc import Iterator

from textual.reactive import reactive

from core.site import SiteReport, SiteState
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.own_keys import own_hints, own_words
from tui.panes import averaging_rows as words
from tui.panes.position import spaced
from tui.panes.scrolling import window
from tui.state import BoardState

HELD = "A held place is a saved position, not a measurement: there is nothing to average. k goes back to the receiver."
HOW = (
    "S begins an averaging: put the receiver down where it shall stand, open to the sky, and leave it there.",
    "Errors wander over minutes and hours: ten minutes tell little, one to four hours are useful. It goes on when you "
    "leave this page, and survives a crash.",
)
KEYS = {
    SiteState.NONE: "S start B mark",
    SiteState.RUNNING: "S pause E end W save B mark",
    SiteState.AWAY: "S pause E end W save B mark",
    SiteState.PAUSED: "S on E end W save B mark",
    SiteState.ENDED: "S new W save B mark",
}


class AveragingPane(RowsPane):
    """Figures that are honest about how little neighbours tell."""

    caption = "Averaging"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    furthest = 0
    """The greatest row that it can begin with, as drawn last."""

    def watch_state(self) -> None:
        """Draw the new state."""
        report = self.state.snapshot.site
        self.aside = Span("" if self.state.is_held else own_hints(KEYS[report.state]), Ink.ACCENT)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """The mean and what it cannot do before what it was made of; what has no room is scrolled to."""
        blocks = [block for block in map(list, _blocks(self.state, width)) if block]
        seen, self.furthest = window(spaced(blocks, height), height, self.state.first_row)
        return seen


def _blocks(state: BoardState, width: int) -> Iterator[Iterator[Row]]:
    report = state.snapshot.site
    if state.is_held:
        yield words.sentence(own_words(HELD), width, Ink.WARN)
        return
    if report.state is SiteState.NONE:
        yield _invitation(report, width)
        return
    yield words.state_rows(report, width)
    found = report.average
    if found is not None:
        yield words.mean_rows(state, report, found, width)
        yield words.mark_rows(report, width)
        yield words.caution_rows(report, width)
        yield words.spread_rows(found, width)
        yield words.memory_rows(report, found, width)
        yield _modes(report, width)
    else:
        yield words.caution_rows(report, width)
    yield words.definition_rows(width)


def _invitation(report: SiteReport, width: int) -> Iterator[Row]:
    for sentence in map(own_words, HOW):
        yield from words.sentence(sentence, width, Ink.TEXT)
    if report.mark is not None:
        yield from words.sentence(f"It will be compared with {report.mark.name}.", width, Ink.TARGET)
    yield from words.sentence(words.NEVER, width, Ink.WARN)


def _modes(report: SiteReport, width: int) -> Iterator[Row]:
    """Only where they differ: a mean of coarse and fine fixes is as good as the coarse ones."""
    if len(report.modes) > 1:
        told = ", ".join(f"{count:,} {wording.MODE_WORDS[mode]}" for mode, count in report.modes)
        yield from words.sentence(f"mixed: {told}", width, Ink.WARN, "modes")

"""Two recordings in figures: both verdicts, where B is from A and what that is worth, whose satellites."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.comparing import Difference, Pair, used_by
from core.pair_other import Other
from core.pair_side import used_names
from tui import wording
from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.ab_sky import NO_OTHER
from tui.panes.ab_state import axis_words, b_state, difference_now
from tui.panes.position import spaced
from tui.panes.verdict_line import INKS, MARKS
from tui.state import BoardState

LABEL = 12
HOW = (
    NO_OTHER,
    "A is the recording that is played, B the second one. A leads: pause, pace, jumps and loop are A's, and B follows.",
    "In the shell: fixboard replay A --with B",
)


class PairPane(RowsPane):
    """What a table can say of the two."""

    caption = "A and B"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        other = self.state.other
        words = axis_words(other) if other else ""
        room = max(0, self.content_size.width - 12)
        self.aside = Span(words if len(words) <= room else fitted(words, room), Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """The difference, which one came for, between what it is made from; blank rows where there is room."""
        other = self.state.other
        if other is None:
            return [(Span(line, Ink.MUTED),) for words in HOW for line in wrap(words, max(20, width - 2))]
        found = difference_now(self.state, other)
        table = list(_table(self.state, b_state(self.state, other), width))
        blocks = [table, list(difference_rows(found, width))]
        used = height - sum(map(len, blocks))
        whole = list(satellite_rows(self.state, other, width))
        names = whole if len(whole) <= used else list(satellite_rows(self.state, other, width, is_cut=True))
        return spaced([*blocks, names], height)


# Each for itself


def _table(a: BoardState, b: BoardState, width: int) -> Iterator[Row]:
    column = max(8, (width - LABEL - 2) // 2)
    yield _columns("", (Span("A", Ink.TITLE, bold=True), Span("B", Ink.TITLE, bold=True)), column)
    for label, cell in CELLS:
        yield _columns(label, (cell(a), cell(b)), column)


def _columns(label: str, cells: tuple[Span, Span], column: int) -> Row:
    first, second = (cell._replace(text=fitted(cell.text, column - 1)) for cell in cells)
    return (Span(f"{label:<{LABEL}}", Ink.MUTED), first, Span(" " * (column - len(first.text))), second)


def _name(state: BoardState) -> Span:
    return Span(one_cell_each(state.status.name))


def _source(state: BoardState) -> Span:
    return Span(f"{state.status.kind.value}, {state.status.state.value}")


def _utc(state: BoardState) -> Span:
    utc = state.utc
    if utc is None:
        return Span(wording.UNKNOWN, Ink.MUTED)
    return Span(f"{utc.clock()}  {utc.day.isoformat() if utc.day else 'no date'}", _ink(state))


def _verdict(state: BoardState) -> Span:
    return Span(f"{MARKS[state.verdict]} {state.verdict.words}", INKS[state.verdict], bold=True)


def _error(state: BoardState) -> Span:
    error = state.snapshot.trust.error
    if error.horizontal_m is None or not state.is_current:
        return Span(wording.UNKNOWN, Ink.MUTED)
    height = "" if error.vertical_m is None else f", height {wording.metres(error.vertical_m)}"
    return Span(f"{wording.metres(error.horizontal_m)}{height}")


def _in_fix(state: BoardState) -> Span:
    aged, sky = state.snapshot.values.in_fix, state.snapshot.sky
    if aged is None or not state.is_current:
        return Span(wording.UNKNOWN, Ink.MUTED)
    in_view = f" of {len(sky.value)} in view" if sky and sky.value else ""
    return Span(f"{aged.value}{in_view}")


def _ink(state: BoardState) -> Ink:
    return Ink.TEXT if state.is_current else Ink.STALE


CELLS: tuple[tuple[str, Callable[[BoardState], Span]], ...] = (
    ("file", _name),
    ("source", _source),
    ("UTC", _utc),
    ("verdict", _verdict),
    ("95 % error", _error),
    ("in the fix", _in_fix),
)

# Together


def difference_rows(found: Difference, width: int) -> Iterator[Row]:
    """Where B is from A and what that is worth, or why it is not said."""
    if found.pair is None:
        yield _labelled("B from A", Span("no difference stated", Ink.WARN, bold=True))
        for line in wrap(found.why, max(20, width - LABEL - 2)):
            yield _labelled("", Span(line))
        return
    east, north, distance = found.pair.offset
    yield _labelled(
        "B from A",
        *(Span("east ", Ink.MUTED), Span(f"{_signed(east)}   ", bold=True)),
        *(Span("north ", Ink.MUTED), Span(f"{_signed(north)}   ", bold=True)),
        *(Span("up ", Ink.MUTED), _up(found)),
    )
    yield _labelled("distance", Span(length(distance), bold=True), Span(f"   at {_when(found.pair)}", Ink.MUTED))
    for line in wrap(worth_words(found), max(20, width - LABEL - 2)):
        yield _labelled("", Span(line, Ink.TEXT))
    yield _labelled("height", Span(found.rise.words, Ink.MUTED))


def _up(found: Difference) -> Span:
    up = found.rise.up_m
    return Span(wording.UNKNOWN, Ink.MUTED) if up is None else Span(_signed(up), bold=True)


def _signed(metres: float) -> str:
    """Centimetres below 10 m: what a difference is worth stands beside it."""
    if abs(metres) < 0.005:
        return wording.exact(0.0, 2)
    return wording.exact(metres, 2 if abs(metres) < 9.995 else 1, signed=True)


def length(metres: float) -> str:
    """A distance, as fine as its parts."""
    return wording.exact(metres, 2 if metres < 9.995 else 1)


def _when(pair: Pair) -> str:
    utc = pair.a.place.utc if pair.a.place else None
    clock = f"{utc.clock(1)} UTC" if utc else wording.clock(pair.a.at_s)
    apart = (
        ""
        if not pair.apart_s
        else f", B's epoch {abs(pair.apart_s):.2f} s {'later' if pair.apart_s > 0 else 'earlier'}"
    )
    return f"{clock}{apart}"


def worth_words(found: Difference) -> str:
    """What the distance is worth."""
    pair, sure_m = found.pair, found.worth.sure_m
    if pair is None:
        return ""
    if sure_m is None:
        return f"what that is worth is not known: {found.worth.why}"
    told = f"sure to {wording.metres(sure_m)} (95 %, both errors together, as if independent)"
    if pair.offset.distance_m <= sure_m:
        return f"{told}: no more than the errors explain"
    return f"{told}: more than the errors explain"


def satellite_rows(state: BoardState, other: Other, width: int, *, is_cut: bool = False) -> Iterator[Row]:
    """Whose are in the fix; `is_cut`: in a row each, marked as cut where that is too short."""
    b = b_state(state, other)
    lists = [used_names(one.snapshot, one.now_s) if one.is_current else None for one in (state, b)]
    if lists[0] is None or lists[1] is None:
        silent = " and ".join(letter for letter, one in zip("AB", lists, strict=True) if one is None)
        yield _labelled("satellites", Span(f"{silent}: no list of those in the fix", Ink.MUTED))
        return
    used = used_by(lists[0], lists[1])
    for label, names in (("in A and B", used.both), ("A only", used.a_only), ("B only", used.b_only)):
        room = max(8, width - LABEL - 2)
        count = f"{len(names)}  " if names else "0"
        told = wrap(" ".join(names), max(4, room - len(count))) or [""]
        lines = [fitted(" ".join(told), room - len(count))] if is_cut else told
        for number, line in enumerate(lines):
            yield _labelled("" if number else label, Span(f"{' ' * len(count) if number else count}{line}"))


def _labelled(label: str, *spans: Span) -> Row:
    return (Span(f"{label:<{LABEL}}", Ink.MUTED), *spans)

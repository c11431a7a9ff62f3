"""The panel beside the sky: dilutions as received, worked out and imagined, and what to imagine."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.geometry import Dops
from tui.canvas.grid import Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.panes.signals import SYSTEMS
from tui.panes.what_if_view import Panel, Ranked, effect, panel
from tui.sky_choice import FIGURES, SATELLITE, SYSTEM
from tui.state import BoardState

KEYS = ("Up Down: row  Left Right: change", "Del: drop  Home: reset  PgDn: layer")
"""What the page's keys do, short enough for the narrowest panel beside a plot."""
SHORT = {
    "below the mask": "mask",
    "behind the cliff": "cliff",
    "behind the houses": "houses",
    "system dropped": "system out",
}
"""Why a satellite is lost, where there is little room."""
COLUMNS = (8, 7, 7, 8)
"""Name, the receiver's own, worked out, imagined."""
MOST = 99.9


class WhatIfPane(RowsPane):
    """Chosen from with the arrow keys."""

    caption = "Geometry"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        changed = not self.state.sky.what_if.is_nothing
        self.aside = Span("WHAT IF", Ink.WARN) if changed else Span("as received", Ink.MUTED)
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Figures and the effect always; of the list what fits around the chosen row; the keys last."""
        shown = panel(self.state)
        head = [*_figures(shown), *_effect(shown, width)]
        keys: list[Row] = [(Span(line, Ink.MUTED),) for line in KEYS]
        items = list(_items(shown))
        room = max(1, height - len(head) - len(keys))
        return [*head, *_around(items, shown.rows.index(shown.choice.row), room), *keys]


def _figures(shown: Panel) -> Iterator[Row]:
    """HDOP first: where one stands is what most ask for."""
    changed = not shown.choice.what_if.is_nothing
    names = ("", "own", "worked", "what if" if changed else "")
    yield (Span("".join(f"{name:>{n}}" for name, n in zip(names, COLUMNS, strict=True)), Ink.MUTED),)
    outcome, own = shown.imagined.outcome, shown.own
    for name, told in (
        ("HDOP", own.hdop if own else None),
        ("VDOP", own.vdop if own else None),
        ("PDOP", own.pdop if own else None),
        ("TDOP", None),
        ("GDOP", None),
    ):
        before = _of(outcome.before, name)
        after = _of(outcome.dops, name) if changed else None
        worse = changed and (after is None or (before is not None and after > before * 1.02))
        label = f"{name} {outcome.before.clock}" if name == "TDOP" and outcome.before else name
        yield (
            Span(f"{label:<{COLUMNS[0]}}", Ink.MUTED),
            Span(_figure(told, COLUMNS[1]), Ink.STALE if shown.stale else Ink.TEXT),
            Span(_figure(before, COLUMNS[2]), Ink.STALE if shown.stale else Ink.TEXT),
            Span(_figure(after, COLUMNS[3]) if changed else "", Ink.WARN if worse else Ink.TEXT, bold=True),
        )


def _of(found: Dops | None, name: str) -> float | None:
    value: float | None = getattr(found, name.lower()) if found else None
    return value


def _figure(value: float | None, width: int) -> str:
    return f"{'-' if value is None else f'{min(value, MOST):.1f}':>{width}}"


def _effect(shown: Panel, width: int) -> Iterator[Row]:
    """In a sentence, two lines at most, so that the list stays where it is."""
    text = shown.note or effect(shown.imagined, shown.choice.what_if)
    ink = Ink.ALERT if text.startswith("NO POSITION") else Ink.WARN if shown.note else Ink.TEXT
    lines = [*wrap(text, max(20, width - 2))[:2], "", ""][:2]
    for line in lines:
        yield (Span(line, ink),)


def _items(shown: Panel) -> Iterator[Row]:
    """A row for each key of `Panel.rows`, in their order."""
    ranked = {one.name: one for one in shown.imagined.ranked}
    systems = shown.imagined.systems
    for key in shown.rows:
        chosen = key == shown.choice.row
        if key in FIGURES:
            yield _row(chosen, FIGURES[key].label, _angle(shown, key))
        elif key.startswith(SYSTEM):
            letter = key.removeprefix(SYSTEM)
            kept, total = systems.get(letter, (0, 0))
            out = letter in shown.choice.dropped_systems
            yield _row(
                chosen, f"{letter} {SYSTEMS.get(letter, '')}", "out" if out else f"in, {kept} of {total}", out=out
            )
        else:
            name = key.removeprefix(SATELLITE)
            one = ranked.get(name)
            yield _row(chosen, f"{name:<4}", _worth(one), out=one is None or bool(one.why))


def _angle(shown: Panel, key: str) -> str:
    figure, value = FIGURES[key], getattr(shown.choice, key)
    off = not getattr(shown.choice, figure.switch or key)
    if off:
        return f"- at {value:03d}°" if figure.turns else "-"
    return f"{value:03d}°" if figure.turns else f"{value}°"


def _worth(one: Ranked | None) -> str:
    """What losing it would do, or what having it back would."""
    if one is None:
        return "out, not in the fix now"
    why = SHORT.get(one.why, one.why)
    if one.decides:
        return f"{why}, back: a position" if why else "lost: NO POSITION"
    if one.hdop is None or one.pdop is None:
        return why or "-"
    if why:
        return f"{why}, back: HDOP {one.hdop:+.2f}"
    return f"lost: HDOP {one.hdop:+.2f} PDOP {one.pdop:+.2f}"


def _row(chosen: bool, label: str, value: str, *, out: bool = False) -> Row:
    paper = Paper.SELECTED if chosen else None
    mark = Span("> " if chosen else "  ", Ink.ACCENT, paper=paper)
    ink = Ink.STALE if out else Ink.TEXT
    return (
        mark,
        Span(label if len(label) == 4 else f"{label:<14}", ink, bold=chosen, paper=paper),
        Span(f" {value}", ink, paper=paper),
        PUSH,
    )


def _around(items: list[Row], at: int, room: int) -> list[Row]:
    """As many as there is room for, the chosen one among them, what is left out counted."""
    if len(items) <= room:
        return [*items, *[()] * (room - len(items))]
    begin = max(0, min(at - (room - 1) // 2, len(items) - room + 1))
    rest = len(items) - begin - (room - 1)
    more = f"  {rest} more below" if rest > 0 else f"  {begin} more above"
    return [*items[begin : begin + room - 1], (Span(more, Ink.MUTED),)]

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
from tui.panes.what_if_view import WORDS, Panel, Ranked, effect, panel
from tui.sky_choice import FIGURES, SATELLITE, SYSTEM
from tui.state import BoardState

KEYS = (
    ("Up Down row  Left Right change  Del out or in  Home as received  PgUp PgDn layer",),
    ("Up Down row  Left Right change", "Del out/in  Home reset  PgDn layer"),
)
"""What the page's keys do: in one line where it fits, else in two."""
HEADING = "HDOP   PDOP "
"""Over the last two columns of the satellites."""
COLUMNS = (7, 7, 7, 8)
"""Name, the receiver's own, worked out, imagined."""
FIGURES_SHOWN = ("HDOP", "VDOP", "PDOP", "TDOP", "GDOP")
FLAT = 16
"""Rows below which only the first and the third of the figures are shown, and one line of keys."""
MOST = 99.9
"""Dilutions are shown up to it (core/geometry.py, LARGEST); what receivers send for none is larger."""
NOT_TOLD = "-"


class WhatIfPane(RowsPane):
    """Chosen from with the arrow keys."""

    caption = "Geometry"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    _shown: Panel | None = None

    def watch_state(self) -> None:
        """Draw the new state, if it looks different; out of sight nothing is worked out."""
        shown = panel(self.state) if self._showing() else None
        if shown is None or shown != self._shown:
            self._shown = shown
            changed = not self.state.sky.what_if.is_nothing
            self.aside = Span("WHAT IF", Ink.WARN) if changed else Span("as received", Ink.MUTED)
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """Figures and the effect always; of the list what fits around the chosen row; the keys last."""
        shown = panel(self.state)
        head = [*_figures(shown, flat=height < FLAT), *_words(shown, width)]
        keys: list[Row] = [(Span(line, Ink.MUTED),) for line in _keys(width)[: 1 if height < FLAT else 2]]
        items = list(_items(shown))
        at = next(n for n, (key, _) in enumerate(items) if key == shown.choice.row)
        room = max(1, height - len(head) - len(keys))
        return [*head, *_around([row for _, row in items], at, room), *keys]


def _keys(width: int) -> tuple[str, ...]:
    return KEYS[0] if len(KEYS[0][0]) + 2 <= width else KEYS[1]


def _figures(shown: Panel, *, flat: bool) -> Iterator[Row]:
    """HDOP first: where one stands is what most ask for."""
    names = ("", "own", "worked", "what if" if shown.changed else "")
    yield (Span("".join(f"{name:>{n}}" for name, n in zip(names, COLUMNS, strict=True)), Ink.MUTED),)
    for name in FIGURES_SHOWN[0:3:2] if flat else FIGURES_SHOWN:
        yield _figure_row(shown, name)


def _figure_row(shown: Panel, name: str) -> Row:
    before, after = shown.imagined.outcome.before, shown.imagined.outcome.dops
    now, then = _of(before, name), _of(after, name)
    worse = then is None or (now is not None and then > now)
    ink = Ink.STALE if shown.stale else Ink.TEXT
    return (
        Span(f"{_label(before, name):<{COLUMNS[0]}}", Ink.MUTED),
        Span(_figure(shown.own_of(name), COLUMNS[1]), ink),
        Span(_figure(now, COLUMNS[2]), ink),
        Span(_figure(then, COLUMNS[3]) if shown.changed else "", Ink.WARN if worse else ink, bold=True),
        Span(_other_clock(before, after) if name == "TDOP" and shown.changed else "", Ink.MUTED),
    )


def _label(found: Dops | None, name: str) -> str:
    """TDOP is nothing without the name of its clock."""
    return f"{name} {found.clock}" if found and name == "TDOP" else name


def _other_clock(before: Dops | None, after: Dops | None) -> str:
    """Where another system has the most satellites then, its clock is another."""
    return f" of {after.clock}" if after and (before is None or before.clock != after.clock) else ""


def _of(found: Dops | None, name: str) -> float | None:
    value: float | None = getattr(found, name.lower()) if found else None
    return value


def _figure(value: float | None, width: int) -> str:
    text = NOT_TOLD if value is None else f">{MOST:.0f}" if value > MOST else f"{value:.1f}"
    return f"{text:>{width}}"


def _words(shown: Panel, width: int) -> Iterator[Row]:
    """The effect in a sentence, one line at least, so that the list stays where it is; what was left out of it."""
    text = shown.note or effect(shown.imagined, shown.choice.what_if)
    ink = Ink.ALERT if text.startswith("NO POSITION") else Ink.WARN if shown.note else Ink.TEXT
    for line in wrap(text, max(20, width - 2))[:3] or [""]:
        yield (Span(line, ink),)
    for remark in shown.remarks:
        yield (Span(remark, Ink.MUTED),)


def _items(shown: Panel) -> Iterator[tuple[str, Row]]:
    """A row for each key of `Panel.rows`, in their order; a heading over the satellites has none."""
    ranked = {one.name: one for one in shown.imagined.ranked}
    headed = False
    for key in shown.rows:
        chosen = key == shown.choice.row
        if key in FIGURES:
            yield key, _row(FIGURES[key].label, _angle(shown, key), chosen=chosen)
        elif key.startswith(SYSTEM):
            yield key, _system_row(shown, key.removeprefix(SYSTEM), chosen=chosen)
        else:
            if not headed:
                headed = True
                yield "", (Span("  if lost, or back", Ink.MUTED), PUSH, Span(HEADING, Ink.MUTED))
            name = key.removeprefix(SATELLITE)
            yield key, _satellite_row(name, ranked.get(name), chosen=chosen)


def _angle(shown: Panel, key: str) -> str:
    """A direction is shown while its wall has no height too: it is what the wall will have."""
    figure, value = FIGURES[key], getattr(shown.choice, key)
    off = not getattr(shown.choice, figure.switch or key)
    text = f"{value:03d}°" if figure.turns else f"{value}°"
    if off:
        return f"{text}  no {key.split('_', maxsplit=1)[0]}" if figure.turns else "none"
    return f"{text} and {value + 180:03d}°" if key == "street_deg" else text


def _system_row(shown: Panel, letter: str, *, chosen: bool) -> Row:
    kept, total = shown.imagined.systems.get(letter, (0, 0))
    out = letter in shown.choice.dropped_systems
    what = f"OUT, {total} in the fix" if out else f"in, {kept} of {total}"
    return _row(f"{letter} {SYSTEMS.get(letter, '')}", what, chosen=chosen, out=out)


def _satellite_row(name: str, one: Ranked | None, *, chosen: bool) -> Row:
    """What losing it would do, or, crossed out in words, what having it back would."""
    if one is None:
        return _row(name, "out" if chosen else "out, and not in the fix now", chosen=chosen, out=True)
    state = f"OUT: {WORDS.get(one.why, one.why)}" if one.why else "in"
    row = _row(name, state, chosen=chosen, out=bool(one.why))
    return (*row, PUSH, Span(f"{_worth(one)} ", Ink.ALERT if one.decides else row[-1].ink))


def _worth(one: Ranked) -> str:
    if one.decides:
        return "a position" if one.why else "NO POSITION"
    if one.hdop is None or one.pdop is None:
        return NOT_TOLD
    return f"{one.hdop:+.2f} {one.pdop:+6.2f}"


def _row(label: str, value: str, *, chosen: bool, out: bool = False) -> tuple[Span, ...]:
    paper, ink = Paper.SELECTED if chosen else None, Ink.STALE if out else Ink.TEXT
    wide = 4 if len(label) <= 4 else 14
    return (
        Span("> " if chosen else "  ", Ink.ACCENT, paper=paper),
        Span(f"{label:<{wide}}", ink, bold=chosen, paper=paper),
        Span(f" {value}", ink, paper=paper),
    )


def _around(items: list[Row], at: int, room: int) -> list[Row]:
    """As many as there is room for, the chosen one among them, what is left out counted."""
    if len(items) <= room:
        return [*items, *[()] * (room - len(items))]
    begin = max(0, min(at - (room - 1) // 2, len(items) - room + 1))
    rest = len(items) - begin - (room - 1)
    more = f"  {rest} more below" if rest > 0 else f"  {begin} more above"
    return [*items[begin : begin + room - 1], (Span(more, Ink.MUTED),)]

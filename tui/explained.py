"""Which explained figures stand on the open page, with their values as they are drawn at this moment.

A pane is painted once more, on paper large enough for all of it, and each figure's pattern is looked for in the text.
So the value in the list is the one on the board, unit, greyness and all, and no figure is worked out twice.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from core.explanations import Explanation, explanations
from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import PLAIN
from tui.canvas.grid import Grid
from tui.canvas.widget import CanvasPane
from tui.explained_figures import ALWAYS, FIGURES, Figure
from tui.panes.clock import ClockPane, newest_second

PAPER = (110, 90)
"""Columns and rows that every text pane has room in."""


class Standing(NamedTuple):
    """A figure of the open page."""

    explanation: Explanation
    value: str
    """As drawn; empty where a picture shows it, or nothing does."""
    pane: str
    """Caption of the pane that it stands in."""
    is_shown: bool
    """Whether it stands there now; others may come."""


def standing(panes: Iterable[CanvasPane], lines: Iterable[CanvasPane] = ()) -> list[Standing]:
    """The figures of these panes, each once: those that are shown, then those that may come.

    `lines` are on every page: theirs come last, and only while they are shown.
    """
    found = [one for pane in panes for one in _of_pane(pane)]
    every = [one for pane in lines if pane.display for one in _of_pane(pane) if one.is_shown]
    return _each_once([*(one for one in found if one.is_shown), *every, *(one for one in found if not one.is_shown)])


def _each_once(found: Iterable[Standing]) -> list[Standing]:
    """The first of each; of two that are shown, one with a value rather than a picture's."""
    kept: dict[str, Standing] = {}
    for one in found:
        before = kept.setdefault(one.explanation.key, one)
        if one.value and not before.value and one.is_shown:
            kept[one.explanation.key] = one
    return list(kept.values())


def _of_pane(pane: CanvasPane) -> Iterator[Standing]:
    figures = FIGURES.get(pane.id or "", ())
    text = drawn_text(pane) if any(figure.pattern is not ALWAYS for figure in figures) else ""
    for figure in figures:
        value = value_of(figure, text)
        words = explanations()[figure.key]
        yield Standing(words, _with_large(figure, value, pane), one_cell_each(pane.caption), value is not None)


def _with_large(figure: Figure, value: str | None, pane: CanvasPane) -> str:
    """The value, and before it what the pane draws in figures of dots, which no text holds."""
    large = LARGE.get(figure.key)
    return f"{large(pane)} {value}" if large and value and large(pane) else value or ""


def _clock_second(pane: CanvasPane) -> str:
    utc = newest_second(pane.state)[0] if isinstance(pane, ClockPane) else None
    return utc.clock() if utc else ""


def drawn_text(pane: CanvasPane) -> str:
    """What a pane says on paper that has room for all, a line a row, the remark of its title first.

    Only for panes that remember nothing from frame to frame: a picture that does is not asked for its text.
    """
    grid = Grid(*PAPER)
    pane.paint(grid)
    rows = (grid.row_text(y, PLAIN).strip() for y in range(grid.height))
    return "\n".join((one_cell_each(pane.aside.text), *rows))


def value_of(figure: Figure, text: str) -> str | None:
    """The groups of its pattern, with such names as they have, or what follows it; None where it is not there."""
    if figure.pattern is ALWAYS:
        return ""
    found = _compiled(figure.pattern).search(text)
    if found is None:
        return None
    named = found.groupdict()
    if named:
        return ", ".join(f"{name.replace('_', ' ')} {group}" for name, group in named.items() if group)
    groups = [group for group in found.groups() if group]
    rest = text[found.end() :].partition("\n")[0]
    return " ".join((" ".join(groups) if found.re.groups else rest).split())


@lru_cache(maxsize=512)
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.MULTILINE)


LARGE: Mapping[str, Callable[[CanvasPane], str]] = {"clock_second": _clock_second}
"""By key of a figure, how to read off what is drawn large."""

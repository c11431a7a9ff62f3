"""Rows of a pane as lines to be read aloud: `name: value`, one fact each, nothing said by place or colour alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row, RowsPane
from tui.state import BoardState

NOT_KNOWN = "not known"
NOT_CURRENT = "not current"
WIDE, HIGH = 100_000, 100_000
"""Cells of a pane in which nothing is wrapped, cut or left out for want of room."""
_APART = re.compile(r"\s{2,}")


class Manner(NamedTuple):
    """How the rows of one pane are named."""

    about: str
    """The name of a row that has none."""
    names: Mapping[str, str] = {}
    """By the label on the screen: what it is called in full. Others are called by their label."""
    before: str = ""
    """Stands before labels that are not in `names`: `trip `."""
    going_on: Mapping[str, str] = {}
    """By the label above: the name of rows below it that have a blank in its place, where that is another."""


def line(name: str, value: str) -> str:
    """A fact; what is blank, or a dash on the screen, is said to be unknown."""
    return f"{name}: {NOT_KNOWN if value.strip() in {'', wording.UNKNOWN} else value.strip()}"


def pane_rows(pane: RowsPane, state: BoardState) -> list[Row]:
    """What a pane that is on no screen has to say of a state, blank rows between its blocks."""
    reactive: Any = getattr(type(pane), "state")  # noqa: B009 - declared by each pane for itself, not by their base
    pane.set_reactive(reactive, state)
    return [(Span(row),) if isinstance(row, str) else row for row in pane.rows(WIDE, HIGH)]


def blocks(rows: Iterable[Row]) -> list[list[Row]]:
    """Split at the blank rows."""
    found: list[list[Row]] = [[]]
    for row in rows:
        if row:
            found[-1].append(row)
        else:
            found.append([])
    return found


def spoken(rows: Iterable[Row], manner: Manner) -> Iterator[str]:
    """A line for each row that says something; what stands below an old value is as old."""
    above, old = "", False
    for row in rows:
        if not row:
            continue
        label = _label(row)
        if label is None:
            yield line(manner.about, said(row))
        elif label:
            above, old = label, _is_old(row)
            yield line(_named(label, manner), said(row[1:]))
        else:
            value = said(row[1:])
            late = f", {NOT_CURRENT}" if old and not _is_old(row) else ""
            yield line(manner.going_on.get(above, _named(above, manner)), f"{value}{late}")


def said(spans: Sequence[Span]) -> str:
    """Spans in words: what only colour tells, that a value is of before, is told."""
    text = "".join("   " if span is PUSH else span.text for span in spans).strip()
    words = ", ".join(part for part in _APART.split(text) if part)
    return f"{words}, {NOT_CURRENT}" if _is_old(spans) and not words.endswith(" old") else words


def _is_old(spans: Sequence[Span]) -> bool:
    return any(span.ink is Ink.STALE and span.text.strip() for span in spans)


def _label(row: Row) -> str | None:
    """The label of a row, empty where that is left blank below another; None for a row without one."""
    first = row[0]
    return first.text.strip() if len(row) > 1 and first.ink is Ink.MUTED and first is not PUSH else None


def _named(label: str, manner: Manner) -> str:
    return manner.names.get(label, f"{manner.before}{label}" if label else manner.about)

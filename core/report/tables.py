"""Tables and captions: every drawing has its figures in words beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from core.report.columns import Column, extremes
from core.report.markup import Content, Markup, tag
from core.report.times import Times
from core.report.words import UNKNOWN, between

ROWS = 24
"""Of the table that stands for a chart."""


class Sort(NamedTuple):
    """How the values of a series are written."""

    name: str
    unit: str
    decimals: int = 0


def table(caption: Content, heads: Sequence[str], rows: Iterable[Sequence[Content]]) -> Markup:
    """With its caption; the first cell of a row is its heading."""
    body = [tag("tr", tag("th", row[0], scope="row"), *(tag("td", cell) for cell in row[1:])) for row in rows]
    head = tag("tr", *(tag("th", one, scope="col") for one in heads))
    return tag("table", tag("caption", caption), tag("thead", head), tag("tbody", *body))


def wide(caption: Content, heads: Sequence[str], rows: Iterable[Sequence[Content]]) -> Markup:
    """A table that scrolls within the page where that is narrower, by the keyboard too."""
    name = caption if isinstance(caption, str) else None
    return tag("div", table(caption, heads, rows), class_="scroll", tabindex="0", role="region", aria_label=name)


def pairs(rows: Iterable[tuple[str, Content]]) -> Markup:
    """Names with what they are."""
    return tag("dl", *(tag("div", tag("dt", name), tag("dd", content)) for name, content in rows))


def folded(summary: str, *content: Content) -> Markup:
    """Opened by whoever wants it."""
    return tag("details", tag("summary", summary), *content)


class Named(NamedTuple):
    """A series with its words."""

    sort: Sort
    columns: tuple[Column, ...]

    @property
    def range_words(self) -> str:
        """Lowest and highest of all."""
        found = extremes(self.columns)
        return between(found, self.sort.unit, self.sort.decimals).rstrip() if found else "not told"


def over_time(named: Sequence[Named], times: Times) -> Markup:
    """Lowest and highest in equal stretches of time, folded away."""
    width_s = max(times.end_s, 1.0) / ROWS
    cells = [_by_row(one, width_s) for one in named]
    rows = [
        (times.label(number * width_s, seconds=times.end_s < 7200), *(cell.get(number, UNKNOWN) for cell in cells))
        for number in range(ROWS)
        if any(number in cell for cell in cells)
    ]
    heads = [f"from ({times.words})", *(f"{one.sort.name}{_unit(one.sort)}" for one in named)]
    return folded("Figures of this chart", table("Lowest to highest in equal stretches of time", heads, rows))


def _unit(sort: Sort) -> str:
    return f", {sort.unit}" if sort.unit else ""


def _by_row(named: Named, width_s: float) -> dict[int, str]:
    found: dict[int, tuple[float, float]] = {}
    for column in named.columns:
        row = min(int(column.at_s / width_s), ROWS - 1)
        low, high = found.get(row, (column.low, column.high))
        found[row] = min(low, column.low), max(high, column.high)
    return {row: between(ends, "", named.sort.decimals).rstrip() for row, ends in found.items()}

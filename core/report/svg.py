"""Pieces of a drawing: paths, labels, and the figure around them with the words for those who do not see it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from core.report.markup import Markup, figure, tag

NEAR = 0.35
"""Points nearer than this to the last one, in units of the drawing, make no difference to be seen."""

Point = tuple[float, float]


class Box(NamedTuple):
    """A rectangle in units of the drawing, x to the right, y down."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From side to side."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top


class Words(NamedTuple):
    """What a drawing is called and says."""

    id: str
    title: str
    says: str
    """All that the drawing shows, in words, for whoever cannot see it."""


def drawing(words: Words, size: Point, *content: Markup) -> Markup:
    """An SVG that scales with the page, with its title and description."""
    return tag(
        "svg",
        tag("title", words.title, id=f"{words.id}-title"),
        tag("desc", words.says, id=f"{words.id}-desc"),
        *content,
        viewBox=f"0 0 {figure(size[0])} {figure(size[1])}",
        role="img",
        aria_labelledby=f"{words.id}-title",
        aria_describedby=f"{words.id}-desc",
        xmlns="http://www.w3.org/2000/svg",
        id=words.id,
    )


def thinned(points: Sequence[Point]) -> list[Point]:
    """Without those that make no difference; the first and the last stay."""
    kept = list(points[:1])
    for point in points[1:-1]:
        if math.dist(kept[-1], point) >= NEAR:
            kept.append(point)
    return [*kept, points[-1]] if len(points) > 1 else kept


def line(points: Sequence[Point]) -> str:
    """Path data of one piece. A single point becomes a dot, which a round cap makes visible."""
    kept = thinned(points)
    if len(kept) == 1:
        kept = [kept[0], (kept[0][0] + 0.1, kept[0][1])]
    first, *others = (f"{figure(x)} {figure(y)}" for x, y in kept)
    return f"M{first}L{' '.join(others)}"


def path(pieces: Iterable[Sequence[Point]], kind: str) -> Markup | None:
    """Several pieces in one element; None of none. `kind`: its class, see `core.report.style`."""
    data = "".join(line(piece) for piece in pieces if piece)
    return tag("path", d=data, class_=kind) if data else None


def label(at: Point, words: str, kind: str = "") -> Markup:
    """Text at a point. `kind`: classes that say where it is anchored, see `core.report.style`."""
    return tag("text", words, x=at[0], y=at[1], class_=kind or None)


def straight(start: Point, end: Point, kind: str) -> Markup:
    """A line from point to point."""
    return tag("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], class_=kind)


def dot(at: Point, radius: float, kind: str) -> Markup:
    """A disc or ring."""
    return tag("circle", cx=at[0], cy=at[1], r=radius, class_=kind)


def triangle(at: Point, kind: str) -> Markup:
    """Standing on its base."""
    x, y = at
    return tag("path", d=f"{line([(x - 5, y + 4), (x, y - 6), (x + 5, y + 4)])}Z", class_=kind)


def clip(name: str, box: Box) -> Markup:
    """What is drawn with `clip-path="url(#name)"` is cut off at the box."""
    return tag("clipPath", tag("rect", x=box.left, y=box.top, width=box.width, height=box.height), id=name)

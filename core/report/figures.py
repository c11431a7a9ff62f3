"""The frame that every drawing stands in: heading, drawing, what it says, key, and its figures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import Enum
from typing import NamedTuple

from core.report.markup import Content, Markup, tag
from core.report.svg import Words, dot, straight, triangle


class Shape(Enum):
    """What a key shows."""

    LINE = "line"
    DOT = "dot"
    TRIANGLE = "triangle"


class Key(NamedTuple):
    """One line of a key."""

    kind: str
    """Class of the line or dot, see `core.report.style`."""
    words: str
    shape: Shape = Shape.LINE


class Frame(NamedTuple):
    """What stands around a drawing."""

    words: Words
    keys: Sequence[Key] = ()
    figures: Content = None
    """A table, folded."""
    kind: str = "wide"
    """Or `half`: two beside each other where there is room."""
    level: str = "h3"


def framed(frame: Frame, drawn: Markup) -> Markup:
    """The whole figure."""
    return tag(
        "figure",
        tag(frame.level, frame.words.title),
        drawn,
        tag("ul", *(tag("li", _swatch(key), key.words) for key in frame.keys), class_="key") if frame.keys else None,
        tag("figcaption", frame.words.says),
        frame.figures,
        class_=frame.kind,
    )


def _swatch(key: Key) -> Markup:
    return tag("svg", _SHAPES[key.shape](key.kind), viewBox="0 0 28 12", width="28", height="12", aria_hidden="true")


_SHAPES: dict[Shape, Callable[[str], Markup]] = {
    Shape.LINE: lambda kind: straight((1, 6), (27, 6), kind),
    Shape.DOT: lambda kind: dot((14, 6), 4, kind),
    Shape.TRIANGLE: lambda kind: triangle((14, 7), kind),
}

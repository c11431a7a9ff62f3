"""The trip sheet's paper: blocks of lines onto pages of A4, the head repeated, every line as wide as the paper.

At 10 points a monospaced character is 6 points wide and a line 12 points high, so A4 (595 by 842 points, ISO 216) with
margins of 2 cm at the sides and 1.5 cm at top and bottom holds 80 columns and 63 lines (calc).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from core.safe_text import cells, one_line

WIDTH, LINES = 78, 62
"""Columns and lines of one page, head and foot included."""
FORM_FEED = "\f"
"""What printers take for the end of a page."""
RULE = "-" * WIDTH
NAME_CELLS = 44
"""So many columns a name has at most; longer ones are cut, with a mark."""
_SPACE = re.compile(r"\s+")


class Block(NamedTuple):
    """Lines that belong together: they stay on one page where one holds them."""

    lines: tuple[str, ...]
    head: int = 0
    """So many of the first lines are repeated where the rest goes on, on another page."""


def clean(text: str) -> str:
    """On one line, `?` in the place of what a printer or a terminal might obey, and of what has no settled width."""
    return one_line(_SPACE.sub(" ", text).strip())


def cut(text: str, room: int) -> str:
    """At most `room` columns, with dots where something is missing."""
    if cells(text) <= room:
        return text
    kept = ""
    for one in text:
        if cells(kept) + cells(one) > room - 3:
            break
        kept += one
    return kept + "..."


def title(text: str) -> str:
    """A heading, a line as wide as the paper behind it."""
    return f"{text} {'-' * (WIDTH - cells(text) - 1)}"


def wrapped(text: str, indent: str = "", room: int = WIDTH) -> Iterator[str]:
    """The words in lines, each begun with `indent`; a word longer than a line is cut through."""
    line = ""
    for word in _words(text, room - len(indent)):
        if line and cells(indent) + cells(line) + 1 + cells(word) > room:
            yield indent + line
            line = word
        else:
            line = f"{line} {word}" if line else word
    if line:
        yield indent + line


def pages(head: Sequence[str], blocks: Iterable[Block]) -> list[list[str]]:
    """The blocks on pages, the head with the page's number on each. A block too long for a page is cut into pieces."""
    room = LINES - len(head) - 1
    bodies: list[list[str]] = [[]]
    for lines in _pieces(blocks, room):
        gap = [""] if bodies[-1] else []
        if len(bodies[-1]) + len(gap) + len(lines) > room:
            bodies.append(list(lines))
        else:
            bodies[-1] += [*gap, *lines]
    return [[*_numbered(head, number, len(bodies)), "", *body] for number, body in enumerate(bodies, 1)]


def printed(sheet: Sequence[Sequence[str]], between: str) -> str:
    """The pages as one text; `between` ends a page that another follows."""
    texts = ["".join(f"{line.rstrip()}\n" for line in page) for page in sheet]
    return between.join(texts)


def _pieces(blocks: Iterable[Block], room: int) -> Iterator[tuple[str, ...]]:
    for lines, heading in blocks:
        head, rest = lines[:heading], lines[heading:]
        step = room - heading
        for at in range(0, max(1, len(rest)), step):
            yield (*head, *rest[at : at + step])


def _numbered(head: Sequence[str], number: int, count: int) -> list[str]:
    label = f"page {number} of {count}"
    return [f"{head[0]}{label:>{WIDTH - cells(head[0])}}", *head[1:]]


def _words(text: str, room: int) -> Iterator[str]:
    for word in text.split():
        rest = word
        while cells(rest) > room:
            piece = _fitting(rest, room)
            yield piece
            rest = rest[len(piece) :]
        yield rest


def _fitting(word: str, room: int) -> str:
    """The longest beginning that fits, one character at the least."""
    for end in range(1, len(word)):
        if cells(word[: end + 1]) > room:
            return word[:end]
    return word

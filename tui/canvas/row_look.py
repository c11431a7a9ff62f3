"""A row as it can be seen: characters, inks and papers; what of it has changed, and the runs that one style shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

SEEN = 0xBF
"""The bits of a cell's ink that can be seen: the ink and BOLD, not whether the cell is part of a filled shape."""
FEW = 4
"""Unchanged cells that are written again between two that changed: to pass over them takes as many bytes."""


class RowLook(NamedTuple):
    """One entry a cell each."""

    text: str
    inks: bytes
    papers: bytes

    def changed(self, before: RowLook) -> list[tuple[int, int]]:
        """First column, and the one after the last, of what looks different; `before` is as wide.

        The ink of a blank shows in no palette, so it does not count.
        """
        cells = zip(self.text, before.text, self.inks, before.inks, self.papers, before.papers, strict=True)
        return _joined(
            [
                x
                for x, (char, old_char, ink, old_ink, paper, old_paper) in enumerate(cells)
                if char != old_char or paper != old_paper or (ink != old_ink and char != " " and (ink ^ old_ink) & SEEN)
            ]
        )

    def runs(self, start: int, end: int) -> list[tuple[str, int]]:
        """Some of its columns as texts with the keys of their styles, neighbours of equal style joined."""
        text = self.text[start:end]
        return [(text[a:b], key) for a, b, key in _runs(text, self.inks[start:end], self.papers[start:end])]


def _joined(columns: Iterable[int]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for x in columns:
        if found and x - found[-1][1] <= FEW:
            found[-1] = found[-1][0], x + 1
        else:
            found.append((x, x + 1))
    return found


def _runs(text: str, inks: bytes, papers: bytes) -> Iterator[tuple[int, int, int]]:
    """Start, end and style key of each stretch of a row that one style can show.

    A stretch of blanks has no ink of its own (-1): it takes that of what follows on the same paper.
    """
    start, ink, paper = 0, -1, papers[0] if papers else 0
    for x, (char, own, under) in enumerate(zip(text, inks, papers, strict=True)):
        here = -1 if char == " " else own & SEEN
        if under != paper or (here != ink and here >= 0 <= ink):
            yield start, x, max(0, ink) | paper << 8
            start, ink, paper = x, here, under
        elif here >= 0:
            ink = here
    if text:
        yield start, len(text), max(0, ink) | paper << 8

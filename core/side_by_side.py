"""Two rows of characters side by side, so that as little as possible differs.

A character is kept or replaced, left out, put in, or two neighbours are exchanged: the restricted edit distance of
Damerau and Levenshtein (optimal string alignment), with the way that leads to it.
"""

from __future__ import annotations

from typing import NamedTuple


class Step(NamedTuple):
    """So many characters of each row that belong together."""

    said: int
    heard: int


KEPT, LEFT_OUT, PUT_IN, TURNED = Step(1, 1), Step(1, 0), Step(0, 1), Step(2, 2)
"""`KEPT` may be a replacement: the two characters tell."""


def side_by_side(said: str, heard: str) -> list[Step]:
    """The steps from the front to the end of both. Quadratic in their lengths: cut them before."""
    return _Table(said, heard).steps()


class _Table:
    """Cell n, m: the least that the first n characters of the one and m of the other differ by."""

    def __init__(self, said: str, heard: str) -> None:
        self._said, self._heard = said, heard
        self._costs = [[0] * (len(heard) + 1) for _ in range(len(said) + 1)]
        for n in range(len(said) + 1):
            for m in range(len(heard) + 1):
                if n or m:
                    self._costs[n][m] = min(self._by(step, n, m) for step in self._ways(n, m))

    def steps(self) -> list[Step]:
        found = []
        n, m = len(self._said), len(self._heard)
        while n or m:
            step = next(one for one in self._ways(n, m) if self._by(one, n, m) == self._costs[n][m])
            found.append(step)
            n, m = n - step.said, m - step.heard
        return found[::-1]

    def _ways(self, n: int, m: int) -> list[Step]:
        """Steps that may end in this cell, those first that are preferred where they cost the same."""
        found = [KEPT] if n and m else []
        if n > 1 and m > 1 and self._said[n - 2 : n] == self._heard[m - 2 : m][::-1]:
            found.append(TURNED)
        return found + [LEFT_OUT] * bool(n) + [PUT_IN] * bool(m)

    def _by(self, step: Step, n: int, m: int) -> int:
        """What this cell costs if it is reached by this step."""
        n, m = n - step.said, m - step.heard
        return self._costs[n][m] + (0 if step is KEPT and self._said[n] == self._heard[m] else 1)

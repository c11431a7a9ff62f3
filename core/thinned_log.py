"""A log of at most so many, evenly out of all that there were."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

T = TypeVar("T")


class ThinnedLog(Generic[T]):
    """Each time it is full, two become one; what comes later is joined in groups of the same size.

    So the beginning is told as finely as the end, however much comes after it.
    """

    def __init__(self, most: int, joined: Callable[[T, T], T]) -> None:
        """`joined`: what stands for two in a row."""
        self._most = most
        self._joined = joined
        self._items: list[T] = []
        self._group: list[T] = []
        """Not yet a whole one: joined, an item at most."""
        self._in_group = 0
        self._size = 1

    def extend(self, items: Iterable[T]) -> None:
        """Some more."""
        for item in items:
            self._group = [self._joined(self._group[0], item)] if self._group else [item]
            self._in_group += 1
            if self._in_group == self._size:
                self._close()

    def all(self) -> tuple[T, ...]:
        """Oldest first."""
        return (*self._items, *self._group)

    def _close(self) -> None:
        self._items.extend(self._group)
        self._group, self._in_group = [], 0
        if len(self._items) >= self._most:
            pairs = zip(self._items[::2], self._items[1::2], strict=False)
            rest = self._items[len(self._items) // 2 * 2 :]
            self._items = [self._joined(*pair) for pair in pairs]
            self._size *= 2
            self._group, self._in_group = rest, self._size // 2 * len(rest)

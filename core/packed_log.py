"""A log that only grows, packed block by block: a tenth of the memory, and its end as of any block can be had again."""

from __future__ import annotations

import pickle
import zlib
from bisect import bisect_right
from collections import deque
from collections.abc import Collection
from typing import Generic, TypeVar

T = TypeVar("T")
_LEVEL = 1
"""The fastest."""


class PackedLog(Generic[T]):
    """Added to by one thread, asked by any."""

    def __init__(self) -> None:
        self._blocks: list[tuple[int, bytes]] = []
        """How many there are up to its end, and what is in it."""
        self.count = 0

    def add(self, items: Collection[T]) -> None:
        """A block of them."""
        if items:
            packed = zlib.compress(pickle.dumps([*items], pickle.HIGHEST_PROTOCOL), _LEVEL)
            self.count += len(items)
            self._blocks.append((self.count, packed))

    def newest(self, count: int, most: int) -> deque[T]:
        """The newest `most` of the first `count`, which is to be the end of a block; a deque of that length."""
        wanted: deque[T] = deque(maxlen=most)
        blocks = self._blocks[: bisect_right(self._blocks, count, key=_end)]
        for end, packed in reversed(blocks):
            room = most - len(wanted)
            if not room or end <= count - most:
                break
            # To the left of what is there; a full deque would lose its newest, so only what still has room goes in.
            block: list[T] = pickle.loads(zlib.decompress(packed))  # our own bytes
            wanted.extendleft(block[: -room - 1 : -1])
        return wanted


def _end(block: tuple[int, bytes]) -> int:
    return block[0]

"""Mutations that know the grammar of what they damage: a reader's seeds are taken apart at the joints of text, and put
together again out of its own words, of extreme numbers and of bytes that no text should hold.

Flipped bytes alone end in the first check of every reader; what gets behind it looks nearly right.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence

MOST_WOUNDS = 7
LONGEST = 4096
"""Bytes: gigantic input has tests of its own (`test_bombs.py`)."""

NUMBERS = (
    b"0", b"-0", b"-0.0", b"00", b"1", b"-1", b"+1", b"007", b"9", b"10", b"12", b"23", b"24", b"59", b"59.9999999",
    b"60", b"89.99999999999999", b"90", b"90.0000000001", b"-90", b"99", b"179.999999999", b"180", b"180.00000001",
    b"-180", b"-180.0", b"359.9999", b"360", b"1000", b"4300", b"65535", b"65536", b"100000", b"999999999999",
    b"2147483648", b"9223372036854775808", b"1e308", b"-1e308", b"1e309", b"1E-400", b"5e-324", b"1e5", b".5", b"5.",
    b".", b"-", b"0x7f", b"0xFFFFFFFFFFFFFFFFFFFFFFFF", b"0b1", b"1_000", b"000000001" + b"9" * 12,
    b"nan", b"NaN", b"-nan", b"inf",
    b"-Infinity", b"Infinity", b"1,5", b"0,000", b"1.000.000", b"0." + b"0" * 60 + b"1", b"9" * 40, b"9" * 310,
    b"1" + b"0" * 400, b"0." + b"9" * 40, "٤٧".encode(), "４７".encode(), "²".encode(), "½".encode(), "−5".encode(),
)  # fmt: skip
"""Edges of every range that is ours, of floats and integers, and what Python alone takes for a number."""
ODDITIES = (
    b"\0", b"\x1b[31m", b"\x1b]0;x\x07", b"\x7f", b"\x80", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\r", b"\n", b"\r\n",
    b"\t", b" ", b"\x0b", b"\x0c", b"\xc2\x85", b"\xc2\xa0", b"\xe2\x80\xa8", b"\xe2\x80\xae", b"\xed\xa0\x80",
    b"\xf0\x9f\x98\x80", b"\xcc\x81", b"\xe2\x88\x92", b"\"", b"'", b"\\", b"/", b"<", b">", b"&", b"%s", b"{}", b"%",
    b"*", b"$", b"#", b";", b",", b":", b"=", b"[", b"]", b"{", b"}", b"(", b")", b"@", b"|", b"_", b"-", b"+",
)  # fmt: skip
_JOINTS = re.compile(rb"[A-Za-z_]+|[+-]?\d+(?:\.\d+)?|\s+|[^\sA-Za-z_\d]")

Wound = Callable[[list[bytes], random.Random], None]


class Mutator:
    """Endless mutations of some seeds, decided by one number."""

    def __init__(self, seeds: Sequence[bytes], words: Sequence[bytes], seed: int) -> None:
        """`words`: what the grammar is made of, besides what stands in the seeds."""
        self._dice = random.Random(seed)
        self._seeds: list[list[bytes]] = [_JOINTS.findall(one) for one in seeds]
        self._words = [*words, *{piece for pieces in self._seeds for piece in pieces}]
        self._words.sort()  # a set has another order in another process

    def __iter__(self) -> Iterator[bytes]:
        """Each at most `LONGEST` bytes."""
        while True:
            yield self.one()

    def one(self) -> bytes:
        """One more."""
        dice = self._dice
        pieces = list(dice.choice(self._seeds))
        for _ in range(1 + int(dice.random() ** 3 * MOST_WOUNDS)):
            dice.choice(_WOUNDS)(self, pieces)
        return b"".join(pieces)[:LONGEST]

    def _anything(self) -> bytes:
        dice, lot = self._dice, self._dice.random()
        if lot < 0.5:
            return dice.choice(self._words)
        return dice.choice(NUMBERS) if lot < 0.85 else dice.choice(ODDITIES)

    def _at(self, pieces: list[bytes]) -> int:
        return int(self._dice.random() * len(pieces)) if pieces else 0

    # The wounds

    def replace(self, pieces: list[bytes]) -> None:
        """By something of the same sort as often as not: a number by a number."""
        if not pieces:
            return
        at = self._at(pieces)
        is_number = pieces[at][-1:].isdigit()
        pieces[at] = self._dice.choice(NUMBERS) if is_number and self._dice.random() < 0.7 else self._anything()

    def insert(self, pieces: list[bytes]) -> None:
        pieces.insert(self._at(pieces), self._anything())

    def drop(self, pieces: list[bytes]) -> None:
        at = self._at(pieces)
        del pieces[at : at + 1 + int(self._dice.random() ** 3 * 8)]

    def double(self, pieces: list[bytes]) -> None:
        at = self._at(pieces)
        span = pieces[at : at + 1 + int(self._dice.random() ** 2 * 12)]
        pieces[at:at] = span * (1 + int(self._dice.random() ** 6 * 30))

    def exchange(self, pieces: list[bytes]) -> None:
        if pieces:
            a, b = self._at(pieces), self._at(pieces)
            pieces[a], pieces[b] = pieces[b], pieces[a]

    def splice(self, pieces: list[bytes]) -> None:
        other = self._dice.choice(self._seeds)
        pieces[self._at(pieces) :] = other[self._at(other) :]

    def flip(self, pieces: list[bytes]) -> None:
        if pieces:
            at = self._at(pieces)
            piece = bytearray(pieces[at])
            if piece:
                piece[int(self._dice.random() * len(piece))] ^= 1 << int(self._dice.random() * 8)
                pieces[at] = bytes(piece)

    def cut(self, pieces: list[bytes]) -> None:
        if self._dice.random() < 0.3:
            del pieces[self._at(pieces) :]


_WOUNDS = (
    Mutator.replace, Mutator.replace, Mutator.replace, Mutator.insert, Mutator.drop, Mutator.double,
    Mutator.exchange, Mutator.splice, Mutator.flip, Mutator.cut,
)  # fmt: skip

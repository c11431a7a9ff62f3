"""The quick way through a block of whole lines: one pattern finds them all, their checksums are summed side by side.

Nearly every line of a recording holds one sentence and perhaps something before it, so nearly all the time of framing
is theirs. Everything else is left to `core.nmea.framing`, which looks with more care; both agree on what a sentence is
(tests/core/test_framing_cuts.py compares them on damaged bytes).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

_int = int.from_bytes


Row = tuple[str, str, str, str, str, str, str]
"""One line, cut where a sentence would be, all of it Latin-1: what stands before the start character (a TAG block or a
host's time, perhaps); from there to the checksum; body and address; the checksum's two digits; the padding after it;
and the whole line alone where it is not one sentence of printable ASCII. What a line has not is empty."""

# Every repetition is possessive: none of them could give back a character that the next part accepts, and so a long
# line costs two looks at most. `$` cannot stand in a body (it starts the next sentence), nor `*`. The limits keep
# longer lines for the careful way: 1011 with address and comma is below its limit of 1024 for a sentence.
find_lines: Callable[[str], list[Row]] = re.compile(
    r"([^$!\r\n]{0,512}+)"
    r"([$!](([A-Z][A-Z0-9]{2,9}+)(?:,[ -#%-)+-~]{0,1011}+)?+)(?:\*([0-9A-Fa-f]{2}))?+)"
    r"([ \t\x00]{0,512}+)[\r\n]++"
    r"|([^\r\n]++)[\r\n]++"
).findall
"""A block of text that ends with a line's end, to its rows."""

SIDE_BY_SIDE = 12
"""Lines from which on columns are cheaper than one sum after the other."""
_WIDEST = 164
"""Characters; twice what the standard allows. A batch with a longer body is summed one by one."""


def checksum(body: bytes) -> int:
    """Exclusive or of all bytes of `body`, 0 to 255.

    Folding one big integer costs about half of a loop over the bytes (nmea-notes.md: 0.5 us against 1.1).
    """
    value = _int(body)
    if len(body) > 128:
        return _long_checksum(value, len(body))
    value ^= value >> 512
    value ^= value >> 256
    value ^= value >> 128
    value = (value ^ value >> 64) & 0xFFFFFFFFFFFFFFFF
    value ^= value >> 32
    value ^= value >> 16
    return (value ^ value >> 8) & 0xFF


def _long_checksum(value: int, length: int) -> int:
    total = 0
    for byte in value.to_bytes(length):
        total ^= byte
    return total


def checksums(bodies: Sequence[str]) -> bytes:
    """The checksum of each of `bodies` (Latin-1).

    A column of characters, the nth of every body, is one integer: a few operations add it to all sums at once. Less
    than half the time of one after the other.
    """
    width = max(map(len, bodies), default=0)
    if len(bodies) < SIDE_BY_SIDE or width > _WIDEST:
        return bytes([checksum(body.encode("latin-1")) for body in bodies])
    table = "".join([body.ljust(width, "\0") for body in bodies]).encode("latin-1")
    total = 0
    for column in range(width):
        total ^= _int(table[column::width])
    return total.to_bytes(len(bodies))

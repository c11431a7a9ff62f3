"""The symbols that a map shows a station with: a table and a code, from the protocol's own two tables.

Pairs from memory of APRS Protocol Reference 1.0.1, appendix 2, only those that are sure; any other pair that the
protocol allows can be typed. The names are ours.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import NamedTuple

from core.errors import UsageError
from core.safe_text import quoted

PRIMARY, ALTERNATE = "/", "\\"


class Symbol(NamedTuple):
    """One pair."""

    table: str
    """`/` the primary table, `\\` the alternate one; a digit or capital letter is laid over the alternate symbol."""
    code: str
    """One character, `!` to `}`."""


NAMED: dict[str, Symbol] = {
    "on foot": Symbol(PRIMARY, "["),
    "bicycle": Symbol(PRIMARY, "b"),
    "motorcycle": Symbol(PRIMARY, "<"),
    "car": Symbol(PRIMARY, ">"),
    "van": Symbol(PRIMARY, "v"),
    "off-road car": Symbol(PRIMARY, "j"),
    "lorry": Symbol(PRIMARY, "k"),
    "motor home": Symbol(PRIMARY, "R"),
    "horse": Symbol(PRIMARY, "e"),
    "sailing boat": Symbol(PRIMARY, "Y"),
    "motor boat": Symbol(PRIMARY, "s"),
    "canoe": Symbol(PRIMARY, "C"),
    "balloon": Symbol(PRIMARY, "O"),
    "glider": Symbol(PRIMARY, "g"),
    "helicopter": Symbol(PRIMARY, "X"),
    "house": Symbol(PRIMARY, "-"),
    "house with beam": Symbol(PRIMARY, "y"),
    "tent": Symbol(PRIMARY, ";"),
    "aerial": Symbol(PRIMARY, "r"),
    "dish": Symbol(PRIMARY, "`"),
    "digipeater": Symbol(PRIMARY, "#"),
    "gateway": Symbol(PRIMARY, "&"),
    "node": Symbol(PRIMARY, "n"),
    "aid post": Symbol(PRIMARY, "A"),
    "red cross": Symbol(PRIMARY, "+"),
    "cross": Symbol(PRIMARY, "."),
    "dot": Symbol(PRIMARY, "/"),
    "emergency": Symbol(ALTERNATE, "!"),
    "lighthouse": Symbol(ALTERNATE, "L"),
    "buoy": Symbol(ALTERNATE, "N"),
}
"""In the order that the board offers them."""
ON_FOOT = NAMED["on foot"]
_PAIR = re.compile(r"([/\\0-9A-Z])([!-}])")
_REFUSED = {
    "|": "it switches streams in packet modems",
    "_": "it promises weather figures, which a receiver of satellites has none of",
}


def symbol(text: str) -> Symbol:
    """What was typed: a name of `NAMED`, or a pair as `/>`. Raises UsageError naming what would be right."""
    plain = " ".join(text.lower().split())
    if plain in NAMED:
        return NAMED[plain]
    pair = _PAIR.fullmatch(text.strip())
    if pair is None:
        near = get_close_matches(plain[:40], NAMED, 1)
        offered = f"did you mean {near[0]!r}?" if near else f"names: {', '.join(NAMED)}"
        raise UsageError(f"{quoted(text)} is no symbol: write table and code as /> or \\L, or a name; {offered}")
    if pair[2] in _REFUSED:
        raise UsageError(f"the symbol {pair[0]!r} cannot be used: {_REFUSED[pair[2]]}")
    return Symbol(pair[1], pair[2])


def name_of(wanted: Symbol) -> str:
    """In words where we have any, else the pair."""
    return next((name for name, known in NAMED.items() if known == wanted), f"{wanted.table}{wanted.code}")

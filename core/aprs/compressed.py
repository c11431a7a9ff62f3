"""The compressed form: a place to about half a metre in eight characters (APRS Protocol Reference 1.0.1, chapter 9)."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from core.aprs.base91 import base91
from core.aprs.extensions import Extension, Sentence, packed
from core.aprs.symbols import Symbol
from core.fix import Position

LATITUDE_STEPS, LONGITUDE_STEPS = 380_926, 190_463
"""Per degree, from the north pole south and from the 180th meridian east."""
SOFTWARE = 2
"""Who compressed it: 0 compressed, 1 TNC text, 2 software (chapter 9)."""
_OVERLAID = str.maketrans("0123456789", "abcdefghij")
"""A digit at first would be taken for a plain latitude."""


class Origin(NamedTuple):
    """What the third of the last three characters says."""

    is_current: bool
    """Whether this is a current fix of a receiver: never so for a typed or held place."""
    sentence: Sentence | None = None
    """None: what fits the extension."""
    by: int = SOFTWARE


def compressed(position: Position, symbol: Symbol, extension: Extension | None, origin: Origin) -> str:
    """Thirteen characters. Raises ValueError for an extension that this form cannot say."""
    found = packed(extension)
    cs, sentence = found or (" s", Sentence.OTHER)
    if origin.sentence is not None:
        sentence = origin.sentence
    kind = origin.is_current << 5 | sentence << 3 | origin.by
    return symbol.table.translate(_OVERLAID) + _place(position) + symbol.code + cs + base91(kind, 1)


def _place(position: Position) -> str:
    """Cut, not rounded, as the protocol's worked example does: never more than a step to the north-west."""
    south = (90 - Fraction(position.latitude_deg)) * LATITUDE_STEPS
    east = (180 + Fraction(position.longitude_deg)) * LONGITUDE_STEPS
    return base91(int(south), 4) + base91(int(east), 4)

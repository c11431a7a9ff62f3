"""Bytes of a text file in whatever encoding a spreadsheet left it in."""

from __future__ import annotations

import codecs
from typing import NamedTuple

_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "UTF-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),  # before UTF-16, whose mark begins it
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)
"""Byte order marks of the Unicode standard."""
LOOKED_AT = 4096


class Decoded(NamedTuple):
    """A text and how it was found."""

    text: str
    encoding: str
    """In words."""


def decoded(data: bytes) -> Decoded:
    """By its mark, else UTF-8, else, where that cannot be, as Windows writes western European text.

    Never fails: a byte that means nothing in the last becomes a replacement character.
    """
    for mark, encoding, name in _MARKS:
        if data.startswith(mark):
            return Decoded(data[len(mark) :].decode(encoding, "replace"), name)
    wide = _without_mark(data[:LOOKED_AT])
    if wide:
        return Decoded(data.decode(wide, "replace"), "UTF-16 without its mark")
    try:
        return Decoded(data.decode("utf-8"), "UTF-8")
    except UnicodeDecodeError:
        return Decoded(data.decode("cp1252", "replace"), "Windows-1252, since it is not UTF-8")


def _without_mark(data: bytes) -> str:
    """Western text in UTF-16 has a zero in every second byte, and in no other encoding any."""
    if len(data) < 4:
        return ""
    high, low = data[0::2].count(0) / len(data[0::2]), data[1::2].count(0) / len(data[1::2])
    if max(high, low) < 0.5 or min(high, low) > 0.1:
        return ""
    return "utf-16-be" if high > low else "utf-16-le"

"""What else there is to say about a sentence beside its fields: what is odd, and what fixboard does with it."""

from __future__ import annotations

from collections.abc import Iterator

from core.nmea.explain import Explained
from core.nmea.explain_frame import STANDARD_LENGTH


def remarks(one: Explained) -> tuple[str, ...]:
    """In sentences, the weightiest first; why it was refused is not among them."""
    return tuple(_remarks(one)) if one.address else ()


def _remarks(one: Explained) -> Iterator[str]:
    if one.accepted and one.checksum and not one.checksum.stated:
        yield "Taken without a checksum, as this source has none: damage would go unnoticed."
    if one.text[:1] == "!":
        yield "It begins with !: what it carries is packed, not written out."
    if one.accepted and not one.is_used:
        yield "fixboard takes it and reads nothing from it."
    yield from _whose(one)
    length = len(one.text) + 2
    if length > STANDARD_LENGTH and not one.is_cut:
        yield f"{length} characters with CR LF; the standard allows {STANDARD_LENGTH}, receivers exceed it."


def _whose(one: Explained) -> Iterator[str]:
    if one.maker:
        yield f"A maker's own sentence, code {one.maker}: only the maker says what it means."
    elif len(one.address) != 5:
        yield f"{one.address} has {len(one.address)} characters; talker and type have 2 and 3 by the standard."
    if one.names == "pynmea2":
        yield "Its fields' names are by the pynmea2 library; values as they stand."


def title(one: Explained) -> str:
    """Talker and type, in letters and in words."""
    if one.maker or not one.address:
        return f"{one.address}: proprietary, maker {one.maker}" if one.maker else ""
    what = one.formatter or "type not known to us"
    return f"{one.address[2:]}: {what}. {one.address[:2]}: {one.talker}"

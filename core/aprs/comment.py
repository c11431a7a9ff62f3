"""The free text behind a position, made so that no reader takes a part of it for figures.

Printable ASCII without `|` and `~`, which switch streams in packet modems (APRS Protocol Reference 1.0.1, chapter 5,
from memory).
"""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

_FIGURES_AT_FIRST = re.compile(r"[0-9 .]{3}/[0-9 .]{3}|/[0-9 .]{3}/[0-9 .]{3}|(?:PHG|RHG|RNG|DFS)\d|T\d\d/C\d\d")
"""What is course and speed, station power, range, direction finding or an area where it stands first (chapter 7)."""
_ALTITUDE = re.compile(r"/A=(?=-?\d)")
_FINER_DIGITS = re.compile(r"!(?=[!-{][ -{]{2}!)")
"""Further digits of the position (`!W5p!`, an addendum to the protocol): they would undo an ambiguity."""


class Comment(NamedTuple):
    """What is sent of a comment."""

    text: str
    remarks: tuple[str, ...]
    """What had to be changed, in words."""


def cleaned(typed: str, room: int) -> Comment:
    """The comment as it may be sent, at most `room` characters."""
    plain = " ".join(_ascii(typed).split())
    told = "some characters of the comment cannot be sent and were replaced" if plain != " ".join(typed.split()) else ""
    safe = _FINER_DIGITS.sub(".", _ALTITUDE.sub("A=", plain))
    if _FIGURES_AT_FIRST.match(safe):
        safe = " " + safe
    figures = "a part of the comment would be read as figures and was changed" if safe != plain else ""
    short = safe[: max(0, room)].rstrip()
    cut = f"the comment is cut to {max(0, room)} characters" if short != safe else ""
    return Comment(short, tuple(remark for remark in (told, figures, cut) if remark))


def _ascii(text: str) -> str:
    """Letters lose their accents; `?` for what has no ASCII likeness."""
    apart = unicodedata.normalize("NFKD", text)
    return "".join(_sendable(char) for char in apart if not unicodedata.combining(char))


def _sendable(char: str) -> str:
    if char.isspace():
        return " "
    if char in "|~":
        return "-"
    return char if " " <= char <= "}" else "?"

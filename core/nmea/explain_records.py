"""What the explanation of a sentence is made of: one field, what it tells, the checksum, what stood before."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

Value = float | int | str


class Told(NamedTuple):
    """What one field says."""

    value: Value | None = None
    """None where it says nothing, or nothing that can be believed."""
    unit: str = ""
    meaning: str = ""
    """In words: what follows from it, or why it is not believed."""
    is_wrong: bool = False
    """Whether a sentence of a type that fixboard reads is refused for this field."""


NOT_TOLD = Told(meaning="not told")


class Around(NamedTuple):
    """What the meaning of a field may depend on."""

    fields: list[str]
    """All of the sentence, the address as number 0."""
    at: int
    """The number of the field in question."""
    system: str
    """System letter of the talker, empty where it speaks for several or for none."""

    def near(self, by: int) -> str:
        """The text of the field `by` further on (back where negative); empty where there is none."""
        return self.number(self.at + by)

    def number(self, at: int) -> str:
        """The text of a field by its number; empty where there is none."""
        return self.fields[at] if 0 <= at < len(self.fields) else ""


Reader = Callable[[str, Around], Told]
"""Text of a field that is not empty to what it tells."""


class Kind(NamedTuple):
    """A field of a layout."""

    name: str
    tell: Reader


class Field(NamedTuple):
    """One field explained."""

    number: int
    """From 1, as manuals count: the address is number 0."""
    name: str
    raw: str
    told: Told


class Checksum(NamedTuple):
    """The checksum worked out."""

    start: str
    """`$` or `!`."""
    counted: int
    """Bytes between the start character and the `*`."""
    made: int
    """Their exclusive or, 0 to 255."""
    stated: str
    """What stands after the `*`, at most two characters; empty where nothing does."""

    @property
    def agrees(self) -> bool:
        """Whether the sentence says what its bytes make."""
        return self.stated.upper() == f"{self.made:02X}"


class Before(NamedTuple):
    """Something that stood before the sentence on its line."""

    what: str
    raw: str
    meaning: str


def escaped(text: str) -> str:
    r"""Printable ASCII as it is, every other byte of a Latin-1 text as its hexadecimal number: `\x07`."""
    return "".join(char if " " <= char <= "~" else f"\\x{ord(char):02x}" for char in text)


def value_words(told: Told) -> str:
    """Value and unit, a dash where there is none."""
    if told.value is None:
        return "-"
    value = f"{told.value:.11g}" if isinstance(told.value, float) else escaped(str(told.value))
    return f"{value}{'' if told.unit[:1] in {'°', ''} else ' '}{told.unit}"

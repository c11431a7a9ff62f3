"""Four guides: what to press in which order, by job. Texts in `guide_texts/`, keys and commands in backticks.

A key stands there as the id of its command in braces, so that who has given a command another key reads that one.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from tui.own_keys import with_keys

FOLDER = Path(__file__).parent / "guide_texts"


class Guide(NamedTuple):
    """One of them."""

    key: str
    """That opens it, in the help."""
    name: str
    """Of its file, without the ending."""
    title: str

    @property
    def lines(self) -> list[str]:
        """Of the file, which the program brings along, with the user's keys; without the title."""
        text = (FOLDER / f"{self.name}.txt").read_text(encoding="utf-8")
        return with_keys(text).rstrip("\n").split("\n")[2:]


GUIDES = (
    Guide("1", "field", "In the field"),
    Guide("2", "after", "After the trip"),
    Guide("3", "club", "At the club"),
    Guide("4", "home", "At home"),
)

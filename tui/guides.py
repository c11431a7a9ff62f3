"""Four guides: what to press in which order, by job. Texts in `guide_texts/`, keys and commands in backticks."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

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
        """As they stand in the file, which the program brings along; without the title."""
        text = (FOLDER / f"{self.name}.txt").read_text(encoding="utf-8")
        return text.rstrip("\n").split("\n")[2:]


GUIDES = (
    Guide("1", "field", "In the field"),
    Guide("2", "after", "After the trip"),
    Guide("3", "club", "At the club"),
    Guide("4", "home", "At home"),
)

"""What each figure of the board means, in a paragraph for a club evening, with its source.

The paragraphs are TOML, a file a subject, in `core/explanation_texts`: prose is edited as prose, found by the package
itself (`importlib.resources`), and read only when somebody asks. A test holds every number in them against the code's
constants or the source that the paragraph names.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple

FOLDER = "explanation_texts"
LEAST_WORDS, MOST_WORDS = 50, 120
"""A paragraph that can be read aloud in a minute."""


class Explanation(NamedTuple):
    """One figure."""

    key: str
    title: str
    """What it is called in a list."""
    words: str
    """The paragraph, in one line."""
    source: str
    """Where its facts come from, and whether that was read or is from memory."""


@lru_cache(maxsize=1)
def explanations() -> dict[str, Explanation]:
    """All of them by key, read at the first call; the files are the program's own, so a damaged one is a bug."""
    found: dict[str, Explanation] = {}
    folder = files("core").joinpath(FOLDER)
    for part in sorted(folder.iterdir(), key=lambda one: one.name):
        if part.name.endswith(".toml"):
            found |= {one.key: one for one in read(part.read_text("utf-8"))}
    return found


def read(text: str) -> list[Explanation]:
    """Those of one file. Raises ValueError or KeyError where it is none."""
    return [
        Explanation(key, one["title"], " ".join(one["words"].split()), " ".join(one["source"].split()))
        for key, one in tomllib.loads(text).items()
    ]

"""The terminal: whether a board can be drawn on it, and how well."""

from __future__ import annotations

from collections.abc import Iterator

from core.doctor.finding import Finding, Grade, Surroundings

LEAST = 80, 24
"""Columns and rows on which one screen answers all four questions (design of the board)."""
ROOMY = 120, 40
"""From here on all panes show."""
PLAIN_TERMS = frozenset({"linux", "vt100", "vt102", "vt220", "ansi"})
"""Consoles whose fonts lack the characters that the dials are drawn with (common practice, no source)."""
_TERMINAL = "terminal"


def terminal(here: Surroundings) -> Iterator[Finding]:
    """What there is to say of it, most important first."""
    term = here.environment.get("TERM", "")
    if here.size is None:
        yield _note(
            "this is no terminal: its output goes to a file or another program", "run `fixboard doctor` by hand"
        )
        return
    if here.platform != "win32" and term in {"", "dumb"}:
        yield _mend(f"TERM is {term or 'not set'}: it can only print lines", "use `fixboard now`, or another terminal")
        return
    yield _fine(f"TERM is {term}" if term else "a console")
    yield _size(here.size)
    yield _letters(here, term)
    yield _colours(here, term)


def _size(size: tuple[int, int]) -> Finding:
    columns, rows = size
    shown = f"{columns} columns, {rows} rows"
    if columns < LEAST[0] or rows < LEAST[1]:
        return _note(f"{shown}: some panes will be left out", f"make it {LEAST[0]} by {LEAST[1]} or larger")
    if columns < ROOMY[0] or rows < ROOMY[1]:
        return _fine(f"{shown}: one screen answers all; from {ROOMY[0]} by {ROOMY[1]} on all panes show")
    return _fine(f"{shown}: all panes show")


def _letters(here: Surroundings, term: str) -> Finding:
    encoding = here.encoding.lower().replace("-", "").replace("_", "")
    if encoding != "utf8":
        return _note(
            f"characters are written as {here.encoding or 'unknown'}: dials are drawn with plain ones",
            "set a UTF-8 locale, as LANG=C.UTF-8",
        )
    if term in PLAIN_TERMS:
        return _note(f"the font of a {term} console lacks some characters", "start with --glyphs plain")
    return _fine("characters are UTF-8; where dials look torn, start with --glyphs plain")


def _colours(here: Surroundings, term: str) -> Finding:
    environment = here.environment
    if environment.get("NO_COLOR"):
        return _fine("NO_COLOR is set: words and shapes alone tell what colours would")
    if environment.get("COLORTERM", "") in {"truecolor", "24bit"}:
        return _fine("16 million colours")
    if here.platform == "win32" or "256color" in term:
        return _fine("256 colours or more")
    return _fine("16 colours, as far as TERM tells; --colour chooses where it can do better")


def _fine(found: str) -> Finding:
    return Finding(_TERMINAL, Grade.FINE, found)


def _note(found: str, remedy: str) -> Finding:
    return Finding(_TERMINAL, Grade.NOTE, found, remedy)


def _mend(found: str, remedy: str) -> Finding:
    return Finding(_TERMINAL, Grade.MEND, found, remedy)

"""Characters that a terminal or a printer has not, in those that it has.

Lines may grow (`spelled`): a degree sign becomes ` deg`. On a screen every cell has its place (`stand_in`).
"""

from __future__ import annotations

from core.safe_text import STAND_IN, cells

_WORDS = {"°": " deg", "±": "+/-"} | dict.fromkeys("′‘’", "'") | dict.fromkeys("″“”", '"') | dict.fromkeys("–−", "-")
_SHAPES = {
    "d": "°˚",  # as ASCII notations have it: beside minutes a quote would be read as one
    "'": "′‘’",
    '"': "″“”",
    "~": "±…",
    "-": "–−─━╌┄╴╶╸╺▔‾",
    "=": "═",
    "|": "│┃║▏▎▍▌▐▕▊▋▉╎┆",
    "+": "┌┐└┘├┤┬┴┼╭╮╰╯┏┓┗┛┣┫┳┻╋╔╗╚╝╠╣╦╩╬",
    "_": "▁▂",
    "#": "█▇▆▅▄▃▀▖▗▘▙▚▛▜▝▞▟■",
    ".": "·∘",
    "x": "×✕",
    "*": "●◆★•",
    "o": "○◇",
    "^": "▲↑",
    "v": "▼↓",
    "<": "◄◀←",
    ">": "►▶→",
}
_FOR_ONE = {char: plain for plain, chars in _SHAPES.items() for char in chars}
"""By shape: borders and bars of the toolkit, and all marks that the board uses."""


def spelled(text: str, encoding: str) -> str:
    """The text in what `encoding` can say: where it lacks some, our marks in words, foreign letters as their code."""
    if text.isascii() or _can_say(text, encoding):
        return text
    words = "".join(char if _can_say(char, encoding) else _WORDS.get(char, char) for char in text)
    return words.encode(encoding, "backslashreplace").decode(encoding)


def as_ascii(text: str) -> str:
    """For printers that know nothing else."""
    return spelled(text, "ascii")


def stand_in(char: str) -> str:
    """ASCII of the same number of cells: of like shape for what the board draws, `?` for letters."""
    return _FOR_ONE.get(char) or STAND_IN * cells(char)


def _can_say(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True

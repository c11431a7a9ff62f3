"""Letters and figures as they are spoken over the radio, and back from what was heard.

Letters: ICAO Annex 10 Volume II and ITU Radio Regulations Appendix 14. Figures as pronounced: IMO Standard Marine
Communication Phrases (resolution A.918(22)), General, 2. The point is "decimal" (ICAO's DAY-SEE-MAL; from memory).
"""

from __future__ import annotations

import re
from enum import Enum
from typing import NamedTuple


def _by_digit(words: str) -> dict[str, str]:
    return {str(digit): word for digit, word in enumerate(words.split())}


ALPHABET = {
    word[0].upper(): word
    for word in (
        *("Alfa", "Bravo", "Charlie", "Delta", "Echo", "Foxtrot", "Golf", "Hotel", "India", "Juliett", "Kilo", "Lima"),
        *("Mike", "November", "Oscar", "Papa", "Quebec", "Romeo", "Sierra", "Tango", "Uniform", "Victor", "Whiskey"),
        *("X-ray", "Yankee", "Zulu"),
    )
}
PRONOUNCED = _by_digit("ZEERO WUN TOO TREE FOWER FIFE SIX SEVEN AIT NINER")
"""As the phrases of the sea spell them, which is how they are told apart in noise."""
PLAIN = dict(
    zip("0123456789", ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], strict=True)
)
POINT = "decimal"
HEMISPHERES = {"N": "north", "S": "south", "E": "east", "W": "west"}
MAX_CHARACTERS = 400
"""A read-back of both forms has about 250."""
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spoken(text: str, figures: dict[str, str]) -> str:
    """Character by character, with `PLAIN` or `PRONOUNCED` figures; spaces become pauses."""
    words = {**ALPHABET, **figures, ".": POINT}
    return ", ".join(" ".join(words[one] for one in part.upper() if one in words) for part in text.split())


class Sort(Enum):
    """What a piece of heard text is."""

    DIGITS = "digits"
    """Figures that were spoken one by one: neighbours belong together."""
    NUMBER = "number"
    """Figures typed together."""
    TENS = "tens"
    """Twenty to ninety: a digit may follow."""
    POINT = "point"
    LETTERS = "letters"
    HEMISPHERE = "hemisphere"
    UNIT = "unit"
    """D, M or S: the end of degrees, minutes or seconds."""
    SIGN = "sign"
    BREAK = "break"
    """Latitude, longitude, a comma: one coordinate ends."""


class Piece(NamedTuple):
    """A word or a run of figures."""

    sort: Sort
    text: str


class Heard(NamedTuple):
    """What was typed, taken apart."""

    pieces: tuple[Piece, ...]
    unknown: tuple[str, ...]
    """Words that mean nothing here; they may be shown, made printable."""


_DIGIT_WORDS = {
    **{word: digit for digit, word in PLAIN.items()},
    **{word.lower(): digit for digit, word in PRONOUNCED.items()},
    **{"oh": "0", "nil": "0", "nought": "0", "fower": "4", "fife": "5", "ait": "8", "nina": "9"},
}
_UNITS = {
    **dict.fromkeys(("deg", "degs", "degree", "degrees", "°", "º"), "D"),
    **dict.fromkeys(("min", "mins", "minute", "minutes", "'", "′", "’"), "M"),
    **dict.fromkeys(("sec", "secs", "second", "seconds", '"', "″", "”"), "S"),
}
_POINTS = ("decimal", "point", "dot", "dayseemal")
_BREAKS = ("latitude", "lat", "longitude", "long", "lon", ",", ";", "/")
_FILLERS = frozenset(
    (
        *("about", "again", "and", "as", "at", "back", "band", "by", "check", "correct", "easting", "figures", "for"),
        *("grid", "is", "it", "locator", "mgrs", "my", "northing", "of", "position", "read", "reference", "say"),
        *("spell", "square", "the", "to", "usng", "utm", "we", "you", "zone"),
    )
)
"""Said around a position. In capitals the short ones may be the letters of a square: `32U MY 9160 3476`."""
_PHRASES = re.compile(r"\bi (?=say|spell|read|have)|\ba (?=check|position)", re.ASCII | re.IGNORECASE)
_LONG_WORD = re.compile(r"[A-Za-z]{4}", re.ASCII)
_VOCABULARY: dict[str, Piece] = {
    **{word: Piece(Sort.DIGITS, digit) for word, digit in _DIGIT_WORDS.items()},
    **{word: Piece(Sort.NUMBER, str(number)) for number, word in enumerate(_TEENS, 10)},
    **{word: Piece(Sort.TENS, str(number)) for number, word in zip(range(20, 100, 10), _TENS, strict=True)},
    **{word.lower(): Piece(Sort.LETTERS, letter) for letter, word in ALPHABET.items()},
    **{word: Piece(Sort.LETTERS, word[0].upper()) for word in ("alpha", "juliet", "xray", "whisky")},
    **{word: Piece(Sort.HEMISPHERE, letter) for letter, word in HEMISPHERES.items()},
    **{word: Piece(Sort.UNIT, kind) for word, kind in _UNITS.items()},
    **{word: Piece(Sort.POINT, ".") for word in _POINTS},
    **{word: Piece(Sort.BREAK, ",") for word in _BREAKS},
    "minus": Piece(Sort.SIGN, "-"),
    "-": Piece(Sort.SIGN, "-"),
    "−": Piece(Sort.SIGN, "-"),
}
_TOKEN = re.compile(r"\d+(?:\.\d+)?|\.\d+|[A-Za-z]+|\S", re.ASCII)
_DATUM = re.compile(r"\bdatum\b", re.ASCII | re.IGNORECASE)
_HYPHENS = re.compile(r"day-see-mal|x-ray", re.ASCII | re.IGNORECASE)
_STOP = re.compile(r"(?<=[A-Za-z])\.(?=\s|$)", re.ASCII)
"""The end of a sentence, or of a word cut short: no decimal point."""
_DASH = re.compile(r"(?<=[A-Za-z\d])-(?=[A-Za-z\d])", re.ASCII)
_MOST_LETTERS = 3
"""More than these in a word that means nothing are no letters of a grid or a locator."""


def heard(text: str) -> Heard:
    """Spoken words and figures alike, in any mixture; what stands behind "datum" is not of the position."""
    plain = _PHRASES.sub("", _DATUM.split(text[:MAX_CHARACTERS], maxsplit=1)[0])
    plain = _STOP.sub(", ", _DASH.sub(" ", _HYPHENS.sub(lambda one: one[0].replace("-", ""), plain)))
    shouts = plain.isupper() and bool(_LONG_WORD.search(plain))
    pieces: list[Piece] = []
    unknown: list[str] = []
    for token in _TOKEN.findall(plain):
        found = _piece(token.lower(), token.isupper() and not shouts)
        if found is not None:
            pieces.append(found)
        elif token.lower() not in _FILLERS and token.isalnum():
            unknown.append(token)
    return Heard(tuple(_joined(pieces)), tuple(unknown))


def _piece(token: str, is_capital: bool) -> Piece | None:
    if token[0] in PLAIN or (token[0] == "." and len(token) > 1):
        return Piece(Sort.NUMBER, token)
    if token == ".":
        return Piece(Sort.POINT, token)
    known = _VOCABULARY.get(token)
    if known is not None:
        return known
    is_letters = token.isascii() and token.isalpha() and len(token) <= _MOST_LETTERS
    return Piece(Sort.LETTERS, token.upper()) if is_letters and (is_capital or token not in _FILLERS) else None


def _joined(pieces: list[Piece]) -> list[Piece]:
    """Spoken figures and the point between them as one number; letters stay apart."""
    is_spelt = _is_spelt(pieces)
    found: list[Piece] = []
    for piece in pieces:
        last = found[-1] if found else None
        if last is not None and (glued := _glued(last, piece, is_spelt)):
            found[-1] = glued
        else:
            found.append(_spelt(piece) if is_spelt else piece)
    return [_finished(one) for one in found if one.text != "."]


def _finished(piece: Piece) -> Piece:
    """A point that no figure follows ends a sentence."""
    return Piece(Sort.NUMBER, piece.text.rstrip(".")) if piece.sort in _FIGURES else piece


_FIGURES = (Sort.DIGITS, Sort.TENS, Sort.NUMBER, Sort.POINT)


def _is_spelt(pieces: list[Piece]) -> bool:
    """Whether single typed figures are digits of longer numbers, as in `4 7 3 0 decimal 5`."""
    numbers = [one.text for one in pieces if one.sort is Sort.NUMBER]
    return len(numbers) > 3 and all(len(one) == 1 for one in numbers)


def _spelt(piece: Piece) -> Piece:
    return piece._replace(sort=Sort.DIGITS) if piece.sort is Sort.NUMBER else piece


def _glued(last: Piece, piece: Piece, is_spelt: bool) -> Piece | None:
    """One piece of two that belong to one number, else None."""
    first, second = last.sort, (_spelt(piece) if is_spelt else piece).sort
    if first is Sort.TENS and second is Sort.DIGITS and piece.text != "0":
        return Piece(Sort.NUMBER, last.text[:-1] + piece.text)
    if second is Sort.POINT and first in _FIGURES and "." not in last.text:
        return Piece(Sort.POINT, last.text + ".")
    if first is Sort.POINT and second in _FIGURES and "." not in piece.text:
        return Piece(Sort.DIGITS, last.text + piece.text)
    if first is Sort.DIGITS and second is Sort.DIGITS:
        return Piece(Sort.DIGITS, last.text + piece.text)
    return None

"""What people type between and around the figures of a place, reduced to one letter for each meaning.

A text becomes a string of kinds, and `core.places.angles` matches patterns on it. Three symbols have two meanings each
(a comma, a dash and the letter s), so one text may give several strings.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_MARKS = {"D": "°º˚∘*", "M": "'′’‘ʹ´`", "S": '"″”“ʺ', "-": "−‐‑‒–—", "/": "／|", ",": "，、", ".": "．"}
_ALPHABET = str.maketrans({symbol: kind for kind, symbols in _MARKS.items() for symbol in symbols})
_WORDS = {
    **dict.fromkeys(("n", "north"), "n"),
    **dict.fromkeys(("s", "south"), "s"),
    **dict.fromkeys(("e", "east"), "e"),
    **dict.fromkeys(("w", "west"), "w"),
    **dict.fromkeys(("d", "deg", "degs", "degree", "degrees"), "D"),
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), "M"),
    **dict.fromkeys(("sec", "secs", "second", "seconds"), "S"),
    **dict.fromkeys(("lat", "latitude"), "A"),
    **dict.fromkeys(("lon", "long", "lng", "longitude"), "O"),
}
_TOKEN = re.compile(r"(\d+(?:\.\d+)?)|([a-z]+)\.?[:=]?|([DMS+,;:/\n])|(-)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"(?<![\d,])(\d+),(\d+)(?![\d,])|(\d+),(\d+)(?=, |;)", re.ASCII)
_DASH = re.compile(r"(?<=[\dDMS])-(?=\d)|(?<=[\dDMS]) - (?=\d)", re.ASCII)
_OWN_FIELD = re.compile(r", ?([nsew])(?=,|$)")
"""A hemisphere as a field of its own, as in NMEA 0183: its comma separates nothing."""
_PUNCTUATION = {"/": ";", "\n": ";"}
MAX_NUMBERS = 6
_MAX_TOKENS = 30


class Symbols(NamedTuple):
    """One way to take a text apart."""

    kinds: str
    """A letter for each token: `0` a whole number, `1` one with decimals; `D M S` marks of degrees, minutes and
    seconds; `n s e w` hemispheres; `A O` the words latitude and longitude; `+ -` signs; `;` and `,` between
    coordinates, `:` between the figures of one."""
    numbers: tuple[str, ...]
    remarks: tuple[str, ...]
    """What had to be decided, in words; empty where the text left no choice."""


def symbols(text: str) -> list[Symbols]:
    """Every way to take the text apart, none where it holds anything that no notation in degrees uses."""
    plain = _plain(text)
    found = []
    for commas, comma_remark in _commas(plain):
        for dashes, dash_remark in _dashes(commas):
            taken = _tokens(dashes)
            if taken is None:
                return []
            found += [_symbols(*taken, (comma_remark, dash_remark), seconds) for seconds in _seconds(taken[0])]
    return [one for one in found if 2 <= len(one.numbers) <= MAX_NUMBERS and len(one.kinds) <= _MAX_TOKENS]


def _plain(text: str) -> str:
    """Lower case, one symbol for each meaning, brackets and outer separators gone."""
    plain = text.lower().translate(_ALPHABET).replace("''", "S").replace("MM", "S")
    return _OWN_FIELD.sub(r"\1", plain.translate(str.maketrans("()[]{}", "      ")).strip(" ,;/\n"))


def _commas(text: str) -> list[tuple[str, str]]:
    """The text with its commas as separators, and with those inside numbers as decimal points."""
    decimal = "" if "." in text else _DECIMAL_COMMA.sub(_point, text)
    if not decimal or decimal == text:
        return [(text, "")]
    return [(decimal, "comma taken as decimal point"), (text, "comma taken as separator")]


def _point(found: re.Match[str]) -> str:
    return f"{found[1] or found[3]}.{found[2] or found[4]}"


def _dashes(text: str) -> list[tuple[str, str]]:
    """The text with dashes between figures as minus signs, and as separators."""
    separated = _DASH.sub(":", text)
    if separated == text:
        return [(text, "")]
    return [(text, "dash taken as minus sign"), (separated, "dash taken as separator")]


def _seconds(kinds: str) -> list[bool]:
    """Whether the letter s is to be taken as seconds: after a number that follows minutes it may be."""
    return [False, True] if "Ms" in re.sub("[01:]", "", kinds) else [False]


def _tokens(text: str) -> tuple[str, tuple[str, ...]] | None:
    """Kinds and numbers, None at the first thing that has no meaning here."""
    kinds, numbers = "", []
    for piece in text.split(" "):
        at = 0
        while at < len(piece):
            found = _TOKEN.match(piece, at)
            if found is None or len(kinds) > _MAX_TOKENS:
                return None
            kind = _kind(found)
            if kind is None:
                return None
            if found[1]:
                numbers.append(found[1])
            kinds, at = kinds + kind, found.end()
    return kinds, tuple(numbers)


def _kind(found: re.Match[str]) -> str | None:
    number, word, symbol, _dash = found.groups()
    if number:
        return "1" if "." in number else "0"
    if word:
        return _WORDS.get(word)
    return _PUNCTUATION.get(symbol, symbol) if symbol else "-"


def _symbols(kinds: str, numbers: tuple[str, ...], remarks: tuple[str, ...], seconds: bool) -> Symbols:
    if seconds:
        # Only an s that closes a group degrees, minutes, number is one of seconds.
        kinds = re.sub(r"(M[01])s", r"\1S", kinds)
        remarks = (*remarks, "s taken as seconds")
    return Symbols(kinds, numbers, tuple(remark for remark in remarks if remark))

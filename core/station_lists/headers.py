"""What a column's header means. Headers are the user's own: any of the usual words, in any case, with or without units.

The words are common practice, no source; they are those that somebody who keeps such a list would write.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from enum import Enum
from typing import NamedTuple

from core.bands import GHZ, KHZ, MHZ


class Field(Enum):
    """What a column can hold."""

    CALL = "call"
    NAME = "name"
    OUTPUT = "output"
    INPUT = "input"
    SHIFT = "shift"
    TONE = "tone or code"
    MODE = "mode"
    LOCATOR = "locator"
    LATITUDE = "latitude"
    LONGITUDE = "longitude"
    PLACE = "place in any notation"
    HEIGHT = "height"
    STATUS = "status"
    VERIFIED = "verified"
    NOTES = "notes"


WORDS: dict[Field, tuple[str, ...]] = {
    Field.CALL: ("call", "callsign", "call sign", "call id", "rufzeichen", "indicatif", "indicativo", "nominativo"),
    Field.NAME: (
        "name", "station", "repeater", "site", "location", "town", "city", "nearest city", "ort", "standort", "nom",
        "nombre",
    ),
    Field.OUTPUT: (
        "output", "output frequency", "output freq", "out", "frequency", "freq", "qrg", "downlink", "tx",
        "tx frequency", "tx freq", "transmit", "listen", "ausgabe", "frequenz", "frequence", "frecuencia", "frequenza",
    ),
    Field.INPUT: (
        "input", "input frequency", "input freq", "in", "uplink", "rx", "rx frequency", "rx freq", "receive",
        "eingabe",
    ),
    Field.SHIFT: ("shift", "offset", "split", "duplex", "ablage", "decalage", "desplazamiento"),
    Field.TONE: (
        "tone", "code", "tone code", "tone or code", "access", "access tone", "ctcss", "pl", "dcs", "subtone",
        "colour code", "color code", "cc", "ton", "tono",
    ),
    Field.MODE: ("mode", "modes", "modulation", "emission", "betriebsart", "modo"),
    Field.LOCATOR: (
        "locator", "loc", "qth", "qth locator", "qth loc", "qthloc", "grid loc", "grid", "grid square", "gridsquare",
        "grid locator", "square",
        "maidenhead",
    ),
    Field.LATITUDE: ("latitude", "lat", "breite", "latitud", "latitudine", "lat deg", "latitude deg"),
    Field.LONGITUDE: (
        "longitude", "lon", "long", "lng", "laenge", "lange", "longitud", "longitudine", "lon deg", "longitude deg",
    ),
    Field.PLACE: (
        "position", "coordinates", "coordinate", "coords", "place", "utm", "mgrs", "koordinaten", "wgs84", "geo",
    ),
    Field.HEIGHT: (
        "height", "altitude", "alt", "elevation", "ele", "asl", "amsl", "hoehe", "hohe", "hohe nn", "hohe u nn",
        "hohe uber nn", "hoehe nn", "hauteur", "altura", "quota",
    ),
    Field.STATUS: ("status", "on air", "operational", "active", "zustand", "estado", "stato"),
    Field.VERIFIED: (
        "verified", "last verified", "checked", "last checked", "updated", "last update", "date", "stand", "geprueft",
    ),
    Field.NOTES: (
        "notes", "note", "comment", "comments", "remarks", "remark", "info", "description", "desc", "bemerkung",
    ),
}  # fmt: skip
_FIELD_OF = {word: field for field, words in WORDS.items() for word in words}
FREQUENCY_UNITS = {"hz": 1, "khz": KHZ, "mhz": MHZ, "ghz": GHZ}
FOOT_M = 0.3048
"""The international foot, exact since 1959."""
LENGTH_UNITS = {"m": 1.0, "metres": 1.0, "meters": 1.0, "ft": FOOT_M, "feet": FOOT_M, "foot": FOOT_M}
UNITS: dict[str, float] = {**FREQUENCY_UNITS, **LENGTH_UNITS}
_FREQUENCIES = frozenset({Field.OUTPUT, Field.INPUT, Field.SHIFT})
_NO_WORD = re.compile(r"[^0-9a-z]+")


class Heading(NamedTuple):
    """A header as understood."""

    text: str
    field: Field | None
    unit: float | None
    """Hz or metres that one of its figures is worth; None where the header does not say."""


def understood(headers: Sequence[str]) -> tuple[Heading, ...]:
    """Each header's meaning. Of two that mean the same the first counts: the other is kept like an unknown one."""
    taken: set[Field] = set()
    found = []
    for text in headers:
        heading = _heading(text)
        if heading.field in taken:
            heading = heading._replace(field=None)
        elif heading.field:
            taken.add(heading.field)
        found.append(heading)
    return tuple(found)


def score(headers: Sequence[str]) -> int:
    """How many of them mean something: a row that scores well is the row of headers."""
    return sum(heading.field is not None for heading in understood(headers))


def _heading(text: str) -> Heading:
    words = _plain(text).split()
    field, unit = _FIELD_OF.get(" ".join(words)), None
    if field is None and words and words[-1] in UNITS:
        unit = UNITS[words[-1]]
        field = _FIELD_OF.get(" ".join(words[:-1]))
        fits = (words[-1] in FREQUENCY_UNITS) == (field in _FREQUENCIES)
        unit = unit if fits and field in {*_FREQUENCIES, Field.HEIGHT} else None
    if field is None and len(words) == 1 and words[0] in FREQUENCY_UNITS:
        field, unit = Field.OUTPUT, UNITS[words[0]]
    return Heading(text, field, unit)


def _plain(text: str) -> str:
    """Small letters and digits with single spaces; accents off."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    return _NO_WORD.sub(" ", "".join(one for one in letters if not unicodedata.combining(one))).strip()

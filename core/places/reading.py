"""Reading a place from what people type and paste: every plausible meaning, never a guess.

The strict forms first (a string of a standard means what the standard says), then everything else side by side.
"""

from __future__ import annotations

import re
import unicodedata

from core.errors import InputError
from core.places.angles import parse_degrees
from core.places.found import Reading, corner_m
from core.places.geo_uri import parse_geo_uri
from core.places.grid_text import parse_grid
from core.places.iso6709 import parse_iso6709
from core.places.locator import box
from core.places.notation import Form
from core.safe_text import quoted

MAX_CHARACTERS = 200
"""The longest place we know how to write has 50; a pasted page is no place."""
_EXAMPLES = "Write for example 47.5 N 11.25 E, 47 30.0 N 11 15.0 E, 32U 691608 5334764, JN58td or geo:47.5,11.25."
_SAME_DEG = 1e-9


def read(text: str) -> tuple[Reading, ...]:
    """All plausible readings, the likelier first; more than one means that the user has to choose.

    Raises InputError where there is none, saying what was understood.
    """
    plain = _plain(text)
    strict = parse_geo_uri(plain) or parse_iso6709(plain)
    if strict:
        return (strict,)
    if plain.lower().startswith("geo:"):
        raise InputError(f"{quoted(text)} is no geo: URI in WGS 84 and in range. {_EXAMPLES}")
    lower = plain.lower()
    single = " ".join(lower.split())
    found = _distinct([*_as_locator(single), *parse_grid(single), *parse_degrees(lower)])
    if not found:
        raise InputError(f"{quoted(text)} cannot be read as a place: {_understood(single)}. {_EXAMPLES}")
    return found


def _plain(text: str) -> str:
    """Spaces of every kind as one kind; raises InputError for what no place can hold."""
    if len(text) > MAX_CHARACTERS:
        raise InputError(f"a place has at most {MAX_CHARACTERS} characters, this text has {len(text)}. {_EXAMPLES}")
    kept = "".join(_character(one) for one in text)
    if any(unicodedata.category(one)[0] == "C" and one != "\n" for one in kept):
        raise InputError(f"{quoted(text)} holds characters that cannot be seen. {_EXAMPLES}")
    if any(one.isdigit() and not one.isascii() for one in kept):
        raise InputError(f"{quoted(text)} holds figures other than 0 to 9. {_EXAMPLES}")
    return kept.strip()


def _character(one: str) -> str:
    return "\n" if one in "\r\n" else " " if one.isspace() else one


def _as_locator(text: str) -> list[Reading]:
    try:
        found = box(text.replace(" ", ""))
    except ValueError:
        return []
    radius = corner_m(found.half_latitude_deg, found.half_longitude_deg, found.centre.latitude_deg)
    return [
        Reading(found.centre, Form.LOCATOR, radius, f"locator, middle of its box, corners {_distance(radius)} away")
    ]


def _distance(metres: float) -> str:
    return f"{metres:.0f} m" if metres < 1000 else f"{metres / 1000:.1f} km"


def _distinct(found: list[Reading]) -> tuple[Reading, ...]:
    """Readings of one point are one reading, the first."""
    kept: list[Reading] = []
    for one in found:
        if not any(_same(one, other) for other in kept):
            kept.append(one)
    return tuple(kept)


def _same(one: Reading, other: Reading) -> bool:
    return all(abs(a - b) <= _SAME_DEG for a, b in zip(one.position, other.position, strict=True))


def _understood(text: str) -> str:
    """What the text seemed to be, for the message."""
    numbers = len(re.findall(r"\d+(?:[.,]\d+)?", text))
    if not text:
        return "it is empty"
    if not numbers:
        return "it holds no number"
    if re.search(r"[a-z]{2}|[abcf-lo-rt-vx-z]", text):
        return "a locator, a grid reference or degrees would have other letters, or figures in equal halves"
    if numbers % 2 and numbers < 7:
        return f"{numbers} {'number' if numbers == 1 else 'numbers'}; put a comma between latitude and longitude"
    return (
        f"{numbers} numbers, but they fit no notation; latitude (first unless letters say otherwise) is at most 90, "
        "longitude at most 180, minutes and seconds are below 60"
    )

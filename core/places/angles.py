"""Two coordinates in degrees out of whatever stands between them: every plausible way, exactly.

A half of the text must follow the grammar of one coordinate; where the text may be cut in two at several points, a cut
at a separator wins, then one that leaves as many figures on each side.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from core.fix import Position
from core.places.found import Reading, corner_m
from core.places.notation import Form
from core.places.symbols import Symbols, symbols

_COORDINATE = re.compile(
    r"(?P<axis>[AO])?(?P<before>[nsew])?(?P<sign>[+-])?"
    r"(?P<figures>[01]D?|0D?[:,]?[01]M?|0D?[:,]?0M?[:,]?[01]S?)(?P<after>[nsew])?"
)
_SEPARATORS = ",;:"
_AXIS_OF = {"n": "latitude", "s": "latitude", "A": "latitude", "e": "longitude", "w": "longitude", "O": "longitude"}
_LIMIT = {"latitude": 90, "longitude": 180}
_HEMISPHERES = {"latitude": "ns", "longitude": "ew"}
_PACKED = {
    "latitude": {4: 2, 6: 3},
    "longitude": {3: 2, 4: 2, 5: 2, 6: 3, 7: 3},
}
"""Digits before the point -> parts, for figures run together (4710 is 47 degrees 10 minutes). A latitude has two digits
of degrees (NMEA 0183, ISO 6709); people drop the leading zeros of a longitude."""
_FORMS = (Form.DECIMAL, Form.DEGREES_MINUTES, Form.DEGREES_MINUTES_SECONDS)
_PARTS = ("degrees", "degrees and minutes", "degrees, minutes, seconds")


class _Half(NamedTuple):
    """One coordinate as typed."""

    axis: str
    """latitude, longitude, or empty where nothing says."""
    hemisphere: str
    """The letter given, empty where there is none."""
    negative: bool
    numbers: tuple[str, ...]
    is_bare: bool
    """Without marks of degrees, minutes or seconds."""


class _Angle(NamedTuple):
    magnitude: Fraction
    step: Fraction
    """Worth of the last digit, in degrees."""
    parts: int
    packed: bool


def parse_degrees(text: str) -> list[Reading]:
    """Every plausible reading of the text as degrees; none where there is none."""
    return [reading for one in symbols(text) for reading in _readings(one)]


def _readings(one: Symbols) -> list[Reading]:
    cuts = [cut for cut in _cuts(one) if not (cut[0].axis and cut[0].axis == cut[1].axis)]
    # A single letter in the middle may belong to either side; the side that puts latitude first is meant.
    straight = [(first, second) for first, second in cuts if not _is_turned(first, second)]
    pairs = straight or [(second, first) for first, second in cuts]
    return [reading for latitude, longitude in pairs for reading in _pairs(latitude, longitude, one.remarks)]


def _cuts(one: Symbols) -> list[tuple[_Half, _Half]]:
    """The two coordinates, for each cut that leaves two."""
    whole = [cut for at in _places(one.kinds) if (cut := _cut(one, at))]
    even = [cut for cut in whole if len(cut[0].numbers) == len(cut[1].numbers)]
    return even or whole


def _places(kinds: str) -> list[int]:
    """Where to cut: at the one strong separator, else at the one comma, else wherever a coordinate may begin."""
    for separator in ";,":
        if kinds.count(separator) == 1:
            return [kinds.index(separator)]
    if ";" in kinds:
        return []
    total = _figures(kinds)
    return [at for at in range(1, len(kinds)) if _is_bound(kinds, at) or _figures(kinds[:at]) * 2 == total]


def _figures(kinds: str) -> int:
    return kinds.count("0") + kinds.count("1")


def _is_bound(kinds: str, at: int) -> bool:
    """Whether a hemisphere, a sign, a word or a degree mark says that a coordinate ends or begins here."""
    return kinds[at - 1] in "nsew" or kinds[at] in "nsewAO+-" or kinds[at : at + 2] in {"0D", "1D"}


def _cut(one: Symbols, at: int) -> tuple[_Half, _Half] | None:
    left, right = one.kinds[:at], one.kinds[at:]
    if right[0] in _SEPARATORS:
        right = right[1:]
    count = _figures(left)
    first, second = _half(left, one.numbers[:count]), _half(right, one.numbers[count:])
    return (first, second) if first and second else None


def _half(kinds: str, numbers: tuple[str, ...]) -> _Half | None:
    found = _COORDINATE.fullmatch(kinds)
    if found is None or (found["before"] and found["after"]):
        return None
    letter = found["before"] or found["after"] or ""
    axis = _AXIS_OF.get(letter or found["axis"] or "", "")
    negative = found["sign"] == "-"
    contradicts = (letter and negative) or (found["axis"] and axis != _AXIS_OF[found["axis"]])
    return None if contradicts else _Half(axis, letter, negative, numbers, set(found["figures"]) <= set("01:,"))


def _is_turned(first: _Half, second: _Half) -> bool:
    """Whether longitude comes first: only where letters or words say so."""
    return first.axis == "longitude" or second.axis == "latitude"


def _pairs(latitude: _Half, longitude: _Half, remarks: tuple[str, ...]) -> list[Reading]:
    """All readings of two halves whose axes are known: run-together figures are so in both or in neither."""
    found = []
    for north in _angles(latitude, "latitude"):
        for east in _angles(longitude, "longitude"):
            if north.packed == east.packed and (not north.packed or north.parts == east.parts):
                found += _signed(latitude, longitude, (north, east), remarks)
    return found


def _angles(half: _Half, axis: str) -> list[_Angle]:
    """The values that one coordinate can have, in range."""
    found = [_angle(half.numbers, packed=False)]
    parts = _PACKED[axis].get(len(half.numbers[0].partition(".")[0]), 0)
    if parts and len(half.numbers) == 1 and half.is_bare:
        found.append(_angle(_unpacked(half.numbers[0], parts), packed=True))
    return [angle for angle in found if angle is not None and angle.magnitude <= _LIMIT[axis]]


def _unpacked(number: str, parts: int) -> tuple[str, ...]:
    whole, point, fraction = number.partition(".")
    cut = len(whole) - 2 * (parts - 1)
    pairs = [whole[at : at + 2] for at in range(cut, len(whole), 2)]
    return (whole[:cut], *pairs[:-1], pairs[-1] + point + fraction)


def _angle(numbers: tuple[str, ...], packed: bool) -> _Angle | None:
    values = [Fraction(number) for number in numbers]
    if any(value >= 60 for value in values[1:]):
        return None
    magnitude = sum((value / 60**n for n, value in enumerate(values)), Fraction(0))
    decimals = len(numbers[-1].partition(".")[2])
    return _Angle(magnitude, Fraction(1, 10**decimals * 60 ** (len(numbers) - 1)), len(numbers), packed)


def _signed(
    latitude: _Half, longitude: _Half, angles: tuple[_Angle, _Angle], remarks: tuple[str, ...]
) -> list[Reading]:
    """The reading for each pair of hemispheres that the text allows."""
    lettered = bool(latitude.hemisphere or longitude.hemisphere)
    return [
        _reading((north, east), angles, remarks)
        for north in _letters(latitude, "latitude", lettered)
        for east in _letters(longitude, "longitude", lettered)
    ]


def _letters(half: _Half, axis: str, lettered: bool) -> str:
    """The hemisphere, or both: a bare number beside a lettered one says neither."""
    both = _HEMISPHERES[axis]
    if half.hemisphere:
        return half.hemisphere
    if half.negative:
        return both[1]
    return both if lettered and not _is_zero(half) else both[0]


def _is_zero(half: _Half) -> bool:
    return not any(number.strip("0.") for number in half.numbers)


def _reading(letters: tuple[str, str], angles: tuple[_Angle, _Angle], remarks: tuple[str, ...]) -> Reading:
    north, east = (
        float(-angle.magnitude if letter in "sw" else angle.magnitude)
        for letter, angle in zip(letters, angles, strict=True)
    )
    parts = max(angle.parts for angle in angles)
    how = [_PARTS[parts - 1] + (" run together" if angles[0].packed else "")]
    shown = f"{abs(north):.5f}° {letters[0].upper()}, {abs(east):.5f}° {letters[1].upper()}"
    radius = corner_m(float(angles[0].step) / 2, float(angles[1].step) / 2, north)
    return Reading(Position(north, east), _FORMS[parts - 1], radius, "; ".join([*how, *remarks, shown]))

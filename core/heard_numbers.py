"""Numbers of a heard position in degrees: cut into two coordinates, and every slip in them undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from core.fix import Position
from core.report_speech import Piece, Sort

Parts = tuple[str, ...]
"""Degrees, or degrees and minutes, or degrees, minutes and seconds, as they were typed."""
MOST_NUMBERS = 6
_LONGEST = 12
"""Characters of a number."""
_LIMITS = (90, 180)
_NAMES = ("degrees", "minutes", "seconds")
_AXES = ("latitude", "longitude")


class Half(NamedTuple):
    """One coordinate as it was heard."""

    parts: Parts
    side: str
    """N, S, E or W; empty where it was not said."""
    is_negative: bool


def halves_of(pieces: Sequence[Piece]) -> list[tuple[Half, Half]]:
    """Latitude and longitude, for each cut that is plausible; none where these are no degrees."""
    numbers, sides, signs, breaks = _sorted_out(pieces)
    if not 2 <= len(numbers) <= MOST_NUMBERS or any(len(one) > _LONGEST for one in numbers):
        return []
    pairs = [_pair(numbers, sides, signs, cut) for cut in _cuts(len(numbers), sides, signs, breaks)]
    return [pair for pair in pairs if all(1 <= len(half.parts) <= len(_NAMES) for half in pair)]


_Marks = list[tuple[int, str]]
"""How many numbers stand before it, and what it is."""


def _sorted_out(pieces: Sequence[Piece]) -> tuple[list[str], _Marks, list[int], list[int]]:
    """Numbers; hemispheres, signs and breaks with how many numbers stand before each. No numbers: no degrees."""
    numbers: list[str] = []
    sides: _Marks = []
    signs: list[int] = []
    breaks: list[int] = []
    for piece in pieces:
        if piece.sort is Sort.NUMBER:
            numbers.append(piece.text)
        elif piece.text in {"N", "S", "E", "W"}:
            sides.append((len(numbers), piece.text))
        elif piece.sort is Sort.SIGN:
            signs.append(len(numbers))
        elif piece.sort is Sort.BREAK:
            breaks.append(len(numbers))
        elif piece.sort is not Sort.UNIT and piece.text not in {"D", "M"}:
            return [], [], [], []
    return numbers, sides, signs, breaks


def _cuts(count: int, sides: _Marks, signs: list[int], breaks: list[int]) -> list[int]:
    """Where the second coordinate begins: as hemispheres, signs, the only break or the count of numbers say."""
    between = [at for at, _ in sides if 0 < at < count]
    for found in (between, [at for at in signs if 0 < at < count], [at for at in breaks if 0 < at < count]):
        if len(set(found)) == 1:
            return found[:1]
    return [count // 2] if count % 2 == 0 else list(range(1, count))


def _pair(numbers: list[str], sides: _Marks, signs: list[int], cut: int) -> tuple[Half, Half]:
    is_before = bool(sides) and sides[0][0] == 0
    first_side = next((side for at, side in sides if at < cut or (at == cut and not is_before)), "")
    second_side = next((side for at, side in reversed(sides) if at > cut or (at == cut and is_before)), "")
    first = Half(tuple(numbers[:cut]), first_side, 0 in signs)
    second = Half(tuple(numbers[cut:]), second_side, cut in signs)
    is_turned = (first_side and first_side in "EW") or (second_side and second_side in "NS")
    return (second, first) if is_turned else (first, second)


# A notation taken for another


def _digits(number: str) -> str:
    return number.replace(".", "")


def _pair_of(number: str) -> str:
    """Minutes or seconds with two digits before the point: decimals that were read as a number lose their zeros."""
    whole, _, decimals = number.partition(".")
    return whole.zfill(2) + decimals


def _minutes_from_seconds(parts: Parts) -> Parts | None:
    if len(parts) != 3 or "." in parts[1]:
        return None
    return parts[0], f"{parts[1]}.{_pair_of(parts[2])}"


def _degrees_from_sixtieths(parts: Parts) -> Parts | None:
    if len(parts) < 2 or any("." in one for one in parts[:-1]):
        return None
    return (f"{parts[0]}." + "".join(_pair_of(one) for one in parts[1:]),)


def _seconds_from_minutes(parts: Parts) -> Parts | None:
    whole, point, decimals = parts[-1].partition(".")
    if len(parts) != 2 or not point:
        return None
    return parts[0], whole, _with_point(decimals.ljust(2, "0"), 2)


def _minutes_from_degrees(parts: Parts) -> Parts | None:
    whole, point, decimals = parts[0].partition(".")
    return (whole, _with_point(decimals.ljust(2, "0"), 2)) if len(parts) == 1 and point else None


def _seconds_from_degrees(parts: Parts) -> Parts | None:
    whole, point, decimals = parts[0].partition(".")
    if len(parts) != 1 or not point or len(decimals) < 3:
        return None
    return whole, decimals[:2], _with_point(decimals[2:].ljust(2, "0"), 2)


def _minutes_were_seconds(parts: Parts) -> Parts | None:
    return (parts[0], "0", parts[1]) if len(parts) == 2 else None


def _apart(parts: Parts) -> Parts | None:
    """`1030.5` is 10 degrees 30.5 minutes (NMEA 0183, ISO 6709)."""
    whole, point, decimals = parts[0].partition(".")
    return (whole[:-2], whole[-2:] + point + decimals) if len(parts) == 1 and 3 <= len(whole) <= 5 else None


def _apart_thrice(parts: Parts) -> Parts | None:
    whole, point, decimals = parts[0].partition(".")
    if len(parts) != 1 or not 5 <= len(whole) <= 7:
        return None
    return whole[:-4], whole[-4:-2], whole[-2:] + point + decimals


def _with_point(digits: str, before: int) -> str:
    return digits[:before] + ("." + digits[before:] if digits[before:] else "")


_NOTATIONS: tuple[tuple[Callable[[Parts], Parts | None], str, float], ...] = (
    (lambda parts: parts, "", 1.0),
    (_apart, "figures run together: degrees and minutes", 1.0),
    (_apart_thrice, "figures run together: degrees, minutes, seconds", 1.0),
    (_minutes_from_seconds, "decimals of a minute, taken for seconds", 1.5),
    (_degrees_from_sixtieths, "decimal degrees, taken for minutes", 1.5),
    (_seconds_from_minutes, "seconds, taken for decimals of a minute", 1.5),
    (_minutes_from_degrees, "minutes, taken for decimal degrees", 1.5),
    (_seconds_from_degrees, "minutes and seconds, taken for decimal degrees", 2.0),
    (_minutes_were_seconds, "seconds, taken for minutes", 3.0),
)


def part_slips(latitude: Parts, longitude: Parts) -> Iterator[tuple[tuple[Parts, Parts], str, float]]:
    """The two in each notation that they may have been given in: both in the same."""
    for change, how, oddness in _NOTATIONS:
        first, second = change(latitude), change(longitude)
        if first is not None and second is not None:
            yield (first, second), how, oddness


# A number misheard


def number_slips(latitude: Parts, longitude: Parts) -> Iterator[tuple[tuple[Parts, Parts], str, float]]:
    """Each with one number changed."""
    for axis, parts in enumerate((latitude, longitude)):
        for n, number in enumerate(parts):
            for other, how, oddness in number_variants(number):
                changed = (*parts[:n], other, *parts[n + 1 :])
                both = (changed, longitude) if axis == 0 else (latitude, changed)
                yield both, f"{_NAMES[n]} of {_AXES[axis]} {other} for {number}: {how}", oddness


def number_variants(number: str) -> Iterator[tuple[str, str, float]]:
    """What may have been said where this number was heard, how that came about, and how odd that is."""
    yield from _teens(number)
    yield from _one_other(number)
    yield from _exchanged(number)
    yield from _one_more(number)
    yield from _one_less(number)
    yield from _point_moved(number)


def _teens(number: str) -> Iterator[tuple[str, str, float]]:
    """Fifteen and fifty: before the point, or two decimals said as one number."""
    whole, point, decimals = number.partition(".")
    for text, begin, end in ((whole, "", point + decimals), (decimals, whole + point, "")):
        if len(text) == 2 and text[0] == "1" and text[1] in "3456789":
            yield begin + text[1] + "0" + end, "-teen and -ty sound alike", 2.0
        if len(text) == 2 and text[1] == "0" and text[0] in "3456789":
            yield begin + "1" + text[0] + end, "-teen and -ty sound alike", 2.0


ALIKE = {frozenset("59")}
"""Five and nine: why radio says fife and niner (ICAO Annex 10, from memory; trade facts, section d)."""


def _one_other(number: str) -> Iterator[tuple[str, str, float]]:
    for n, old in enumerate(number):
        for new in "0123456789":
            if old not in {".", new}:
                alike = frozenset((old, new)) in ALIKE
                how = "digits that sound alike" if alike else "a digit misheard"
                yield number[:n] + new + number[n + 1 :], how, 2.0 if alike else 6.0


def _exchanged(number: str) -> Iterator[tuple[str, str, float]]:
    for n in range(len(number) - 1):
        first, second = number[n], number[n + 1]
        if first != second and "." not in {first, second}:
            yield number[:n] + second + first + number[n + 2 :], "digits exchanged", 3.0


def _one_more(number: str) -> Iterator[tuple[str, str, float]]:
    for n in range(len(number) + 1):
        for new in "0123456789":
            doubled = new in number[max(0, n - 1) : n + 1]
            yield number[:n] + new + number[n:], "a digit dropped", 3.0 if doubled or new == "0" else 5.0


def _one_less(number: str) -> Iterator[tuple[str, str, float]]:
    for n, old in enumerate(number):
        if old != "." and len(_digits(number)) > 1:
            doubled = old in number[max(0, n - 1) : n] + number[n + 1 : n + 2]
            yield (
                number[:n] + number[n + 1 :],
                "a digit doubled" if doubled else "a digit too many",
                (3.0 if doubled else 5.0),
            )


def _point_moved(number: str) -> Iterator[tuple[str, str, float]]:
    """Ten times too much or too little."""
    digits, whole = _digits(number), len(number.partition(".")[0])
    for at in (whole - 1, whole + 1):
        if 0 < at < len(digits):
            yield _with_point(digits, at), "the point moved", 4.0


# Where they are


def places(halves: tuple[Half, Half], parts: tuple[Parts, Parts]) -> Iterator[tuple[Position, str, float]]:
    """The place of such parts in each hemisphere, with what that says of the hemispheres heard, and how odd it is."""
    latitude, longitude = (_magnitude(one, limit) for one, limit in zip(parts, _LIMITS, strict=True))
    if latitude is None or longitude is None:
        return
    for north, lost, odd in _signs(halves, 0):
        for east, lost_too, odd_too in _signs(halves, 1):
            words = "; ".join(one for one in (lost, lost_too) if one)
            yield Position(north * latitude, east * longitude), words, odd * odd_too


@lru_cache(maxsize=256)
def _magnitude(parts: Parts, limit: int) -> float | None:
    """Degrees, exactly until they are rounded once; None where these are no degrees in range.

    Remembered, since a slip in one half leaves the other as it was; and in whole numbers, since hundreds are tried.
    """
    try:
        values = [_whole_and_scale(one) for one in parts]
    except ValueError:
        return None
    if any(whole >= 60 * scale for whole, scale in values[1:]) or any(whole % scale for whole, scale in values[:-1]):
        return None
    last, scale = values[-1]
    most = 60 ** (len(values) - 1)
    total = last + sum(whole // one * scale * most // 60**n for n, (whole, one) in enumerate(values[:-1]))
    return total / (most * scale) if total <= limit * most * scale else None


def _whole_and_scale(number: str) -> tuple[int, int]:
    """`12.50` as 1250 of 100 parts. Raises ValueError where it is no number."""
    whole, _, fraction = number.partition(".")
    return int(whole + fraction), 10 ** len(fraction)


NOT_SAID = 1.2
"""How odd it is that a hemisphere which nobody said is south or west."""
_SIDES = (("N", "S"), ("E", "W"))
_WORDS = {"N": "north", "S": "south", "E": "east", "W": "west"}


def _signs(halves: tuple[Half, Half], axis: int) -> list[tuple[int, str, float]]:
    """Both signs of an axis: the one heard, and the other; a hemisphere that nobody said is the first of the two.

    A letter belongs to its axis whichever number it stood by; a minus sign belongs to its number.
    """
    plus, minus = _SIDES[axis]
    side = next((half.side for half in halves if half.side and half.side in (plus, minus)), "")
    heard = side or (minus if halves[axis].is_negative else plus)
    other = minus if heard == plus else plus
    was_said = bool(side) or halves[axis].is_negative
    lost = f"{_WORDS[other]} for {_WORDS[heard]}" if was_said else f"{_WORDS[other]}, which was not said"
    sign = {plus: 1, minus: -1}
    return [(sign[heard], "", 1.0), (sign[other], lost, 2.0 if was_said else NOT_SAID)]

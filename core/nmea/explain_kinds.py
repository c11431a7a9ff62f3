"""One function a kind of field: its text to value, unit and meaning, by the same converters that decoding uses.

So what is shown here as not believed is what decoding leaves out, and the other way round.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date

from core.nmea import fields as f
from core.nmea.explain_letters import SYSTEMS
from core.nmea.explain_records import Around, Reader, Told
from core.nmea.numbering import satellite_name

NO_NUMBER = Told(meaning="not a plain number: left out")
NO_WHOLE = Told(meaning="no whole number of up to six digits: left out")
Words = Mapping[str, tuple[str, str]]


def text(raw: str, _: Around) -> Told:
    """Anything; what is written as ^hh is opened (IEC 61162-1's way to write a reserved character, memory)."""
    opened = re.sub(r"\^([0-9A-Fa-f]{2})", lambda found: chr(int(found.group(1), 16)), raw)
    return Told(raw, "", "" if opened == raw else f"^hh stands for a character: {opened!r}")


def letters(words: Words) -> Reader:
    """One of a few letters or digits, each with its words."""

    def tell(raw: str, _: Around) -> Told:
        found = words.get(raw)
        return Told(found[0], "", found[1]) if found else Told(meaning=f"not one of {' '.join(words)}")

    return tell


def fixed(letter: str, words: str, what: str = "") -> Reader:
    """A letter that is always the same, as the M of metres."""

    def tell(raw: str, _: Around) -> Told:
        return Told(words, "", what) if raw == letter else Told(meaning=f"is {letter} ({words}) by the standard")

    return tell


def quantity(unit: str, meaning: str = "", least: float | None = None) -> Reader:
    """A plain number with its unit; below `least` it is left out."""

    def tell(raw: str, _: Around) -> Told:
        value = f.number(raw)
        if value is None:
            return NO_NUMBER
        if least is not None and value < least:
            return Told(meaning=f"below {least:g}: left out")
        return Told(value, unit, meaning)

    return tell


def count(meaning: str = "", unit: str = "") -> Reader:
    """An unsigned whole number."""

    def tell(raw: str, _: Around) -> Told:
        value = f.whole(raw)
        return NO_WHOLE if value is None else Told(value, unit, meaning)

    return tell


def clock(raw: str, _: Around) -> Told:
    """Time of day, UTC; one that is none makes a sentence malformed."""
    try:
        f.time_of_day(raw)
    except f.BadField as error:
        return Told(meaning=str(error), is_wrong=True)
    leap = "a leap second" if raw[4:6] == "60" else ""
    return Told(f"{raw[:2]}:{raw[2:4]}:{raw[4:]}", "UTC", leap)


def day(raw: str, _: Around) -> Told:
    """Date as ddmmyy; what is not six digits makes a sentence malformed."""
    try:
        found = f.date_ddmmyy(raw)
    except f.BadField as error:
        return Told(meaning=str(error), is_wrong=True)
    if found is None:
        return Told(meaning="all zeros: it knows no date" if raw == "000000" else "the calendar has no such day")
    return Told(found.isoformat(), "", f"day {raw[:2]}, month {raw[2:4]}, year {raw[4:]} of {found.year // 100}00")


def latitude(raw: str, around: Around) -> Told:
    """Read ddmm.mmmm with the letter after it."""
    place = f.position(raw, around.near(1), "00000", "E")
    return _angle(raw, around.near(1), ("NS", 90), None if place is None else place.latitude_deg)


def longitude(raw: str, around: Around) -> Told:
    """Read dddmm.mmmm with the letter after it."""
    place = f.position("0000", "N", raw, around.near(1))
    return _angle(raw, around.near(1), ("EW", 180), None if place is None else place.longitude_deg)


def _angle(raw: str, letter: str, bounds: tuple[str, int], value: float | None) -> Told:
    """With the arithmetic: degrees are what stands before the last two digits of the whole part."""
    pair, limit = bounds
    split = max(len(raw.partition(".")[0]) - 2, 0)
    degrees, minutes = raw[:split] or "0", raw[split:]
    if value is not None:
        sum_ = f"{int(degrees)} + {minutes} / 60"
        return Told(round(value, 9), "°", f"-({sum_})" if letter == pair[1] else sum_)
    if len(letter) != 1 or letter not in pair:
        return Told(meaning=f"left out: {pair[0]} or {pair[1]} must follow, and does not")
    if f.number(raw) is None or not raw[0].isdigit():
        return Told(meaning=f"left out: not {'d' * len(str(limit))}mm.mmmm")
    return Told(meaning=f"left out: minutes of 60 or more, or beyond {limit}°")


def knots(raw: str, _: Around) -> Told:
    """Speed over ground or through the water."""
    speed = f.speed_knots(raw)
    return _speed(raw, speed, "kn", f"{(speed or 0.0) * 3.6:.4g} km/h, {speed or 0.0:.3g} m/s")


def kmh(raw: str, _: Around) -> Told:
    """Speed in kilometres an hour."""
    speed = f.speed_kmh(raw)
    return _speed(raw, speed, "km/h", f"{speed or 0.0:.3g} m/s")


def _speed(raw: str, speed: float | None, unit: str, meaning: str) -> Told:
    if speed is not None:
        return Told(f.number(raw), unit, meaning)
    return NO_NUMBER if f.number(raw) is None else Told(meaning="below 0, or over 1,000 kn: damage, left out")


def towards(north: str) -> Reader:
    """Degrees clockwise from a north, 0 to 360."""

    def tell(raw: str, _: Around) -> Told:
        value = f.direction(raw)
        if value is None:
            return NO_NUMBER if f.number(raw) is None else Told(meaning="not from 0 to 360: left out")
        return Told(value, "°", north)

    return tell


true_direction = towards("clockwise from true north")
magnetic_direction = towards("clockwise from magnetic north")


def dilution(raw: str, _: Around) -> Told:
    """A DOP."""
    value = f.dilution(raw)
    if value is not None:
        return Told(value, "", "smaller is better")
    return NO_NUMBER if f.number(raw) is None else Told(meaning="0 or 99.9 and more: there is none")


def height(meaning: str) -> Reader:
    """Metres, within what can be on earth."""

    def tell(raw: str, _: Around) -> Told:
        value = f.height(raw)
        if value is None:
            return NO_NUMBER if f.number(raw) is None else Told(meaning="no height on earth: left out")
        return Told(value, "m", meaning)

    return tell


def satellite(raw: str, around: Around) -> Told:
    """A number within the system of the talker."""
    return named(raw, around.system)


def named(raw: str, system: str) -> Told:
    """RINEX name of a satellite number within a system."""
    name = satellite_name(system, raw)
    if name is None:
        return Told(meaning="padding: no satellite" if raw.strip("0") == "" else "no satellite number")
    if name.startswith("?"):
        return Told(name, "", "a number that no table has")
    return Told(name, "", f"{SYSTEMS[name[0]]}, named as in RINEX")


def calendar(raw: str, around: Around, of: int) -> Told:
    """Day, month and year of a ZDA together: `of` says how many fields back the day stands."""
    value = f.whole(raw)
    parts = [f.whole(around.near(by - of)) for by in (2, 1, 0)]
    if value is None:
        return Told(meaning="no whole number: no date")
    whole = f.calendar_day(*[part or 0 for part in parts])
    return Told(value, "", _date_words(whole))


def _date_words(whole: date | None) -> str:
    return "the calendar has no such day" if whole is None else f"{whole.isoformat()}, UTC"

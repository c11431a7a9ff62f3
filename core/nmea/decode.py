"""Sentences to readings: one reader per type, one converter per kind of field.

Why not pynmea2 here: it gives 0.0 for empty coordinates and strings for failed conversions, has no system or signal
IDs, and calls good fixes invalid (nmea-notes.md). It stays the oracle in the tests.

Field layouts: nmea-facts.toml [fields], which names the document behind each.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from core.fix import FaultDetection, FixMode, PseudorangeNoise
from core.nmea import fields as f
from core.nmea.framing import Sentence
from core.nmea.numbering import SYSTEM_OF_ID, SYSTEM_OF_TALKER, satellite_name
from core.nmea.readings import Datum, Gbs, Gga, Gll, Gns, Gsa, Gst, Gsv, Heading, Reading, Rmc, Text, Vtg, Zda

MODE_OF_LETTER = {
    "A": FixMode.AUTONOMOUS, "D": FixMode.DIFFERENTIAL, "P": FixMode.PRECISE, "R": FixMode.RTK_FIXED,
    "F": FixMode.RTK_FLOAT, "E": FixMode.ESTIMATED, "M": FixMode.MANUAL, "S": FixMode.SIMULATED, "N": FixMode.NONE,
}  # fmt: skip
"""nmea-facts.toml [mode_indicator]. A letter that is not here is not a fix."""
MODE_OF_QUALITY = {
    "1": FixMode.AUTONOMOUS, "2": FixMode.DIFFERENTIAL, "3": FixMode.PRECISE, "4": FixMode.RTK_FIXED,
    "5": FixMode.RTK_FLOAT, "6": FixMode.ESTIMATED, "7": FixMode.MANUAL, "8": FixMode.SIMULATED,
}  # fmt: skip
"""nmea-facts.toml [gga_quality]. 0, an empty field and anything else are no fix."""
NO_MODE = FixMode.NONE
BEST_FIRST = tuple(MODE_OF_LETTER[letter] for letter in "SMERFPDAN")
"""GNS states a mode per system. Simulated, manual and estimated win because they must never pass for a fix; then the
best of the rest, since one system with corrections corrects the solution."""


_STATUS = {"S": "S", "C": "C", "U": "U"}
"""Navigational status, NMEA 4.10; V says that the receiver gives none."""


class Malformed(NamedTuple):
    """A sentence that was framed well and still is not one of its type."""

    detail: str


Read = Callable[[str, str], Reading]
"""Body and system letter of the talker to a reading; raises BadField."""
ADDRESSES_KNOWN = 512


def decode(sentence: Sentence) -> Reading | Malformed | None:
    """What the sentence says; None for types that fixboard does not use."""
    return read(sentence.address, sentence.body)


def read(address: str, body: str) -> Reading | Malformed | None:
    """The same of a sentence's two parts, for those who have them at hand."""
    try:
        reader, system = _READERS[address]
    except KeyError:
        reader, system = _new_address(address)
    if reader is None:
        return None
    try:
        return reader(body, system)
    except f.BadField as error:
        return Malformed(str(error))


def _new_address(address: str) -> tuple[Read | None, str]:
    """Reader and system letter. Addresses of makers (P...) have none, but for talker PQ, a BeiDou receiver's.

    Remembered, up to a number: a stream that makes up addresses must not fill the memory.
    """
    found: tuple[Read | None, str] = None, ""
    if len(address) == 5 and (address[0] != "P" or address[:2] in SYSTEM_OF_TALKER):
        found = _READER_OF_TYPE.get(address[2:]), SYSTEM_OF_TALKER.get(address[:2], "")
    if len(_READERS) < ADDRESSES_KNOWN:
        _READERS[address] = found
    return found


_READERS: dict[str, tuple[Read | None, str]] = {}


def _fields(body: str, least: int, width: int) -> list[str]:
    """The fields of `body`, address first, filled up to `width` with empty ones.

    `least`: how many the oldest known form has; raises BadField where there are fewer.
    """
    fields = body.split(",")
    missing = width - len(fields)
    if missing > 0:
        if len(fields) < least:
            raise f.BadField(f"{len(fields) - 1} fields, {fields[0][2:]} has {least - 1} at least")
        fields += [""] * missing
    return fields


# Readings are made by tuple.__new__ itself where they come with every epoch: their class would only pass the fields on
# to it, which takes as long again as making them.
_new = tuple.__new__


def _rmc(body: str, _: str) -> Rmc:
    x = _fields(body, 10, 14)
    return _new(
        Rmc,
        (
            f.time_of_day(x[1]),
            _claim(x[2], x[12]),
            f.position(x[3], x[4], x[5], x[6]),
            f.speed_knots(x[7]),
            f.direction(x[8]),
            f.date_ddmmyy(x[9]),
            _STATUS.get(x[13]),
        ),
    )


def _claim(status: str, letter: str) -> FixMode | None:
    """What status and mode letter say together. Any status but A, known or not, is void."""
    if status != "A":
        return NO_MODE
    return MODE_OF_LETTER.get(letter, NO_MODE) if letter else None


def _gga(body: str, _: str) -> Gga:
    x = _fields(body, 10, 15)
    age, station = _correction(x[13], x[14])
    return _new(
        Gga,
        (
            f.time_of_day(x[1]),
            MODE_OF_QUALITY.get(x[6], NO_MODE),
            f.position(x[2], x[3], x[4], x[5]),
            f.whole(x[7]),
            f.dilution(x[8]),
            f.height(x[9]),
            f.height(x[11]),
            age,
            station,
        ),
    )


def _gns(body: str, _: str) -> Gns:
    x = _fields(body, 9, 14)
    letters = {MODE_OF_LETTER.get(letter, NO_MODE) for letter in x[6]} or {FixMode.NONE}
    return Gns(
        f.time_of_day(x[1]),
        min(letters, key=BEST_FIRST.index),
        f.position(x[2], x[3], x[4], x[5]),
        f.whole(x[7]),
        f.dilution(x[8]),
        f.height(x[9]),
        f.height(x[10]),
        *_correction(x[11], x[12]),
        _STATUS.get(x[13]),
    )


@lru_cache(maxsize=256)
def _correction(age: str, station: str) -> tuple[float | None, str | None]:
    """Age and station of the corrections. Station 0000 and no age is how receivers fill the fields without any."""
    if not age and station in {"", "0000"}:
        return None, None
    return f.at_least_zero(age), station[:16] or None


def _gll(body: str, _: str) -> Gll:
    """Where neither time nor status is there the sentence is of a version that had none, and its position counts."""
    x = _fields(body, 5, 8)
    status = x[6] if x[5] or x[6] else "A"
    return Gll(f.time_of_day(x[5]), _claim(status, x[7]), f.position(x[1], x[2], x[3], x[4]))


def _zda(body: str, _: str) -> Zda:
    x = _fields(body, 5, 7)
    year, month, day = f.whole(x[4]), f.whole(x[3]), f.whole(x[2])
    return Zda(f.time_of_day(x[1]), f.calendar_day(year, month, day) if year and month and day else None)


def _gst(body: str, _: str) -> Gst:
    x = _fields(body, 9, 9)
    sigmas = [f.at_least_zero(text) for text in x[2:9]]
    sigmas[3] = f.direction(x[5])
    return Gst(f.time_of_day(x[1]), PseudorangeNoise(*sigmas))


def _gbs(body: str, system: str) -> Gbs:
    x = _fields(body, 5, 11)
    errors = [f.at_least_zero(text) for text in x[2:5]]
    failed = satellite_name(_system(system, x[9]), x[5])
    return Gbs(f.time_of_day(x[1]), FaultDetection(errors[0], errors[1], errors[2], failed))


def _system(talker_system: str, system_id: str) -> str:
    """Only GN and GP speak for several systems; the talker of one is believed before the ID.

    (Talker PQ says 5, QZSS, of its BeiDou satellites: seen in a real sentence.)
    """
    return SYSTEM_OF_ID.get(system_id, talker_system) if talker_system in {"", "G"} else talker_system


def _vtg(body: str, _: str) -> Vtg:
    """The form before 2.0 has four bare figures: true course, magnetic course, knots, km/h."""
    x = _fields(body, 5, 10)
    if x[2] != "T" and not any(x[5:]):
        return Vtg(f.direction(x[1]), f.speed_knots(x[3]), None)
    speed = f.speed_knots(x[5])
    mode = MODE_OF_LETTER.get(x[9], FixMode.NONE) if x[9] else None
    return Vtg(f.direction(x[1]), f.speed_kmh(x[7]) if speed is None else speed, mode)


@lru_cache(maxsize=512)
def _gsa(body: str, talker_system: str) -> Gsa:
    """Cached as a whole: eight in ten of a real recording's GSA are a recent one again."""
    x = _fields(body, 18, 19)
    system = _system(talker_system, x[18])
    return Gsa(
        _DIMENSIONS.get(x[2]),
        _names(system, tuple(x[3:15])),
        f.dilution(x[15]),
        f.dilution(x[16]),
        f.dilution(x[17]),
        system,
    )


_DIMENSIONS = {"1": 1, "2": 2, "3": 3}


@lru_cache(maxsize=256)
def _names(system: str, numbers: tuple[str, ...]) -> tuple[str, ...]:
    """Cached because the set of satellites in the fix changes far more slowly than it is sent."""
    return tuple([name for text in numbers if text and (name := satellite_name(system, text))])


_PAGES = {f"{n}": n for n in range(1, 100)} | {f"{n:02d}": n for n in range(1, 10)}
"""NMEA 0183 allows 9 pages; receivers of many systems go beyond."""


def _gsv(body: str, system: str) -> Gsv:
    """Groups of four after the third field; one or two fields left over are signal ID and a maker's extra.

    Three left over are a satellite whose signal field is missing altogether (seen in real sentences).
    """
    try:
        _, pages_text, page_text, _, groups = body.split(",", 4)
    except ValueError:
        pages_text, page_text, groups = *_fields(body, 4, 4)[1:3], ""
    pages, page = _PAGES.get(pages_text, 0), _PAGES.get(page_text, 0)
    if not 0 < page <= pages:
        raise f.BadField(f"page {page_text!r} of {pages_text!r} does not exist")
    commas, signal = groups.count(",") & 3, ""
    if commas == 3 or not groups:
        pass
    elif commas == 0:
        groups, _, signal = groups.rpartition(",")
    elif commas == 1:
        groups, signal, _ = f",{groups}".rsplit(",", 2)
        groups = groups[1:]
    else:
        groups += ","
    return _new(Gsv, (pages, page, system, signal[:1].upper(), groups))


def _hdt(body: str, _: str) -> Heading:
    x = _fields(body, 2, 3)
    return Heading(f.direction(x[1]), None)


def _ths(body: str, _: str) -> Heading:
    """Mode V is "not valid", S a simulator, M typed in by hand: none of them is where the bow points."""
    x = _fields(body, 3, 3)
    return Heading(f.direction(x[1]) if x[2] in {"A", "E"} else None, None)


def _hdg(body: str, _: str) -> Heading:
    """Sensor heading plus deviation is magnetic heading, plus variation is true heading (east positive)."""
    x = _fields(body, 2, 6)
    sensor = f.direction(x[1])
    deviation, variation = _signed(x[2], x[3]), _signed(x[4], x[5])
    if sensor is None:
        return Heading(None, None)
    magnetic = (sensor + (deviation or 0.0)) % 360.0
    return Heading(None if variation is None else (magnetic + variation) % 360.0, magnetic)


def _signed(text: str, letter: str) -> float | None:
    value = f.number(text)
    sign = {"E": 1.0, "W": -1.0}.get(letter)
    return None if value is None or sign is None else sign * value


def _dtm(body: str, _: str) -> Datum:
    x = _fields(body, 2, 2)
    return Datum(x[1][:8])


def _txt(body: str, _: str) -> Text:
    x = _fields(body, 5, 5)
    return Text(x[3][:8], ",".join(x[4:]))


_READER_OF_TYPE: dict[str, Read] = {
    "RMC": _rmc,
    "GGA": _gga,
    "GNS": _gns,
    "GLL": _gll,
    "ZDA": _zda,
    "GST": _gst,
    "GBS": _gbs,
    "VTG": _vtg,
    "GSA": _gsa,
    "GSV": _gsv,
    "HDT": _hdt,
    "THS": _ths,
    "HDG": _hdg,
    "DTM": _dtm,
    "TXT": _txt,
}

"""Sentences to readings: one row per layout, one converter per kind of field.

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


class _Layout(NamedTuple):
    least: int
    """Fields that the oldest known form has, the address included."""
    width: int
    """Fields that `read` may ask for; shorter sentences are filled up with empty ones."""
    read: Callable[[list[str], str], Reading]
    """Fields and system letter of the talker to a reading; raises BadField."""


class _Whole(NamedTuple):
    """The layout of a type that is read from the whole body, because that is cheaper than splitting it all."""

    read: Callable[[str, str], Reading]
    """Body and system letter of the talker to a reading; raises BadField."""


def decode(sentence: Sentence) -> Reading | Malformed | None:
    """What the sentence says; None for types that fixboard does not use."""
    layout, system = _layout(sentence.address)
    if layout is None:
        return None
    try:
        if isinstance(layout, _Whole):
            return layout.read(sentence.body, system)
        return _read(layout, sentence.body.split(","), system)
    except f.BadField as error:
        return Malformed(str(error))


def _read(layout: _Layout, fields: list[str], system: str) -> Reading:
    missing = layout.width - len(fields)
    if missing > 0:
        if len(fields) < layout.least:
            raise f.BadField(f"{len(fields) - 1} fields, {fields[0][2:]} has {layout.least - 1} at least")
        fields += [""] * missing
    return layout.read(fields, system)


@lru_cache(maxsize=512)
def _layout(address: str) -> tuple[_Layout | _Whole | None, str]:
    """Layout and system letter. Addresses of makers (P...) have none, but for talker PQ, a BeiDou receiver's."""
    if len(address) != 5 or (address[0] == "P" and address[:2] not in SYSTEM_OF_TALKER):
        return None, ""
    return _LAYOUTS.get(address[2:]), SYSTEM_OF_TALKER.get(address[:2], "")


def _rmc(x: list[str], _: str) -> Rmc:
    return Rmc(
        f.time_of_day(x[1]),
        _claim(x[2], x[12]),
        f.position(x[3], x[4], x[5], x[6]),
        f.speed_knots(x[7]),
        f.direction(x[8]),
        f.date_ddmmyy(x[9]),
        _STATUS.get(x[13]),
    )


def _claim(status: str, letter: str) -> FixMode | None:
    """What status and mode letter say together. Any status but A, known or not, is void."""
    if status != "A":
        return NO_MODE
    return MODE_OF_LETTER.get(letter, NO_MODE) if letter else None


def _gga(x: list[str], _: str) -> Gga:
    return Gga(
        f.time_of_day(x[1]),
        MODE_OF_QUALITY.get(x[6], NO_MODE),
        f.position(x[2], x[3], x[4], x[5]),
        f.whole(x[7]),
        f.dilution(x[8]),
        f.height(x[9]),
        f.height(x[11]),
        *_correction(x[13], x[14]),
    )


def _gns(x: list[str], _: str) -> Gns:
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


def _gll(x: list[str], _: str) -> Gll:
    """Where neither time nor status is there the sentence is of a version that had none, and its position counts."""
    status = x[6] if x[5] or x[6] else "A"
    return Gll(f.time_of_day(x[5]), _claim(status, x[7]), f.position(x[1], x[2], x[3], x[4]))


def _zda(x: list[str], _: str) -> Zda:
    year, month, day = f.whole(x[4]), f.whole(x[3]), f.whole(x[2])
    return Zda(f.time_of_day(x[1]), f.calendar_day(year, month, day) if year and month and day else None)


def _gst(x: list[str], _: str) -> Gst:
    sigmas = [f.at_least_zero(text) for text in x[2:9]]
    sigmas[3] = f.direction(x[5])
    return Gst(f.time_of_day(x[1]), PseudorangeNoise(*sigmas))


def _gbs(x: list[str], system: str) -> Gbs:
    errors = [f.at_least_zero(text) for text in x[2:5]]
    failed = satellite_name(_system(system, x[9]), x[5])
    return Gbs(f.time_of_day(x[1]), FaultDetection(errors[0], errors[1], errors[2], failed))


def _system(talker_system: str, system_id: str) -> str:
    """Only GN and GP speak for several systems; the talker of one is believed before the ID.

    (Talker PQ says 5, QZSS, of its BeiDou satellites: seen in a real sentence.)
    """
    return SYSTEM_OF_ID.get(system_id, talker_system) if talker_system in {"", "G"} else talker_system


def _vtg(x: list[str], _: str) -> Vtg:
    """The form before 2.0 has four bare figures: true course, magnetic course, knots, km/h."""
    if x[2] != "T" and not any(x[5:]):
        return Vtg(f.direction(x[1]), f.speed_knots(x[3]), None)
    speed = f.speed_knots(x[5])
    mode = MODE_OF_LETTER.get(x[9], FixMode.NONE) if x[9] else None
    return Vtg(f.direction(x[1]), f.speed_kmh(x[7]) if speed is None else speed, mode)


@lru_cache(maxsize=256)
def _gsa(body: str, talker_system: str) -> Gsa:
    """Cached as a whole: seven in ten of a real recording's GSA are a recent one again."""
    return _read(_GSA, body.split(","), talker_system)  # type: ignore[return-value]  # what _GSA reads is a Gsa


def _gsa_fields(x: list[str], talker_system: str) -> Gsa:
    system = _system(talker_system, x[18])
    return Gsa(
        _DIMENSIONS.get(x[2]),
        _names(system, tuple(x[3:15])),
        f.dilution(x[15]),
        f.dilution(x[16]),
        f.dilution(x[17]),
        system,
    )


_GSA = _Layout(18, 19, _gsa_fields)
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
    head = body.split(",", 4)
    if len(head) < 4:
        raise f.BadField(f"{len(head) - 1} fields, GSV has 3 at least")
    pages, page = _PAGES.get(head[1], 0), _PAGES.get(head[2], 0)
    if not 0 < page <= pages:
        raise f.BadField(f"page {head[2]!r} of {head[1]!r} does not exist")
    groups = head[4] if len(head) == 5 else ""
    left_over = (groups.count(",") + 1) % 4 if groups else 0
    if left_over == 0:
        return Gsv(pages, page, system, "", groups)
    if left_over == 3:
        return Gsv(pages, page, system, "", groups + ",")
    parts = ("," + groups).rsplit(",", left_over)
    return Gsv(pages, page, system, parts[1].upper()[:1], parts[0][1:])


def _hdt(x: list[str], _: str) -> Heading:
    return Heading(f.direction(x[1]), None)


def _ths(x: list[str], _: str) -> Heading:
    """Mode V is "not valid", S a simulator, M typed in by hand: none of them is where the bow points."""
    return Heading(f.direction(x[1]) if x[2] in {"A", "E"} else None, None)


def _hdg(x: list[str], _: str) -> Heading:
    """Sensor heading plus deviation is magnetic heading, plus variation is true heading (east positive)."""
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


def _dtm(x: list[str], _: str) -> Datum:
    return Datum(x[1][:8])


def _txt(x: list[str], _: str) -> Text:
    return Text(x[3][:8], ",".join(x[4:]))


_LAYOUTS: dict[str, _Layout | _Whole] = {
    "RMC": _Layout(10, 14, _rmc),
    "GGA": _Layout(10, 15, _gga),
    "GNS": _Layout(9, 14, _gns),
    "GLL": _Layout(5, 8, _gll),
    "ZDA": _Layout(5, 7, _zda),
    "GST": _Layout(9, 9, _gst),
    "GBS": _Layout(5, 11, _gbs),
    "VTG": _Layout(5, 10, _vtg),
    "GSA": _Whole(_gsa),
    "GSV": _Whole(_gsv),
    "HDT": _Layout(2, 3, _hdt),
    "THS": _Layout(3, 3, _ths),
    "HDG": _Layout(2, 6, _hdg),
    "DTM": _Layout(2, 2, _dtm),
    "TXT": _Layout(5, 5, _txt),
}

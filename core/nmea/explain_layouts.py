"""Fields of the types that bear a fix, in order. Sources: nmea-facts.toml [fields], where each document is named."""

from __future__ import annotations

from core.nmea import explain_kinds as k
from core.nmea import explain_letters as words
from core.nmea.explain_records import Around, Kind, Told

TIME = Kind("time", k.clock)
PLACE = (
    Kind("latitude", k.latitude),
    Kind("hemisphere", k.letters(words.NORTH_SOUTH)),
    Kind("longitude", k.longitude),
    Kind("hemisphere", k.letters(words.EAST_WEST)),
)
STATUS = Kind("status", k.letters(words.STATUSES))
MODE = Kind("mode", k.letters(words.MODES))
METRES = Kind("unit", k.fixed("M", "metres"))
SYSTEMS_OF_GNS = ("GPS", "GLONASS", "Galileo", "BeiDou", "QZSS", "NavIC")
"""nmea-facts.toml [fields] GNS: one letter each, in this order."""


def _modes(raw: str, _: Around) -> Told:
    """The letters of a GNS, one a system."""
    named = [f"{_system(n)} {words.MODES.get(letter, ('unknown: no fix', ''))[0]}" for n, letter in enumerate(raw)]
    return Told(raw, "", ", ".join(named))


def _system(n: int) -> str:
    return SYSTEMS_OF_GNS[n] if n < len(SYSTEMS_OF_GNS) else f"system {n + 1}"


def _claim(raw: str, _: Around) -> Told:
    """Status of RMC and GLL: whatever is not A is void."""
    return Told(*_split(words.STATUSES.get(raw, ("void", "not a letter of the standard: only A counts"))))


def _split(pair: tuple[str, str]) -> tuple[str, str, str]:
    return pair[0], "", pair[1]


def _station(raw: str, around: Around) -> Told:
    if raw == "0000" and not around.near(-1):
        return Told(meaning="0000 without an age: there are no corrections")
    return Told(raw, "", "sent the corrections")


AGE = Kind("correction age", k.quantity("s", "", 0.0))
STATION = Kind("correction station", _station)
HEIGHT = Kind("altitude", k.height("above mean sea level"))
GEOID = Kind("geoid separation", k.height("sea level over ellipsoid"))
IN_FIX = Kind("satellites in fix", k.count("used, not in view"))
HDOP = Kind("HDOP", k.dilution)
NAV_STATUS = Kind("navigational status", k.letters(words.NAV_STATUSES))
CLAIM = Kind("status", _claim)
VARIATION = (Kind("magnetic variation", k.quantity("°")), Kind("variation towards", k.letters(words.VARIATION)))


def _sigma(name: str, meaning: str) -> Kind:
    return Kind(name, k.quantity("m", meaning, 0.0))


def _date_part(name: str, of: int) -> Kind:
    return Kind(name, lambda raw, around: k.calendar(raw, around, of))


FIX_LAYOUTS: dict[str, tuple[Kind, ...]] = {
    "GGA": (
        TIME, *PLACE, Kind("quality", k.letters(words.QUALITIES)), IN_FIX, HDOP, HEIGHT, METRES, GEOID, METRES, AGE,
        STATION,
    ),
    "RMC": (
        TIME, CLAIM, *PLACE, Kind("speed over ground", k.knots), Kind("course over ground", k.true_direction),
        Kind("date", k.day), *VARIATION, MODE, NAV_STATUS,
    ),
    "GNS": (TIME, *PLACE, Kind("modes", _modes), IN_FIX, HDOP, HEIGHT, GEOID, AGE, STATION, NAV_STATUS),
    "GLL": (*PLACE, TIME, CLAIM, MODE),
    "VTG": (
        Kind("course, true", k.true_direction), Kind("reference", k.fixed("T", "true", "north of the field before")),
        Kind("course, magnetic", k.magnetic_direction),
        Kind("reference", k.fixed("M", "magnetic", "north of the field before")),
        Kind("speed over ground", k.knots), Kind("unit", k.fixed("N", "knots")),
        Kind("speed over ground", k.kmh), Kind("unit", k.fixed("K", "km/h")), MODE,
    ),
    "ZDA": (
        TIME, _date_part("day", 0), _date_part("month", 1), _date_part("year", 2),
        Kind("zone, hours", k.quantity("h", "local zone; its sign varies by maker")),
        Kind("zone, minutes", k.quantity("min", "with the sign of the hours")),
    ),
    "GST": (
        TIME, _sigma("range residuals", "root mean square"), _sigma("semi-major axis", "of the error ellipse, 1 sigma"),
        _sigma("semi-minor axis", "of the error ellipse, 1 sigma"),
        Kind("orientation", k.towards("of the long axis, from true north")),
        _sigma("latitude error", "1 sigma"), _sigma("longitude error", "1 sigma"), _sigma("altitude error", "1 sigma"),
    ),
    "HDT": (Kind("heading", k.true_direction), Kind("reference", k.fixed("T", "true", "north of the field before"))),
    "THS": (Kind("heading", k.true_direction), Kind("mode", k.letters(words.THS_MODES))),
    "HDM": (
        Kind("heading", k.magnetic_direction), Kind("reference", k.fixed("M", "magnetic", "north of the field before")),
    ),
    "HDG": (
        Kind("sensor heading", k.towards("before deviation is added")), Kind("deviation", k.quantity("°")),
        Kind("deviation towards", k.letters({"E": ("east", "is added"), "W": ("west", "is taken off")})), *VARIATION,
    ),
    "DTM": (
        Kind("datum", lambda raw, _: Told(*_split(words.DATUMS.get(raw, (raw, "a local datum, by its code"))))),
        Kind("subdivision", k.text), Kind("latitude offset", k.quantity("'", "minutes of arc")),
        Kind("offset towards", k.letters(words.NORTH_SOUTH)),
        Kind("longitude offset", k.quantity("'", "minutes of arc")),
        Kind("offset towards", k.letters(words.EAST_WEST)), Kind("altitude offset", k.quantity("m")),
        Kind("reference datum", lambda raw, _: Told(*_split(words.DATUMS.get(raw, (raw, ""))))),
    ),
}  # fmt: skip
"""By formatter. DTM, HDG, HDT and THS from memory, as nmea-facts.toml [fields_status] says."""

VTG_BARE = (
    Kind("course, true", k.true_direction), Kind("course, magnetic", k.magnetic_direction),
    Kind("speed over ground", k.knots), Kind("speed over ground", k.kmh),
)  # fmt: skip
"""The form before NMEA 2.0: four bare figures."""


def is_bare_vtg(fields: list[str]) -> bool:
    """As decoding tells it: no T after the first figure, nothing from the fifth field on."""
    return (fields[2] if len(fields) > 2 else "") != "T" and not any(fields[5:])

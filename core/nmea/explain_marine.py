"""Fields of what else is sent on a boat or car: waypoints, autopilot, compass, log, depth, wind, AIS.

Sources: nmea-facts.toml [fields] for RMB APB XTE WPL RTE BOD BWC TXT; the others are from memory of NMEA 0183.
"""

from __future__ import annotations

from core.nmea import explain_kinds as k
from core.nmea import explain_letters as words
from core.nmea.explain_layouts import MODE, PLACE, STATUS, TIME
from core.nmea.explain_records import Around, Kind, Told


def _unit(letter: str, name: str) -> Kind:
    return Kind("unit", k.fixed(letter, name))


def _ref(letter: str, name: str) -> Kind:
    return Kind("reference", k.fixed(letter, name, "north of the field before"))


MILES = k.quantity("nmi", "nautical miles of 1852 m")
KNOTS_UNIT, MILES_UNIT = _unit("N", "knots"), _unit("N", "nautical miles")
TRUE, MAGNETIC = _ref("T", "true"), _ref("M", "magnetic")
EITHER = Kind("reference", k.letters(words.TRUE_MAGNETIC))
BEARING_TRUE, BEARING_MAGNETIC = (
    Kind("bearing, true", k.true_direction),
    Kind("bearing, magnetic", k.magnetic_direction),
)
OFF_TRACK = Kind("off track", k.quantity("nmi", "across the leg, not along it", 0.0))
STEER = Kind("steer", k.letters(words.STEER))
CIRCLE = Kind("arrival circle entered", k.letters(words.ARRIVED))
PASSED = Kind("perpendicular passed", k.letters(words.ARRIVED))
BEARING_EITHER = k.towards("clockwise; from which north says the next field")
DESTINATION, ORIGIN = Kind("destination", k.text), Kind("origin", k.text)
PORT_MINUS = "negative to port"


def _pair(name: str, meaning: str) -> Kind:
    return Kind(name, k.quantity("kn", meaning))


def _blink(name: str) -> Kind:
    return Kind(name, k.letters({"A": ("good", ""), "V": ("warning", "not to be relied on")}))


def _payload(raw: str, around: Around) -> Told:
    """Six bits a character (ITU-R M.1371 in IEC 61162-1's armour, memory); the first of a message says its type."""
    bits = f"{6 * len(raw)} bits, six a character"
    first = ord(raw[0]) - 48
    kind = first - 8 if first > 40 else first
    if around.near(-3) not in {"", "1"} or not 1 <= kind <= 27:
        return Told(raw, "", bits)
    return Told(raw, "", f"message type {kind}; {bits}; not read by fixboard")


MARINE_LAYOUTS: dict[str, tuple[Kind, ...]] = {
    "RMB": (
        STATUS, OFF_TRACK, STEER, ORIGIN, DESTINATION, *PLACE, Kind("range", k.quantity("nmi", "999.9 at most", 0.0)),
        BEARING_TRUE, Kind("closing speed", k.quantity("kn", "towards the destination; negative: away")), CIRCLE, MODE,
    ),
    "APB": (
        _blink("signal"), _blink("cycle lock"), OFF_TRACK, STEER, MILES_UNIT, CIRCLE, PASSED,
        Kind("bearing, origin to destination", BEARING_EITHER), EITHER, DESTINATION,
        Kind("bearing, here to destination", BEARING_EITHER), EITHER, Kind("heading to steer", BEARING_EITHER), EITHER,
        MODE,
    ),
    "XTE": (_blink("signal"), _blink("cycle lock"), OFF_TRACK, STEER, MILES_UNIT, MODE),
    "WPL": (*PLACE, Kind("waypoint", k.text)),
    "BOD": (BEARING_TRUE, TRUE, BEARING_MAGNETIC, MAGNETIC, DESTINATION, ORIGIN),
    "BWC": (
        TIME, *PLACE, BEARING_TRUE, TRUE, BEARING_MAGNETIC, MAGNETIC, Kind("distance", MILES), MILES_UNIT,
        Kind("waypoint", k.text), MODE,
    ),
    "BWR": (
        TIME, *PLACE, BEARING_TRUE, TRUE, BEARING_MAGNETIC, MAGNETIC, Kind("distance", MILES), MILES_UNIT,
        Kind("waypoint", k.text), MODE,
    ),
    "AAM": (CIRCLE, PASSED, Kind("circle radius", MILES), MILES_UNIT, Kind("waypoint", k.text)),
    "ROT": (Kind("rate of turn", k.quantity("°/min", "negative: the bow turns to port")), STATUS),
    "VBW": (
        _pair("along, through water", "negative astern"), _pair("across, through water", PORT_MINUS), STATUS,
        _pair("along, over ground", "negative astern"), _pair("across, over ground", PORT_MINUS), STATUS,
        _pair("stern across, water", PORT_MINUS), STATUS, _pair("stern across, ground", PORT_MINUS), STATUS,
    ),
    "VHW": (
        Kind("heading, true", k.true_direction), TRUE, Kind("heading, magnetic", k.magnetic_direction), MAGNETIC,
        Kind("speed through water", k.knots), KNOTS_UNIT, Kind("speed through water", k.kmh), _unit("K", "km/h"),
    ),
    "VLW": (
        Kind("through water, total", MILES), MILES_UNIT, Kind("through water, trip", MILES), MILES_UNIT,
        Kind("over ground, total", MILES), MILES_UNIT, Kind("over ground, trip", MILES), MILES_UNIT,
    ),
    "MTW": (Kind("water temperature", k.quantity("°C")), _unit("C", "degrees Celsius")),
    "MWV": (
        Kind("wind angle", k.towards("where it comes from")), Kind("reference", k.letters(words.RELATIVE_TRUE)),
        Kind("wind speed", k.quantity("", "unit in the next field", 0.0)), Kind("unit", k.letters(words.SPEED_UNIT)),
        STATUS,
    ),
    "DBT": (
        Kind("depth", k.quantity("ft", "below the transducer")), _unit("f", "feet"),
        Kind("depth", k.quantity("m", "below the transducer")), _unit("M", "metres"),
        Kind("depth", k.quantity("fathoms", "below the transducer")), _unit("F", "fathoms"),
    ),
    "DPT": (
        Kind("depth", k.quantity("m", "below the transducer")),
        Kind("offset", k.quantity("m", "positive: transducer to water line; negative: to keel")),
        Kind("range scale", k.quantity("m")),
    ),
}  # fmt: skip
"""By formatter."""
MARINE_LAYOUTS["VDM"] = MARINE_LAYOUTS["VDO"] = (
    Kind("parts", k.count("of this message")),
    Kind("part", k.count("this one's number")),
    Kind("message ID", k.text),
    Kind("radio channel", k.text),
    Kind("payload", _payload),
    Kind("fill bits", k.count("at the payload's end, to be ignored")),
)


def txt(fields: list[str]) -> tuple[Kind, ...]:
    """Text may hold commas: whatever follows the fourth is part of it."""
    head = (
        Kind("sentences", k.count("that make up the message")),
        Kind("sentence", k.count("this one's number")),
        Kind("sort", k.letters(words.TEXT_KINDS)),
        Kind("text", k.text),
    )
    return (*head, *[Kind("text, after a comma", k.text)] * max(0, len(fields) - 5))


def rte(fields: list[str]) -> tuple[Kind, ...]:
    """As many waypoints as there are."""
    head = (
        Kind("sentences", k.count("that make up the route")),
        Kind("sentence", k.count("this one's number")),
        Kind("sort", k.letters(words.ROUTE_KIND)),
        Kind("route", k.text),
    )
    return (*head, *[Kind("waypoint", k.text)] * max(0, len(fields) - 5))


_XDR_KINDS = {
    "A": ("angle", ""), "C": ("temperature", ""), "D": ("linear displacement", ""), "F": ("frequency", ""),
    "G": ("generic", ""), "H": ("humidity", ""), "I": ("current", ""), "N": ("force", ""), "P": ("pressure", ""),
    "R": ("flow rate", ""), "S": ("switch or valve", ""), "T": ("tachometer", ""), "U": ("voltage", ""),
    "V": ("volume", ""),
}  # fmt: skip


def xdr(fields: list[str]) -> tuple[Kind, ...]:
    """Groups of four: what is measured, how much, in which unit, by which transducer."""
    group = (
        Kind("transducer type", k.letters(_XDR_KINDS)),
        Kind("measured", k.quantity("", "unit in the next field")),
        Kind("unit", k.text),
        Kind("transducer", k.text),
    )
    return group * -(-max(0, len(fields) - 1) // 4)

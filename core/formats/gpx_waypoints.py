"""What a waypoint is in GPX 1.1, and what a `wpt` element says to us.

The schema has no place for an error in metres nor for all our modes: they stand in `extensions`, in a namespace of our
own. The order of children, the numbers (plain decimals) and the limits are those of the GPX 1.1 schema.
"""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from operator import attrgetter
from typing import Any, NamedTuple

from core.errors import InputError
from core.fix import FixMode, Position
from core.formats.safe_xml import escaped, xml_text
from core.waypoint import NAME_LIMIT, NOTE_LIMIT, Waypoint

GPX = "http://www.topografix.com/GPX/1/1"
"""The namespace of GPX 1.1."""
OURS = "urn:fixboard:gpx:1"
"""The namespace of what GPX has no element for: `error95` (metres) and `mode` (the value of a FixMode)."""
WPT = f"{{{GPX}}}wpt"
EXTENSIONS = f"{{{GPX}}}extensions"
ORDER = tuple(
    f"{{{GPX}}}{name}"
    for name in (
        "ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type", "fix", "sat",
        "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions",
    )
)  # fmt: skip
"""Children of a point in the order of the schema (wptType, xsd:sequence)."""

HIGHEST_M = 100_000.0
"""Beyond it a height is no height of ours: the edge of space by custom (no source)."""
WORST_ERROR_M = 1_000_000.0
"""Beyond it an error says nothing any more; our own choice."""

_FIX_WORDS = {
    FixMode.DIFFERENTIAL: "dgps", FixMode.RTK_FIXED: "dgps", FixMode.RTK_FLOAT: "dgps", FixMode.PRECISE: "pps",
}  # fmt: skip
"""The schema's words (fixType). An autonomous fix is `2d` or `3d`, and a waypoint does not know which: none is written.
`pps` is the military signal, which is what the receiver's mode P (precise) means."""
_MODES = {
    "2d": FixMode.AUTONOMOUS, "3d": FixMode.AUTONOMOUS, "dgps": FixMode.DIFFERENTIAL, "pps": FixMode.PRECISE,
}  # fmt: skip
_OUR_MODES = frozenset(mode.value for mode in FixMode)


class Child(NamedTuple):
    """One child element that a field of a waypoint becomes."""

    tag: str
    of: Callable[[Waypoint], Any]
    """The field."""
    text: Callable[[Any], str]
    """What is written for its value; nothing where there is nothing to write."""


def write_waypoint(waypoint: Waypoint, prefix: bytes = b"") -> bytes:
    """A whole `wpt` element. `prefix`, with its colon: what the namespace of GPX is called where it will stand.

    Raises InputError for a position that is none.
    """
    texts = [(child.tag, child.text(child.of(waypoint))) for child in CHILDREN]
    plain = b"".join(write_child(tag, text, prefix) for tag, text in texts if text and not is_ours(tag))
    ours = b"".join(write_child(tag, text, prefix) for tag, text in texts if text and is_ours(tag))
    more = enclosed(b"extensions", ours, prefix) if ours else b""
    latitude, longitude = written_position(waypoint.position)
    return b'<%bwpt lat="%b" lon="%b">%b%b</%bwpt>' % (prefix, latitude, longitude, plain, more, prefix)


def write_child(tag: str, text: str, prefix: bytes) -> bytes:
    """One child with its text. Ours say what their prefix means each time: they may stand in anybody's file."""
    name = tag.rpartition("}")[2].encode()
    if is_ours(tag):
        return b'<fixboard:%b xmlns:fixboard="%b">%b</fixboard:%b>' % (
            name,
            OURS.encode(),
            escaped(text).encode(),
            name,
        )
    return enclosed(name, escaped(text).encode(), prefix)


def enclosed(name: bytes, content: bytes, prefix: bytes) -> bytes:
    """An element of GPX around some content."""
    return b"<%b%b>%b</%b%b>" % (prefix, name, content, prefix, name)


def is_ours(tag: str) -> bool:
    """Whether it stands in `extensions`."""
    return tag.startswith(f"{{{OURS}}}")


def written_position(position: Position) -> tuple[bytes, bytes]:
    """Latitude and longitude; nine decimals are 0.1 mm. Raises InputError for what is no place on the globe."""
    if not _is_on_the_globe(*position):
        raise InputError("no place on the globe: latitudes go from -90 to 90, longitudes from -180 to 180")
    latitude, longitude = position
    # GPX 1.1 allows -180 <= longitude < 180.
    return b"%.9f" % latitude, b"%.9f" % (-180.0 if longitude > 179.9 and round(longitude, 9) >= 180.0 else longitude)


def read_waypoint(element: ET.Element) -> Waypoint | None:
    """What a `wpt` says; None where it has no place on the globe. What is absurd in it is unknown."""
    latitude, longitude = _number(element.get("lat"), -90.0, 90.0), _number(element.get("lon"), -180.0, 180.0)
    if latitude is None or longitude is None:
        return None
    said, ours = _texts(tuple(element)), _texts(element.findall(f"{EXTENSIONS}/*"))
    return Waypoint(
        said.get(_NAME, ""),
        Position(latitude, longitude),
        _number(said.get(_ELE), -HIGHEST_M, HIGHEST_M),
        _time(said.get(_TIME, "")),
        said.get(_DESC, ""),
        said.get(_TYPE, ""),
        _number(ours.get(_ERROR), 0.0, WORST_ERROR_M),
        _mode(ours.get(_MODE, ""), said.get(_FIX, "")),
    )


def _texts(elements: Sequence[ET.Element]) -> dict[str, str]:
    """By tag; of several with the same tag, the first."""
    return {element.tag: (element.text or "").strip() for element in reversed(elements)}


def _mode(ours: str, theirs: str) -> str:
    return ours if ours in _OUR_MODES else _MODES.get(theirs, "")


def _number(text: str | None, least: float, most: float) -> float | None:
    """Exponents are not allowed in GPX, but met; Python's underscores and other digits are neither."""
    try:
        value = float(text) if text and text.isascii() and "_" not in text else math.nan
    except ValueError:
        return None
    return value if least <= value <= most else None


def _time(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):  # a zone may lead out of the calendar
        return None


def _utc(moment: datetime | None) -> str:
    """Not by strftime, which writes the year 999 in three digits. Without a zone it is taken for UTC."""
    if moment is None:
        return ""
    try:
        utc = moment if moment.tzinfo is None else moment.astimezone(UTC)
    except OverflowError:
        return ""
    return f"{utc.replace(tzinfo=None).isoformat(timespec='seconds')}Z"


def _is_on_the_globe(latitude_deg: float, longitude_deg: float) -> bool:
    return -90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0


def _decimal(decimals: int, least: float, most: float) -> Callable[[float | None], str]:
    """The schema's decimal type has no exponents, no NaN and no infinity."""
    return lambda value: f"{value:.{decimals}f}" if value is not None and least <= value <= most else ""


def _cut(limit: int) -> Callable[[str], str]:
    return lambda text: xml_text(text)[:limit]


_ELE, _TIME, _NAME, _DESC, _TYPE, _FIX = (f"{{{GPX}}}{name}" for name in ("ele", "time", "name", "desc", "type", "fix"))
_ERROR, _MODE = f"{{{OURS}}}error95", f"{{{OURS}}}mode"
CHILDREN = (
    Child(_ELE, attrgetter("altitude_m"), _decimal(2, -HIGHEST_M, HIGHEST_M)),
    Child(_TIME, attrgetter("time"), _utc),
    Child(_NAME, attrgetter("name"), _cut(NAME_LIMIT)),
    Child(_DESC, attrgetter("note"), _cut(NOTE_LIMIT)),
    Child(_TYPE, attrgetter("kind"), _cut(NAME_LIMIT)),
    Child(_FIX, attrgetter("mode"), lambda mode: _FIX_WORDS.get(mode, "")),
    Child(_ERROR, attrgetter("error_95_m"), _decimal(3, 0.0, WORST_ERROR_M)),
    Child(_MODE, attrgetter("mode"), lambda mode: mode if mode in _OUR_MODES else ""),
)
"""In the order of the schema, ours last."""

"""The user's named places, kept in a GPX 1.1 file.

What others have put into the file (unknown elements, tracks, routes) stays in it. A file that cannot be read is never
written over: the error says where it is damaged.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from core.errors import InputError
from core.fix import Fix, Position
from core.formats.safe_xml import parse_xml, xml_text
from core.storage import replace_file

GPX = "http://www.topografix.com/GPX/1/1"
"""The namespace of GPX 1.1."""
NAME_LIMIT = 80

ET.register_namespace("", GPX)


@dataclass(frozen=True, slots=True)
class Waypoint:
    """A named place."""

    name: str
    position: Position
    altitude_m: float | None = None
    """Above mean sea level."""
    time: datetime | None = None
    """When it was marked, UTC."""


class Waypoints:
    """The waypoints of one file, in its order."""

    def __init__(self, path: Path) -> None:
        """Reads the file if there is one. Raises InputError where it is damaged."""
        self.path = path
        self._root = _read(path)

    def all(self) -> tuple[Waypoint, ...]:
        """Those that have a place on the globe; others stay in the file untouched."""
        found = (_waypoint(element) for element in self._root.iterfind(f"{{{GPX}}}wpt"))
        return tuple(waypoint for waypoint in found if waypoint)

    def named(self, name: str) -> Waypoint | None:
        """The first of that name."""
        return next((waypoint for waypoint in self.all() if waypoint.name == name), None)

    def add(self, waypoint: Waypoint) -> None:
        """Add one and save. Raises InputError where it cannot be saved; it is then not added either.

        The file is read again first, so that what another program has added meanwhile is kept.
        """
        root = _read(self.path)
        root.insert(_end_of_waypoints(root), _element(waypoint))
        replace_file(self.path, ET.tostring(root, encoding="UTF-8", xml_declaration=True) + b"\n")
        self._root = root


def mark_here(fix: Fix, taken: tuple[str, ...]) -> Waypoint:
    """A waypoint at the fix, its name told by number and time. Raises InputError without a satellite fix."""
    if fix.position is None or not fix.is_satellite_fix:
        raise InputError("no satellite fix: nothing can be marked until there is one")
    number = next(n for n in range(1, len(taken) + 2) if not any(name.startswith(f"Mark {n} ") for name in taken))
    name = f"Mark {number} {fix.utc.clock()[:5]} UTC" if fix.utc else f"Mark {number} no time"
    return Waypoint(name, fix.position, fix.altitude_m, fix.utc.datetime() if fix.utc else None)


def _read(path: Path) -> ET.Element:
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return ET.Element(f"{{{GPX}}}gpx", {"version": "1.1", "creator": "fixboard"})
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror or error})") from error
    root = parse_xml(data, str(path))
    if root.tag != f"{{{GPX}}}gpx":
        raise InputError(f"{path} is not GPX 1.1: move it away, and fixboard begins a new one")
    return root


def _end_of_waypoints(root: ET.Element) -> int:
    """GPX 1.1 wants metadata, then waypoints, then routes, tracks and extensions."""
    before = {f"{{{GPX}}}{tag}" for tag in ("metadata", "wpt")}
    return sum(1 for element in root if element.tag in before)


def _element(waypoint: Waypoint) -> ET.Element:
    """The children in the order of the schema: ele, time, name."""
    latitude, longitude = waypoint.position
    element = ET.Element(f"{{{GPX}}}wpt", {"lat": _degrees(latitude), "lon": _degrees(_below_180(longitude))})
    if waypoint.altitude_m is not None:
        ET.SubElement(element, f"{{{GPX}}}ele").text = f"{waypoint.altitude_m:.2f}"
    if waypoint.time is not None:
        ET.SubElement(element, f"{{{GPX}}}time").text = _utc(waypoint.time)
    ET.SubElement(element, f"{{{GPX}}}name").text = xml_text(waypoint.name)[:NAME_LIMIT]
    return element


def _utc(moment: datetime) -> str:
    """Not by strftime, which writes the year 999 in three digits."""
    return f"{moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec='seconds')}Z"


def _degrees(value: float) -> str:
    """Nine decimals are 0.1 mm; no exponents, which the schema's decimal type does not have."""
    return f"{value:.9f}"


def _below_180(longitude: float) -> float:
    """GPX 1.1 allows -180 <= longitude < 180."""
    return -180.0 if round(longitude, 9) >= 180.0 else longitude


def _waypoint(element: ET.Element) -> Waypoint | None:
    try:
        position = Position(float(element.get("lat", "")), float(element.get("lon", "")))
    except ValueError:
        return None
    if not (-90.0 <= position.latitude_deg <= 90.0 and -180.0 <= position.longitude_deg <= 180.0):
        return None
    name = element.findtext(f"{{{GPX}}}name") or ""
    return Waypoint(name.strip(), position, _height(element), _time(element))


def _height(element: ET.Element) -> float | None:
    try:
        height = float(element.findtext(f"{{{GPX}}}ele") or "")
    except ValueError:
        return None
    return height if abs(height) < 100_000 else None


def _time(element: ET.Element) -> datetime | None:
    try:
        moment = datetime.fromisoformat(element.findtext(f"{{{GPX}}}time") or "")
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):  # a zone may lead out of the calendar
        return None

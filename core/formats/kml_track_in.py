"""Tracks of KML 2.2 (OGC 07-147r2): timed tracks of its gx extension, timed points, else lines, else points.

A height counts only where the file says `absolute`, which KML defines as above mean sea level; by default a height is
to be ignored, and `relativeToGround` is one above a ground that we do not know.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import zip_longest

from core.formats.given_track import GivenPoint, height, joined, moment, number, position_of
from core.formats.safe_xml import parse_xml

Points = list[GivenPoint | None]


def kml_points(data: bytes, name: str) -> Iterator[GivenPoint | None]:
    """In the order of the file; None for a point without a place. Raises InputError."""
    root = parse_xml(data, name)
    for ways in (_timed_tracks, _timed_points, _lines, _all_points):
        segments = ways(root)
        if sum(len(segment) for segment in segments) > 1:
            yield from joined(segments)
            return


def _timed_tracks(root: ET.Element) -> list[Points]:
    return [_track(element) for element in _named(root, "Track")]


def _track(element: ET.Element) -> Points:
    """The n-th `when` belongs to the n-th `coord`."""
    whens = [moment(child.text) for child in element if _local(child) == "when"]
    coords = [child.text or "" for child in element if _local(child) == "coord"]
    absolute = _is_absolute(element)
    points: Points = []
    for text, when in zip_longest(coords, whens):
        point = _point((text or "").split(), absolute=absolute)
        points.append(point._replace(time=when) if point else None)
    return points


def _timed_points(root: ET.Element) -> list[Points]:
    """Where any placemark of a point has no time, they are no track but places."""
    found = [_placemark(element) for element in _named(root, "Placemark") if _first(element, "Point") is not None]
    timed = [one for one in found if one is None or one.time is not None]
    return [timed] if len(timed) == len(found) else []


def _all_points(root: ET.Element) -> list[Points]:
    return [[_placemark(element) for element in _named(root, "Placemark") if _first(element, "Point") is not None]]


def _placemark(element: ET.Element) -> GivenPoint | None:
    point = _first(element, "Point")
    found = next(iter(_coordinates(point)), None) if point is not None else None
    stamp = _first(element, "TimeStamp")
    when = _first(stamp, "when") if stamp is not None else None
    return found._replace(time=moment(when.text)) if found and when is not None else found


def _lines(root: ET.Element) -> list[Points]:
    return [_coordinates(element) for element in _named(root, "LineString")]


def _coordinates(geometry: ET.Element) -> Points:
    """Longitude, latitude and perhaps a height, with commas between and blanks after each."""
    absolute, element = _is_absolute(geometry), _first(geometry, "coordinates")
    texts = (element.text or "").split() if element is not None else []
    return [_point(text.split(","), absolute=absolute) for text in texts]


def _point(parts: list[str], *, absolute: bool) -> GivenPoint | None:
    figures = [number(part) for part in parts[:2]]
    position = position_of(figures[1], figures[0]) if len(figures) == 2 else None
    if position is None:
        return None
    return GivenPoint(position, height(parts[2]) if absolute and len(parts) > 2 else None)


def _is_absolute(geometry: ET.Element) -> bool:
    mode = _first(geometry, "altitudeMode")
    return mode is not None and (mode.text or "").strip() == "absolute"


def _first(element: ET.Element, name: str) -> ET.Element | None:
    return next(_named(element, name), None)


def _named(root: ET.Element, name: str) -> Iterator[ET.Element]:
    return (element for element in root.iter() if _local(element) == name)


def _local(element: ET.Element) -> str:
    return element.tag.rpartition("}")[2]

"""Tracks of GPX 1.0 and 1.1; where there is none, routes."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator

from core.errors import InputError
from core.formats.given_track import GivenPoint, height, joined, moment, number, position_of
from core.formats.safe_xml import parse_xml


def gpx_points(data: bytes, name: str) -> Iterator[GivenPoint | None]:
    """In the order of the file; None for a point without a place. Raises InputError."""
    root = parse_xml(data, name)
    segments = list(_named(root, "trkseg")) or list(_named(root, "rte"))
    if not segments and next(_named(root, "wpt"), None) is not None:
        raise InputError(f"{name} holds waypoints, no track: F7 in the list of waypoints imports them")
    yield from joined(map(_points, segments))


def _points(segment: ET.Element) -> Iterator[GivenPoint | None]:
    for element in segment:
        if _local(element) in {"trkpt", "rtept"}:
            yield _point(element)


def _point(element: ET.Element) -> GivenPoint | None:
    position = position_of(number(element.get("lat")), number(element.get("lon")))
    if position is None:
        return None
    said = {_local(child): child.text or "" for child in reversed(element)}
    return GivenPoint(position, height(said.get("ele", "").strip()), moment(said.get("time")))


def _named(root: ET.Element, name: str) -> Iterator[ET.Element]:
    return (element for element in root.iter() if _local(element) == name)


def _local(element: ET.Element) -> str:
    """Without the namespace: 1.0 and 1.1 differ in nothing that matters here."""
    return element.tag.rpartition("}")[2]

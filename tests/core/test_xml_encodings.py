"""Documents that call their UTF-8 by another of its names, as files in the field do: read, and still readable after."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.fix import Position
from core.formats.given_track import read_track
from core.formats.gpx_document import read_document
from core.formats.gpx_waypoints import write_waypoint
from core.formats.safe_xml import parse_xml
from core.waypoint import Waypoint

NAMES = ("UTF8", "utf8", "UTF", "U8", "utf_8", "utf-8-sig", "UTF-8")
PLACE = '<wpt lat="10.5" lon="-20.25"><name>Überhang</name></wpt>'
TRACK = '<trk><trkseg><trkpt lat="10" lon="20"><desc>é</desc></trkpt><trkpt lat="10.1" lon="20"/></trkseg></trk>'


def document(encoding: str, content: str = PLACE) -> bytes:
    text = f'<?xml version="1.0" encoding="{encoding}"?><gpx xmlns="http://www.topografix.com/GPX/1/1">{content}</gpx>'
    return text.encode()


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["bare", "byte order mark"])
@pytest.mark.parametrize("encoding", NAMES)
def test_every_name_of_utf8_is_read(encoding: str, mark: bytes) -> None:
    data = mark + document(encoding)
    assert [one.name for one in read_document(data, "x.gpx").waypoints()] == ["Überhang"]
    assert parse_xml(data, "x.gpx")[0][0].text == "Überhang"


@pytest.mark.parametrize("encoding", NAMES)
def test_what_is_added_can_be_read_again(encoding: str) -> None:
    found = read_document(document(encoding, ""), "x.gpx")
    grown = found.with_added([write_waypoint(Waypoint("Quennet é", Position(10.5, -20.25)), found.scope.prefix)])
    assert [one.name for one in read_document(grown.data(), "x.gpx").waypoints()] == ["Quennet é"]


@pytest.mark.parametrize("encoding", NAMES)
def test_tracks_are_too(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "walk.gpx"
    path.write_bytes(document(encoding, TRACK))
    assert len(read_track(path).points) == 2

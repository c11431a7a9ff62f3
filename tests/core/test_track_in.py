"""Tracks that others wrote: GPX, KML, GeoJSON. Files are invented, in open ocean; gpxpy writes some of them."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from importlib.resources import files
from pathlib import Path

import gpxpy.gpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.epochs import EpochReader
from core.errors import InputError
from core.fix import Position
from core.formats.given_track import GivenPoint, GivenTrack, is_track, kind_of, read_track
from core.sources.recording import open_recording
from tui.cli import main

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
TIME = "2031-05-04T12:00:00Z"
GPX_NS = 'xmlns="http://www.topografix.com/GPX/1/1"'
KML_NS = 'xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="urn:extension:gx"'


def read(tmp_path: Path, text: str | bytes, name: str = "walk.any") -> GivenTrack:
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_track(path)


def places(track: GivenTrack) -> list[tuple[float, float]]:
    return [(one.position.latitude_deg, one.position.longitude_deg) for one in track.points]


FERRY = Path(str(files("replays") / "ferry.nmea.gz"))


@pytest.mark.parametrize("to", ["gpx", "geojson"])
def test_our_own_export_of_the_ferry_comes_back_whole(tmp_path: Path, to: str) -> None:
    """Across the antimeridian, with its times."""
    out = tmp_path / f"ferry.{to}"
    assert main(["export", str(FERRY), "--to", to, "-o", str(out), "--every", "10s"]) == 0
    track = read_track(out)
    with_fix = [one for one in EpochReader(open_recording(FERRY), required=True).epochs() if one.fix.is_satellite_fix]
    assert track.timed
    assert track.points[0].position == pytest.approx(with_fix[0].fix.position, abs=1e-7)
    assert len(track.points) == pytest.approx(len(with_fix) / 10, rel=0.02)
    assert min(one.position.longitude_deg for one in track.points) < -179
    assert max(one.position.longitude_deg for one in track.points) > 179


def kml(body: str) -> str:
    return f'<?xml version="1.0"?><kml {KML_NS}><Document>{body}</Document></kml>'


# GPX


def test_what_gpxpy_writes_is_read_point_for_point(tmp_path: Path) -> None:
    document = gpxpy.gpx.GPX()
    document.tracks.append(gpxpy.gpx.GPXTrack(name="<b>Quennet</b> & round"))
    for start in (0, 10):
        segment = gpxpy.gpx.GPXTrackSegment()
        for n in range(start, start + 3):
            when = NOON + timedelta(seconds=n)
            segment.points.append(gpxpy.gpx.GPXTrackPoint(10.5 + n / 1000, -20.25, elevation=12.5 + n, time=when))
        document.tracks[0].segments.append(segment)
    track = read(tmp_path, document.to_xml(version="1.1"))
    numbers = [0, 1, 2, 10, 11, 12]
    assert [(round(one.position.latitude_deg, 6), one.altitude_m, one.time, one.begins) for one in track.points] == [
        (round(10.5 + n / 1000, 6), 12.5 + n, NOON + timedelta(seconds=n), n in {0, 10}) for n in numbers
    ]
    assert {one.position.longitude_deg for one in track.points} == {-20.25}
    assert track.timed


def test_of_a_point_only_what_stands_directly_in_it_counts_and_of_two_the_first(tmp_path: Path) -> None:
    inner = "<extensions><ele>9</ele><time>2031-05-04T00:00:00Z</time></extensions>"
    first = f'<trkpt lat="1" lon="2">{inner}<ele>1<!-- and -->2<b>3</b>4</ele><ele>7</ele><time> {TIME} </time></trkpt>'
    outside = '<trkpt lat="5" lon="5"/><wpt lat="6" lon="6"><ele>1</ele></wpt>'
    nested = '<x><trkpt lat="7" lon="7"/></x>'
    second = '<trkpt lat="1" lon="3"><ele/><ele>8</ele></trkpt>'
    track = read(tmp_path, f"<gpx {GPX_NS}>{outside}<trk><trkseg>{first}{nested}{second}</trkseg></trk></gpx>")
    assert track.points == (
        GivenPoint(Position(1.0, 2.0), 12.0, NOON, begins=True),
        GivenPoint(Position(1.0, 3.0)),
    )


def test_names_count_without_their_namespace_and_a_prefix_that_nobody_declared_is_refused(tmp_path: Path) -> None:
    body = '<g:trk><g:trkseg><g:trkpt lat="1" lon="2"/><g:trkpt lat="1" lon="3"/></g:trkseg></g:trk>'
    track = read(tmp_path, f'<g:gpx xmlns:g="http://www.topografix.com/GPX/1/1">{body}</g:gpx>')
    assert places(track) == [(1.0, 2.0), (1.0, 3.0)]
    with pytest.raises(InputError, match="not well-formed"):
        read(tmp_path, f"<g:gpx>{body}</g:gpx>")


def test_a_route_stands_in_where_there_is_no_track(tmp_path: Path) -> None:
    track = read(tmp_path, f'<gpx {GPX_NS}><rte><rtept lat="1" lon="2"/><rtept lat="1" lon="3"/></rte></gpx>')
    assert places(track) == [(1.0, 2.0), (1.0, 3.0)]
    assert not track.timed


def test_gpx_without_a_namespace_or_in_utf16_is_read(tmp_path: Path) -> None:
    points = '<trkpt lat="1" lon="2"/><trkpt lat="2" lon="2"/>'
    text = f'<?xml version="1.0" encoding="UTF-16"?><gpx><trk><trkseg>{points}</trkseg></trk></gpx>'
    assert places(read(tmp_path, text.encode("utf-16"))) == [(1.0, 2.0), (2.0, 2.0)]


def test_waypoints_alone_are_no_track_and_it_says_where_they_belong(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="F7 in the list of waypoints"):
        read(tmp_path, f'<gpx {GPX_NS}><wpt lat="1" lon="2"/><wpt lat="1" lon="3"/></gpx>')


def test_points_off_the_globe_are_left_out_and_counted(tmp_path: Path) -> None:
    bad = (
        'lat="91" lon="2"',
        'lat="nan" lon="2"',
        'lat="1" lon="181"',
        'lat="1_0" lon="2"',
        'lat="" lon=""',
        'lon="2"',
    )
    points = "".join(f"<trkpt {one}/>" for one in ('lat="1" lon="2"', *bad, 'lat="2" lon="2"'))
    track = read(tmp_path, f"<gpx {GPX_NS}><trk><trkseg>{points}</trkseg></trk></gpx>")
    assert places(track) == [(1.0, 2.0), (2.0, 2.0)]
    assert track.left_out == len(bad)


# KML


def test_kml_takes_timed_tracks_first(tmp_path: Path) -> None:
    body = (
        "<Placemark><LineString><coordinates>5,5 6,6</coordinates></LineString></Placemark>"
        "<Placemark><gx:Track><altitudeMode>absolute</altitudeMode>"
        "<when>2031-05-04T12:00:00Z</when><when>2031-05-04T14:00:10+02:00</when>"
        "<gx:coord>-20.25 10.5 12.5</gx:coord><gx:coord>-20.26 10.5 13</gx:coord></gx:Track></Placemark>"
    )
    assert read(tmp_path, kml(body)).points == (
        GivenPoint(Position(10.5, -20.25), 12.5, NOON, True),
        GivenPoint(Position(10.5, -20.26), 13.0, NOON + timedelta(seconds=10)),
    )


def test_kml_points_with_times_go_before_lines(tmp_path: Path) -> None:
    stamps = "".join(
        f"<Placemark><TimeStamp><when>2031-05-04T12:00:0{n}Z</when></TimeStamp>"
        f"<Point><coordinates>{n},1,7</coordinates></Point></Placemark>"
        for n in range(3)
    )
    line = "<Placemark><LineString><coordinates>5,5 6,6</coordinates></LineString></Placemark>"
    track = read(tmp_path, kml(line + stamps))
    assert places(track) == [(1.0, 0.0), (1.0, 1.0), (1.0, 2.0)]
    assert track.timed
    assert [one.altitude_m for one in track.points] == [None] * 3, "clampToGround is the default: no height"


def test_kml_lines_are_segments_and_places_beside_them_no_points(tmp_path: Path) -> None:
    body = (
        "<Placemark><Point><coordinates>50,50</coordinates></Point></Placemark>"
        "<Placemark><MultiGeometry><LineString><altitudeMode>absolute</altitudeMode>"
        "<coordinates>\n1,2,3\t2,2,4\n</coordinates></LineString>"
        "<LineString><altitudeMode>relativeToGround</altitudeMode><coordinates>5,2,3 6,2,4</coordinates></LineString>"
        "</MultiGeometry></Placemark>"
    )
    track = read(tmp_path, kml(body))
    assert [(one.position.longitude_deg, one.altitude_m, one.begins) for one in track.points] == [
        (1.0, 3.0, True), (2.0, 4.0, False), (5.0, None, True), (6.0, None, False),
    ]  # fmt: skip


# GeoJSON


def test_geojson_lines_have_longitude_first_and_times_beside_them(tmp_path: Path) -> None:
    feature = {
        "type": "Feature",
        "properties": {"coordTimes": ["2031-05-04T12:00:00Z", "2031-05-04T12:00:05Z"], "name": "\u001b[31m"},
        "geometry": {"type": "LineString", "coordinates": [[-20.25, 10.5, 99.0], [-20.26, 10.5]]},
    }
    track = read(tmp_path, json.dumps({"type": "FeatureCollection", "features": [feature]}))
    assert track.points == (
        GivenPoint(Position(10.5, -20.25), None, NOON, True),
        GivenPoint(Position(10.5, -20.26), None, NOON + timedelta(seconds=5)),
    )


def test_a_line_cut_at_the_antimeridian_is_one_way(tmp_path: Path) -> None:
    """As RFC 7946, 3.1.9 has it cut."""
    lines = [[[179.0, 10.0], [180.0, 10.5]], [[-180.0, 10.5], [-179.0, 11.0]]]
    track = read(tmp_path, json.dumps({"type": "MultiLineString", "coordinates": lines}))
    assert places(track) == [(10.0, 179.0), (10.5, 180.0), (11.0, -179.0)]
    assert [one.begins for one in track.points] == [True, False, False]


def test_a_corner_that_only_the_cut_made_is_no_point(tmp_path: Path) -> None:
    lines = [[[179.0, 10.0], [180.0, 10.5]], [[-180.0, 10.5], [-179.0, 11.0]]]
    times = [["2031-05-04T12:00:00Z", None], [None, "2031-05-04T12:00:10Z"]]
    feature = {
        "type": "Feature",
        "properties": {"coordinateProperties": {"times": times}},
        "geometry": {"type": "MultiLineString", "coordinates": lines},
    }
    track = read(tmp_path, json.dumps(feature))
    assert places(track) == [(10.0, 179.0), (11.0, -179.0)]
    assert track.timed


def test_geojson_points_in_their_order_with_their_times(tmp_path: Path) -> None:
    features = [
        {
            "type": "Feature",
            "properties": {"time": f"2031-05-04T12:00:0{n}Z"},
            "geometry": {"type": "Point", "coordinates": [n, 1]},
        }
        for n in range(3)
    ]
    track = read(tmp_path, json.dumps({"type": "FeatureCollection", "features": features}))
    assert places(track) == [(1.0, 0.0), (1.0, 1.0), (1.0, 2.0)]
    assert track.timed


def test_times_of_another_length_belong_to_something_else(tmp_path: Path) -> None:
    feature = {
        "type": "Feature",
        "properties": {"times": ["2031-05-04T12:00:00Z"]},
        "geometry": {"type": "LineString", "coordinates": [[1, 1], [2, 1]]},
    }
    assert not read(tmp_path, json.dumps(feature)).timed


# Told apart, and refused


@pytest.mark.parametrize(
    ("begun", "kind"),
    [
        (b"\xef\xbb\xbf<?xml version='1.0'?>\n<!-- gpx -->\n<gpx creator='x'>", "gpx"),
        (b"<kml:kml xmlns:kml='http://www.opengis.net/kml/2.2'>", "kml"),
        (b'  {"type": "LineString", "coordinates": []}', "geojson"),
        (b"$GPRMC,120000,A*00\r\n", None),
        (b"<html><body>gpx</body></html>", None),
        (b'{"features": 1}', None),
        (b"PK\x03\x04", None),
        (b"", None),
    ],
)
def test_files_are_told_apart_by_what_they_begin_with(begun: bytes, kind: str | None) -> None:
    assert kind_of(begun) == kind


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"<gpx><trk><trkseg>", "not well-formed"),
        (b'<!DOCTYPE gpx [<!ENTITY a "b">]><gpx><trk/></gpx>', "document type"),
        (b"<gpx>" + b"<a>" * 5000 + b"</a>" * 5000 + b"</gpx>", "nests more than"),
        (b'{"type": "LineString", "coordinates": [[1, 1]', "no JSON"),
        (b'{"type": "LineString", "coordinates": ' + b"[" * 200_000, "no JSON"),
        (b'{"type": "LineString", "coordinates": [[NaN, 1], [1e999, 2], ["x", "y"], null, [true, false]]}', "no track"),
        (b'{"type": "LineString", "coordinates": {"a": 1}}', "no track"),
        (b'{"type": "FeatureCollection", "features": "no"}', "no track"),
        (b"<kml><Document/></kml>", "no track"),
        (b"$GPRMC\r\n", "no GPX, KML or GeoJSON"),
    ],
)
def test_what_is_no_track_is_refused_with_the_reason(tmp_path: Path, data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read(tmp_path, data)


def test_a_file_that_is_not_there_is_no_track(tmp_path: Path) -> None:
    assert not is_track(tmp_path / "no")
    with pytest.raises(InputError, match="cannot be read"):
        read_track(tmp_path / "no")


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5) | st.sampled_from(["LineString", "Feature", "Point"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["type", "coordinates", "features", "geometry", "geometries", "properties", "times"]),
            inner,
            max_size=5,
        )
    ),
    max_leaves=20,
)


@settings(max_examples=300, deadline=None)
@given(json_values)
def test_whatever_json_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, value: object) -> None:
    path = tmp_path_factory.mktemp("json") / "any"
    path.write_text('{"type": "GeometryCollection", "geometries": [' + json.dumps(value) + "]}")
    try:
        assert all(-90 <= one.position.latitude_deg <= 90 for one in read_track(path).points)
    except InputError as error:
        assert str(error)

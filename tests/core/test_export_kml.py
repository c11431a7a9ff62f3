"""KML exports against the schema of KML 2.2 (OGC, carried by the test-only package fastkml), read back by lxml."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from importlib.resources import as_file, files
from itertools import pairwise
from pathlib import Path

import pytest
from lxml import etree

from core.export_plan import Every, Format, Plan
from core.fix import Position
from core.formats.track_text import About
from core.waypoint import Waypoint
from tests.exported import REAL, REPLAYS, exported, fix_lines, fixes_of, recorded
from tests.recordings import needs_recordings
from tests.trips import shifted
from tests.walks import OCEAN, straight

KML = "{http://www.opengis.net/kml/2.2}"


@cache
def _schema() -> etree.XMLSchema:
    with as_file(files("fastkml") / "schema") as folder:
        return etree.XMLSchema(etree.parse(folder / "ogckml22.xsd"))


def _read(data: bytes) -> etree._Element:
    root = etree.fromstring(data)
    _schema().assertValid(root)
    return root


def _lines(root: etree._Element) -> list[list[tuple[float, ...]]]:
    texts = [one.findtext(f"{KML}coordinates") or "" for one in root.iter(f"{KML}LineString")]
    return [[tuple(map(float, place.split(","))) for place in text.split()] for text in texts]


def _same(path: Path) -> None:
    data, outcome = exported(path, Plan(Format.KML, every=Every(seconds=0.001)))
    root = _read(data)
    moments = root.findall(f".//{KML}Placemark[{KML}Point]")
    wanted = fixes_of(path)
    assert outcome.points <= len(wanted)
    kept = iter(wanted)
    for moment in moments:
        longitude, latitude, *height = map(float, moment.findtext(f"{KML}Point/{KML}coordinates").split(","))
        when = moment.findtext(f"{KML}TimeStamp/{KML}when")
        fix = next(
            one.fix
            for one in kept
            if one.fix.position == pytest.approx((latitude, longitude), abs=1e-8) and _time(one.fix.utc) == when
        )
        assert height == ([] if fix.dimensions == 2 or fix.altitude_m is None else [pytest.approx(fix.altitude_m)])
    assert len(moments) == outcome.points
    on_lines = {place[:2] for one in _lines(root) for place in one}
    singles = len(root.findall(f".//{KML}Folder")) - len(root.findall(f".//{KML}MultiGeometry"))
    places = {tuple(map(float, one.findtext(f"{KML}coordinates").split(",")[:2])) for one in root.iter(f"{KML}Point")}
    assert on_lines <= places
    assert len(places - on_lines) <= singles


def _time(utc: object) -> str | None:
    moment = utc.datetime() if utc is not None else None  # type: ignore[attr-defined]  # a Utc
    return f"{moment.replace(tzinfo=None).isoformat(timespec='milliseconds')}Z" if moment else None


@pytest.mark.parametrize("path", REPLAYS)
def test_a_bundled_recording_is_valid_and_its_points_are_the_fixes(path: Path) -> None:
    _same(path)


@needs_recordings
@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_a_real_recording_is_valid_and_its_points_are_the_fixes(path: Path) -> None:
    if fixes_of(path):
        _same(path)


def test_a_line_has_every_fix_above_mean_sea_level_and_the_span_of_its_time(tmp_path: Path) -> None:
    walk = straight(OCEAN, 45.0, 150)
    path = recorded(tmp_path / "a.nmea", walk)
    root = _read(exported(path, Format.KML)[0])
    [line] = _lines(root)
    assert len(line) == len(walk)
    for place, step in zip(line, walk, strict=True):
        assert place == pytest.approx((step.place.longitude_deg, step.place.latitude_deg, 12.5), abs=1e-8)
    assert {one.text for one in root.iter(f"{KML}altitudeMode")} == {"absolute"}
    span = root.find(f".//{KML}TimeSpan")
    assert [one.text for one in span] == ["2031-05-04T12:00:00.000Z", f"2031-05-04T12:02:{walk[-1].at_s - 120:06.3f}Z"]


def test_times_stand_at_the_ends_and_every_minute_unless_a_distance_was_asked_for(tmp_path: Path) -> None:
    walk = straight(OCEAN, 45.0, 150)
    path = recorded(tmp_path / "a.nmea", walk)
    root = _read(exported(path, Format.KML)[0])
    found = [one.text[11:16] for one in root.iter(f"{KML}when")]
    assert found == ["12:00", "12:01", "12:02", "12:02"]
    asked = _read(exported(path, Plan(Format.KML, every=Every(seconds=10.0)))[0])
    assert len(list(asked.iter(f"{KML}when"))) == len(_lines(asked)[0])


def test_a_gap_begins_another_line(tmp_path: Path) -> None:
    walk = straight(OCEAN, 90.0, 20)
    path = recorded(tmp_path / "a.nmea", [*walk, *shifted(walk, 100.0)])
    assert [len(one) for one in _lines(_read(exported(path, Format.KML)[0]))] == [len(walk), len(walk)]


def test_a_part_without_heights_lies_on_the_ground_and_no_way_is_missing(tmp_path: Path) -> None:
    heights = ["12.5,M,8.5,M", ",M,,M", ",M,,M", "12.5,M,8.5,M", "12.5,M,8.5,M", ",M,,M", "12.5,M,8.5,M"]
    places = [step.place for step in straight(OCEAN, 90.0, len(heights) - 1)]
    path = tmp_path / "a.nmea"
    path.write_bytes(
        b"".join(fix_lines(n, p, altitude=h) for n, (p, h) in enumerate(zip(places, heights, strict=True)))
    )
    root = _read(exported(path, Format.KML)[0])
    lines = _lines(root)
    assert [len(one) for one in lines] == [4, 2, 3]
    modes = [one.findtext(f"{KML}altitudeMode") for one in root.iter(f"{KML}LineString")]
    assert modes == ["clampToGround", "absolute", "clampToGround"]
    assert [{len(place) for place in one} for one in lines] == [{2}, {3}, {2}]
    steps = {(a[:2], b[:2]) for one in lines for a, b in pairwise(one)}
    east = [round(place.longitude_deg, 7) for place in places]
    assert {(round(a[0], 7), round(b[0], 7)) for a, b in steps} == set(pairwise(east))


def test_one_fix_alone_is_a_point_and_no_line(tmp_path: Path) -> None:
    path = tmp_path / "a.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN))
    root = _read(exported(path, Format.KML)[0])
    assert not _lines(root)
    assert len(list(root.iter(f"{KML}Point"))) == 1


def test_waypoints_are_placemarks_with_name_note_time_and_kind(tmp_path: Path) -> None:
    time = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    hut = Waypoint("Hut <7>", Position(1.5, -2.5), 7.0, time, "warm", "hut")
    path = recorded(tmp_path / "a.nmea", straight(OCEAN, 0.0, 5))
    root = _read(exported(path, Format.KML, About("Trip", waypoints=(hut,)))[0])
    place = root.find(f".//{KML}Placemark")
    assert place.findtext(f"{KML}name") == "Hut <7>"
    assert place.findtext(f"{KML}description") == "warm"
    assert place.findtext(f"{KML}TimeStamp/{KML}when") == "2031-05-04T09:30:00Z"
    assert place.findtext(f".//{KML}value") == "hut"
    assert place.findtext(f".//{KML}coordinates") == "-2.5,1.5,7"

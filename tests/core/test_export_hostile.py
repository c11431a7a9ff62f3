"""Hostile names and notes in every field of every format: text they are, and text they stay."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import gpxpy
import pytest
from lxml import etree

from core.export_plan import Every, Format, Plan
from core.fix import Position, Utc
from core.formats.safe_xml import xml_text
from core.formats.track_text import About, decimal, moment
from core.formats.waypoints_out import write_waypoint_csv
from core.waypoint import Waypoint
from tests.core.gpx_facts import faults
from tests.exported import exported, recorded
from tests.walks import OCEAN, straight

KML = "{http://www.opengis.net/kml/2.2}"
HOSTILE = [
    "<b onmouseover='x()'>&amp; \"quoted\" ]]></name><wpt lat='0' lon='0'/>",
    "<![CDATA[x]]> <?php ?> <!-- --> &#0; &#x1b;[31m",
    "\x1b]0;owned\x07\x1b[2J\x00\x08\x7f\x9b31m",
    "\ud800 lone \udfff halves \ufffe\uffff",
    "=cmd|' /C calc'!A0",
    "+1,\"2\",'3'\r\n@SUM(A1:A9)",
    "\u202egnp.exe\u202c \u2066right to left\u2069 \u0645\u0631\u062d\u0628\u0627",
    '","features":[{"type":"Feature"}],"x":"',
    "\U0001f6f0\ufe0f \U0001f9ed caf\u00e9 \u2028\u2029\u0085",
    "%s %n {0} {name} $HOME `id` ../../etc/passwd",
    "a" * 10_000,
    "   ",
]


def _about(text: str) -> About:
    time = datetime(2031, 5, 4, tzinfo=UTC)
    place = Waypoint(text, Position(1.5, -2.5), 7.0, time, text, text, 4.0, text)
    return About(text, text, (place,))


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return recorded(tmp_path_factory.mktemp("walk") / "walk.nmea", straight(OCEAN, 0.0, 3))


@pytest.mark.parametrize("text", HOSTILE)
def test_gpx_has_one_waypoint_of_that_name_and_four_points(walk: Path, text: str) -> None:
    data, _ = exported(walk, Format.GPX, _about(text))
    assert not faults(data)
    found = gpxpy.parse(data.decode("utf-8"))
    [place] = found.waypoints
    wanted = xml_text(text).replace("\r\n", "\n").replace("\r", "\n")
    assert (place.name or "").strip() == wanted[:80].strip()
    assert (place.description or "").strip() == wanted[:400].strip()
    assert (found.name or "").strip() == (found.tracks[0].name or "").strip() == wanted.strip()
    assert len(list(found.walk())) == 4


@pytest.mark.parametrize("text", HOSTILE)
def test_kml_has_one_place_of_that_name_and_its_note_is_text_where_html_is_shown(walk: Path, text: str) -> None:
    data, _ = exported(walk, Format.KML, _about(text))
    root = etree.fromstring(data)
    wanted = xml_text(text).replace("\r\n", "\n").replace("\r", "\n")
    assert root.findtext(f"{KML}Document/{KML}name") == wanted
    place = root.find(f".//{KML}Folder/{KML}Placemark")
    assert place.findtext(f"{KML}name") == wanted
    assert place.findtext(f".//{KML}value") == wanted
    note = place.findtext(f"{KML}description")
    assert "<" not in note
    shown = etree.fromstring(f"<p>{note}</p>")
    assert len(shown) == 0
    assert (shown.text or "").strip() == wanted.strip()
    assert len(root.findall(f".//{KML}LineString")) == 1


@pytest.mark.parametrize("text", HOSTILE)
def test_geojson_is_ascii_and_has_that_name(walk: Path, text: str) -> None:
    data, _ = exported(walk, Format.GEOJSON, _about(text))
    found = json.loads(data.decode("ascii"))
    wanted = text.replace("\ud800", "\ufffd").replace("\udfff", "\ufffd")
    assert found["title"] == found["note"] == wanted
    assert [one["geometry"]["type"] for one in found["features"]] == ["Point", "LineString"]
    properties = found["features"][0]["properties"]
    assert [properties[one] for one in ("name", "note", "kind", "mode")] == [wanted] * 4
    assert not set(range(32)) - {10} & set(data)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_table_has_one_row_of_that_name_and_no_formula(text: str) -> None:
    data = b"".join(write_waypoint_csv(_about(text).waypoints))
    rows = list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))
    assert [len(row) for row in rows] == [9, 9]
    for cell in (rows[1][0], rows[1][5], rows[1][6], rows[1][8]):
        assert cell[:1] not in tuple("=+-@\t\r\n")
        assert cell.removeprefix("'") == text.replace("\0", "\ufffd").replace("\ud800", "\ufffd").replace(
            "\udfff", "\ufffd"
        )


@pytest.mark.parametrize("to", [Format.CSV, Format.NMEA])
def test_a_title_has_no_place_in_rows_and_sentences(walk: Path, to: Format) -> None:
    assert exported(walk, to, About(HOSTILE[0]))[0] == exported(walk, to, About("walk"))[0]


def test_figures_are_plain_decimals_or_nothing() -> None:
    assert [decimal(one, 3) for one in (None, float("nan"), float("inf"), -float("inf"))] == [""] * 4
    assert [decimal(one, 3) for one in (1e-9, -1e-9, 1e15, 12.5, 100.0, -0.0005001)] == [
        "0", "0", "1000000000000000", "12.5", "100", "-0.001",
    ]  # fmt: skip


def test_a_leap_second_is_an_instant_that_xml_knows() -> None:
    leap = Utc(86_400_000, datetime(2016, 12, 31, tzinfo=UTC).date())
    assert leap.iso() == "2016-12-31T23:59:60.000Z"
    assert moment(leap) == "2017-01-01T00:00:00.000Z"
    assert moment(Utc(0, None)) == moment(None) == ""


def test_an_export_is_the_same_bytes_each_time(walk: Path) -> None:
    for to in Format:
        plan = Plan(to, every=Every(seconds=2.0))
        assert exported(walk, plan)[0] == exported(walk, plan)[0]

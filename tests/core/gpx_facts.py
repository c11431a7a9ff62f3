"""Whether a file is as the GPX 1.1 schema wants it, by tests/data/gpx11_schema.toml; and files of others."""

from __future__ import annotations

import re
import tomllib
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

from core.waypoints import GPX

FACTS = tomllib.loads((Path(__file__).parents[1] / "data" / "gpx11_schema.toml").read_text("utf-8"))
_DECIMAL = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")

FOREIGN = """<?xml version="1.0" standalone="yes"?>
<?xml-stylesheet href="q0abc.xsl" type="text/xsl"?>
<!-- before the root: <gpx> is not here yet -->
<gpx version="1.1" creator="something else" xmlns="http://www.topografix.com/GPX/1/1"
     xmlns:more="urn:q0abc:more" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
     xsi:schemaLocation="http://www.topografix.com/GPX/1/1 gpx.xsd" more:mood='"fine" &gt; bad'>
 <metadata><name>Trip</name><extensions><more:weather wind="3">fine</more:weather></extensions></metadata>
 <!-- the huts -->
 <wpt lat="1.5" lon="-2.5" more:id="a > b"><ele>7</ele><magvar>1.5</magvar><name lang='x'>Old hut</name><sym>Hut</sym>
  <?q0abc keep?><!-- warm --><extensions><more:beds n="4" xsi:type="more:count"/></extensions></wpt>
 <wpt
   lat='2' lon='3'/>
 <wpt lat="4" lon="5"><name><![CDATA[Ford & <bridge>]]></name><desc>caf&#233;</desc>
   <link href="q"/><link href="r"/><fix>3d</fix></wpt><!-- after the huts -->
 <rte><name>Way there</name><rtept lat="1" lon="2"/></rte>
 <trk><name>Day 1</name><trkseg><trkpt lat="1" lon="2"><ele>3</ele></trkpt></trkseg></trk>
 <extensions><more:owner>Q0ABC</more:owner></extensions>
</gpx>
<!-- after the root -->
<?q0abc end?>
"""
"""Invented, with what a tree that is built and written again would lose."""

PREFIXED = f"""<g:gpx version="1.1" creator="x" xmlns:g="{GPX}" xmlns="urn:q0abc:plain" xmlns:more="urn:q0abc:other"
><g:wpt lat="1.5" lon="-2.5"><g:name>Old hut</g:name><g:extensions><beds/><more:beds/></g:extensions></g:wpt></g:gpx>"""


def gpx(content: str) -> str:
    """A small file."""
    return f'<gpx version="1.1" creator="x" xmlns="{GPX}">{content}</gpx>'


def tag(element: ET.Element) -> str:
    """Without the namespace of GPX."""
    return element.tag.removeprefix(f"{{{GPX}}}")


def shape(element: ET.Element) -> tuple[object, ...]:
    """All that an element says, white space between elements aside."""
    return element.tag, sorted(element.attrib.items()), (element.text or "").strip(), [shape(one) for one in element]


def faults(data: bytes) -> list[str]:
    """What is not as the schema wants it."""
    root = ET.fromstring(data)
    found = [] if root.tag == f"{{{GPX}}}gpx" and root.get("version") == "1.1" and root.get("creator") else ["root"]
    found += _order(root, FACTS["root"])
    for trk in root.iterfind(f"{{{GPX}}}trk"):
        found += [f"in trk: {tag(one)}" for one in trk if tag(one) not in {"name", "trkseg"}]
    for point in (*root.iterfind(f"{{{GPX}}}wpt"), *root.iter(f"{{{GPX}}}trkpt")):
        found += _order(point, FACTS["point"])
        found += _place(point)
        found += [
            f"{tag(one)} {one.text}" for one in point if tag(one) in FACTS["decimals"] and not _is_decimal(one.text)
        ]
        found += [f"fix {one.text}" for one in point if tag(one) == "fix" and one.text not in FACTS["fix"]]
        found += [one.tag for one in point.iterfind(f"{{{GPX}}}extensions/*") if one.tag.startswith(f"{{{GPX}}}")]
    return found


def _order(element: ET.Element, wanted: list[str]) -> list[str]:
    tags = [tag(one) for one in element]
    unknown = [one for one in tags if one not in wanted]
    places = [wanted.index(one) for one in tags if one in wanted]
    wrong = [f"{wanted[b]} after {wanted[a]}" for a, b in pairwise(places) if b < a]
    twice = [wanted[b] for a, b in pairwise(places) if a == b and wanted[b] not in FACTS["repeated"]]
    return [
        f"{kind} {one}" for kind, ones in (("unknown", unknown), ("order", wrong), ("twice", twice)) for one in ones
    ]


def _place(point: ET.Element) -> list[str]:
    latitude, longitude = point.get("lat"), point.get("lon")
    if not (_is_decimal(latitude) and _is_decimal(longitude)):
        return [f"place {latitude} {longitude}"]
    north = FACTS["latitude"]["min"] <= float(latitude or "") <= FACTS["latitude"]["max"]
    east = FACTS["longitude"]["min"] <= float(longitude or "") < FACTS["longitude"]["below"]
    return [] if north and east else [f"place {latitude} {longitude}"]


def _is_decimal(text: str | None) -> bool:
    return bool(text and _DECIMAL.fullmatch(text))

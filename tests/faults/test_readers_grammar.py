"""Readers under inputs built by their grammar rather than broken: documents with anything for a value."""

from __future__ import annotations

import json
from typing import Any
from xml.sax.saxutils import quoteattr

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import Position
from core.places.forms import all_forms
from core.places.reading import read
from tests.faults.fuzz_readers import READERS
from tests.faults.fuzz_readers_base import within

NUMBERS = st.one_of(
    st.integers(), st.floats(), st.sampled_from([10**400, -(10**400), 90, 180, 90.0000001, 1e308, -0.0, 86_400_999])
)
TEXTS = st.one_of(
    st.text(max_size=12), st.sampled_from(["Hut", "station", "\0", "\x1b[2J", "\ud800", "2031-05-04", "/", "9" * 50])
)
ANYTHING = st.recursive(
    st.one_of(st.none(), st.booleans(), NUMBERS, TEXTS),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(TEXTS, inner, max_size=4)),
    max_leaves=8,
)
OF_JSON = {
    "route_memory", "latency_file", "session_notes", "session_cache", "trip_totals", "site_state", "track_geojson",
    "stations_json",
}  # fmt: skip


def with_another(value: Any, path: list[int], put: Any) -> Any:
    """The value with something else at the place that the path leads to."""
    if not path or not value or not isinstance(value, list | dict):
        return put
    keys = list(value) if isinstance(value, dict) else range(len(value))
    at = keys[path[0] % len(keys)]
    changed = dict(value) if isinstance(value, dict) else list(value)
    changed[at] = with_another(value[at], path[1:], put)
    return changed


@pytest.mark.parametrize("name", sorted(OF_JSON))
@given(path=st.lists(st.integers(0, 20), min_size=1, max_size=9), put=ANYTHING)
@settings(max_examples=150, deadline=None)
def test_anything_in_the_place_of_a_value_is_read_or_refused(name: str, path: list[int], put: Any) -> None:
    reader = READERS[name]
    whole = json.loads(reader.seeds[0])
    within(reader, json.dumps(with_another(whole, path, put)).encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize("name", sorted(OF_JSON))
@given(value=ANYTHING)
@settings(max_examples=50, deadline=None)
def test_any_json_is_read_or_refused(name: str, value: Any) -> None:
    within(READERS[name], json.dumps(value).encode("utf-8", "surrogatepass"))


# XML

TAGS = st.sampled_from(
    ["gpx", "trk", "trkseg", "trkpt", "rte", "rtept", "wpt", "ele", "time", "name", "extensions", "x"]
)
VALUES = st.sampled_from(["10.5", "-20.25", "91", "180", "nan", "1e5", "", " 5 ", "2031-05-04T14:32:10Z", "x & y", "٤"])
NAMESPACE = ' xmlns="http://www.topografix.com/GPX/1/1"'


def element(tag: str, place: tuple[str, str], inside: list[str]) -> str:
    return f"<{tag} lat={quoteattr(place[0])} lon={quoteattr(place[1])}>{''.join(inside)}</{tag}>"


LEAVES = st.one_of(
    VALUES.map(lambda text: text.replace("&", "&amp;")),
    st.sampled_from(
        ["<!-- a -->", "<![CDATA[5]]>", "<?x?>", "<ele>5</ele>", "<time>2031-05-04</time>", "<ele><x/>5</ele>"]
    ),
    st.builds(lambda tag: f"<{tag}/>", TAGS),
)
TREES = st.recursive(
    LEAVES,
    lambda inner: st.builds(element, TAGS, st.tuples(VALUES, VALUES), st.lists(inner, max_size=5)),
    max_leaves=25,
)


@pytest.mark.parametrize("name", ["track_gpx", "gpx_document", "track_file", "stations_gpx", "xml", "track_kml"])
@given(trees=st.lists(TREES, min_size=1, max_size=4), namespace=st.sampled_from(["", NAMESPACE, ' xmlns="urn:x"']))
@settings(max_examples=120, deadline=None)
def test_elements_in_any_order_and_depth_are_read_or_refused(name: str, trees: list[str], namespace: str) -> None:
    within(READERS[name], f"<gpx{namespace}>{''.join(trees)}</gpx>".encode())


# Places

PLACES = st.builds(Position, st.floats(-90.0, 90.0), st.floats(-180.0, 180.0))


@given(PLACES)
@settings(max_examples=60, deadline=None)
def test_every_form_of_any_place_is_read_as_that_place(position: Position) -> None:
    for form, text in all_forms(position).items():
        near = [
            one
            for one in read(text)
            if abs(one.position.latitude_deg - position.latitude_deg) * 111_195 <= 2 * one.radius_m + 0.1
        ]
        assert near, f"{form} {text} of {position} is read as {read(text)}"


# TOML


def toml_of(value: Any) -> str:
    """Inline, of what JSON and TOML have in common; integers of any length, and what is none."""
    if isinstance(value, dict):
        return f"{{{', '.join(f'{json.dumps(key)} = {toml_of(one)}' for key, one in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(map(toml_of, value))}]"
    return "0x" + "f" * 400 if value is None else json.dumps(value).replace("NaN", "nan").replace("Infinity", "inf")


KEYS = {
    "settings": ["ranging_error_m.autonomous", "recorder.always", "track.rule", "before_dark.factor", "home.place",
                 "home.radius_m", "feed.to", "feed.rate_hz", "feed.types", "stations.antenna_m", "power", "feed",
                 "units.system", "board.panes", "alerts.events", "folders.stations", "keys.mark_here", "keys", "x"],
    "scenario": ["title", "call", "start", "rate_hz", "seed", "turn_s", "receiver", "receiver.mask_deg", "around",
                 "receiver.systems", "around.lane", "around.lane.walls", "path", "event", "x"],
    "chapters": ["chapter", "chapter.at", "x"],
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(KEYS))
@given(data=st.data(), value=ANYTHING)
@settings(max_examples=150, deadline=None)
def test_any_value_under_any_key_is_read_or_refused(name: str, data: st.DataObject, value: Any) -> None:
    key = data.draw(st.sampled_from(KEYS[name]))
    within(READERS[name], f"{key} = {toml_of(value)}\n".encode("utf-8", "surrogatepass"))


CHAPTER = {"at": "0:04:10", "title": "Lost", "words": "w", "page": "sky", "mask_deg": 20, "pace": 0.5}


@given(key=st.sampled_from([*CHAPTER, "x"]), value=ANYTHING)
@settings(max_examples=150, deadline=None)
def test_any_value_in_a_chapter_is_read_or_refused(key: str, value: Any) -> None:
    text = "[[chapter]]\n" + "".join(f"{name} = {toml_of(one)}\n" for name, one in {**CHAPTER, key: value}.items())
    for name in ("chapters", "chapter_blocks"):
        within(READERS[name], text.encode("utf-8", "surrogatepass"))

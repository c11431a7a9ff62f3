"""Readers of files that others write: tracks, waypoints, lists of stations, chapters, settings, scenarios."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from core.chapter_blocks import cut, values_of, with_changed, with_new, without, written_out
from core.chapter_file import LONGEST_S, MOST, TITLE_LIMIT, WORDS_LIMIT, Entry, When, parse_entries
from core.errors import InputError
from core.fix import FixMode, Position
from core.formats import gpx_waypoints
from core.formats.geojson_track_in import geojson_points
from core.formats.given_track import (
    HIGHEST_M,
    GivenPoint,
    GivenTrack,
    height,
    joined,
    moment,
    number,
    position_of,
    read_track,
)
from core.formats.gpx_document import Document, read_document
from core.formats.gpx_track_in import gpx_points
from core.formats.kml_track_in import kml_points
from core.formats.safe_xml import DEEPEST, as_utf8, parse_xml
from core.nmea.framing import Framer, Rejected
from core.rehearsal.scenario import FIRST_YEAR, LAST_YEAR, LONGEST_TITLE, Scenario, read_scenario
from core.settings import Settings, read_settings
from core.settings.keys import key_list
from core.settings.table import ALERT_EVENTS
from core.sources.given_recording import GivenRecording
from core.station_lists.reading import list_of
from core.stations import StationList
from core.units import UNITS
from core.waypoint import Waypoint
from tests.faults.fuzz_readers_base import (
    Reader,
    aware,
    maybe_in,
    must,
    number_in,
    of_bytes,
    of_file,
    of_words,
    on_globe,
    tried,
    vars_of,
    within,
)
from tests.faults.fuzz_readers_seeds import (
    CHAPTERS,
    CSV,
    GEOJSON,
    GPX,
    GPX_EMPTY,
    GPX_PREFIXED,
    JSON_WORDS,
    KML,
    SCENARIO,
    SETTINGS,
    STATION_JSON,
    TOML_WORDS,
    XML_WORDS,
    encoded,
)
from tests.faults.fuzzing import Target

PAGES = ("sky", "signals", "trail")
NOW = datetime(2031, 5, 4, 14, 0, tzinfo=UTC)
EDITED = Waypoint("Edited \x00&<>\u2028", Position(-10.5, 180.0), 12.0, NOW, "a\nb", "camp", 3.5, "rtk_fixed")


# Tracks of others


def _points(found: Iterable[GivenPoint | None]) -> None:
    for point in found:
        if point is not None:
            on_globe(point.position)
            maybe_in(point.altitude_m, -HIGHEST_M, HIGHEST_M, "a height")
            if point.time is not None:
                aware(point.time)


def _listed(read: Callable[[bytes, str], Iterable[GivenPoint | None]]) -> Callable[[bytes], bool]:
    return of_bytes(lambda data: list(read(data, "x")), _points)


def _track(found: GivenTrack) -> None:
    must(len(found.points) >= 2 and found.points[0].begins, "no track")
    _points(found.points)
    sentences, last_s = 0, 0.0
    framer = Framer(require_checksum=True)
    for piece in GivenRecording(Path("x"), found).pieces():
        must(math.isfinite(piece.at_s) and piece.at_s >= last_s, f"a piece at {piece.at_s} after {last_s}")
        last_s = piece.at_s
        for event in framer.feed(piece.data):
            must(not isinstance(event, Rejected), f"a track becomes {piece.data!r}")
            sentences += 1
    must(sentences >= 2, "a track without sentences")


def _gpx(data: bytes) -> list[GivenPoint | None]:
    """As it is read, element by element, against the same taken from a tree."""
    found = list(gpx_points(data, "x"))
    root = parse_xml(data, "x")
    segments = [one for kind in ("trkseg", "rte") for one in root.iter() if _local(one) == kind]
    kind = _local(segments[0]) if segments else ""
    of_tree = [[_gpx_point(one) for one in each if _local(one) in {"trkpt", "rtept"}] for each in segments]
    wanted = list(joined(one for one, each in zip(of_tree, segments, strict=True) if _local(each) == kind))
    must(found == wanted, f"{found!r} was read where the tree holds {wanted!r}")
    return found


def _gpx_point(element: ElementTree.Element) -> GivenPoint | None:
    position = position_of(number(element.get("lat")), number(element.get("lon")))
    said = {_local(child): child.text or "" for child in reversed(element)}
    if position is None:
        return None
    return GivenPoint(position, height(said.get("ele", "").strip()), moment(said.get("time")))


def _local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


# XML and waypoints


def _xml(data: bytes) -> tuple[Any, bytes]:
    return parse_xml(data, "x"), as_utf8(data, "x")


def _root(found: Any) -> None:
    root, data = found
    again = parse_xml(data, "x")
    must(sum(1 for _ in again.iter()) == sum(1 for _ in root.iter()), "another document in UTF-8")
    deepest, level = 0, [root]
    while level:
        deepest, level = deepest + 1, [child for one in level for child in one]
    must(deepest <= DEEPEST, f"{deepest} elements deep")


def _waypoint(one: Waypoint) -> None:
    on_globe(one.position)
    maybe_in(one.altitude_m, -gpx_waypoints.HIGHEST_M, gpx_waypoints.HIGHEST_M, "a height")
    maybe_in(one.error_95_m, 0.0, gpx_waypoints.WORST_ERROR_M, "an error")
    must(one.mode == "" or one.mode in set(FixMode), f"mode {one.mode!r}")
    if one.time is not None:
        aware(one.time)


def _document(found: Document) -> None:
    before = found.waypoints()
    for one in before:
        _waypoint(one)
    data = found.data()
    must(read_document(data, "x").waypoints() == before, "a document that reads as another")
    added = found.with_added([gpx_waypoints.write_waypoint(EDITED, found.scope.prefix)])
    again = read_document(added.data(), "x").waypoints()
    must(again[:-1] == before and added.waypoints() == again, "an addition changed what was there")
    if found.entries:
        _edited(found, data)


def _edited(found: Document, data: bytes) -> None:
    rest, removed = found.without(0)
    must(rest.with_restored(removed).data() == data, "removed and restored is another file")
    must(read_document(rest.data(), "x").waypoints() == rest.waypoints(), "what is left reads as something else")
    first = found.entries[0]
    if first.waypoint is not None:
        element = found.scope.changed(first.element, first.waypoint, EDITED)
        changed = read_document(found.with_changed(0, element).data(), "x")
        must(changed.waypoints()[1:] == found.waypoints()[1:], "a change changed its neighbours")
        now = changed.entries[0].waypoint
        must(now is not None and now.kind == "camp" and now.time == EDITED.time, f"a change to {now!r}")


# Stations


def _list_named(name: str) -> Callable[[bytes], bool]:
    return of_bytes(lambda data: list_of(data, Path(name)), _stations)


def _stations(found: StationList) -> None:
    for one in found.stations:
        must((one.position is None) == (one.radius_m is None), "a place without its coarseness")
        if one.position is not None:
            on_globe(one.position)
        maybe_in(one.radius_m, 0.0, 2.1e7, "a radius")
        maybe_in(one.height_m, -500.0, 9000.0, "a height")
        for hz in (one.output_hz,):
            must(hz is None or (type(hz) is int and 0 < hz <= 300e9), f"an output of {hz!r} Hz")
        must(one.input_hz is None or (type(one.input_hz) is int and abs(one.input_hz) < 1e13), f"{one.input_hz!r}")
        must(bool(one.title), "nothing to call it")
    for finding in found.findings:
        must(bool(finding.why), "a finding without words")


# TOML


def _entry(one: Entry) -> None:
    must((one.when.at_s is None) != (one.when.time_ms is None), "a chapter of two times, or none")
    maybe_in(one.when.at_s, 0.0, LONGEST_S, "seconds")
    must(0 < len(one.title) <= TITLE_LIMIT and len(one.words) <= WORDS_LIMIT, "a text too long")
    must(one.page in {"", *PAGES}, f"page {one.page!r}")
    maybe_in(one.mask_deg, 0.0, 60.0, "a mask")
    maybe_in(one.pace, 0.1, 100.0, "a pace")


def _entries(found: tuple[Entry, ...]) -> None:
    must(len(found) <= MOST, "too many")
    for one in found:
        _entry(one)
    if found:
        text = "\n".join(written_out(one) for one in found)
        must(parse_entries(text, "x", PAGES) == found, "chapters written out are read as others")


def _chapter_text(text: str) -> tuple[str, tuple[Entry, ...]]:
    return text, parse_entries(text, "x", PAGES)


NEW = Entry(When(at_s=250.0), "New “one”", "words", "sky", 20.0, 0.5)


def _blocks(found: tuple[str, tuple[Entry, ...]]) -> None:
    """Whoever saves an edit reads it and compares, so an edit may fail; but only in words, and not by an exception."""
    text, entries = found
    must(str(cut(text)) == text, "the parts of a text are not the text")
    parts = len(cut(text).blocks)
    edits: list[Callable[[], str]] = [partial(with_new, text, at, written_out(NEW)) for at in range(min(parts, 2) + 1)]
    if parts and parts == len(entries):
        edits += [lambda: without(text, 0), lambda: with_changed(text, parts - 1, NEW)]
    for edit in edits:
        edited = tried(edit, (InputError, *_TOMLKIT_REFUSES))
        if edited is not None:
            tried(lambda done=edited: parse_entries(done, "x", PAGES))  # type: ignore[misc]
    must(all(isinstance(values_of(one), dict) for one in entries), "values")


def _tomlkit_refuses() -> tuple[type[Exception], ...]:
    """What `core.chapter_book` takes for a text that is too odd to be edited."""
    from tomlkit.exceptions import TOMLKitError

    return (TOMLKitError,)


_TOMLKIT_REFUSES = _tomlkit_refuses()


def _settings(found: Settings) -> None:
    for mode, sigma in found.errors.ranging_error_m.items():
        number_in(sigma, 0.001, 1000.0, f"ranging error of {mode}")
    number_in(found.before_dark.margin_min, 0.0, 600.0, "a margin")
    number_in(found.before_dark.factor, 1.0, 2.0, "a factor")
    maybe_in(found.stations.antenna_m, 0.0, 9000.0, "an antenna")
    maybe_in(found.feed.rate_hz, 0.01, 50.0, "a rate")
    switches = (*vars_of(found.recorder), *vars_of(found.position), *vars_of(found.power))
    must(all(isinstance(one, bool) for one in switches), "a switch that is none")
    must({found.units.distance, found.units.short, found.units.height} <= UNITS.keys(), "a unit that is none")
    must(0 < len(set(found.board.panes)) == len(found.board.panes), "panes")
    must(set(found.alerts.events) <= set(ALERT_EVENTS), "an event that is none")
    for folder in (found.folders.recordings, found.folders.stations):
        must(folder is None or folder.is_absolute(), "a folder that is nowhere")
    must(all(key_list(keys) for keys in found.keys.values()), "keys")
    if found.home is not None:
        on_globe(found.home.position)
        number_in(found.home.radius_m, 1.0, 50_000.0, "a radius")


def _scenario(found: Scenario) -> None:
    must(0 < len(found.title) <= LONGEST_TITLE and found.title.isascii(), "a title")
    must(found.call.startswith("Q") and FIRST_YEAR <= found.start.year <= LAST_YEAR + 1, "a call or a start")
    aware(found.start)
    number_in(found.rate_hz, 1, 10, "a rate")
    number_in(found.turn_s, 0.5, 600.0, "a turn")
    for stop in found.stops:
        on_globe(stop.position)
        number_in(stop.height_m, -500.0, 9000.0, "a height")
        number_in(stop.pause_s, 0.0, 86_400.0, "a pause")
        number_in(stop.speed_mps, 0.0, 350.0, "a speed")
    for event in found.events:
        must(0.0 <= event.from_s < event.to_s, "an event that ends before it begins")


READERS: dict[str, Reader] = {
    "xml": Reader(of_bytes(_xml, _root), (*encoded(GPX_PREFIXED, GPX_EMPTY), GPX_EMPTY.encode("utf-16")), XML_WORDS),
    "track_geojson": Reader(_listed(geojson_points), encoded(GEOJSON), JSON_WORDS),
    "track_gpx": Reader(of_bytes(_gpx, _points), encoded(GPX), XML_WORDS),
    "track_kml": Reader(_listed(kml_points), encoded(KML), XML_WORDS),
    "gpx_document": Reader(
        of_bytes(lambda data: read_document(data, "x"), _document),
        (*encoded(GPX, GPX_PREFIXED, GPX_EMPTY), GPX.replace("UTF-8", "utf-16").encode("utf-16")),
        XML_WORDS,
    ),
    "stations_csv": Reader(
        _list_named("x.csv"), (*encoded(CSV), CSV.encode("utf-16")), encoded('"', '""', ";", "\t", "|", "MHz", "k", "±")
    ),
    "stations_json": Reader(_list_named("x.geojson"), encoded(STATION_JSON), JSON_WORDS),
    "stations_gpx": Reader(_list_named("x.gpx"), encoded(GPX, GPX_PREFIXED), XML_WORDS),
    "track_file": Reader(
        of_file("walk.gpx", read_track, _track), encoded(GPX, KML, GEOJSON), (*XML_WORDS, *JSON_WORDS)
    ),
    "chapters": Reader(
        of_words(lambda text: parse_entries(text, "x", PAGES) or None, _entries), encoded(CHAPTERS), TOML_WORDS
    ),
    "chapter_blocks": Reader(of_words(_chapter_text, _blocks), encoded(CHAPTERS), TOML_WORDS),
    "settings": Reader(of_file("settings.toml", read_settings, _settings), encoded(SETTINGS), TOML_WORDS),
    "scenario": Reader(of_words(lambda text: read_scenario(text, "x"), _scenario), encoded(SCENARIO), TOML_WORDS),
}
"""The cheapest first."""

TARGETS = {f"file-{name}": Target(partial(within, one), partial(tuple, one.seeds)) for name, one in READERS.items()}

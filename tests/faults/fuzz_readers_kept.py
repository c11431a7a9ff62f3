"""Readers of what fixboard itself keeps: trip, averaging, route, summaries, notes, latencies, memory, recordings."""

from __future__ import annotations

import dataclasses
import gzip
import json
import math
import tomllib
from datetime import UTC, datetime
from functools import cache, partial
from itertools import pairwise
from pathlib import Path
from typing import Any

from core.fix import Position
from core.latency import Latency, ReceiverKey
from core.latency_file import LatencyFile
from core.memory import Memory, recall
from core.outing import Outing
from core.route_memory import Recalled, recalled, written
from core.session_cache import VERSION, SummaryCache
from core.session_files import CACHE, NOTES, Session, SessionFile
from core.session_notes import SessionNotes, Words
from core.session_summary import Summary
from core.site import SiteAverager, SiteState
from core.site_file import SiteFile
from core.site_keeper import _mark_in
from core.site_session import Counted
from core.sources.recording import BLOCK, LONGEST_LINE, Recording, open_recording
from core.track import TrackPoint
from core.trip_file import TripFile
from core.waypoint import Waypoint
from tests.faults.fuzz_readers_base import (
    Reader,
    folder,
    maybe_in,
    must,
    number_in,
    of_file,
    of_words,
    on_globe,
    unwatched,
    within,
)
from tests.faults.fuzz_readers_seeds import (
    JSON_WORDS,
    LATENCY,
    MEMORY,
    NMEA,
    ROUTE,
    SESSION_NOTES,
    SITE,
    SITE_STATE,
    TOML_WORDS,
    TRIP,
    encoded,
)
from tests.faults.fuzzing import Target

NOW = datetime(2031, 5, 4, 14, 0, tzinfo=UTC)


def _recalled_twice(data: bytes) -> bool:
    """The quick way, and the way of any TOML: they must agree."""
    path = folder() / "board.toml"
    with unwatched():
        path.write_bytes(data)
    found = recall(path)
    try:
        kept = tomllib.loads(data.decode())
    except (ValueError, RecursionError):
        kept = {}
    names = [one.name for one in dataclasses.fields(Memory)]
    wanted = Memory(**{name: kept[name] for name in names if isinstance(kept.get(name), str)})
    must(found == wanted, f"{found!r} was recalled of what says {wanted!r}")
    return found != Memory()


def _trip_points(found: list[TrackPoint]) -> None:
    for one in found:
        on_globe(one.position)
        maybe_in(one.altitude_m, -1e6, 1e6, "a height")
        must(one.utc is None or 0 <= one.utc.time_ms <= 86_400_999, f"{one.utc!r}")
        must(one.utc is None or one.utc.datetime() is not None, "a moment without its date")
    outing = Outing()
    outing.restore(None, found)
    must(math.isfinite(outing.report().totals.distance_m), "a distance")


def _trip_totals(path: Path) -> dict[str, Any] | None:
    """As the keeper takes a trip up again."""
    file = TripFile(path.parent)
    state = file.totals()
    before = str((state or {}).pop("before_file", ""))
    outing = Outing()
    outing.restore(state, [], file.points(before) if before else ())
    report = outing.report()
    for one in (report.totals, report.leg, *report.legs):
        number_in(one.distance_m, 0.0, 1e12, "a distance")
        number_in(one.moving_s, 0.0, 1e12, "seconds")
        maybe_in(one.fastest_mps, 0.0, 1e12, "a speed")
    json.dumps(outing.state(), allow_nan=False)
    return state


def _site_points(found: list[Counted]) -> None:
    for one in found:
        on_globe(one.position)
        number_in(one.t_s, -1e12, 1e12, "seconds")
        maybe_in(one.altitude_m, -1e6, 1e6, "a height")
        maybe_in(one.separation_m, -1e6, 1e6, "a separation")
        maybe_in(one.error_95_m, 0.0, 1e7, "an error")
        must(one.utc is None or 0 <= one.utc.time_ms <= 86_400_999, f"{one.utc!r}")
    must(all(a.t_s < b.t_s for a, b in pairwise(found)), "times that go back")
    if found:
        site = SiteAverager()
        site.restore(found, SiteState.PAUSED)
        average = site.report().average
        must(average is None or _is_finite(average), f"figures that are none: {average!r}")


def _is_finite(figures: Any) -> bool:
    """Of records within records."""
    if isinstance(figures, float):
        return math.isfinite(figures)
    if dataclasses.is_dataclass(figures):
        return all(_is_finite(getattr(figures, one.name)) for one in dataclasses.fields(figures))
    return all(map(_is_finite, figures)) if isinstance(figures, tuple) else True


def _site_state(path: Path) -> bool | None:
    """As the keeper takes an averaging up again."""
    file = SiteFile(path.parent)
    state = file.state()
    file.counted(str(state.get("finished", "")))
    mark = _mark_in(state.get("mark"))
    if mark is not None:
        on_globe(mark.position)
        number_in(mark.reach_m, 0.0, 1e7, "a reach")
        maybe_in(mark.height_m, -1e5, 1e5, "a height")
    return True


HERE = (
    Waypoint("Hut", Position(10.0, -20.0)),
    Waypoint("Hut", Position(10.5, -20.0)),
    Waypoint("Car", Position(-10.0, 170.0)),
)


def _route(found: Recalled) -> None:
    for leg in found.legs:
        on_globe(leg.position)
        maybe_in(leg.error_95_m, 0.0, 2.1e7, "an error")
    must(recalled(written(found.legs), HERE).legs == found.legs, "a route written is another")


KEY = ReceiverKey("usb", 9600, "GGA RMC")


def _latency(found: Latency) -> None:
    must(0.0 <= found.low_s < found.high_s <= 60.0, f"{found!r}")
    must(found.words.isprintable(), "words that a terminal might obey")


def _summaries(path: Path) -> Summary | None:
    cache_ = SummaryCache(path.parent)
    return cache_.find(Session((SessionFile(Path("a.nmea"), 5, 7),)))


def _summary(found: Summary) -> None:
    for position in (found.first, found.last):
        if position is not None:
            on_globe(position)
    for name in ("duration_s", "distance_m"):
        maybe_in(getattr(found, name), -1e12, 1e12, name)
    for name in ("epochs", "epochs_with_fix"):
        number_in(getattr(found, name), 0, 1e12, name)
    must(all(one >= 0 for one in found.verdicts), "verdicts below nothing")
    must(found.locator is None or len(found.locator) == 6, "a locator")
    json.dumps(found.as_json(), allow_nan=False)


def _words(found: dict[str, Words]) -> None:
    must(all(isinstance(text, str) for one in found.values() for text in (one.name, one.note)), "words that are none")


def _recording(path: Path) -> list[bytes] | None:
    """To its end; damage on the way is said as an InputError like any other."""
    recording: Recording = open_recording(path)
    try:
        last_s, read = 0.0, []
        for piece in recording.pieces():
            must(math.isfinite(piece.at_s) and piece.at_s >= last_s, "a piece before the one before")
            must(len(piece.data) <= BLOCK + 2 * LONGEST_LINE, f"a piece of {len(piece.data)} bytes")
            last_s = piece.at_s
            read.append(piece.data)
        number_in(recording.fraction, 0.0, 1.0, "a fraction")
        return read
    finally:
        recording.close()


@cache
def _totals() -> bytes:
    outing = Outing()
    return json.dumps({**outing.state(), "before_file": "trip.old.csv"}).encode()


@cache
def _cached() -> bytes:
    summary = Summary(1, 2, duration_s=1.0, distance_m=2.0, first=Position(10.0, -20.0), epochs=3)
    cache_ = SummaryCache(folder())
    session = Session((SessionFile(Path("a.nmea"), 5, 7),))
    content = {
        "version": VERSION,
        "errors": cache_._errors,
        "sessions": {"a.nmea": {"of": cache_._stamp(session), "summary": summary.as_json()}},
    }
    return json.dumps(content).encode()


def _legs(found: Recalled) -> Recalled | None:
    return found if found.legs or found.trouble else None


READERS: dict[str, Reader] = {
    "trip_file": Reader(
        of_file("trip.csv", lambda path: TripFile(path.parent).points() or None, _trip_points),
        encoded(TRIP),
        encoded("9999-12-31T23:59:59.999999Z", "0001-01-01T00:00:00+23:59", "2031-05-04", ",", "1_0"),
    ),
    "site_file": Reader(
        of_file("averaging.csv", lambda path: SiteFile(path.parent).counted() or None, _site_points),
        encoded(SITE),
        encoded("9999-12-31T23:59:59.999Z", "T23:59:60.999Z", "estimated", ",", "W84"),
    ),
    "recording": Reader(
        of_file("walk.nmea", _recording, lambda _: None),
        (NMEA, gzip.compress(NMEA, mtime=0), gzip.compress(NMEA, mtime=0) * 2, b"\x1f\x8b\x08"),
        (b"\\c:", b"\\", b"$GPRMC,", b"$GPGLL,,,,,", b"!", b"*", b"143209.00", b"235959.999", b"\x1f\x8b", b"\0" * 40),
    ),
    "route_memory": Reader(
        of_words(lambda text: _legs(recalled(text, HERE)), _route),
        encoded(ROUTE),
        (*JSON_WORDS, b'"station"', b'"Hut"'),
    ),
    "latency_file": Reader(
        of_file("latency.json", lambda path: LatencyFile(path).find(KEY), _latency), encoded(LATENCY), JSON_WORDS
    ),
    "session_notes": Reader(
        of_file(NOTES, lambda path: SessionNotes(path.parent).all() or None, _words), encoded(SESSION_NOTES), JSON_WORDS
    ),
    "session_cache": Reader(of_file(CACHE, _summaries, _summary), (_cached(),), JSON_WORDS),
    "trip_totals": Reader(of_file("trip.json", _trip_totals, lambda _: None), (_totals(),), JSON_WORDS),
    "site_state": Reader(of_file("averaging.json", _site_state, lambda _: None), encoded(SITE_STATE), JSON_WORDS),
    "memory": Reader(_recalled_twice, encoded(MEMORY), (*TOML_WORDS, b' = "', b'"\n', b"\\")),
}
"""The cheapest first."""

TARGETS = {f"file-{name}": Target(partial(within, one), partial(tuple, one.seeds)) for name, one in READERS.items()}

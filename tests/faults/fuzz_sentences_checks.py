"""What holds of whatever the core makes of any bytes: numbers that are finite and in range, counts that add up.

Each check raises AssertionError. They are plain functions, so that tests, fuzzers and the long run ask the same.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from core.digest import Digest
from core.fix import Fix, FixMode, Utc
from core.intake import OTHER_TYPES, TEXTS_KEPT, TYPES_COUNTED, WIRE_LINES
from core.model import FixModel, Snapshot
from core.nmea.epoch import MOST_GSA, MOST_GSV, EpochAssembler
from core.nmea.explain import explain_wire
from core.nmea.fields import FASTEST_MPS, HIGHEST_M, LOWEST_M
from core.nmea.framing import LINE_LIMIT, Framer, Reason, Rejected
from core.now import now_json
from core.sky import MOST_GROUPS

MOST_M = 1e12
"""A figure of twelve digits, as fields allow, is the largest that can get through as a length or an age."""
_NAME = re.compile(r"[GRECJIS]\d\d|\?\d{1,6}", re.ASCII)
"""RINEX names, and numbers that no table has."""


def within(value: float | None, low: float, high: float) -> None:
    """A number of a range, or none; never a NaN, an infinity or a truth value."""
    if value is not None:
        assert type(value) in {int, float}, value
        assert low <= value <= high, (value, low, high)


def check_utc(utc: Utc | None) -> None:
    if utc is not None:
        assert type(utc.time_ms) is int
        assert 0 <= utc.time_ms <= 86_400_999, utc
        assert utc.day is None or type(utc.day) is date
        assert re.fullmatch(r"(\d{4}-\d\d-\d\d)?T\d\d:\d\d:\d\d\.\d{3}Z", utc.iso()), utc
        utc.datetime()


def check_fix(fix: Fix) -> None:
    """Everything in it."""
    check_utc(fix.utc)
    assert type(fix.mode) is FixMode
    assert (fix.mode is FixMode.NONE) == (fix.position is None), fix
    if fix.position is not None:
        assert fix.told
        within(fix.position.latitude_deg, -90.0, 90.0)
        within(fix.position.longitude_deg, -180.0, 180.0)
    else:
        assert fix.speed_mps is fix.course_deg is fix.altitude_m is fix.hdop is None, fix
    assert fix.dimensions in {None, 2, 3}
    for height in (fix.altitude_m, fix.geoid_separation_m):
        within(height, LOWEST_M, HIGHEST_M)
    within(fix.speed_mps, 0.0, FASTEST_MPS)
    for angle in (fix.course_deg, fix.heading_deg, fix.heading_magnetic_deg):
        within(angle, 0.0, math.nextafter(360.0, 0.0))
    for dilution in (fix.pdop, fix.hdop, fix.vdop):
        within(dilution, math.ulp(0.0), 99.9)
    for size in (*(fix.noise or ()), *(fix.faults or ())[:3], fix.correction_age_s):
        within(size, 0.0, MOST_M)
    _check_satellites(fix)


def _check_satellites(fix: Fix) -> None:
    within(fix.stated_in_fix, 0, 999_999)
    within(fix.satellites_in_fix, 0, 999_999)
    within(fix.satellites_in_view, 0, MOST_GSV * 300)
    assert len(fix.used or ()) <= MOST_GSA * 12
    assert fix.navigational_status in {None, "S", "C", "U"}
    assert len(fix.datum or "") <= 8
    assert len(fix.correction_station or "") <= 16
    for one in fix.satellites:
        assert _NAME.fullmatch(one.name), one
        within(one.elevation_deg, -90, 90)
        within(one.azimuth_deg, 0, 359)
        within(one.cno_dbhz, 1, 99)


def check_counts(snapshot: Snapshot, finished: int) -> None:
    """`finished`: Fixes that the model has given so far."""
    counts = snapshot.counts
    assert counts.verified + counts.unverified == sum(counts.types.values())
    assert min(counts.verified, counts.unverified, *counts.rejected.values(), 0) == 0
    assert 0 <= counts.epochs_with_fix <= counts.epochs
    assert finished <= counts.epochs <= finished + 2
    assert len(counts.types) <= TYPES_COUNTED + 1
    assert counts.rejected.get(Reason.MALFORMED, 0) <= counts.verified + counts.unverified
    assert OTHER_TYPES not in counts.types or len(counts.types) == TYPES_COUNTED + 1


def check_drawn(model: FixModel, digest: Digest | None = None) -> None:
    """What the one-shot commands make of it is JSON without NaN, and every line of the wire can be explained."""
    snapshot = model.snapshot()
    check_fix(snapshot.fix)
    for one in (snapshot, model.last_fix_snapshot()):
        if one is not None:
            json.dumps(now_json(one, one.at_s + 1.0, "made"), allow_nan=False)
    if digest:
        json.dumps(digest.as_json(snapshot.counts), allow_nan=False)
    for line in snapshot.wire[-5:]:
        told = explain_wire(line)
        assert told.accepted != isinstance(line, Rejected), line
        for field in told.fields:
            assert finite(field.told.value), (line, field)


def finite(value: Any) -> bool:
    """Whether nothing in it is a NaN or an infinity, however deep."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, tuple | list | frozenset):
        return all(finite(one) for one in value)
    return all(finite(one) for one in value.values()) if isinstance(value, dict) else True


def held(model: FixModel) -> int:
    """Everything in a model that damage could make grow, in one number of entries. `MOST_HELD` bounds it."""
    found = sum(len(epoch.anchors) + len(epoch.gsa) + len(epoch.gsv) for epoch in _open(model._assembler))
    found += sum(_size(getattr(model._sky, name)) for name in dir(model._sky))
    intake = model._intake
    found += len(intake._types) + len(intake.wire) + len(intake.texts) + len(model._history._moments)
    return found + len(model._framer._rest) // LINE_LIMIT + len(intake._rejected)


def _size(value: object) -> int:
    """Of a collection, with what lies in those in it."""
    if isinstance(value, dict):
        return len(value) + sum(map(_size, value.values()))
    return len(value) if isinstance(value, list | set | frozenset | tuple) else 0


def _open(assembler: EpochAssembler) -> Iterator[Any]:
    yield from (epoch for epoch in (assembler.previous, assembler.current, assembler._lead) if epoch)


MOST_ANCHORS = 26 * 36 * 7
"""Addresses with one time: any talker that damage makes up, a letter and a letter or digit, of seven formatters."""
MOST_HELD = 3 * (MOST_GSA + MOST_GSV + MOST_ANCHORS) + MOST_GROUPS * 101 + TYPES_COUNTED + WIRE_LINES + TEXTS_KEPT + 500


def sorted_out(data: bytes, require_checksum: bool) -> list[Fix]:
    """The fixes of a stream in one piece."""
    model = FixModel(require_checksum)
    return model.feed(data, 0.0) + model.finish()


def check_cuts(data: bytes, cuts: list[int], require_checksum: bool = True) -> None:
    """Cut anywhere, the stream holds the same sentences and gives the same fixes."""
    whole, pieces = Framer(require_checksum), Framer(require_checksum)
    model = FixModel(require_checksum)
    events, fixes = [], []
    for begin, end in zip([0, *cuts], [*cuts, len(data)], strict=True):
        events += pieces.feed(data[begin:end])
        fixes += model.feed(data[begin:end], 0.0)
    assert events + pieces.finish() == whole.feed(data) + whole.finish()
    assert fixes + model.finish() == sorted_out(data, require_checksum)

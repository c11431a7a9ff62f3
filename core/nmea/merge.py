"""One epoch's readings to one Fix. Where sentences contradict one another, the safer reading stands.

A pure function of the epoch (and of the date carried into it): when and in what pieces the bytes came plays no part.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from core.fix import Fix, FixMode, Position, Utc
from core.nmea.epoch import Anchor, Epoch
from core.nmea.readings import Gbs, Gga, Gll, Gns, Gsa, Gst, Heading, Rmc, Vtg, Zda

HALF_DAY_MS = 43_200_000
UNTRUE_MODES = (FixMode.SIMULATED, FixMode.MANUAL, FixMode.ESTIMATED)
"""One sentence saying so is enough: they must never look like a satellite fix (trade-facts.md, quality digits)."""
SAME_PLACE_DEG = 0.001
"""Positions of one epoch further apart than this contradict each other: 111 m of latitude, far beyond the
difference that rounding to whole thousandths of a minute makes (common practice, no source)."""
CLAIMING = (Gga, Gns, Rmc, Gll)
"""Types that say whether there is a fix, and where; the most specific first."""

CLAIMS = frozenset(CLAIMING)
NONE, AUTONOMOUS = FixMode.NONE, FixMode.AUTONOMOUS
NO_DOPS = (None, None, None)
NO_HEADING = Heading(None, None)
ByType = Mapping[type, Any]
Asked = tuple[str, FixMode | None]
"""Address and mode of a sentence that says whether there is a fix."""
_new = tuple.__new__


class DayCarry:
    """Carries the date over epochs that have none and over midnight."""

    def __init__(self) -> None:
        self._last: Utc | None = None

    def utc(self, time_ms: int | None, day: date | None) -> Utc | None:
        """The instant, its date told or carried; does not remember it."""
        if time_ms is None:
            return None
        return Utc(time_ms, day or self._carried(time_ms))

    def remember(self, utc: Utc | None) -> None:
        """Carry on from this epoch."""
        if utc is not None and utc.day is not None:
            self._last = utc

    def _carried(self, time_ms: int) -> date | None:
        last = self._last
        if last is None or last.day is None:
            return None
        passed_midnight = last.time_ms - time_ms > HALF_DAY_MS
        try:
            return last.day + timedelta(days=1) if passed_midnight else last.day
        except OverflowError:
            return None


def merge(epoch: Epoch, carry: DayCarry) -> Fix:
    """The Fix that the sentences of `epoch` amount to."""
    anchors = epoch.anchors
    by_type: ByType = {type(anchor): anchor for anchor in anchors.values()}
    claims, asked = _claims(by_type), _asked(anchors)
    rmc: Rmc | None = by_type.get(Rmc)
    zda: Zda | None = by_type.get(Zda)
    utc = carry.utc(epoch.time_ms, (zda.day if zda else None) or (rmc.day if rmc else None))
    mode = _mode(asked, claims)
    position = _position(claims) if mode is not NONE else None
    if position is None:
        return _void(epoch, utc, by_type, asked)
    heading, gsa = epoch.heading or NO_HEADING, epoch.gsa
    detail: Gga | Gns | None = by_type.get(Gga) or by_type.get(Gns)
    gst, gbs = by_type.get(Gst), by_type.get(Gbs)
    pdop, hdop, vdop = _dops(gsa) if gsa else NO_DOPS
    speed, course = _motion(rmc, epoch.vtg)
    # In the order of the fields, past the class, which would only pass them on: naming all 23 of them takes three times
    # as long, a million times.
    return _new(
        Fix,
        (
            utc,
            position,
            mode,
            _dimensions(gsa) if gsa else None,
            detail.altitude_m if detail else None,
            detail.geoid_separation_m if detail else None,
            speed,
            course,
            heading.true_deg,
            heading.magnetic_deg,
            tuple(epoch.gsv.values()) if epoch.gsv else None,
            _used(gsa) if gsa else None,
            detail.satellites if detail else None,
            pdop,
            detail.hdop if hdop is None and detail else hdop,
            vdop,
            gst.noise if gst else None,
            gbs.faults if gbs else None,
            detail.correction_age_s if detail else None,
            detail.correction_station if detail else None,
            (rmc.navigational_status if rmc else None)
            or (by_type[Gns].navigational_status if Gns in by_type else None),
            epoch.datum,
            _contradictions(asked, claims) if len(asked) > 1 else (),
            True,
        ),
    )


def _void(epoch: Epoch, utc: Utc | None, by_type: ByType, asked: list[Asked]) -> Fix:
    """What remains without a position: the time, the sky, where the vehicle points, the datum set."""
    heading = epoch.heading or NO_HEADING
    detail = by_type.get(Gga) or by_type.get(Gns)
    claims = _claims(by_type)
    return Fix(
        utc,
        heading_deg=heading.true_deg,
        heading_magnetic_deg=heading.magnetic_deg,
        heard=tuple(epoch.gsv.values()) if epoch.gsv else None,
        used=_used(epoch.gsa) if epoch.gsa else None,
        stated_in_fix=detail.satellites if detail else None,
        datum=epoch.datum,
        contradictions=_contradictions(asked, claims) if len(asked) > 1 else (),
        told=bool(claims),
    )


def _claims(by_type: ByType) -> list[Any]:
    """The newest of each type that says whether there is a fix, the most specific first."""
    return [by_type[kind] for kind in CLAIMING if kind in by_type]


def _asked(anchors: Mapping[str, Anchor]) -> list[Asked]:
    """What every anchor that can says of the fix, not only one of each type: a second talker may disagree."""
    return [(address, anchor.mode) for address, anchor in anchors.items() if type(anchor) in CLAIMS]  # type: ignore[union-attr]  # those in CLAIMS have it


def _mode(asked: list[Asked], claims: list[Any]) -> FixMode:
    """NONE if any sentence says void; simulated, manual or estimated if any says so; else the most specific."""
    modes = [mode for _, mode in asked]
    if NONE in modes or not modes:
        return NONE
    for untrue in UNTRUE_MODES:
        if untrue in modes:
            return untrue
    return next((claim.mode for claim in claims if claim.mode is not None), AUTONOMOUS)


def _position(claims: list[Any]) -> Position | None:
    for claim in claims:
        if claim.position is not None:
            found: Position = claim.position
            return found
    return None


def _motion(rmc: Rmc | None, vtg: Vtg | None) -> tuple[float | None, float | None]:
    """Speed and course from RMC, filled up from a VTG that is not void. A course without a speed is one of nothing."""
    speed = rmc.speed_mps if rmc else None
    course = rmc.course_deg if rmc else None
    if vtg is not None and vtg.mode is not NONE:
        speed = vtg.speed_mps if speed is None else speed
        course = vtg.course_deg if course is None else course
    return speed, None if speed is None else course


def _contradictions(asked: list[Asked], claims: list[Any]) -> tuple[str, ...]:
    void = [address[2:] for address, mode in asked if mode is NONE]
    if not void:
        return () if _one_place(claims) else ("positions of one epoch differ",)
    valid = [address[2:] for address, mode in asked if mode is not NONE]
    return (f"{' '.join(void)} void, {' '.join(valid)} valid",) if valid else ()


def _one_place(claims: list[Any]) -> bool:
    first: Position | None = None
    for claim in claims:
        place = claim.position
        if first is None:
            first = place
        elif place is not None and place is not first and not _near(place, first):
            return False
    return True


def _near(a: Position, b: Position) -> bool:
    across = abs(a.longitude_deg - b.longitude_deg)
    return abs(a.latitude_deg - b.latitude_deg) <= SAME_PLACE_DEG and min(across, 360.0 - across) <= SAME_PLACE_DEG


def _used(gsa: list[tuple[str, Gsa]]) -> tuple[str, ...]:
    if len(gsa) == 1:
        return gsa[0][1].satellites
    return tuple(dict.fromkeys([name for _, one in gsa for name in one.satellites]))


def _dimensions(gsa: list[tuple[str, Gsa]]) -> int | None:
    """Sentences of systems that give nothing to the fix say 1; of the others the smaller figure is the safer."""
    return min([one.dimensions for _, one in gsa if one.dimensions and one.dimensions > 1], default=None)


def _dops(gsa: list[tuple[str, Gsa]]) -> tuple[float | None, float | None, float | None]:
    for _, one in gsa:
        if one.hdop is not None or one.pdop is not None:
            return one.pdop, one.hdop, one.vdop
    return None, None, None

"""One second of the receiver's view as NMEA 0183 sentences in the 4.11 layout, built and checksummed by pynmea2."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

import pynmea2

from replays._receiver import Solution
from replays._walk import GEOID_SEPARATION_M, site

COURSE_FROM_MPS = 0.3
"""Slower than this the course fields stay empty, as receivers do with a frozen course (common practice, no source)."""
KNOT_MPS = 1852 / 3600

Fields = Sequence[str]


class Seen(NamedTuple):
    """A satellite as the receiver reports it."""

    name: str
    azimuth_deg: float | None
    elevation_deg: float | None
    cno_dbhz: float | None


class Second(NamedTuple):
    """All that one epoch's sentences tell."""

    utc: datetime | None
    solution: Solution | None
    seen: Sequence[Seen]


class System(NamedTuple):
    """How one system is told: its GSV talker, 4.11 system ID, and what is added to its RINEX number."""

    talker: str
    system_id: str
    letters: str
    signal: str
    """ID of the first signal, a hexadecimal digit."""
    second: str
    """ID of the second signal; empty where this receiver hears none."""


# System and signal IDs of NMEA 0183 4.11: L1 C/A 1 and L5-Q 8, G1 C/A 1, E1 7 and E5a 1, B1I 1 and B2a 5.
SYSTEMS = (
    System("GP", "1", "GS", "1", "8"),
    System("GL", "2", "R", "1", ""),
    System("GA", "3", "E", "7", "1"),
    System("GB", "4", "C", "1", "5"),
)
_NUMBER_SHIFT = {"R": 64, "S": 13}
"""GLONASS slot + 64; augmentation PRN - 87, and the RINEX number is PRN - 100."""
_SECOND_LOSS_DB = 3.0
_SECOND_FLOOR_DBHZ = 22.0


def sentence(talker: str, kind: str, fields: Fields) -> str:
    """`$`, address, fields and checksum; the line end is the writer's."""
    return str(getattr(pynmea2, kind)(talker, kind, tuple(fields)))


def number(name: str) -> str:
    """The NMEA satellite number of a RINEX name."""
    return f"{int(name[1:]) + _NUMBER_SHIFT.get(name[0], 0):02d}"


def texts(lines: Sequence[str]) -> Iterator[str]:
    """A TXT group of notices (severity 02)."""
    for count, line in enumerate(lines, 1):
        yield sentence("GN", "TXT", (f"{len(lines):02d}", f"{count:02d}", "02", line))


def _angle(degrees: float, width: int, hemispheres: str) -> tuple[str, str]:
    """(d)ddmm.mmmmm and its letter, rounded once, so that no minute reads 60."""
    whole, minutes = divmod(round(abs(degrees) * 6_000_000), 6_000_000)
    text = f"{whole:0{width}d}{minutes // 100_000:02d}.{minutes % 100_000:05d}"
    return text, hemispheres[degrees < 0]


def _clock(utc: datetime | None) -> str:
    return f"{utc:%H%M%S}.00" if utc else ""


def _place(solution: Solution | None) -> tuple[str, ...]:
    if solution is None:
        return ("", "", "", "")
    at = site(solution.east_m, solution.north_m, solution.up_m)
    return (*_angle(at.latitude_deg, 2, "NS"), *_angle(at.longitude_deg, 3, "EW"))


def _course(solution: Solution) -> str:
    return f"{round(solution.course_deg, 2) % 360:.2f}" if solution.speed_mps >= COURSE_FROM_MPS else ""


def _rmc(second: Second) -> str:
    day = f"{second.utc:%d%m%y}" if second.utc else ""
    if second.solution is None:
        return sentence("GN", "RMC", (_clock(second.utc), "V", *_place(None), "", "", day, "", "", "N", "V"))
    motion = (f"{second.solution.speed_mps / KNOT_MPS:.3f}", _course(second.solution))
    place = _place(second.solution)
    return sentence("GN", "RMC", (_clock(second.utc), "A", *place, *motion, day, "", "", "A", "V"))


def _vtg(solution: Solution | None) -> str:
    if solution is None:
        return sentence("GN", "VTG", ("", "T", "", "M", "", "N", "", "K", "N"))
    knots, kmh = f"{solution.speed_mps / KNOT_MPS:.3f}", f"{solution.speed_mps * 3.6:.3f}"
    return sentence("GN", "VTG", (_course(solution), "T", "", "M", knots, "N", kmh, "K", "A"))


def _gga(second: Second) -> str:
    solution = second.solution
    if solution is None:
        return sentence("GN", "GGA", (_clock(second.utc), *_place(None), "0", "00", *[""] * 7))
    height = site(solution.east_m, solution.north_m, solution.up_m).height_m - GEOID_SEPARATION_M
    # The count is capped at 12 in older layouts only; 4.11 receivers tell all.
    quality = ("1", f"{len(solution.used):02d}", f"{solution.spread.hdop:.2f}")
    heights = (f"{height:.1f}", "M", f"{GEOID_SEPARATION_M:.1f}", "M")
    return sentence("GN", "GGA", (_clock(second.utc), *_place(solution), *quality, *heights, "", ""))


def _dops(solution: Solution) -> tuple[str, str, str]:
    """PDOP, HDOP, VDOP; a held height has no VDOP."""
    worth = solution.spread
    return f"{worth.pdop:.2f}", f"{worth.hdop:.2f}", f"{worth.vdop:.2f}" if solution.dimensions == 3 else ""


def _gsa(solution: Solution | None, system: System) -> str:
    used = sorted(name for name in solution.used if name[0] in system.letters) if solution else []
    slots = [number(name) for name in used[:12]]
    dops = _dops(solution) if solution else ("", "", "")
    mode = str(solution.dimensions) if solution else "1"
    return sentence("GN", "GSA", ("A", mode, *slots, *[""] * (12 - len(slots)), *dops, system.system_id))


def _whole(value: float | None, width: int, turn: int = 1000) -> str:
    return "" if value is None else f"{round(value) % turn:0{width}d}"


def _quad(one: Seen) -> Fields:
    cno = _whole(one.cno_dbhz, 2)
    return (number(one.name), _whole(one.elevation_deg, 2), _whole(one.azimuth_deg, 3, 360), cno)


def _group(talker: str, signal: str, seen: Sequence[Seen]) -> Iterator[str]:
    """The pages of one GSV group; an empty group is one page without satellites."""
    pages = [seen[start : start + 4] for start in range(0, len(seen), 4)] or [()]
    for count, page in enumerate(pages, 1):
        quads = [text for one in page for text in _quad(one)]
        yield sentence(talker, "GSV", (str(len(pages)), str(count), f"{len(seen):02d}", *quads, signal))


def _on_second(seen: Iterable[Seen]) -> list[Seen]:
    """Those heard on the second frequency too: by invention every other number, a little weaker."""
    heard = (
        one._replace(cno_dbhz=one.cno_dbhz - _SECOND_LOSS_DB)
        for one in seen
        if one.cno_dbhz is not None and int(one.name[1:]) % 2 == 0 and one.name[0] != "S"
    )
    return [one for one in heard if one.cno_dbhz is not None and one.cno_dbhz >= _SECOND_FLOOR_DBHZ]


def _gsv(seen: Sequence[Seen], system: System) -> Iterator[str]:
    own = [one for one in seen if one.name[0] in system.letters]
    yield from _group(system.talker, system.signal, own)
    second = _on_second(own) if system.second else []
    if second:
        yield from _group(system.talker, system.second, second)


def _gst(second: Second) -> str:
    """Error statistics out of the same variances as the DOPs, one sigma."""
    solution = second.solution
    if solution is None:
        return sentence("GN", "GST", (_clock(second.utc), *[""] * 7))
    worth, sigma = solution.spread, solution.range_sigma_m
    half, turn = (worth.east + worth.north) / 2, math.hypot((worth.north - worth.east) / 2, worth.east_north)
    axis = math.degrees(math.atan2(2 * worth.east_north, worth.north - worth.east) / 2) % 180
    ellipse = (
        f"{sigma * math.sqrt(half + turn):.2f}",
        f"{sigma * math.sqrt(max(0.0, half - turn)):.2f}",
        f"{axis:.1f}",
    )
    height = f"{sigma * worth.vdop:.2f}" if solution.dimensions == 3 else ""
    axes = (f"{sigma * math.sqrt(worth.north):.2f}", f"{sigma * math.sqrt(worth.east):.2f}", height)
    return sentence("GN", "GST", (_clock(second.utc), f"{sigma:.2f}", *ellipse, *axes))


def _zda(utc: datetime) -> str:
    return sentence("GN", "ZDA", (_clock(utc), f"{utc:%d}", f"{utc:%m}", f"{utc:%Y}", "00", "00"))


def epoch(second: Second) -> Iterator[str]:
    """The sentences of one second, in the order in which many receivers send them (common practice)."""
    yield _rmc(second)
    yield _vtg(second.solution)
    yield _gga(second)
    for system in SYSTEMS:
        yield _gsa(second.solution, system)
    for system in SYSTEMS:
        yield from _gsv(second.seen, system)
    yield _gst(second)
    if second.utc and second.utc.second % 10 == 0:
        yield _zda(second.utc)

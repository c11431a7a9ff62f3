"""What the simulated receiver says in an epoch: the bodies of NMEA 0183 sentences, in the 4.11 layout.

As receivers of several systems write them: talker GN for the solution and a GSA a system with its ID, the own talker
of each system for GSV with the signal's ID (one signal a system here), empty fields where nothing is known. What a
void epoch holds (0, 00, 99.99) is that of real recordings. Layouts: nmea-facts.toml [fields].
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from core.fix import FixMode, Heard, PseudorangeNoise, Utc
from core.rehearsal.records import Epoch
from core.rehearsal.scenario_parts import Manner

KNOT_MPS = 1852 / 3600
NO_DILUTION = "99.99"
MOST_IN_GSA = 12
"""Of one system; receivers leave the others out of the list, and count them in GGA (common practice)."""
PER_PAGE = 4
CLOCK_EVERY_S = 10
"""Of ZDA. A choice of ours; receivers can be told."""


class _System(NamedTuple):
    """How one system is told."""

    talker: str
    system_id: str
    signal_id: str
    letters: str
    """Of the RINEX names that belong to it."""


# nmea-facts.toml [system_id], [signal_id] (L1 C/A 1, G1 C/A 1, E1 7, B1I 1) and [talkers].
_SYSTEMS = {
    "G": _System("GP", "1", "1", "GS"),
    "R": _System("GL", "2", "1", "R"),
    "E": _System("GA", "3", "7", "E"),
    "C": _System("GB", "4", "1", "C"),
}
_SHIFT = {"R": 64, "S": -87 + 100}
"""nmea-facts.toml [[satellite_numbers]]: GLONASS slot + 64; SBAS PRN - 87, and the RINEX number is PRN - 100."""


class _Words(NamedTuple):
    """One mode, in the fields that tell it (nmea-facts.toml [fix_flags_nmea41])."""

    quality: str
    """Of GGA."""
    rmc: str
    vtg: str
    """RTK of both kinds is D here."""


_VOID = _Words("0", "N", "N")
_MODES = {
    FixMode.AUTONOMOUS: _Words("1", "A", "A"),
    FixMode.DIFFERENTIAL: _Words("2", "D", "D"),
    FixMode.RTK_FIXED: _Words("4", "R", "D"),
    FixMode.RTK_FLOAT: _Words("5", "F", "D"),
}


def bodies(epoch: Epoch, manner: Manner, *, sky: bool) -> Iterator[str]:
    """All sentences of an epoch without start and checksum, in the order of many receivers (common practice).

    `sky`: with the satellites in view.
    """
    systems = [_SYSTEMS[letter] for letter in _SYSTEMS if letter in manner.systems]
    talker = "GN" if len(systems) > 1 else systems[0].talker
    yield _rmc(talker, epoch, manner)
    yield _vtg(talker, epoch)
    yield _gga(talker, epoch, manner)
    for system in systems:
        yield _gsa(talker, epoch, system)
    if sky:
        for system in systems:
            yield from _gsv(epoch.seen, system)
    yield _gst(talker, epoch, manner)
    if epoch.utc is not None and epoch.utc.time_ms % (1000 * CLOCK_EVERY_S) == 0:
        yield _zda(talker, epoch.utc)


def _rmc(talker: str, epoch: Epoch, manner: Manner) -> str:
    """Status V for navigational status too, as receivers that give none (4.10)."""
    words = _words(epoch)
    day = epoch.utc.day if epoch.utc else None
    status = "A" if epoch.valid else "V"
    speed = _figure(None if epoch.speed_mps is None else epoch.speed_mps / KNOT_MPS, 3)
    date = f"{day:%d%m%y}" if day else ""
    return _join(
        f"{talker}RMC", _clock(epoch.utc), status, *_place(epoch, manner), speed, _course(epoch), date, "", "",
        words.rmc, "V",
    )  # fmt: skip


def _vtg(talker: str, epoch: Epoch) -> str:
    if epoch.speed_mps is None:
        return _join(f"{talker}VTG", *[""] * 8, _words(epoch).vtg)
    knots, kmh = _figure(epoch.speed_mps / KNOT_MPS, 3), _figure(epoch.speed_mps * 3.6, 3)
    return _join(f"{talker}VTG", _course(epoch), "T", "", "M", knots, "N", kmh, "K", _words(epoch).vtg)


def _gga(talker: str, epoch: Epoch, manner: Manner) -> str:
    if epoch.position is None or epoch.height_m is None:
        return _join(f"{talker}GGA", _clock(epoch.utc), "", "", "", "", "0", "00", NO_DILUTION, *[""] * 6)
    places = 3 if manner.minute_decimals > 5 else 1
    geoid = epoch.geoid_separation_m or 0.0
    return _join(
        f"{talker}GGA", _clock(epoch.utc), *_place(epoch, manner), _words(epoch).quality, f"{len(epoch.used):02d}",
        _dilution(epoch.hdop), _figure(epoch.height_m - geoid, places), "M", _figure(geoid, places), "M",
        _figure(epoch.correction_age_s, 1), epoch.correction_station or "",
    )  # fmt: skip


def _gsa(talker: str, epoch: Epoch, system: _System) -> str:
    used = [number(name) for name in epoch.used if name[0] in system.letters][:MOST_IN_GSA]
    dilutions = (_dilution(epoch.pdop), _dilution(epoch.hdop), _dilution(epoch.vdop))
    padding = [""] * (MOST_IN_GSA - len(used))
    return _join(f"{talker}GSA", "A", str(epoch.dimensions or 1), *used, *padding, *dilutions, system.system_id)


def _gsv(seen: Sequence[Heard], system: _System) -> Iterator[str]:
    """Pages of four; one without any where none is in view."""
    own = [one for one in seen if one.name[0] in system.letters]
    pages = max(1, math.ceil(len(own) / PER_PAGE))
    for page in range(pages):
        four = own[PER_PAGE * page : PER_PAGE * (page + 1)]
        quads = [text for one in four for text in _quad(one)]
        head = (f"{system.talker}GSV", str(pages), str(page + 1), f"{len(own):02d}")
        yield _join(*head, *quads, system.signal_id)


def _quad(one: Heard) -> tuple[str, ...]:
    return (number(one.name), _whole(one.elevation_deg, 2), _whole(one.azimuth_deg, 3), _whole(one.cno_dbhz, 2))


def _gst(talker: str, epoch: Epoch, manner: Manner) -> str:
    noise = epoch.noise or PseudorangeNoise(*[None] * 7)
    places = 3 if manner.minute_decimals > 5 else 2
    size = [_figure(value, places) for value in noise]
    size[3] = _figure(noise.orientation_deg, 1)
    return _join(f"{talker}GST", _clock(epoch.utc), *size)


def _zda(talker: str, utc: Utc) -> str:
    """Without the date as long as it is not known."""
    date = (f"{utc.day:%d}", f"{utc.day:%m}", f"{utc.day.year:04d}") if utc.day else ("", "", "")
    return _join(f"{talker}ZDA", _clock(utc), *date, "00", "00")


def number(name: str) -> str:
    """The NMEA number of a RINEX name, two figures."""
    return f"{int(name[1:]) + _SHIFT.get(name[0], 0):02d}"


def _join(*fields: str) -> str:
    return ",".join(fields)


def _words(epoch: Epoch) -> _Words:
    return _MODES.get(epoch.mode, _VOID) if epoch.valid else _VOID


def _clock(utc: Utc | None) -> str:
    """To the hundredth."""
    if utc is None:
        return ""
    seconds, ms = divmod(utc.time_ms, 1000)
    return f"{seconds // 3600:02d}{seconds // 60 % 60:02d}{seconds % 60:02d}.{ms // 10:02d}"


def _place(epoch: Epoch, manner: Manner) -> tuple[str, str, str, str]:
    if epoch.position is None:
        return "", "", "", ""
    latitude, longitude = epoch.position
    decimals = manner.minute_decimals
    north, east = angle(abs(latitude), 2, decimals), angle(abs(longitude), 3, decimals)
    return north, "NS"[latitude < 0], east, "EW"[longitude < 0]


def angle(degrees: float, width: int, decimals: int) -> str:
    """(d)ddmm.mmmm of an angle of 0 or more, rounded once, so that no minute reads 60."""
    scale = 10**decimals
    whole, rest = divmod(round(degrees * 60 * scale), 60 * scale)
    minutes, fraction = divmod(rest, scale)
    return f"{whole:0{width}d}{minutes:02d}.{fraction:0{decimals}d}"


def _course(epoch: Epoch) -> str:
    """Empty while it is frozen; never 360.00."""
    return "" if epoch.course_deg is None else f"{round(epoch.course_deg, 2) % 360.0:.2f}"


def _dilution(value: float | None) -> str:
    return NO_DILUTION if value is None else f"{min(value, 99.99):.2f}"


def _figure(value: float | None, places: int) -> str:
    return "" if value is None else f"{value:.{places}f}"


def _whole(value: int | None, width: int) -> str:
    return "" if value is None else f"{value:0{width}d}"

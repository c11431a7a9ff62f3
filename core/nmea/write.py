"""A Fix to sentences that other programs read: built with pynmea2, in the 4.10 layout, and never more than was known.

How a position came about is said in every field that can say it: RMC and GLL have a status and a mode, VTG a mode, GGA
a quality. What satellites did not give (`UNMEASURED`) has no field left that looks like a measurement: no satellites,
no dilution, no error statistics, and no ZDA, since that has no mode and another program might set a clock by it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from core.fix import Fix, FixMode, Position, Satellite, Utc
from core.nmea.numbering import satellite_name

KNOT_MPS = 1852 / 3600
LONGEST = 82
"""Characters of a sentence with `$`, checksum and line end (nmea-facts.toml [frame])."""
END = "\r\n"
MOST_IN_GSA = 12
PER_PAGE = 4
MINUTE_DECIMALS = 5
"""1.9 cm: more than any receiver without corrections is worth, and all that 82 characters have room for."""
RTK_DECIMALS = 7
"""0.2 mm. Such sentences are longer than 82 characters, as those of the receivers themselves are."""
UNMEASURED = frozenset({FixMode.SIMULATED, FixMode.MANUAL})
DEFAULT_TALKER = "GN"


class _Words(NamedTuple):
    """One mode, in the fields that tell it."""

    quality: str
    """Of GGA."""
    letter: str
    """Of RMC and GLL."""
    vtg: str
    status: str
    """Of RMC and GLL: A valid, V not."""


# nmea-facts.toml [gga_quality], [mode_indicator], [fix_flags_nmea41]. The status goes with the rule there: V for every
# mode but those that satellites give, so that a reader too old for the mode field takes nothing for a fix. Estimated is
# A with E, as that table has it for dead reckoning within its limits: it comes from a live receiver, and is passed on.
_VOID = _Words("0", "N", "N", "V")
_MODES = {
    FixMode.AUTONOMOUS: _Words("1", "A", "A", "A"),
    FixMode.DIFFERENTIAL: _Words("2", "D", "D", "A"),
    FixMode.PRECISE: _Words("3", "P", "P", "A"),
    FixMode.RTK_FIXED: _Words("4", "R", "D", "A"),
    FixMode.RTK_FLOAT: _Words("5", "F", "D", "A"),
    FixMode.ESTIMATED: _Words("6", "E", "E", "A"),
    FixMode.MANUAL: _Words("7", "M", "M", "V"),
    FixMode.SIMULATED: _Words("8", "S", "S", "V"),
}


class _System(NamedTuple):
    """How one system is told."""

    talker: str
    system_id: str
    shift: tuple[tuple[str, int], ...]
    """Letters of the RINEX names that belong to it, and what is added to their numbers."""


# nmea-facts.toml [talkers], [system_id], [[satellite_numbers]]: SBAS is PRN - 87 and its RINEX name PRN - 100.
_SYSTEMS = (
    _System("GP", "1", (("G", 0), ("S", 13))),
    _System("GL", "2", (("R", 64),)),
    _System("GA", "3", (("E", 0),)),
    _System("GB", "4", (("C", 0),)),
    _System("GQ", "5", (("J", 0),)),
    _System("GI", "6", (("I", 0),)),
)
_LETTER = {"GP": "G", "GL": "R", "GA": "E", "GB": "C", "GQ": "J", "GI": "I"}
_ALL_SIGNALS = "0"
"""nmea-facts.toml [signal_id] all: a satellite's strongest signal stands for it here."""


class Epoch(NamedTuple):
    """What is written: a Fix, and the sky where it is to be told."""

    fix: Fix
    sky: Sequence[Satellite] | None = None
    """None: no GSV this time. Empty: none in view."""
    talker: str = DEFAULT_TALKER

    @property
    def is_measured(self) -> bool:
        """Whether anything of it may look like the work of satellites."""
        return self.fix.mode not in UNMEASURED


def void(utc: Utc | None = None) -> Fix:
    """A Fix that says there is none."""
    return Fix(utc=utc, told=True)


def sentences(epoch: Epoch, types: Sequence[str]) -> list[bytes]:
    """The sentences of these types, each with its checksum and line end, in the order of `TYPES`.

    A type that has nothing to say is left out. A datum other than WGS 84 is said before any position, wanted or not.
    """
    written = [*_datum(epoch)]
    for name, build in _BUILDERS.items():
        if name in types:
            written += build(epoch)
    return [f"{one}{END}".encode("ascii") for one in written]


def notice(text: str, talker: str = DEFAULT_TALKER) -> bytes:
    """A TXT of the warning kind (01, from memory), cut to what a sentence holds; what NMEA reserves becomes a blank."""
    plain = "".join(letter if letter.isascii() and letter.isprintable() else "?" for letter in text)
    plain = plain.translate(_RESERVED)[: LONGEST - len("$GNTXT,01,01,01,*00") - len(END)]
    return f"{_made('TXT', talker, '01', '01', '01', plain)}{END}".encode("ascii")


_RESERVED = str.maketrans(dict.fromkeys("$!*,\\^~", " "))


def _made(name: str, talker: str, *fields: str) -> str:
    """By pynmea2, which works the checksum out."""
    import pynmea2  # only a feed needs it: start-up time

    return str(getattr(pynmea2, name)(talker, name, fields))


def _fitting(*candidates: Callable[[], str]) -> str:
    """The first that is short enough, else the last."""
    found = ""
    for candidate in candidates:
        found = candidate()
        if len(found) + len(END) <= LONGEST:
            break
    return found


def _words(fix: Fix) -> _Words:
    return _VOID if fix.position is None else _MODES.get(fix.mode, _VOID)


def _is_void(fix: Fix) -> bool:
    return _words(fix) is _VOID


def _datum(epoch: Epoch) -> Iterator[str]:
    """By its code alone: how far it lies from WGS 84 is not known here, so those fields are empty."""
    code = epoch.fix.datum
    if code and code != "W84" and code.isascii() and code.isalnum():
        yield _made("DTM", epoch.talker, code, "", "", "", "", "", "", "W84")


def _rmc(epoch: Epoch) -> Iterator[str]:
    fix, words = epoch.fix, _words(epoch.fix)
    day = fix.utc.day if fix.utc else None
    course = "" if fix.speed_mps is None or _is_void(fix) else _angle(fix.course_deg)
    yield _made(
        "RMC", epoch.talker, _clock(fix.utc), words.status, *_place(fix), _knots(fix), course,
        f"{day:%d%m%y}" if day else "", "", "", words.letter, fix.navigational_status or "V",
    )  # fmt: skip


def _vtg(epoch: Epoch) -> Iterator[str]:
    fix, words = epoch.fix, _words(epoch.fix)
    if _is_void(fix) or fix.speed_mps is None:
        yield _made("VTG", epoch.talker, *[""] * 8, words.vtg)
        return
    course, kmh = _angle(fix.course_deg), _figure(fix.speed_mps * 3.6, 3)
    yield _made("VTG", epoch.talker, course, "T", "", "M", _knots(fix), "N", kmh, "K", words.vtg)


def _gga(epoch: Epoch) -> Iterator[str]:
    """Where it would be too long, first the age of the corrections is rounded, then the dilution."""
    yield _fitting(lambda: _gga_with(epoch, 1, 2), lambda: _gga_with(epoch, 0, 2), lambda: _gga_with(epoch, 0, 1))


def _gga_with(epoch: Epoch, age_decimals: int, hdop_decimals: int) -> str:
    fix, words = epoch.fix, _words(epoch.fix)
    if _is_void(fix):
        return _made("GGA", epoch.talker, _clock(fix.utc), *[""] * 4, "0", "00", "", "", "M", "", "M", "", "")
    measured = epoch.is_measured
    used = fix.satellites_in_fix if measured else 0
    return _made(
        "GGA", epoch.talker, _clock(fix.utc), *_place(fix), words.quality, "" if used is None else f"{used:02d}",
        _figure(fix.hdop if measured else None, hdop_decimals), _figure(fix.altitude_m, 1), "M",
        _figure(fix.geoid_separation_m, 1), "M", _figure(fix.correction_age_s if measured else None, age_decimals),
        _station(fix) if measured else "",
    )  # fmt: skip


def _station(fix: Fix) -> str:
    """What a station calls itself comes from outside."""
    name = fix.correction_station or ""
    return name[:4] if name.isascii() and name.isalnum() else ""


def _gll(epoch: Epoch) -> Iterator[str]:
    words = _words(epoch.fix)
    yield _made("GLL", epoch.talker, *_place(epoch.fix), _clock(epoch.fix.utc), words.status, words.letter)


def _gsa(epoch: Epoch) -> Iterator[str]:
    """One a system that has satellites in the fix; one that says "no fix" where there is none, or none was measured."""
    fix = epoch.fix
    if _is_void(fix) or not epoch.is_measured:
        yield _made("GSA", epoch.talker, "A", "1", *[""] * 15, "1")
        return
    dilutions = [_figure(value, 2) for value in (fix.pdop, fix.hdop, fix.vdop)]
    dimensions = "" if fix.dimensions is None else str(fix.dimensions)
    for system in _SYSTEMS:
        used = [number for name in fix.used or () if (number := _number(name, system))][:MOST_IN_GSA]
        if used:
            padding = [""] * (MOST_IN_GSA - len(used))
            yield _made("GSA", epoch.talker, "A", dimensions, *used, *padding, *dilutions, system.system_id)


def _gsv(epoch: Epoch) -> Iterator[str]:
    """Pages of four, each system under its own talker (nmea-facts.toml [gsa] multi)."""
    if epoch.sky is None or not epoch.is_measured:
        return
    for system in _SYSTEMS:
        quads = [_quad(number, one) for one in epoch.sky if (number := _number(one.name, system))]
        pages = -(-len(quads) // PER_PAGE)
        for page in range(pages):
            four = [field for quad in quads[PER_PAGE * page : PER_PAGE * (page + 1)] for field in quad]
            head = (f"{pages}", f"{page + 1}", f"{len(quads):02d}")
            yield _made("GSV", system.talker, *head, *four, _ALL_SIGNALS)


def _quad(number: str, one: Satellite) -> tuple[str, str, str, str]:
    return number, _whole(one.elevation_deg, 2), _whole(one.azimuth_deg, 3), _whole(one.cno_dbhz, 2)


def _number(name: str, system: _System) -> str:
    """The number within the system; empty for those of others, and where a reader would take it for another one."""
    for letter, shift in system.shift:
        if name[:1] == letter and name[1:].isdigit():
            number = f"{int(name[1:]) + shift:02d}"
            return number if satellite_name(_LETTER[system.talker], number) == name else ""
    return ""


def _gst(epoch: Epoch) -> Iterator[str]:
    noise = epoch.fix.noise
    if noise is None or not epoch.is_measured or _is_void(epoch.fix):
        return
    sizes = [_figure(value, 2) for value in noise]
    sizes[3] = _figure(noise.orientation_deg, 1)
    yield _made("GST", epoch.talker, _clock(epoch.fix.utc), *sizes)


def _hdt(epoch: Epoch) -> Iterator[str]:
    if epoch.fix.heading_deg is not None and epoch.is_measured:
        yield _made("HDT", epoch.talker, _angle(epoch.fix.heading_deg), "T")


def _zda(epoch: Epoch) -> Iterator[str]:
    utc = epoch.fix.utc
    if utc is not None and utc.day is not None and epoch.is_measured:
        day = utc.day
        yield _made("ZDA", epoch.talker, _clock(utc), f"{day:%d}", f"{day:%m}", f"{day.year:04d}", "00", "00")


_BUILDERS: dict[str, Callable[[Epoch], Iterator[str]]] = {
    "RMC": _rmc, "VTG": _vtg, "GGA": _gga, "GLL": _gll, "GSA": _gsa, "GSV": _gsv, "GST": _gst, "HDT": _hdt, "ZDA": _zda,
}  # fmt: skip
TYPES = tuple(_BUILDERS)
"""What can be written, in the order in which it is."""
USUAL_TYPES = tuple(name for name in TYPES if name != "GLL")
"""GLL says nothing that RMC does not."""


def _clock(utc: Utc | None) -> str:
    """hhmmss.ss, three digits where two are not all of it; empty where nobody knows the time."""
    if utc is None:
        return ""
    return utc.clock(3 if utc.time_ms % 10 else 2).replace(":", "")


def _place(fix: Fix) -> tuple[str, str, str, str]:
    position = None if _is_void(fix) else fix.position
    if position is None:
        return "", "", "", ""
    return _written(position, RTK_DECIMALS if fix.mode in {FixMode.RTK_FIXED, FixMode.RTK_FLOAT} else MINUTE_DECIMALS)


def _written(position: Position, decimals: int) -> tuple[str, str, str, str]:
    latitude, longitude = position
    north, east = (_minutes(abs(value), width, decimals) for value, width in ((latitude, 2), (longitude, 3)))
    return north, "NS"[latitude < 0], east, "EW"[longitude < 0]


def _minutes(degrees: float, width: int, decimals: int) -> str:
    """(d)ddmm.mmmmm of an angle of 0 or more, rounded once, so that no minute reads 60."""
    scale = 10**decimals
    whole, rest = divmod(round(degrees * 60 * scale), 60 * scale)
    minutes, fraction = divmod(rest, scale)
    return f"{whole:0{width}d}{minutes:02d}.{fraction:0{decimals}d}"


def _knots(fix: Fix) -> str:
    return "" if fix.speed_mps is None or _is_void(fix) else _figure(fix.speed_mps / KNOT_MPS, 3)


def _angle(degrees: float | None) -> str:
    """Never 360.00."""
    return "" if degrees is None else f"{round(degrees, 2) % 360.0:.2f}"


def _figure(value: float | None, places: int) -> str:
    return "" if value is None else f"{value:.{places}f}"


def _whole(value: int | None, width: int) -> str:
    return "" if value is None else f"{value:0{width}d}"

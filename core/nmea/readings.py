"""What each sentence type says, decoded: one small record per layout. None means the field was empty or unusable."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import NamedTuple

from core.fix import FaultDetection, FixMode, Heard, Position, PseudorangeNoise
from core.nmea import fields as f
from core.nmea.numbering import satellite_name


class Rmc(NamedTuple):
    """Recommended minimum: time, validity, position, speed, course, date."""

    time_ms: int | None
    mode: FixMode | None
    """NONE unless the status is A; None where the sentence is older than NMEA 2.3 and has no mode letter."""
    position: Position | None
    speed_mps: float | None
    course_deg: float | None
    day: date | None
    navigational_status: str | None


class Gga(NamedTuple):
    """Fix data with heights."""

    time_ms: int | None
    mode: FixMode
    """NONE when there is no fix."""
    position: Position | None
    satellites: int | None
    hdop: float | None
    altitude_m: float | None
    geoid_separation_m: float | None
    correction_age_s: float | None
    correction_station: str | None


class Gns(NamedTuple):
    """Fix data of several systems, one mode letter each; `mode` is what they come to together."""

    time_ms: int | None
    mode: FixMode
    """NONE when there is no fix."""
    position: Position | None
    satellites: int | None
    hdop: float | None
    altitude_m: float | None
    geoid_separation_m: float | None
    correction_age_s: float | None
    correction_station: str | None
    navigational_status: str | None


class Gll(NamedTuple):
    """Position alone; versions before 2.0 have neither time nor status."""

    time_ms: int | None
    mode: FixMode | None
    """NONE when void; None when valid without a mode letter."""
    position: Position | None


class Zda(NamedTuple):
    """Time and the full date."""

    time_ms: int | None
    day: date | None


class Gst(NamedTuple):
    """The receiver's own error statistics."""

    time_ms: int | None
    noise: PseudorangeNoise


class Gbs(NamedTuple):
    """The receiver's integrity check."""

    time_ms: int | None
    faults: FaultDetection


class Vtg(NamedTuple):
    """Course and speed over ground."""

    course_deg: float | None
    speed_mps: float | None
    mode: FixMode | None


class Gsa(NamedTuple):
    """Satellites in the fix and dilution of precision."""

    dimensions: int | None
    """2 or 3; 1 means that this sentence says there is no fix."""
    satellites: tuple[str, ...]
    """RINEX names."""
    pdop: float | None
    hdop: float | None
    vdop: float | None
    system: str
    """The system letter, empty where the sentence speaks for several."""


class Gsv(NamedTuple):
    """One page of the satellites in view of one system on one signal."""

    pages: int
    page: int
    system: str
    """System letter of the talker, empty where it speaks for several."""
    signal: str
    """NMEA signal ID, a hexadecimal digit; empty before 4.10."""
    groups: str
    """Number, elevation, azimuth and C/N0 of each satellite as they stand in the sentence."""

    @property
    def satellites(self) -> tuple[Heard, ...]:
        """The groups decoded, when somebody asks: most pages of a long recording are never looked at."""
        return heard(self.system, self.groups)

    @property
    def numbers(self) -> list[str]:
        """The satellite numbers alone, undecoded."""
        return self.groups.split(",")[::4]


@lru_cache(maxsize=512)
def heard(system: str, groups: str) -> tuple[Heard, ...]:
    """Decode groups of four fields; those without a number are padding. Cached: pages repeat, and are asked twice."""
    x = groups.split(",")
    rows = zip(x[::4], x[1::4], x[2::4], x[3::4], strict=False)
    return tuple([one for row in rows if row[0] and (one := _heard(system, row))])


@lru_cache(maxsize=4096)
def _heard(system: str, row: tuple[str, str, str, str]) -> Heard | None:
    name = satellite_name(system, row[0])
    if name is None:
        return None
    elevation, azimuth, cno = f.number(row[1]), f.direction(row[2]), f.whole(row[3])
    return Heard(
        name,
        round(elevation) if elevation is not None and -90.0 <= elevation <= 90.0 else None,
        None if azimuth is None else round(azimuth) % 360,
        cno if cno and cno < 100 else None,
    )


class Heading(NamedTuple):
    """Where the vehicle points (HDT, THS, HDG)."""

    true_deg: float | None
    magnetic_deg: float | None


class Datum(NamedTuple):
    """The datum of the positions that follow (DTM)."""

    code: str


class Text(NamedTuple):
    """A receiver's message (TXT)."""

    severity: str
    text: str


Reading = Rmc | Gga | Gns | Gll | Zda | Gst | Gbs | Vtg | Gsa | Gsv | Heading | Datum | Text

"""The records that everything else speaks of: what a receiver said about one instant.

All are immutable. They are NamedTuples, not frozen dataclasses: one Fix is built for every epoch of a
recording that may hold a hundred thousand of them, and a frozen dataclass of this size costs about four times as much.
Units are SI and degrees; angles run clockwise from true north unless a name says magnetic. None always means
"the receiver did not say", never zero.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import NamedTuple, Protocol

MS_PER_DAY = 86_400_000


class FixMode(StrEnum):
    """How a position came about. The words are those of contract.md's JSON."""

    # Enum hashes by a Python function; the string's own hash is as good, and modes are counted a million times.
    __hash__ = str.__hash__

    NONE = "none"
    AUTONOMOUS = "autonomous"
    DIFFERENTIAL = "differential"
    PRECISE = "precise"
    RTK_FIXED = "rtk_fixed"
    RTK_FLOAT = "rtk_float"
    ESTIMATED = "estimated"
    MANUAL = "manual"
    SIMULATED = "simulated"


SATELLITE_FIX_MODES = frozenset(
    {FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL, FixMode.PRECISE, FixMode.RTK_FIXED, FixMode.RTK_FLOAT}
)
"""Modes in which satellites gave the position; the others must never look like a real fix."""


class Position(NamedTuple):
    """A point on the receiver's datum (WGS 84 unless a DTM sentence says otherwise)."""

    latitude_deg: float
    """-90 to 90, north positive."""
    longitude_deg: float
    """-180 to 180, east positive."""


class Utc(NamedTuple):
    """A UTC instant as receivers give it: the time of day always, the date only when they know one."""

    time_ms: int
    """Milliseconds since midnight, 0 to 86,400,999: the last second is a leap second, 23:59:60."""
    day: date | None
    """None until a sentence has told the date."""

    def iso(self) -> str:
        """ISO 8601 with milliseconds and Z; without a date the time alone, `T12:00:00.000Z`."""
        return f"{self.day.isoformat() if self.day else ''}T{self.clock(3)}Z"

    def clock(self, decimals: int = 0) -> str:
        """hh:mm:ss with `decimals` (0 to 3) digits of the second, truncated as clocks are."""
        seconds, ms = divmod(self.time_ms, 1000)
        leap = max(0, seconds - 86_399)
        minutes, second = divmod(seconds - leap, 60)
        text = f"{minutes // 60:02d}:{minutes % 60:02d}:{second + leap:02d}"
        return f"{text}.{ms:03d}"[: len(text) + decimals + 1] if decimals else text

    def datetime(self) -> datetime | None:
        """The instant as an aware datetime, None without a date. A leap second counts as the next midnight."""
        if self.day is None:
            return None
        try:
            return datetime(self.day.year, self.day.month, self.day.day, tzinfo=UTC) + timedelta(
                milliseconds=self.time_ms
            )
        except OverflowError:
            return None


def ms_to(before_ms: int, after_ms: int) -> int:
    """Milliseconds from one time of day until it is the other, 0 to below a day: over midnight where it has to be.

    A leap second is a second of its own: from 23:59:60 to midnight there is one.
    """
    leaves_a_leap_second = before_ms >= MS_PER_DAY and after_ms < MS_PER_DAY // 2
    return (after_ms - before_ms + 1000 * leaves_a_leap_second) % MS_PER_DAY


class Heard(NamedTuple):
    """One satellite of a GSV sentence."""

    name: str
    """As in RINEX: a system letter (G R E C J I S) and two digits; `?` and the number where no table has it."""
    elevation_deg: int | None
    """Above the horizon, -90 to 90."""
    azimuth_deg: int | None
    """0 to 359."""
    cno_dbhz: int | None
    """Carrier-to-noise density in dB-Hz; None when it is not tracked."""


class HeardPage(Protocol):
    """What one GSV sentence says of the sky."""

    @property
    def system(self) -> str:
        """System letter of the talker, empty where it speaks for several."""

    @property
    def groups(self) -> str:
        """Number, elevation, azimuth and C/N0 of each satellite, undecoded, with commas."""

    @property
    def satellites(self) -> tuple[Heard, ...]:
        """Those it lists, in its order."""


class Satellite(NamedTuple):
    """One satellite as reported in view, listed as used, or both."""

    name: str
    elevation_deg: int | None
    azimuth_deg: int | None
    cno_dbhz: int | None
    """The strongest of its signals."""
    in_fix: bool
    """Listed as used in the position."""


class PseudorangeNoise(NamedTuple):
    """The receiver's own error statistics (GST), one sigma, metres."""

    range_rms_m: float | None
    semi_major_m: float | None
    semi_minor_m: float | None
    orientation_deg: float | None
    """Of the semi-major axis, from true north."""
    latitude_m: float | None
    longitude_m: float | None
    altitude_m: float | None


class FaultDetection(NamedTuple):
    """What the receiver's integrity check said (GBS)."""

    latitude_m: float | None
    longitude_m: float | None
    altitude_m: float | None
    failed_satellite: str | None
    """RINEX name of the most likely failed satellite."""


class Fix(NamedTuple):
    """Everything the sentences of one epoch said, contradictions resolved to the safer reading."""

    utc: Utc | None = None
    position: Position | None = None
    """None whenever the receiver says void, whatever coordinates it sends along."""
    mode: FixMode = FixMode.NONE
    dimensions: int | None = None
    """2 or 3; None when no GSA told it."""
    altitude_m: float | None = None
    """Above mean sea level, as the receiver computes it from its own geoid table."""
    geoid_separation_m: float | None = None
    """Height of the geoid above the ellipsoid; ellipsoidal height is altitude plus this."""
    speed_mps: float | None = None
    """Over ground; None without a position."""
    course_deg: float | None = None
    """Over ground, as reported. Whether it means anything at this speed is `core.course`'s question."""
    heading_deg: float | None = None
    """Where the vehicle points (HDT, THS, or HDG with its variation), never the course."""
    heading_magnetic_deg: float | None = None
    """HDG with its deviation applied, from magnetic north."""
    heard: tuple[HeardPage, ...] | None = None
    """This epoch's GSV sentences, one by one; None when there was none. `core.sky` carries them across epochs."""
    used: tuple[str, ...] | None = None
    """RINEX names listed as used (GSA); None when there was no list."""
    stated_in_fix: int | None = None
    """The number of satellites used as GGA or GNS states it."""
    pdop: float | None = None
    hdop: float | None = None
    vdop: float | None = None
    noise: PseudorangeNoise | None = None
    faults: FaultDetection | None = None
    correction_age_s: float | None = None
    correction_station: str | None = None
    navigational_status: str | None = None
    """S safe, C caution, U unsafe; V (not given) is None."""
    datum: str | None = None
    """From DTM, for example W84; None when not told."""
    contradictions: tuple[str, ...] = ()
    """Plain words for what the sentences of this epoch disagreed on."""
    told: bool = False
    """Whether any sentence said if there is a fix. A ZDA or GST with a time of its own is no void epoch."""

    @property
    def is_satellite_fix(self) -> bool:
        """Whether satellites gave this position (contract.md's meaning of a satellite fix)."""
        return self.position is not None and self.mode in SATELLITE_FIX_MODES

    @property
    def satellites_in_fix(self) -> int | None:
        """Listed as used; where none are listed, the number that the fix sentence states. A void epoch uses none."""
        if self.position is None:
            return None if self.used is None and self.stated_in_fix is None else 0
        return len(self.used) if self.used else self.stated_in_fix

    @property
    def satellites_in_view(self) -> int | None:
        """Distinct satellites in this epoch's GSV; None without a GSV."""
        return None if self.heard is None else len({one.name for page in self.heard for one in page.satellites})

    @property
    def satellites(self) -> tuple[Satellite, ...]:
        """Those this epoch names: heard (strongest signal of each), then those only listed as used.

        Worked out when asked for: a digest of a million sentences never asks.
        """
        heard: dict[str, Heard] = {}
        for page in self.heard or ():
            for one in page.satellites:
                heard[one.name] = strongest(heard.get(one.name), one)
        used = dict.fromkeys(self.used or ()) if self.position is not None else {}
        found = [Satellite(*one, one.name in used) for one in heard.values()]
        found.extend(Satellite(name, None, None, None, True) for name in used if name not in heard)
        return tuple(found)


def strongest(a: Heard | None, b: Heard) -> Heard:
    """The same satellite on two signals: the stronger, its place filled in from the other."""
    if a is None:
        return b
    first, second = (b, a) if (b.cno_dbhz or 0) > (a.cno_dbhz or 0) else (a, b)
    if first.elevation_deg is None or first.azimuth_deg is None:
        return first._replace(elevation_deg=second.elevation_deg, azimuth_deg=second.azimuth_deg)
    return first


NO_FIX = Fix()
"""The honest start: nothing has been said yet."""

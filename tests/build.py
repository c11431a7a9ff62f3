"""Sentences for tests: bodies in, checksummed sentences and lines out. All content is invented, in open ocean."""

from __future__ import annotations

from functools import reduce
from operator import xor

PLACE = "1030.0000,N,02015.0000,W"
"""10.5 north, 20.25 west: open ocean."""
LATITUDE, LONGITUDE = 10.5, -20.25


def xor_of(body: str) -> int:
    """Exclusive or of all characters, worked out in another way than the framer does."""
    return reduce(xor, body.encode("latin-1"), 0)


def sentence(body: str, start: str = "$") -> str:
    """The body with its start character and checksum."""
    return f"{start}{body}*{xor_of(body):02X}"


def line(body: str, end: str = "\r\n") -> bytes:
    """One sentence as it comes over the wire."""
    return (sentence(body) + end).encode("latin-1")


def lines(*bodies: str, end: str = "\r\n") -> bytes:
    """Several."""
    return b"".join(line(body, end) for body in bodies)


def clock(seconds: float) -> str:
    """Seconds of the day as hhmmss.ss; 86,400 is the leap second 23:59:60."""
    hundredths = round(seconds * 100)
    whole, rest = divmod(hundredths, 100)
    if whole == 86_400:
        return f"235960.{rest:02d}"
    return f"{whole // 3600:02d}{whole // 60 % 60:02d}{whole % 60:02d}.{rest:02d}"


def rmc(seconds: float | None, day: str = "040531", *, talker: str = "GN", status: str = "A", more: str = "A") -> str:
    """An RMC's body: 5 knots towards 90 degrees where valid; `more` is the mode letter and what follows it."""
    time = "" if seconds is None else clock(seconds)
    where = f"{PLACE},5.0,90.0" if status == "A" else ",,,,,"
    return f"{talker}RMC,{time},{status},{where},{day},,,{more}"


def gga(seconds: float | None, quality: str = "1", *, talker: str = "GN", altitude: str = "12.5") -> str:
    """A GGA's body, 8 satellites."""
    time = "" if seconds is None else clock(seconds)
    where = PLACE if quality not in {"", "0"} else ",,,"
    return f"{talker}GGA,{time},{where},{quality},08,1.1,{altitude},M,30.0,M,,"


def gll(seconds: float, status: str = "A", mode: str = "A") -> str:
    """A GLL's body."""
    return f"GNGLL,{PLACE},{clock(seconds)},{status},{mode}"


def gst(seconds: float, rms: str = "7.5") -> str:
    """A GST's body; `rms` makes it recognisable."""
    return f"GNGST,{clock(seconds)},{rms},,,,1.5,2.5,3.5"


def gsa(*numbers: int, talker: str = "GN", system: str = "", dimensions: int = 3) -> str:
    """A GSA's body; with `system` the form of 4.10."""
    twelve = ",".join([*(f"{number:02d}" for number in numbers), *[""] * (12 - len(numbers))])
    return f"{talker}GSA,A,{dimensions},{twelve},2.0,1.0,1.7" + (f",{system}" if system else "")


def gsv(page: int, pages: int, *numbers: int, talker: str = "GP", signal: str = "", cno: int = 40) -> str:
    """One page; elevation 45 and azimuth 90 for all."""
    groups = "".join(f",{number:02d},45,090,{cno}" for number in numbers)
    return f"{talker}GSV,{pages},{page},{len(numbers):02d}{groups}" + (f",{signal}" if signal else "")


def vtg(knots: float = 5.0, mode: str = "A") -> str:
    """A VTG's body, 90 degrees."""
    return f"GNVTG,90.0,T,,M,{knots},N,{knots * 1.852:.2f},K,{mode}"


def zda(seconds: float, day: str = "04,05,2031") -> str:
    """A ZDA's body."""
    return f"GNZDA,{clock(seconds)},{day},00,00"

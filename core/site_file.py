"""An averaging on the disk, so that hours of standing still survive a crash or an empty battery.

    averaging.csv        the fixes that count, a line each, appended while it goes (RFC 4180, header with units)
    averaging.DATE.csv   those that were ended, by the time of their first fix; never written to again
    averaging.json       running or paused, the mark, and which file was ended last; replaced as a whole

A torn last line, which a crash may leave, is passed over, as is whatever else is no fix.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from core.appended import append_lines, move_away
from core.fix import FixMode, Position, Utc
from core.kept_files import kept_lines, kept_object
from core.places.found import height_m
from core.site_session import Counted
from core.storage import replace_file

HEADER = (
    "utc,seconds,latitude_deg,longitude_deg,altitude_m,geoid_separation_m,mode,error_95_m,datum"
    # altitude_m is above mean sea level as the receiver reports it, error_95_m that of the one fix, horizontal.
)
FIELDS = 9
MOST_LINES = 1_000_000
"""Eleven days at one a second: what is older is left on the disk, not read."""
_UTC = re.compile(r"(\d{4}-\d\d-\d\d)?T(\d\d):(\d\d):(\d\d)\.(\d{3})Z")
LARGEST = 1_000_000
"""Bytes of the state: a name, a mark and some words."""
LAST_MS = 86_400_999
LONGEST_S = 1e10
"""Three hundred years. Beyond it, as beyond `WORST_ERROR_M`, a figure is none (our own choice)."""
WORST_ERROR_M = 1e7
_DATUM = re.compile(r"[A-Z0-9]{0,8}")


class SiteFile:
    """Files of averagings in one folder."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "averaging.csv"
        self._state = folder / "averaging.json"

    def append(self, counted: Sequence[Counted]) -> None:
        """Add fixes, on the disk when this returns. Raises InputError where that fails."""
        append_lines(self.path, HEADER, "".join(map(_line, counted)))

    def counted(self, name: str = "") -> list[Counted]:
        """The fixes that are under way, or those of one that was ended, in their order."""
        lines = kept_lines(self.path, name, MOST_LINES)
        return _in_order([one for one in map(_counted, lines) if one is not None])

    def end(self) -> str:
        """The averaging is over: its file keeps, under the name that is returned; empty where there is none.

        Raises InputError.
        """
        first = self.counted()[:1]
        moment = first[0].utc.datetime() if first and first[0].utc else None
        return move_away(self.path, f"averaging.{moment:%Y%m%d-%H%M%S}.csv" if moment else "averaging.undated.csv")

    def save_state(self, state: dict[str, Any]) -> None:
        """Raises InputError."""
        replace_file(self._state, json.dumps(state).encode())

    def state(self) -> dict[str, Any]:
        """What was kept; empty where nothing was. Raises InputError where it cannot be read."""
        return kept_object(self._state, LARGEST, "averaging") or {}

    def set_state_aside(self) -> str:
        """Out of the way of a new one, for whoever can mend it; the name that it has now. Raises InputError."""
        return move_away(self._state, f"{self._state.name}.unreadable")


def _line(one: Counted) -> str:
    latitude, longitude = one.position
    fields = (
        one.utc.iso() if one.utc else "",
        f"{one.t_s:.3f}",
        f"{latitude:.9f}",
        f"{longitude:.9f}",
        _figure(one.altitude_m, 3),
        _figure(one.separation_m, 3),
        one.mode.value,
        _figure(one.error_95_m, 3),
        one.datum if one.datum and _DATUM.fullmatch(one.datum) else "",
    )
    return ",".join(fields) + "\n"


def _figure(value: float | None, decimals: int) -> str:
    return "" if value is None or not math.isfinite(value) else f"{value:.{decimals}f}"


def _counted(line: str) -> Counted | None:
    fields = line.rstrip("\r\n").split(",")
    if len(fields) != FIELDS or not line.endswith("\n"):
        return None
    utc, seconds, latitude, longitude, altitude, separation, mode, error, datum = fields
    try:
        return Counted(
            _within(seconds, LONGEST_S),
            _utc(utc),
            _position(latitude, longitude),
            _height(altitude),
            _height(separation),
            FixMode(mode),
            _error(error) if error else None,
            datum or None if _DATUM.fullmatch(datum) else None,
        )
    except ValueError:
        return None


def _within(text: str, most: float) -> float:
    """NaN is in no range: it compares false."""
    value = float(text)
    if not abs(value) <= most:
        raise ValueError(text)
    return value


def _height(text: str) -> float | None:
    """One that can be none is unknown: the place beside it counts."""
    if text and not math.isfinite(float(text)):
        raise ValueError(text)
    return height_m(text) if text else None


def _error(text: str) -> float:
    value = _within(text, WORST_ERROR_M)
    if value < 0.0:
        raise ValueError(text)
    return value


def _position(latitude: str, longitude: str) -> Position:
    return Position(_within(latitude, 90.0), _within(longitude, 180.0))


def _utc(text: str) -> Utc | None:
    if not text:
        return None
    found = _UTC.fullmatch(text)
    if found is None:
        raise ValueError(text)
    day, *clock = found.groups()
    hours, minutes, seconds, ms = map(int, clock)
    time_ms = ((hours * 60 + minutes) * 60 + seconds) * 1000 + ms
    if time_ms > LAST_MS:
        raise ValueError(text)
    return Utc(time_ms, date.fromisoformat(day) if day else None)


def _in_order(found: list[Counted]) -> list[Counted]:
    """Time only goes on: a line that goes back was not written by us where it stands."""
    kept: list[Counted] = []
    for one in found:
        if not kept or one.t_s > kept[-1].t_s:
            kept.append(one)
    return kept

"""Doubts about rows that were understood: said, never corrected."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from core.bands import MHZ
from core.stations import Doubt, Finding, Station

CTCSS_HZ = (
    67.0, 69.3, 71.9, 74.4, 77.0, 79.7, 82.5, 85.4, 88.5, 91.5, 94.8, 97.4, 100.0, 103.5, 107.2, 110.9, 114.8, 118.8,
    123.0, 127.3, 131.8, 136.5, 141.3, 146.2, 150.0, 151.4, 156.7, 159.8, 162.2, 165.5, 167.9, 171.3, 173.8, 177.3,
    179.9, 183.5, 186.2, 189.9, 192.8, 196.6, 199.5, 203.5, 206.5, 210.7, 218.1, 225.7, 229.1, 233.6, 241.8, 250.3,
    254.1,
)  # fmt: skip
"""Tones of continuous tone-coded squelch (TIA-603 and makers' additions, from memory)."""
_TONE = re.compile(r"(?:ctcss|pl|tone|t)?\s*(\d{2,3}(?:[.,]\d{1,2})?)\s*(?:hz)?", re.ASCII | re.IGNORECASE)
_LEAST_TONE_HZ, _MOST_TONE_HZ = 60.0, 260.0
SAME_PLACE_DEG = 0.05
"""Two rows of one call and frequency so near each other are one station (5 km: two 6-character locators apart)."""


class Said(NamedTuple):
    """What the row itself says about its input, as far as it was understood."""

    shift_hz: int | None
    """As its own column gives it."""
    input_given: bool


def shift_doubts(station: Station, said: Said) -> Iterator[str]:
    """Why a station cannot listen where the list says."""
    output, listens, shift = station.output_hz, station.input_hz, station.shift_hz
    if output is None or listens is None or shift is None:
        return
    if said.input_given and said.shift_hz is not None and abs(said.shift_hz - shift) > 1:
        yield f"the input is {_mhz(shift)} MHz from the output, the shift says {_mhz(said.shift_hz)}"
    band = station.band
    if band is None:
        return
    if abs(shift) > band.width_hz:
        yield f"a shift of {_mhz(shift)} MHz leads out of the {band.name} band"
    elif not band.low_hz <= listens <= band.high_hz:
        yield f"the input {listens / MHZ:g} MHz is outside the {band.name} band"


def frequency_doubts(station: Station) -> Iterator[str]:
    """An output that no amateur band holds may be right: a list may hold other services."""
    if station.output_hz is not None and station.band is None:
        yield f"{station.output_hz / MHZ:g} MHz is in no amateur band"


def tone_doubts(station: Station) -> Iterator[str]:
    """Only of what looks like a tone in hertz: codes and colours are left alone."""
    found = _TONE.fullmatch(station.tone)
    tone_hz = float(found[1].replace(",", ".")) if found else None
    if tone_hz is None or not _LEAST_TONE_HZ <= tone_hz <= _MOST_TONE_HZ or tone_hz in CTCSS_HZ:
        return
    if "." not in station.tone and "," not in station.tone and int(tone_hz) in map(int, CTCSS_HZ):
        return  # 88 for 88.5: short, not wrong
    nearest = min(CTCSS_HZ, key=lambda one: abs(one - tone_hz))
    yield f"{tone_hz:g} Hz is no usual tone; the nearest is {nearest:g}"


def duplicates(stations: Iterable[Station]) -> Iterator[Finding]:
    """Rows that repeat an earlier one."""
    for station, first in twins(stations):
        yield Finding(station.row, station.title, Doubt.DUPLICATE, f"as row {first.row}")


def twins(stations: Iterable[Station]) -> Iterator[tuple[Station, Station]]:
    """Each that repeats an earlier one, with that one.

    Same are: call (or name), output and mode, and the place as far as is known.
    """
    first: dict[tuple[str, int | None, str], list[Station]] = {}
    for station in stations:
        key = (station.title.casefold(), station.output_hz, station.mode.casefold())
        same = first.setdefault(key, [])
        twin = next((one for one in same if _same_place(one, station)), None)
        if twin and (station.call or station.name):
            yield station, twin
        elif len(same) < 8:  # however many rows repeat a call at different places, this stays quick
            same.append(station)


def _same_place(a: Station, b: Station) -> bool:
    if a.position is None or b.position is None:
        return a.position is b.position
    east = (a.position.longitude_deg - b.position.longitude_deg + 180.0) % 360.0 - 180.0
    return abs(a.position.latitude_deg - b.position.latitude_deg) <= SAME_PLACE_DEG and abs(east) <= SAME_PLACE_DEG


def _mhz(hz: int) -> str:
    return f"{hz / MHZ:+g}"

"""Exports in memory for tests, and recordings written from walks with known truth."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.epochs import Epoch, EpochReader
from core.export_plan import Format, Plan
from core.exporting import Outcome, Source, export
from core.fix import Position
from core.formats.track_text import About
from core.sources.recording import has_checksums, open_recording
from tests.build import clock, line
from tests.recordings import FOLDER
from tests.walks import Step

_BUNDLED = sorted(Path(str(one)) for one in files("replays").iterdir() if one.name.endswith(".nmea.gz"))
_LONG = ("four_hours", "ridge_walk")
REPLAYS = [
    pytest.param(one, id=one.name, marks=[pytest.mark.slow] if one.name.startswith(_LONG) else []) for one in _BUNDLED
]
"""The bundled ones, the ferry across the antimeridian among them; those that are hours long only where asked for."""
FERRY = next(one for one in _BUNDLED if one.name.startswith("ferry"))
REAL = sorted(FOLDER.glob("*.nmea")) if FOLDER.is_dir() else []


def source(path: Path, *, is_rehearsal: bool = False) -> Source:
    """A recording, sentences without checksums taken where it has none at all."""
    return Source(lambda: open_recording(path), has_checksums(path), ErrorModel(), is_rehearsal)


def exported(path: Path, plan: Plan | Format, about: About | None = None) -> tuple[bytes, Outcome]:
    """The whole file."""
    outcome = Outcome()
    plan = Plan(plan) if isinstance(plan, Format) else plan
    return b"".join(export(source(path), plan, about or About(path.name), outcome)), outcome


@lru_cache(maxsize=2)
def epochs_of(path: Path) -> list[Epoch]:
    """Of a recording."""
    return list(EpochReader(open_recording(path), has_checksums(path)).epochs())


def fixes_of(path: Path) -> list[Epoch]:
    """Its satellite fixes: what an export without choices must hold, point for point."""
    return [one for one in epochs_of(path) if one.fix.is_satellite_fix]


def fix_lines(at_s: float, place: Position, quality: str = "1", altitude: str = "12.5,M,8.5,M") -> bytes:
    """RMC and GGA of one second of 4 May 2031, eight satellites, HDOP 0.9."""
    where = f"{_angle(place.latitude_deg, 2, 'NS')},{_angle(place.longitude_deg, 3, 'EW')}"
    mode = {"0": "N", "1": "A", "2": "D", "3": "P", "4": "R", "5": "F", "6": "E", "7": "M", "8": "S"}[quality]
    status = "V" if quality == "0" else "A"
    day = 4 + int(at_s // 86_400)
    return line(f"GNRMC,{clock(at_s % 86_400)},{status},{where},5.0,90.0,{day:02d}0531,,,{mode}") + line(
        f"GNGGA,{clock(at_s % 86_400)},{where},{quality},08,0.9,{altitude},,"
    )


def _angle(degrees: float, width: int, letters: str) -> str:
    whole, units = divmod(round(abs(degrees) * 60e7), 600_000_000)
    return f"{whole:0{width}d}{units // 10**7:02d}.{units % 10**7:07d},{letters[degrees < 0]}"


def recorded(path: Path, walk: Iterable[Step], *, begins_s: float = 43_200.0) -> Path:
    """A walk as a recording, from noon."""
    path.write_bytes(b"".join(fix_lines(begins_s + step.at_s, step.place) for step in walk))
    return path

"""`fixboard beam FROM TO`: where to turn the beam, as text to print or as JSON. No screen, and no import of one."""

from __future__ import annotations

from argparse import Namespace
from datetime import UTC, datetime
from typing import Any

from core.beam import BeamSheet, End, beam_sheet
from core.beam_text import USUAL_BEAMWIDTH_DEG, BeamPaper, beam_lines
from core.errors import UsageError
from core.places.norths import Bearings
from core.places.sun import FIRST_YEAR, LAST_YEAR
from tui.cli_places import Place, resolve
from tui.cli_queries import show
from tui.own_files import speak_own_units
from tui.speaking import printable, tell


def beam(options: Namespace) -> int:
    """The sheet of two places."""
    at = _moment(options.at)
    start, end = (_end(text, resolve(text)) for text in (options.start, options.end))
    sheet = beam_sheet(start, end, at)
    speak_own_units(json=options.json)
    width = options.beamwidth or USUAL_BEAMWIDTH_DEG
    if options.json:
        show(_json(sheet, width), True)
    else:
        tell("\n".join(printable(line) for line in beam_lines(sheet, BeamPaper(width, options.ascii))))
    return 0


def _moment(text: str | None) -> datetime:
    """UTC unless it says otherwise."""
    if text is None:
        return datetime.now(tz=UTC)
    try:
        found = datetime.fromisoformat(text)
    except ValueError as error:
        raise UsageError(f"--at {printable(text)} is no time: write it as 2031-05-04T14:32, in UTC") from error
    if not FIRST_YEAR < found.year < LAST_YEAR:
        raise UsageError(f"the sun is known from {FIRST_YEAR + 1} to {LAST_YEAR - 1}, not in {found.year}")
    return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)


def _end(text: str, found: Place) -> End:
    if found.waypoint:
        return End(found.waypoint.name, found.position, found.waypoint.error_95_m)
    return End(text, found.position, found.radius_m)


def _json(sheet: BeamSheet, width: float) -> dict[str, Any]:
    short, far, sun = sheet.short, sheet.long, sheet.sun
    return {
        "utc": sheet.at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "locators": list(sheet.locators),
        "distance_m": round(short.distance_m, 3) if short else 0.0,
        "contest_distance_km": round(sheet.contest_km, 1),
        "short_path": _bearings(short.bearings if short else None),
        "long_path": _bearings(far.bearings if far else None),
        "long_path_distance_m": round(far.distance_m, 3) if far else None,
        "back": _bearings(sheet.back),
        "uncertainty_deg": _rounded(sheet.uncertainty_deg),
        "by_characters": {str(one.characters): _rounded(one.uncertainty_deg) for one in sheet.fineness},
        "beamwidth_deg": width,
        "characters_needed": sheet.needed(width) if short else None,
        "sun": {"azimuth_true": _rounded(sun.azimuth_deg), "elevation_deg": _rounded(sun.elevation_deg)},
        "beam_right_of_sun_deg": _rounded(sheet.from_sun_deg),
        "sun_in_line": [
            {
                "utc": one.at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
                "is_behind": one.is_behind,
                "elevation_deg": _rounded(one.elevation_deg),
            }
            for one in sheet.crossings
        ],
    }


def _bearings(found: Bearings | None) -> dict[str, float | None]:
    return {
        "true": _rounded(found.true_deg if found else None),
        "magnetic": _rounded(found.magnetic_deg if found else None),
        "grid": _rounded(found.grid_deg if found else None),
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)

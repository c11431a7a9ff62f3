"""Trip sheets, and what stands in their text. Places are open ocean or published test points, names invented."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from core.fix import Position
from core.sheet_pen import Pen
from core.sheet_sections import text
from core.sheet_time import zone
from core.trip_sheet import Outing, Place, trip_sheet

EQUINOX = date(2025, 3, 20)
UTC_ZONE = zone("UTC")
HOME = Place("Ommery Landing", Position(0.0, 0.0))
METRES_PER_DEGREE = 111_319.4908
"""Along the equator of WGS 84: the semi-major axis times pi over 180."""


def east(metres: float, name: str = "Tessel Bank") -> Place:
    """So far along the equator."""
    return Place(name, Position(0.0, metres / METRES_PER_DEGREE))


def written(
    places: Sequence[Place], target: Place | None = None, outing: Outing | None = None, *, ascii_only: bool = False
) -> str:
    outing = outing or Outing(EQUINOX, UTC_ZONE)
    return text(trip_sheet(places, target, outing), Pen(outing.day, outing.zone, ascii_only))


def row(sheet: str, label: str) -> list[str]:
    """The first line that begins with the label, in words, without it."""
    line = next(line for line in sheet.splitlines() if line.split()[:1] == [label])
    return line.split()[1:]


def walked(sheet: str, number: int) -> list[str]:
    """The place's row in the table of walking times, in words, without its number."""
    return row(sheet[sheet.index("On foot") :], str(number))


def section(sheet: str, title: str) -> str:
    """From one heading to the next, on one line."""
    found = re.search(rf"^{re.escape(title)}[^\n]* -+\n(.*?)(?=^\S[^\n]* --+$|\Z)", sheet, re.DOTALL | re.MULTILINE)
    assert found, title
    return " ".join(found[1].split())

"""MGRS and the US National Grid: the square of the grid a point lies in, from 1 m to 10 km.

Letters of the squares as in DMA TM 8358.1, with the modern set of WGS 84 (from memory; tested against published
references). The reference names a square, so its figures are truncated, never rounded.
"""

from __future__ import annotations

import re
from itertools import product
from typing import NamedTuple

from core.fix import Position
from core.places.grids import BANDS, UPS_POLE_M, UPS_ZONE, Grid, grid, place

SQUARE_M = 100_000
_ROWS = "ABCDEFGHJKLMNPQRSTUV"
_ROW_CYCLE_M = 2_000_000
_COLUMN_SETS = ("ABCDEFGH", "JKLMNPQR", "STUVWXYZ")
"""Columns from 100 km easting on; the set follows the zone, modulo three."""
_EVEN_ZONE_SHIFT = 5
"""Rows of even zones begin with F."""
_POLAR_COLUMNS_WEST, _POLAR_COLUMNS_EAST = "JKLPQRSTUXYZ", "ABCFGHJKLPQR"
_POLAR_FIRST_M = 800_000
"""Easting where the western columns begin, and northing where the southern rows begin."""
_POLAR_ROWS = {True: ("ABCDEFGHJKLMNPQRSTUVWXYZ", _POLAR_FIRST_M), False: ("ABCDEFGHJKLMNP", 1_300_000)}
"""By whether the pole is the southern one: letters, and the northing of the first."""
_EDGE_SLACK_DEG = 1e-6
"""A tenth of a metre: a square whose edge is the band's."""
_SHAPE = re.compile(
    r"(?:(\d{1,2}) ?([C-HJ-NP-X])|([ABYZ])) ?([A-Z]) ?([A-Z])(?: ?(\d{0,10})| (\d{1,5}) (\d{1,5}))", re.ASCII
)


class GridSquare(NamedTuple):
    """What a reference names: a square, by its south-west corner."""

    corner: Grid
    size_m: int

    def at(self, east: float, north: float) -> Position:
        """A point of the square: 0, 0 is the south-west corner, 1, 1 the north-east one."""
        easting, northing = self.corner.easting_m + east * self.size_m, self.corner.northing_m + north * self.size_m
        return place(self.corner._replace(easting_m=easting, northing_m=northing))

    @property
    def centre(self) -> Position:
        """The middle of the square."""
        return self.at(0.5, 0.5)


def mgrs(position: Position, digits: int = 5) -> str:
    """The reference with 1 (10 km) to 5 (1 m) figures each way: `32U PU 91608 34764`.

    Raises ValueError for another number of figures.
    """
    if not 1 <= digits <= 5:
        raise ValueError(f"a grid reference has 1 to 5 figures each way, not {digits}")
    point = grid(position)
    east, north = int(point.easting_m), int(point.northing_m)
    column, row = (_polar_letters if point.zone == UPS_ZONE else _letters)(point)
    zone = f"{point.zone:02d}" if point.zone else ""
    figures = (f"{metres % SQUARE_M:05d}"[:digits] for metres in (east, north))
    return " ".join((f"{zone}{point.band}", column + row, *figures))


def square(text: str) -> GridSquare | None:
    """The square that a reference names, None where the text is none or its letters do not fit together.

    Spaces and lower case are fine; without figures the reference names a square of 100 km.
    """
    found = _SHAPE.fullmatch(text.upper())
    figures = _figures(found) if found else None
    if found is None or figures is None:
        return None
    zone, band = int(found[1] or UPS_ZONE), found[2] or found[3]
    if zone > 60 or (found[1] and zone == UPS_ZONE):
        return None
    (east, north), size = figures
    corners = _polar_corners if zone == UPS_ZONE else _corners
    whole = (
        point._replace(easting_m=point.easting_m + east, northing_m=point.northing_m + north)
        for point in corners(Grid(zone, band, 0, 0), found[4], found[5])
    )
    return next((one for point in whole if _fits(one := GridSquare(point, size))), None)


def _figures(found: re.Match[str]) -> tuple[tuple[int, int], int] | None:
    """Metres from the corner of the 100 km square, and the size of the square; None where the halves are unequal."""
    together = found[6] or ""
    half = len(together) // 2
    east, north = (found[7], found[8]) if found[7] else (together[:half], together[half:])
    if len(east) != len(north):
        return None
    size = 10 ** (5 - len(east))
    return (int(east or 0) * size, int(north or 0) * size), size


def _letters(point: Grid) -> tuple[str, str]:
    column = _COLUMN_SETS[(point.zone - 1) % 3][int(point.easting_m) // SQUARE_M - 1]
    return column, _ROWS[(int(point.northing_m) // SQUARE_M + _shift(point.zone)) % len(_ROWS)]


def _shift(zone: int) -> int:
    return _EVEN_ZONE_SHIFT if zone % 2 == 0 else 0


def _polar_letters(point: Grid) -> tuple[str, str]:
    west = point.band in "AY"
    columns = _POLAR_COLUMNS_WEST if west else _POLAR_COLUMNS_EAST
    rows, first_row = _POLAR_ROWS[point.is_south]
    first_column = _POLAR_FIRST_M if west else int(UPS_POLE_M)
    return (
        columns[(int(point.easting_m) - first_column) // SQUARE_M],
        rows[(int(point.northing_m) - first_row) // SQUARE_M],
    )


def _corners(point: Grid, column: str, row: str) -> list[Grid]:
    """South-west corners of the 100 km squares with these letters: the rows come again every 2,000 km."""
    columns = _COLUMN_SETS[(point.zone - 1) % 3]
    if column not in columns or row not in _ROWS:
        return []
    easting = (columns.index(column) + 1) * SQUARE_M
    northing = (_ROWS.index(row) - _shift(point.zone)) % len(_ROWS) * SQUARE_M
    return [point._replace(easting_m=easting, northing_m=northing + cycle * _ROW_CYCLE_M) for cycle in range(5)]


def _polar_corners(point: Grid, column: str, row: str) -> list[Grid]:
    west = point.band in "AY"
    columns = _POLAR_COLUMNS_WEST if west else _POLAR_COLUMNS_EAST
    rows, first_row = _POLAR_ROWS[point.is_south]
    if column not in columns or row not in rows:
        return []
    easting = columns.index(column) * SQUARE_M + (_POLAR_FIRST_M if west else int(UPS_POLE_M))
    return [point._replace(easting_m=easting, northing_m=rows.index(row) * SQUARE_M + first_row)]


def _fits(one: GridSquare) -> bool:
    """Whether the square touches its own band: nothing else tells one cycle of rows from the next."""
    south, north = _reach(one.corner.band)
    if one.corner.zone != UPS_ZONE and not south - 4 < _rough_latitude_deg(one.corner) < north + 4:
        return False
    # Northing bends towards the poles off the central meridian, which no square straddles: so the highest and the
    # lowest latitude of a square are in two opposite corners. Around a pole two more are looked at.
    near, far = (0, 1) if one.corner.easting_m >= 500_000 else (1, 0)
    corners = list(product((0, 1), (0, 1))) if one.corner.zone == UPS_ZONE else [(near, 1), (far, 0)]
    latitudes = [one.at(*corner).latitude_deg for corner in corners]
    return max(latitudes) >= south - _EDGE_SLACK_DEG and min(latitudes) <= north + _EDGE_SLACK_DEG


def _rough_latitude_deg(point: Grid) -> float:
    """By the quadrant of 10,000 km: good to a degree, where the cycles of rows are 18 degrees apart."""
    return (point.northing_m - (10_000_000 if point.is_south else 0)) * 90 / 10_000_000


def _reach(band: str) -> tuple[float, float]:
    """Southern and northern edge of a band in degrees."""
    if band not in BANDS:
        return (-90.0, -80.0) if band in "AB" else (84.0, 90.0)
    south = BANDS.index(band) * 8.0 - 80
    return south, 84.0 if band == "X" else south + 8

"""UTM and UPS: a point as metres east and north in a zone of the grid, and back.

Rules (DMA TM 8358.2): UTM from 80 S to below 84 N in zones of six degrees, scale 0.9996, false easting 500 km, false
northing 10,000 km in the south; UPS beyond, and at exactly 84 N; zone 32 widened over south-west Norway, 31 to 37 over
Svalbard.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from core.fix import Position
from core.places import polar_stereographic
from core.places.transverse_mercator import Projected, back, forward

UPS_ZONE = 0
"""The zone number that stands for UPS."""
BANDS = "CDEFGHJKLMNPQRSTUVWX"
"""Latitude bands of 8 degrees from 80 S on; the last is 12 degrees high."""
POLAR_BANDS = "ABYZ"
"""South-west, south-east, north-west, north-east; east begins at the meridian of Greenwich."""
UPS_POLE_M = 2_000_000.0
_FALSE_EASTING_M = 500_000.0
_FALSE_NORTHING_M = 10_000_000.0
_JUST_BELOW_EQUATOR_M = 9_999_999.999999
_DECIMALS = 6
"""Micrometres: the series are good to nanometres, and 499,999.9999999 on a central meridian must not be
cut to 499,999."""
_SVALBARD_ZONES = ((0, 31), (9, 33), (21, 35), (33, 37))
"""Western edge in degrees, zone; only in band X, 0 to below 42 E."""


class Grid(NamedTuple):
    """A point on the grid of one zone."""

    zone: int
    """1 to 60, or `UPS_ZONE`."""
    band: str
    """One of `BANDS`, or of `POLAR_BANDS` in UPS."""
    easting_m: float
    northing_m: float

    @property
    def is_south(self) -> bool:
        """Whether the point lies south of the equator."""
        return self.band in "AB" or self.band in BANDS[:10]


@lru_cache(maxsize=16)
def grid(position: Position) -> Grid:
    """Where the point lies on the grid of its own zone, to a micrometre; remembered, since every form of a fix asks."""
    latitude, longitude = position
    if latitude >= 84 or latitude < -80:
        return _ups(position)
    zone, band = zone_of(position), band_of(latitude)
    east = (longitude - central_meridian_deg(zone) + 180) % 360 - 180
    projected = forward(latitude, east)
    easting = round(projected.east_m + _FALSE_EASTING_M, _DECIMALS)
    if latitude >= 0:
        return Grid(zone, band, easting, round(projected.north_m, _DECIMALS))
    # A hair south of the equator stays in the southern band: its northing never reaches 10,000 km.
    northing = round(projected.north_m + _FALSE_NORTHING_M, _DECIMALS)
    return Grid(zone, band, easting, min(northing, _JUST_BELOW_EQUATOR_M))


def place(point: Grid) -> Position:
    """The point of the earth that grid coordinates name.

    Only the hemisphere is taken from the band. Eastings and northings beyond the grid's reach give a point far off, so
    check them first.
    """
    if point.zone == UPS_ZONE:
        return _from_ups(point)
    northing = point.northing_m - (_FALSE_NORTHING_M if point.is_south else 0)
    latitude, east = back(Projected(point.easting_m - _FALSE_EASTING_M, northing))
    return Position(latitude, _wrapped(east + central_meridian_deg(point.zone)))


def band_of(latitude_deg: float) -> str:
    """The UTM band of a latitude from 80 S to 84 N. Exact at the edges: floor division of floats does not round."""
    return BANDS[min(int(latitude_deg // 8) + 10, len(BANDS) - 1)]


def zone_of(position: Position) -> int:
    """The UTM zone, 1 to 60, with the exceptions of Norway and Svalbard; 180 degrees east is 180 degrees west."""
    longitude = position.longitude_deg
    band = band_of(position.latitude_deg)
    if band == "V" and 3 <= longitude < 6:
        return 32
    if band == "X" and 0 <= longitude < 42:
        return max(zone for west, zone in _SVALBARD_ZONES if longitude >= west)
    return int(longitude // 6 + 30) % 60 + 1


def central_meridian_deg(zone: int) -> int:
    """The middle of a UTM zone, east positive."""
    return zone * 6 - 183


def utm(position: Position) -> str:
    """Zone and band, easting and northing in whole metres, rounded: `32U 691608 5334764`; in UPS the band alone."""
    point = grid(position)
    zone = f"{point.zone:02d}" if point.zone else ""
    return f"{zone}{point.band} {_metres(point.easting_m)} {_metres(point.northing_m)}"


def _metres(value: float) -> int:
    """Whole metres, halves up; grid coordinates are never negative."""
    return int(value + 0.5)


def _ups(position: Position) -> Grid:
    projected = polar_stereographic.forward(*position, south=position.latitude_deg < 0)
    easting, northing = (round(UPS_POLE_M + metres, _DECIMALS) for metres in projected)
    east = easting >= UPS_POLE_M
    return Grid(UPS_ZONE, POLAR_BANDS[(2 if position.latitude_deg > 0 else 0) + east], easting, northing)


def _from_ups(point: Grid) -> Position:
    unfalsed = polar_stereographic.Polar(point.easting_m - UPS_POLE_M, point.northing_m - UPS_POLE_M)
    latitude, longitude = polar_stereographic.back(unfalsed, south=point.is_south)
    # Every meridian meets in the pole; the one of Greenwich is written.
    return Position(latitude, longitude if abs(latitude) < 90 else 0.0)


def _wrapped(longitude_deg: float) -> float:
    return longitude_deg if -180 <= longitude_deg <= 180 else (longitude_deg + 180) % 360 - 180

"""Distances as contests score them: between the middles of sub-squares, on a sphere.

IARU Region 1, VHF contest rules: 111.2 km to the degree (from memory; trade-facts call it so too). It is not the true
distance: the sphere is up to half a per cent off the earth, and the middle of a sub-square kilometres off the station.
"""

from __future__ import annotations

import math

from core.fix import Position
from core.places.locator import box, locator

KM_PER_DEGREE = 111.2
CHARACTERS = 6


def contest_km(a: Position, b: Position) -> float:
    """Kilometres between the sub-squares that two places lie in; 0 within one. What is rounded is the rules' to say."""
    return degrees_between(*(box(locator(one, CHARACTERS)).centre for one in (a, b))) * KM_PER_DEGREE


def degrees_between(a: Position, b: Position) -> float:
    """Of the great circle, 0 to 180, by the haversine: exact where others lose digits, next door."""
    north = math.radians(b.latitude_deg - a.latitude_deg)
    east = math.radians(b.longitude_deg - a.longitude_deg)
    across = math.cos(math.radians(a.latitude_deg)) * math.cos(math.radians(b.latitude_deg))
    half = math.sin(north / 2) ** 2 + across * math.sin(east / 2) ** 2
    return math.degrees(2 * math.asin(math.sqrt(min(1.0, half))))

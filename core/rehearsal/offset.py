"""From metres east and north back to coordinates; from a covariance to error statistics."""

from __future__ import annotations

import math

from geographiclib.geodesic import Geodesic

from core.fix import Position, PseudorangeNoise
from core.places.geodesic import FLATTENING, POLAR_LIMIT_DEG, SEMI_MAJOR_M
from core.rehearsal.solve import Solution

LOCAL_LIMIT_M = 1000.0
_E2 = FLATTENING * (2 - FLATTENING)


def moved(start: Position, east_m: float, north_m: float) -> Position:
    """`start` moved over the ground.

    Up to a kilometre on the two radii of curvature, which leaves out s^2 tan(latitude) / 2R, a millimetre in 100 m at
    mid-latitudes; else, and near the poles, by the geodesic.
    """
    latitude, longitude = start
    if abs(latitude) > POLAR_LIMIT_DEG or math.hypot(east_m, north_m) > LOCAL_LIMIT_M:
        return _by_geodesic(start, east_m, north_m)
    sine = math.sin(math.radians(latitude))
    w2 = 1 - _E2 * sine * sine
    prime_vertical_m = SEMI_MAJOR_M / math.sqrt(w2)
    north = math.degrees(north_m * w2 / (prime_vertical_m * (1 - _E2)))
    east = math.degrees(east_m / (prime_vertical_m * math.cos(math.radians(latitude))))
    return Position(latitude + north, _wrapped(longitude + east))


def _by_geodesic(start: Position, east_m: float, north_m: float) -> Position:
    bearing = math.degrees(math.atan2(east_m, north_m))
    end = Geodesic.WGS84.Direct(*start, bearing, math.hypot(east_m, north_m))
    return Position(end["lat2"], _wrapped(end["lon2"]))


def _wrapped(longitude_deg: float) -> float:
    """-180 to below 180; what lies between stays as it is, to the last bit."""
    return longitude_deg if -180.0 <= longitude_deg < 180.0 else (longitude_deg + 180.0) % 360.0 - 180.0


def statistics(solution: Solution, sigmas_m: list[float]) -> PseudorangeNoise:
    """GST's fields from the covariance by the receiver's own sigmas. No altitude where the height was held."""
    ee, nn, uu, en, _, _ = solution.covariance_m2
    half, spread = (ee + nn) / 2, math.hypot((ee - nn) / 2, en)
    return PseudorangeNoise(
        range_rms_m=math.sqrt(sum(one * one for one in sigmas_m) / len(sigmas_m)),
        semi_major_m=math.sqrt(half + spread),
        semi_minor_m=math.sqrt(max(half - spread, 0.0)),
        orientation_deg=math.degrees(math.atan2(2 * en, nn - ee)) / 2 % 180.0,
        latitude_m=math.sqrt(nn),
        longitude_m=math.sqrt(ee),
        altitude_m=math.sqrt(uu) if solution.dimensions == 3 else None,
    )

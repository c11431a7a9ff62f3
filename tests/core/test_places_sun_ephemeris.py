"""Where the sun stands, against a numerical ephemeris and an independent library.

Source: JPL DE430, the excerpt of 18 February to 6 March 2015 that the package skyfield 1.55 carries for its own tests,
evaluated with that package: apparent place, without refraction.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.sun import sun_position

skyfield = pytest.importorskip("skyfield", reason="the test extra is not installed")
from skyfield.api import load, load_file, wgs84  # noqa: E402 - only where the package is there

EXCERPT = Path(skyfield.__file__).parent / "tests" / "data" / "de430-2015-03-02.bsp"
TOLERANCE_DEG = 0.01
"""A thirtieth of the sun's width; 0.0025 was the most seen in 18 tries."""
FIRST = datetime(2015, 2, 27, tzinfo=UTC)

pytestmark = pytest.mark.skipif(not EXCERPT.exists(), reason="this release of skyfield carries no excerpt of DE430")


@pytest.fixture(scope="module")
def ephemeris() -> Any:
    return load_file(str(EXCERPT))


@given(
    latitude=st.floats(-85.0, 85.0),
    longitude=st.floats(-180.0, 179.9),
    minutes=st.integers(0, 6 * 24 * 60),
)
def test_the_sun_stands_where_the_ephemeris_has_it(
    ephemeris: Any, latitude: float, longitude: float, minutes: int
) -> None:
    moment = FIRST + timedelta(minutes=minutes)
    place = ephemeris["earth"] + wgs84.latlon(latitude, longitude)
    instant = load.timescale(builtin=True).from_datetime(moment)
    elevation, azimuth, _ = place.at(instant).observe(ephemeris["sun"]).apparent().altaz()
    ours = sun_position(Position(latitude, longitude), moment)
    assert ours.elevation_deg == pytest.approx(elevation.degrees, abs=TOLERANCE_DEG)
    if abs(elevation.degrees) < 80.0:  # near the zenith the azimuth runs away
        off = (ours.azimuth_deg - azimuth.degrees + 180.0) % 360.0 - 180.0
        assert abs(off) < TOLERANCE_DEG * 6.0  # 1 / cos(80 degrees) is just below 6

"""The strings for machines: ISO 6709 and geo: URIs, written and read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Position
from core.places.geo_uri import geo_uri, parse_geo_uri
from core.places.iso6709 import iso6709, parse_iso6709
from core.places.notation import Form
from tests.tables import rows

TABLE = rows("iso6709.csv")
LATITUDES, LONGITUDES = st.floats(-90, 90), st.floats(-180, 180)
HEIGHTS = st.none() | st.floats(-500, 9000)


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 19


@pytest.mark.parametrize("row", TABLE, ids=[row["string"] for row in TABLE])
def test_the_table_s_strings_are_read(row: dict[str, str]) -> None:
    found = parse_iso6709(row["string"])
    assert found is not None
    assert found.position == pytest.approx((float(row["lat"]), float(row["lon"])), abs=1e-9)
    assert found.ellipsoidal_height_m == (float(row["height_m"]) if row["crs"] else None)
    assert row["form"].removesuffix(" with height").removeprefix("with height and CRS") in found.explanation.replace(
        ",", ""
    )


@pytest.mark.parametrize(
    ("position", "height", "decimals", "text"),
    [
        ((40.20361, -75.00417), None, 5, "+40.20361-075.00417/"),
        ((40.20361, -75.00417), 2.75, 5, "+40.20361-075.00417+2.8CRSWGS_84/"),
        ((-5.0, 7.25), -12.34, 2, "-05.00+007.25-12.3CRSWGS_84/"),
        # The equator and the meridian of Greenwich are positive, also after rounding; the 180th meridian is negative.
        ((-0.0, -0.0), None, 5, "+00.00000+000.00000/"),
        ((-0.000004, -0.000004), None, 5, "+00.00000+000.00000/"),
        ((0.0, 180.0), None, 5, "+00.00000-180.00000/"),
        ((0.0, 179.999999), None, 5, "+00.00000-180.00000/"),
        ((-90.0, -180.0), None, 0, "-90-180/"),
        # Halves away from zero on both sides: 1/64 degree is one, exactly.
        ((1 / 64, -1 / 64), None, 5, "+00.01563-000.01563/"),
        ((9.999995, -99.999996), None, 5, "+10.00000-100.00000/"),
    ],
)
def test_iso6709_is_written(position: tuple[float, float], height: float | None, decimals: int, text: str) -> None:
    assert iso6709(Position(*position), height, decimals) == text


@pytest.mark.parametrize(
    "text",
    [
        "+91-000/", "+40-181/", "+40.5-75.5/", "+4060-07500/", "+40-07500/", "+40.5-075.5+3CRSELSEWHERE/",
        "40.5-075.5/", "+40.5-075.5//", "+٤٠-075/", "+405-075/", "",
    ],
)  # fmt: skip
def test_other_strings_are_not_iso6709(text: str) -> None:
    assert parse_iso6709(text) is None


@given(LATITUDES, LONGITUDES, HEIGHTS, st.integers(0, 9))
def test_iso6709_comes_back(latitude: float, longitude: float, height: float | None, decimals: int) -> None:
    found = parse_iso6709(iso6709(Position(latitude, longitude), height, decimals))
    assert found is not None
    step = 10.0**-decimals
    assert abs(found.position.latitude_deg - latitude) <= step / 2 * 1.000001
    assert abs((found.position.longitude_deg - longitude + 180) % 360 - 180) <= step / 2 * 1.000001
    assert (found.ellipsoidal_height_m is None) == (height is None)
    assert abs((found.ellipsoidal_height_m or 0) - (height or 0)) <= 0.0500001


@given(LATITUDES, LONGITUDES, HEIGHTS, st.integers(0, 9))
def test_geo_uris_come_back(latitude: float, longitude: float, height: float | None, decimals: int) -> None:
    found = parse_geo_uri(geo_uri(Position(latitude, longitude), height, decimals))
    assert found is not None
    half = 10.0**-decimals / 2 * 1.000001
    assert found.form is Form.GEO_URI
    assert abs(found.position.latitude_deg - latitude) <= half
    assert abs(found.position.longitude_deg - longitude) <= half
    assert (found.ellipsoidal_height_m is None) == (height is None)


@pytest.mark.parametrize(
    ("text", "position", "height", "radius_m"),
    [
        ("geo:47.5,11.25", (47.5, 11.25), None, None),
        ("GEO:-47.5,-11.25,30", (-47.5, -11.25), 30.0, None),
        ("geo:47.50000,11.25000;crs=WGS84;u=250", (47.5, 11.25), None, 250.0),
        ("geo:47.50000,11.25000;u=0.001", (47.5, 11.25), None, None),
    ],
)
def test_geo_uris_are_read(
    text: str, position: tuple[float, float], height: float | None, radius_m: float | None
) -> None:
    found = parse_geo_uri(text)
    assert found is not None
    assert (found.position, found.ellipsoidal_height_m) == (position, height)
    # A stated uncertainty counts only where it is larger than what the figures leave open.
    assert found.radius_m == radius_m if radius_m else 0.6 < found.radius_m < 10_000


@pytest.mark.parametrize(
    "text",
    ["geo:", "geo:91,0", "geo:0,181", "geo:1,2;crs=elsewhere", "geo:1", "geo:1,2,3,4", "geo:+1,2", "geo:1e1,2", "1,2"],
)
def test_other_texts_are_no_geo_uri(text: str) -> None:
    assert parse_geo_uri(text) is None


def test_minus_zero_is_not_written() -> None:
    assert geo_uri(Position(-0.0000001, -0.0)) == "geo:0.00000,0.00000"

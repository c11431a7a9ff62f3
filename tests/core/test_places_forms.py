"""All forms of a place side by side, and how many figures they show."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import Position
from core.places.forms import all_forms, digits_for, ellipsoidal_height_m
from core.places.geodesic import way
from core.places.notation import Form, Notation, write
from core.places.reading import read

LATITUDES = st.floats(-90, 90) | st.sampled_from([-90.0, -80.0, 0.0, -0.0, 84.0, 90.0])
LONGITUDES = st.floats(-180, 180) | st.sampled_from([-180.0, 180.0, 0.0, 6.0])


def test_every_form_has_its_place_in_the_contract() -> None:
    assert all_forms(Position(47.5, -11.25), 100.0, 40.0) == {
        "decimal": "47.50000° N 011.25000° W",
        "degrees_minutes": "47° 30.000' N 011° 15.000' W",
        "degrees_minutes_seconds": "47° 30' 00.0\" N 011° 15' 00.0\" W",
        "utm": "29T 330549 5263183",
        "mgrs": "29T LN 30548 63183",
        "locator": "IN47jm",
        "iso6709": "+47.50000-011.25000+140.0CRSWGS_84/",
        "geo_uri": "geo:47.50000,-11.25000,140.0",
    }


@pytest.mark.parametrize(("altitude", "separation"), [(None, 40.0), (100.0, None), (None, None)])
def test_height_is_ellipsoidal_or_left_out(altitude: float | None, separation: float | None) -> None:
    assert ellipsoidal_height_m(altitude, separation) is None
    forms = all_forms(Position(47.5, 11.25), altitude, separation)
    assert (forms["iso6709"], forms["geo_uri"]) == ("+47.50000+011.25000/", "geo:47.50000,11.25000")


@pytest.mark.parametrize(
    ("error_m", "figures"),
    [
        # decimals of a degree, of a minute, of a second; UTM; MGRS each way; characters of a locator
        (5.0, (5, 3, 1, 0, 5, 10)),
        (50.0, (4, 2, 0, 0, 4, 10)),
        (500.0, (3, 1, 0, 0, 3, 8)),
        (5_000.0, (2, 0, 0, 0, 2, 6)),
        (1e9, (1, 0, 0, 0, 1, 4)),
        (0.02, (7, 5, 3, 0, 5, 10)),
        (0.0, (7, 5, 3, 0, 5, 10)),
        (None, (5, 3, 1, 0, 5, 6)),
        (math.nan, (5, 3, 1, 0, 5, 6)),
    ],
)
def test_figures_follow_the_error(error_m: float | None, figures: tuple[int, ...]) -> None:
    assert tuple(digits_for(error_m, form) for form in list(Form)[:6]) == figures
    assert digits_for(error_m, Form.ISO6709) == digits_for(error_m, Form.GEO_URI) == figures[0]


def test_forms_show_no_more_than_the_error_is_worth() -> None:
    forms = all_forms(Position(47.5, 11.25), error_m=500.0)
    assert [forms[key] for key in ("decimal", "mgrs", "locator", "geo_uri")] == [
        "47.500° N 011.250° E",
        "32T PT 694 631",
        "JN57pm00",
        "geo:47.500,11.250",
    ]


def test_degrees_can_be_written_with_any_number_of_decimals() -> None:
    place = Position(9 + 59.6 / 60, -1 / 64)
    assert write(place, Notation.DEGREES_MINUTES, 0) == ("10° 00' N", "000° 01' W")
    assert write(place, Notation.DEGREES_MINUTES_SECONDS, 0) == ("09° 59' 36\" N", "000° 00' 56\" W")
    assert write(place, Notation.DECIMAL, 0) == ("10° N", "000° W")
    assert write(place, Notation.DECIMAL, 6) == ("09.993333° N", "000.015625° W")


@given(LATITUDES, LONGITUDES, st.sampled_from([None, 0.01, 3.0, 40.0, 700.0, 1e5]), st.sampled_from(list(Form)))
@settings(max_examples=200, deadline=None)
def test_what_is_written_is_read_back_within_its_last_digit(
    latitude: float, longitude: float, error_m: float | None, form: Form
) -> None:
    point = Position(latitude, longitude)
    text = all_forms(point, error_m=error_m)[form.value]
    readings = [one for one in read(text) if one.form is form]
    # The radius is that of the last digit, on a sphere: hence 2 %, and a millimetre for the pole.
    assert any(way(one.position, point).distance_m <= one.radius_m * 1.02 + 0.001 for one in readings), text
    # Only UTM's letter S has two meanings.
    assert len(readings) == 1 or (form is Form.UTM and text[2] == "S")

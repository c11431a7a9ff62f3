"""What people type and paste: one reading where one is plausible, all where more are, a refusal that helps."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import InputError
from core.places.notation import Form
from core.places.reading import MAX_CHARACTERS, read

DEC, MIN, SEC = Form.DECIMAL, Form.DEGREES_MINUTES, Form.DEGREES_MINUTES_SECONDS


@pytest.mark.parametrize(
    ("text", "form", "latitude", "longitude"),
    [
        # Letters before and after, lower case, words.
        ("47.5N 11.25E", DEC, 47.5, 11.25),
        ("N47.5 E11.25", DEC, 47.5, 11.25),
        ("n 47.5, w 11.25", DEC, 47.5, -11.25),
        ("47.5 south 11.25 west", DEC, -47.5, -11.25),
        ("N 47.5 11.25 E", DEC, 47.5, 11.25),
        ("lat: 47.5 lon: -11.25", DEC, 47.5, -11.25),
        ("Latitude=47.5, Longitude=11.25", DEC, 47.5, 11.25),
        # Letters and words decide the order, nothing else does.
        ("11.25E 47.5N", DEC, 47.5, 11.25),
        ("W 11 15, N 47 30", MIN, 47.5, -11.25),
        ("lon 11.25 lat 47.5", DEC, 47.5, 11.25),
        ("12.5 47.25", DEC, 12.5, 47.25),
        # Signs.
        ("-33.5,18.25", DEC, -33.5, 18.25),
        ("+33.5 -18.25", DEC, 33.5, -18.25),
        ("−33.5 −18.25", DEC, -33.5, -18.25),
        ("-0.5, -0.25", DEC, -0.5, -0.25),
        ("-0 30 -0 15", MIN, -0.5, -0.25),
        # Separators, brackets, decimal commas.
        ("(47.5; 11.25)", DEC, 47.5, 11.25),
        ("47.5 / 11.25", DEC, 47.5, 11.25),
        ("47.5\t11.25", DEC, 47.5, 11.25),
        ("47.5\u00a0\u202f11.25\r\n", DEC, 47.5, 11.25),
        ("47.5 N\n11.25 E", DEC, 47.5, 11.25),
        ("47,123456, 8,123456", DEC, 47.123456, 8.123456),
        ("47° 10,5' N; 8° 30,3' E", MIN, 47.175, 8.505),
        # Symbols of all sorts, or none.
        ("47°10.5'N 8°30.3'E", MIN, 47.175, 8.505),
        ("47º 10.5’ 8º 30.3’", MIN, 47.175, 8.505),
        ("47 10.5 8 30.3", MIN, 47.175, 8.505),
        ("47:10.5 N 8:30.3 E", MIN, 47.175, 8.505),
        ("47°10'12\"N, 8°30'36\"W", SEC, 47.17, -8.51),
        ("47° 10′ 12″ N 8° 30′ 36″ W", SEC, 47.17, -8.51),
        ("47° 10' 12'' 8° 30' 36''", SEC, 47.17, 8.51),
        ("47d10m12s n 8d30m36s e", SEC, 47.17, 8.51),
        ("47d10m12s 8d30m36s", SEC, 47.17, 8.51),
        ("47 deg 10 min 12 sec S 8 deg 30 min 36 sec E", SEC, -47.17, 8.51),
        ("47-10-12N 008-30-36E", SEC, 47.17, 8.51),
        ("47 10 12 8 30 36", SEC, 47.17, 8.51),
        ("47 10 12, 8.5", SEC, 47.17, 8.5),
        # Figures run together.
        ("4710N 00830E", MIN, 47 + 1 / 6, 8.5),
        ("4710N 830E", MIN, 47 + 1 / 6, 8.5),
        ("4710.5S 00830.3W", MIN, -47.175, -8.505),
        ("4710.500,N,00830.300,E", MIN, 47.175, 8.505),
        ("471012N 0083036E", SEC, 47.17, 8.51),
        # The ends of the scale.
        ("90 180", DEC, 90.0, 180.0),
        ("90 S 180 W", DEC, -90.0, -180.0),
        ("89 59 59.9 179 59 59.9", SEC, 89 + 3599.9 / 3600, 179 + 3599.9 / 3600),
        # Grids and locators.
        ("32T 669451 5263183", Form.UTM, 47.5, 11.249994),
        ("utm zone 32 t 669451 mE 5263183 mN", Form.UTM, 47.5, 11.249994),
        ("32 North 669451, 5263183", Form.UTM, 47.5, 11.249994),
        ("UPS N 1530125.78 2426773.60", Form.UTM, 84.287234, -132.247990),
        ("y 1530125.78 2426773.60", Form.UTM, 84.287234, -132.247990),
        ("32TPT6945163183", Form.MGRS, 47.500001, 11.250001),
        ("32t pt 69451 63183", Form.MGRS, 47.500001, 11.250001),
        ("JN57pm", Form.LOCATOR, 47.520833, 11.291667),
        ("jn 57 PM", Form.LOCATOR, 47.520833, 11.291667),
        # Strings of a standard mean what the standard says.
        ("+0030+00015/", Form.ISO6709, 0.5, 0.25),
        ("-33.5+018.25", Form.ISO6709, -33.5, 18.25),
        (" geo:47.5,-11.25;u=10 ", Form.GEO_URI, 47.5, -11.25),
    ],
)
def test_one_reading(text: str, form: Form, latitude: float, longitude: float) -> None:
    readings = read(text)
    assert len(readings) == 1, readings
    assert readings[0].form is form
    # A metre where the text says no more, else as exact as floats are.
    slack = 1e-5 if form in {Form.UTM, Form.MGRS, Form.LOCATOR} else 1e-12
    assert readings[0].position == pytest.approx((latitude, longitude), abs=slack)


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("47,5 11,5", [(47.5, 11.5), (47 + 5 / 60, 11 + 5 / 60)]),
        ("47,5; 11,5", [(47.5, 11.5), (47 + 5 / 60, 11 + 5 / 60)]),
        ("47.5-11.5", [(47.5, -11.5), (47.5, 11.5)]),
        ("47.5 - 11.5", [(47.5, -11.5), (47.5, 11.5)]),
        ("0030 00015", [(30.0, 15.0), (0.5, 0.25)]),
        ("0012.5N 00012.5E", [(12.5, 12.5), (12.5 / 60, 12.5 / 60)]),
        ("47.5N 8.5", [(47.5, 8.5), (47.5, -8.5)]),
        ("47.5, E 8.5", [(47.5, 8.5), (-47.5, 8.5)]),
        ("18S 323394 4307396", [(38.897703, -77.036503), (-51.357208, -77.536549)]),
    ],
)
def test_every_plausible_reading_with_its_reason(text: str, places: list[tuple[float, float]]) -> None:
    readings = read(text)
    assert [one.position for one in readings] == [pytest.approx(place, abs=1e-5) for place in places]
    assert len({one.explanation for one in readings}) == len(places)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "it is empty"),
        ("   ", "it is empty"),
        ("hello", "it holds no number"),
        ("47.5", "1 number;"),
        ("47 10 8", "3 numbers; put a comma"),
        ("120 45", "at most 90"),
        ("91 0", "at most 90"),
        ("45 180.001", "longitude at most 180"),
        ("90 0.1 N 8 30 E", "fit no notation"),
        ("47 60 N 8 30 E", "below 60"),
        ("47 10 60 8 30 0", "below 60"),
        ("47.5 10 8 30", "fit no notation"),
        ("-47 N 8 E", "fit no notation"),
        ("47 N 8 S", "fit no notation"),
        ("47 N 8 E 9", "3 numbers"),
        ("1 2 3 4 5 6 7 8", "8 numbers"),
        ("32U PU 916 3480", "equal halves"),
        ("32X 669451 5263183", "other letters"),
        ("geo:95,0", "geo: URI"),
        ("geo:1,2;crs=elsewhere", "geo: URI"),
        ("1e1 2e1", "fit no notation"),
        ("٤٧ ١١", "other than 0 to 9"),
        ("４７ １１", "other than 0 to 9"),
        ("²47 11", "other than 0 to 9"),
        ("47.5\x1b[31m 11.5", "cannot be seen"),
        ("47.5\u202e 11.5", "cannot be seen"),
        ("47.5\u200b 11.5", "cannot be seen"),
        ("47.5\x00 11.5", "cannot be seen"),
        ("9" * 1000, "at most 200 characters"),
    ],
)
def test_a_refusal_says_what_was_understood_and_gives_examples(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        read(text)
    message = str(caught.value)
    assert says in message
    assert "for example 47.5 N" in message
    assert message.isprintable()


def test_the_examples_of_the_refusal_can_be_read() -> None:
    with pytest.raises(InputError) as caught:
        read("?")
    listed = str(caught.value).split("for example ")[1].rstrip(".").replace(" or ", ", ").split(", ")
    assert [read(example)[0].form for example in listed] == [DEC, MIN, Form.UTM, Form.LOCATOR, Form.GEO_URI]


@pytest.mark.parametrize(
    ("text", "radius_m"),
    [
        # Half of a last digit, north and east.
        ("0.00001 0.00001", 0.786),
        ("0.1 0", 55_874.0),
        ("60 0.0 N 0 0.0 E", 103.6),
        ("31N 500000 0", 0.707),
        ("31NEA0000", 707.0),
        ("geo:0.00000,0.00000;u=30", 30.0),
    ],
)
def test_coarse_figures_make_an_uncertain_place(text: str, radius_m: float) -> None:
    assert read(text)[0].radius_m == pytest.approx(radius_m, rel=0.01)


ALPHABET = "0123456789.,;:+-/ nsewNSEWdmDMuptaz°'\"()\n"
TEXTS = st.text(st.sampled_from(ALPHABET), max_size=40) | st.text(max_size=60) | st.text(min_size=MAX_CHARACTERS - 5)


@given(TEXTS)
@settings(deadline=None)
def test_hostile_text_gives_places_on_earth_or_a_refusal(text: str) -> None:
    try:
        readings = read(text)
    except InputError as refusal:
        assert str(refusal).isprintable()
        return
    assert readings
    for one in readings:
        assert -90 <= one.position.latitude_deg <= 90
        assert -180 <= one.position.longitude_deg <= 180
        assert 0 <= one.radius_m < 1e8
        assert one.explanation.isprintable()


@pytest.mark.parametrize("piece", ["1 ", "1,", "-", "1-", "n", "1n", "'", "1;", "0.", "(", "1a", ",,", "1 - "])
def test_the_longest_texts_of_one_piece_are_refused(piece: str) -> None:
    with pytest.raises(InputError):
        read((piece * MAX_CHARACTERS)[:MAX_CHARACTERS])

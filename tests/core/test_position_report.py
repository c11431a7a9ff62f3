"""What is read out: the notation of who listens, digits by the error, the alphabet, and nothing that is not known."""

from __future__ import annotations

import random
from datetime import date

import pytest

from core.blur import Blur, BlurKind, parse_blur
from core.fix import Position, Utc
from core.places.geodesic import distance_m
from core.places.notation import Form
from core.places.reading import read
from core.position_report import (
    Audience,
    Manner,
    Report,
    Situation,
    figures_for,
    report,
)
from core.read_back import check, place_of
from core.report_speech import ALPHABET, PLAIN, PRONOUNCED, spoken

SPOT = Position(-(10 + 30.074 / 60), -(2 + 5.26 / 60))
FIX = Situation(SPOT, 7.0, Utc(43_200_000, date(2031, 5, 4)), 11.0)
LAND, SEA, AIR = Audience.LAND, Audience.SEA, Audience.AIR


def said(situation: Situation = FIX, audience: Audience = LAND, **more: object) -> Report:
    return report(situation, Manner(audience, **more))  # type: ignore[arg-type]  # each test gives what it means


def test_the_alphabet_is_the_published_one() -> None:
    """ITU Radio Regulations, Appendix 14; its odd spellings are meant."""
    words = (
        "Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike November Oscar Papa Quebec "
        "Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu"
    )
    assert " ".join(ALPHABET[letter] for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == words


def test_figures_at_sea_are_those_of_the_phrases() -> None:
    """IMO resolution A.918(22), General, 2."""
    assert spoken("0123456789", PRONOUNCED) == "ZEERO WUN TOO TREE FOWER FIFE SIX SEVEN AIT NINER"
    assert spoken("47.5 pu", PLAIN) == "four seven decimal five, Papa Uniform"


@pytest.mark.parametrize(
    ("audience", "forms"),
    [
        (LAND, [Form.MGRS, Form.DEGREES_MINUTES]),
        (AIR, [Form.DEGREES_MINUTES, Form.MGRS]),
        (SEA, [Form.DEGREES_MINUTES, Form.LOCATOR]),
    ],
)
def test_each_service_has_its_form_first(audience: Audience, forms: list[Form]) -> None:
    """US National SAR Committee, Georeferencing Matrix, 13 November 2007; IMO A.918(22)."""
    assert [one.form for one in said(audience=audience).forms] == forms


def test_degrees_are_read_digit_by_digit_with_the_hemisphere_in_words() -> None:
    main = said(audience=AIR).forms[0]
    assert main.written == "10° 30.074' S  2° 5.260' W"
    assert main.sentences == (
        "latitude WUN ZEERO degrees, TREE ZEERO decimal ZEERO SEVEN FOWER minutes, SOUTH",
        "longitude TOO degrees, FIFE decimal TOO SIX ZEERO minutes, WEST",
    )


@pytest.mark.parametrize(
    ("audience", "setting", "longitude"),
    [
        (SEA, None, "002° 05.260' W"),
        (AIR, None, "2° 5.260' W"),
        (SEA, False, "2° 5.260' W"),
        (AIR, True, "002° 05.260' W"),
    ],
)
def test_leading_zeros_are_the_services_or_the_users(audience: Audience, setting: bool | None, longitude: str) -> None:
    assert said(audience=audience, leading_zeros=setting).forms[0].written.endswith(longitude)


def test_a_zero_before_the_point_is_never_dropped() -> None:
    near_zero = Situation(Position(0.5 / 60, -0.25 / 60), 7.0)
    assert said(near_zero, AIR).forms[0].written == "0° 0.500' N  0° 0.250' W"


def test_the_grid_keeps_the_zeros_of_its_figures() -> None:
    spot = read("27P WM 00500 00070")[0].position
    main = said(Situation(spot, 7.0)).forms[0]
    assert main.written == "27P WM 0050 0007"
    assert "northing zero zero zero seven" in main.sentences


@pytest.mark.parametrize(
    ("error_m", "degrees", "grid"),
    [(None, 3, 4), (0.02, 3, 4), (5.0, 3, 4), (15.0, 3, 4), (20.0, 2, 4), (150.0, 2, 3), (200.0, 1, 3), (2000.0, 0, 2)],
)
def test_no_more_digits_than_the_error_is_worth_or_a_voice_carries(
    error_m: float | None, degrees: int, grid: int
) -> None:
    """0.1', 0.01', 0.001' are 185, 18.5, 1.85 m; grid figures each way 4, 3, 2 are 10, 100, 1000 m."""
    situation = Situation(SPOT, error_m)
    assert figures_for(Form.DEGREES_MINUTES, situation, Blur()) == degrees
    assert figures_for(Form.MGRS, situation, Blur()) == grid


def test_both_forms_name_the_same_place_all_over_the_world() -> None:
    """The second form checks the first: read back by our reader, neither is farther off than its own coarseness."""
    chance = random.Random(12)
    for _ in range(150):
        spot = Position(chance.uniform(-89.9, 89.9), chance.uniform(-180, 180))
        for audience in Audience:
            for form in said(Situation(spot, 7.0), audience).forms:
                readings = read(form.written)
                away = [distance_m(one.position, spot) for one in readings]
                nearest = readings[away.index(min(away))]
                assert distance_m(nearest.position, spot) <= nearest.radius_m * 1.01 + 0.02, form.written
                again = place_of(form.form, {group.name: group.text for group in form.groups})
                assert again is not None
                assert distance_m(again, nearest.position) < 0.01


def test_what_is_read_aloud_is_what_is_written() -> None:
    """The words alone, typed back, are the position, to the last digit."""
    chance = random.Random(7)
    for _ in range(60):
        spot = Position(chance.uniform(-79, 83), chance.uniform(-180, 180))
        for audience in Audience:
            for form in said(Situation(spot, 7.0), audience).forms:
                read_back = check((form,), " ".join(form.lines))
                assert read_back is not None
                assert (read_back.slips, read_back.unknown) == ((), ()), form


def test_datum_time_age_error_and_the_wish_for_a_read_back_are_said() -> None:
    script = said().script
    assert "Datum Whiskey Golf Sierra eight four (WGS 84)." in script
    assert "Position of one two zero zero UTC (12:00), 11 seconds ago." in script
    assert "Good to about 7 metres." in script
    assert script.endswith("Please read that back.")
    assert script.startswith("Emergency: phone the local emergency number first")
    assert "theirs wins" in script


def test_what_is_not_known_is_not_said() -> None:
    script = said(Situation(SPOT)).script
    assert "UTC" not in script
    assert "ago" not in script
    assert "How exact it is, is not known." in script


def test_doubt_age_and_another_datum_are_warned_of() -> None:
    warnings = " ".join(said(FIX._replace(doubt="few satellites", age_s=600.0, datum="999")).warnings)
    for words in ("Doubtful: few satellites", "10 minutes", "not on WGS 84"):
        assert words in warnings
    assert "Datum not WGS 84: the receiver calls it 999." in said(FIX._replace(datum="999")).lines
    assert said(FIX).warnings == ()


@pytest.mark.parametrize(
    ("blur", "audience", "written"),
    [
        ("100m", LAND, "30L WP 998 390"),
        ("100m", AIR, "10° 30.1' S  2° 5.3' W"),
        ("1km", LAND, "30L WP 99 39"),
        ("1km", AIR, "10° 30' S  2° 5' W"),
        ("2km", LAND, "30L WP 9 3"),
        ("20km", LAND, "30L WP"),
        ("locator", LAND, "IH89"),
        ("locator", SEA, "IH89"),
    ],
)
def test_a_blurred_position_is_given_in_one_form_alone(blur: str, audience: Audience, written: str) -> None:
    """Two squares that overlap would give away more than either."""
    found = said(audience=audience, blur=parse_blur(blur))
    assert len(found.forms) == 1
    assert found.forms[0].written == written
    square = read(written)
    assert any(distance_m(one.position, SPOT) <= one.radius_m * 1.01 for one in square)
    assert any("on purpose" in line for line in found.lines)


def test_no_blur_gives_more_than_was_asked_for_anywhere() -> None:
    """The square that is given is never narrower than the blur, either way."""
    chance = random.Random(3)
    for _ in range(200):
        spot = Position(chance.uniform(-85, 85), chance.uniform(-180, 180))
        metres = 10 ** chance.uniform(0, 5)
        for form in (Form.DEGREES_MINUTES, Form.MGRS, Form.LOCATOR):
            figures = figures_for(form, Situation(spot, None), Blur(BlurKind.DIGITS, metres))
            assert _step_m(form, figures, spot) >= min(metres, 9_000.0) * 0.98


def _step_m(form: Form, figures: int, spot: Position) -> float:
    """Of the last figure, measured along the ground."""
    if form is Form.MGRS:
        return 10.0 ** (5 - figures)
    if form is Form.DEGREES_MINUTES:
        high = wide = 10.0 ** -max(figures, 0) / 60
        if figures < 0:
            return 1e9  # not given in this form at all
    else:
        high, wide = {4: (1.0, 2.0), 6: (2.5 / 60, 5 / 60), 8: (0.25 / 60, 0.5 / 60)}[figures]
    north, east = (distance_m(spot, Position(spot[0] + a, spot[1] + b)) for a, b in ((high, 0.0), (0.0, wide)))
    return min(north, east)


def test_below_a_minute_of_room_it_is_given_by_locator() -> None:
    found = said(audience=SEA, blur=parse_blur("3km"))
    assert [one.form for one in found.forms] == [Form.LOCATOR]
    assert len(found.forms[0].written) == 6

"""A read-back against what was said: the wrong digit, its group, and how far off it would be."""

from __future__ import annotations

import random
from functools import cache

import pytest
from geographiclib.geodesic import Geodesic

from core.fix import Position
from core.position_report import Audience, Manner, Situation, SpokenForm, report
from core.read_back import ReadBack, SlipKind, check
from core.report_speech import Sort, heard
from core.side_by_side import KEPT, PUT_IN, TURNED, side_by_side

SPOT = Position(10 + 30.074 / 60, -(20 + 15.26 / 60))
"""Open ocean: 10 30.074 N 20 15.260 W, 27P WM 8159 6092, HK90UM90."""


def forms(audience: Audience) -> tuple[SpokenForm, ...]:
    return report(Situation(SPOT, 7.0), Manner(audience)).forms


def checked(text: str, audience: Audience = Audience.AIR) -> ReadBack:
    found = check(forms(audience), text)
    assert found is not None
    return found


def slips(text: str, audience: Audience = Audience.AIR) -> list[tuple[SlipKind, str, int, str, str]]:
    return [tuple(slip) for slip in checked(text, audience).slips]  # type: ignore[misc]  # a tuple of this shape


@pytest.mark.parametrize(
    "text",
    [
        "10 30.074 N 20 15.260 W",
        "N 10 30.074 W 20 15.260",
        "10° 30.074' N, 020° 15.260' W",
        "10 30.074 N 20 15.26 W",
        "One zero degrees, three zero decimal zero seven four minutes, north; "
        "two zero degrees one five point two six zero west",
        "WUN ZEERO DEGREES TREE ZEERO DECIMAL ZEERO SEVEN FOWER MINUTES NORTH "
        "TOO ZEERO WUN FIFE DECIMAL TOO SIX ZEERO WEST",
        "I read back: latitude ten degrees thirty decimal zero seven four north, "
        "longitude twenty degrees fifteen decimal two six zero west, datum whiskey golf sierra eight four",
        "1 0 3 0 decimal 0 7 4 north 2 0 1 5 decimal 2 6 0 west",
        "27P WM 8159 6092",
        "two seven papa, whiskey mike, ait wun fife niner, six zero niner two",
        "27pwm81596092",
    ],
)
def test_a_right_read_back_is_right_however_it_is_typed(text: str) -> None:
    found = checked(text)
    assert (found.slips, found.unknown, found.off_m) == ((), (), 0.0)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("10 30.074 N 20 15.290 W", (SlipKind.OTHER, "minutes of longitude", 5, "6", "9")),
        ("10 30.047 N 20 15.260 W", (SlipKind.EXCHANGED, "minutes of latitude", 5, "74", "47")),
        ("10 30.74 N 20 15.260 W", (SlipKind.MISSING, "minutes of latitude", 4, "0", "")),
        ("11 30.074 N 20 15.260 W", (SlipKind.OTHER, "degrees of latitude", 2, "0", "1")),
        ("10 30.0744 N 20 15.260 W", (SlipKind.EXTRA, "minutes of latitude", 6, "", "4")),
        ("10 30.074 S 20 15.260 W", (SlipKind.OTHER, "hemisphere of latitude", 1, "N", "S")),
        ("10 30.074 N 20 15.260", (SlipKind.MISSING, "hemisphere of longitude", 1, "W", "")),
        ("27P VM 8159 6092", (SlipKind.OTHER, "square", 1, "W", "V")),
        ("27P WM 8159 6095", (SlipKind.OTHER, "northing", 4, "2", "5")),
        ("27P WM 815 6092", (SlipKind.MISSING, "easting", 4, "9", "")),
    ],
)
def test_the_wrong_digit_is_named_with_its_group(text: str, wrong: tuple[SlipKind, str, int, str, str]) -> None:
    found = slips(text)
    assert len(found) == 1
    if wrong[0] is SlipKind.EXTRA:  # which of two equal digits is the one too many, nobody can say
        assert found[0][:2] == wrong[:2]
        assert found[0][4] == wrong[4]
    else:
        assert found[0] == wrong


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("10 30.074 N 20 50.260 W", Position(10 + 30.074 / 60, -(20 + 50.26 / 60))),
        ("10 30.074 N 20 15.290 W", Position(10 + 30.074 / 60, -(20 + 15.29 / 60))),
        ("10 30.074 S 20 15.260 W", Position(-(10 + 30.074 / 60), -(20 + 15.26 / 60))),
    ],
)
def test_how_far_off_is_the_geodesic_to_what_was_read_back(text: str, there: Position) -> None:
    expected = Geodesic.WGS84.Inverse(*SPOT, *there)["s12"]
    assert checked(text).off_m == pytest.approx(expected, rel=1e-6)


def test_in_the_grid_the_last_figure_is_ten_metres() -> None:
    assert checked("27P WM 8159 6095").off_m == pytest.approx(30.0, rel=0.002)
    assert checked("27P WM 9159 6092").off_m == pytest.approx(10_000.0, rel=0.002)


def test_what_is_no_place_has_no_distance() -> None:
    for text in ("10 90.074 N 20 15.260 W", "27P WM 815 6092", "27P ZZ 8159 6092", "10 30.074 N 20 15.260"):
        found = checked(text)
        assert found.slips
        assert found.off_m is None


def test_the_form_that_fits_best_is_the_one_that_was_read_back() -> None:
    assert checked("HK90UM90", Audience.SEA).is_right
    wrong = checked("hotel kilo niner zeero bravo mike niner zeero", Audience.SEA)
    assert [(slip.group, slip.said, slip.heard) for slip in wrong.slips] == [("subsquare", "U", "B")]
    assert wrong.slips[0].words == "subsquare, 1st place: U became B"


def test_words_that_mean_nothing_are_named_and_nothing_at_all_is_nothing() -> None:
    assert checked("10 30.074 N roughly 20 15.260 W").unknown == ("roughly",)
    for text in ("", "hello there", "\x1b[", "[bold]", "datum 10 30"):
        assert check(forms(Audience.AIR), text) is None


def test_figures_that_are_not_0_to_9_are_not_understood() -> None:
    """Such a sign is a digit to Python's str.isdigit, and no number to float."""
    found = checked("10 30.074 N 20 15.260 W \u00b2 \u0663")
    assert (found.slips, found.unknown) == ((), ("\u00b2", "\u0663"))


def test_any_mixture_of_pieces_has_an_answer() -> None:
    """Words, marks and rubbish at random: a comparison or nothing, never an error."""
    chance = random.Random(4)
    words = (
        *("10", "30.5", ".", "5.", "..", "-", "N", "north", "W", "minutes", "\u00b0", "fifteen", "forty", "decimal"),
        *("27P", "WM", "8159", "HK90", "xx", "\u0663", "\u00bd", "\x1b[2J", "0" * 30, ",", "1.2.3", "papa", "latitude"),
    )
    every = (*forms(Audience.AIR), *forms(Audience.SEA))
    for _ in range(400):
        text = chance.choice(("", " ")).join(chance.choices(words, k=chance.randrange(1, 9)))
        found = check(every, text)
        assert found is None or found.off_m is None or found.off_m >= 0.0


def test_a_long_text_costs_no_more_than_a_short_one() -> None:
    found = checked("10 30.074 N 20 15.260 W " + "9" * 100_000)
    assert len(found.slips) < 100


def test_every_single_misheard_digit_is_found_where_it_is() -> None:
    """One digit of the written text is replaced at random: exactly that one is named."""
    chance = random.Random(5)
    for audience in Audience:
        for form in forms(audience):
            for _ in range(40):
                group = chance.choice([one for one in form.groups if any(map(str.isdigit, one.text))])
                at = chance.choice([n for n, one in enumerate(group.text) if one.isdigit()])
                new = chance.choice([one for one in "0123456789" if one != group.text[at]])
                if group.name == "zone" or at == 0:
                    continue  # a first digit that becomes 0 is a leading zero
                texts = [one.text for one in form.groups]
                n = form.groups.index(group)
                texts[n] = texts[n][:at] + new + texts[n][at + 1 :]
                found = check((form,), " ".join(texts))
                assert found is not None
                assert len(found.slips) == 1 or "exchanged" in found.slips[0].words
                assert found.slips[0].group == group.name


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("forty seven", ["47"]),
        ("forty seven thirty", ["47", "30"]),
        ("four seven", ["47"]),
        ("fifteen decimal two five", ["15.25"]),
        ("zero decimal five", ["0.5"]),
        ("47 30", ["47", "30"]),
        ("5 30 7", ["5", "30", "7"]),
        ("twenty zero", ["20", "0"]),
        ("four seven north. three zero.", ["47", "30"]),
        ("four seven. three zero.", ["47", "30"]),
        (". point .", []),
        ("day-see-mal five", [".5"]),
    ],
)
def test_spoken_numbers(text: str, numbers: list[str]) -> None:
    assert [piece.text for piece in heard(text).pieces if piece.sort is Sort.NUMBER] == numbers


@cache
def distance(said: str, text: str) -> int:
    """The restricted edit distance, by its recursive definition: another way than the table's."""
    if not said or not text:
        return len(said) + len(text)
    found = min(
        distance(said[1:], text) + 1, distance(said, text[1:]) + 1, distance(said[1:], text[1:]) + (said[0] != text[0])
    )
    if len(said) > 1 and len(text) > 1 and said[0] == text[1] and said[1] == text[0]:
        found = min(found, distance(said[2:], text[2:]) + 1)
    return found


def test_side_by_side_is_the_cheapest_way_and_covers_both_rows() -> None:
    chance = random.Random(1)
    for _ in range(300):
        said, text = ("".join(chance.choices("0123", k=chance.randrange(8))) for _ in range(2))
        steps = side_by_side(said, text)
        assert sum(step.said for step in steps) == len(said)
        assert sum(step.heard for step in steps) == len(text)
        at = at_heard = cost = 0
        for step in steps:
            same = said[at : at + step.said] == text[at_heard : at_heard + step.heard]
            cost += not (step is KEPT and same)
            if step is TURNED:
                assert said[at : at + 2] == text[at_heard : at_heard + 2][::-1]
            at, at_heard = at + step.said, at_heard + step.heard
        assert cost == distance(said, text)
    assert side_by_side("", "7") == [PUT_IN]

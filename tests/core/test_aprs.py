"""APRS position texts against the protocol's worked examples.

tests/data/aprs_examples.json: APRS Protocol Reference 1.0 (APRS101), chapters 6, 8 and 9, second-hand from public test
suites; each example names its chapter, and carries what aprslib 0.7.2 reads in it. The reports that have to give those
texts are written down here, from the examples' meanings.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from aprslib import parse

from core.aprs.ambiguity import ambiguity_for, box, box_size_m, coordinates
from core.aprs.base91 import base91
from core.aprs.comment import cleaned
from core.aprs.compressed import Origin
from core.aprs.extensions import (
    FOOT_M,
    KNOT_MPS,
    MILE_M,
    Motion,
    PackedAltitude,
    RadioRange,
    Sentence,
    StationPower,
    altitude_words,
    packed,
    plain,
)
from core.aprs.symbols import NAMED, Symbol, name_of, symbol
from core.aprs.text import Report, clock_stamp, compressed_line, day_stamp, plain_line
from core.errors import UsageError
from core.fix import Position, Utc

EXAMPLES = json.loads((Path(__file__).parents[1] / "data" / "aprs_examples.json").read_text("utf-8"))
PLAIN_PLACE = Position(49 + 3.5 / 60, -(72 + 1.75 / 60))
PACKED_PLACE = Position(49.5, -72.75)
HOUSE, CAR, DIGI, BALLOON = (Symbol("/", code) for code in "->#O")
ZULU = day_stamp(Utc((23 * 60 + 45) * 60_000, date(2031, 5, 9)))
CLOCK = clock_stamp(Utc(((23 * 60 + 45) * 60 + 17) * 1000, None))
SEEN = Origin(is_current=True)
assert ZULU is not None


def _p(symbol: Symbol, **more: Any) -> str:
    return plain_line(Report(PLAIN_PLACE, symbol, **more)).text


def _c(symbol: Symbol, origin: Origin, **more: Any) -> str:
    return compressed_line(Report(PACKED_PLACE, symbol, takes_messages=True, **more), origin).text


UNTOLD = Origin(is_current=False, sentence=Sentence.OTHER, by=0)
OURS = {
    "!4903.50N/07201.75W-Test 001234": _p(HOUSE, comment="Test 001234"),
    "!4903.50N/07201.75W-Test /A=001234": _p(HOUSE, comment="Test", altitude_m=1234 * FOOT_M),
    "!49  .  N/072  .  W-": _p(HOUSE, ambiguity=4),
    "!490 .  N/0720 .  W-": _p(HOUSE, ambiguity=3),
    "!4903.  N/07201.  W-": _p(HOUSE, ambiguity=2),
    "!4903.5 N/07201.7 W-": _p(HOUSE, ambiguity=1),
    "/092345z4903.50N/07201.75W>Test1234": _p(CAR, comment="Test1234", stamp=ZULU),
    # Local time: never written by fixboard, the protocol advises against it; the text must still be possible.
    "@092345/4903.50N/07201.75W>Test1234": _p(CAR, comment="Test1234", stamp="092345/", takes_messages=True),
    "/234517h4903.50N/07201.75W>": _p(CAR, stamp=CLOCK),
    "@092345z4903.50N/07201.75W>088/036": _p(
        CAR, extension=Motion(88.0, 36 * KNOT_MPS), stamp=ZULU, takes_messages=True
    ),
    "@234517h4903.50N/07201.75W>PHG5132": _p(CAR, extension=StationPower(5, 1, 3, 2), stamp=CLOCK, takes_messages=True),
    "=4903.50N/07201.75W#PHG5132": _p(DIGI, extension=StationPower(5, 1, 3, 2), takes_messages=True),
    "=/5L!!<*e7>7P[": _c(CAR, SEEN, extension=Motion(88.0, 36.23 * KNOT_MPS)),
    "=/5L!!<*e7> sTComment": _c(CAR, Origin(True, Sentence.GGA, 3), comment="Comment"),
    "=/5L!!<*e7OS]S": _c(BALLOON, SEEN, extension=PackedAltitude(10004.52 * FOOT_M)),
    "=/5L!!<*e7>{?!": _c(CAR, UNTOLD, extension=RadioRange(20.13 * MILE_M)),
    "@092345z/5L!!<*e7>{?!": _c(CAR, UNTOLD, extension=RadioRange(20.13 * MILE_M), stamp=ZULU),
}


def read(text: str) -> dict[str, Any]:
    """What aprslib makes of it, from an invented station."""
    found: dict[str, Any] = parse(f"QQ1QQX-7>APRS:{text}")
    return found


# The protocol's examples


def test_every_example_is_here() -> None:
    assert [one["info_field"] for one in EXAMPLES["examples"]] == list(OURS)


@pytest.mark.parametrize("text", OURS)
def test_each_example_is_written_to_the_character(text: str) -> None:
    assert OURS[text] == text


@pytest.mark.parametrize("example", EXAMPLES["examples"], ids=lambda one: one["info_field"])
def test_an_independent_reader_finds_in_our_texts_what_it_found_in_the_examples(example: dict[str, Any]) -> None:
    found = read(OURS[example["info_field"]])
    for key, value in example["aprslib"].items():
        if key != "timestamp":  # it depends on the month it is read in
            assert found[key] == (pytest.approx(value, abs=1e-5) if isinstance(value, float) else value), key


def test_the_worked_numbers_of_chapter_9_hold() -> None:
    worked = EXAMPLES["compressed"]["worked"]
    assert base91(int(worked["lat_value"]), 4) == worked["lat_chars"]
    assert base91(int(worked["lon_value"]), 4) == worked["lon_chars_in_document"]
    assert packed(Motion(88.0, worked["speed_kn"] * KNOT_MPS)) == ("7P", Sentence.RMC)
    assert packed(PackedAltitude(worked["altitude_ft"] * FOOT_M)) == (worked["altitude_chars"], Sentence.GGA)
    assert packed(RadioRange(worked["range_mi"] * MILE_M)) == (worked["range_chars"], Sentence.OTHER)


# Figures


@pytest.mark.parametrize(
    ("course", "written"),
    [(None, "000"), (0.0, "360"), (0.4, "360"), (0.5, "001"), (359.4, "359"), (359.6, "360"), (360.0, "360")],
)
def test_north_is_360_and_000_is_no_course(course: float | None, written: str) -> None:
    assert plain(Motion(course, 10.0)) == f"{written}/019"  # 10 m/s is 19.44 kn


@pytest.mark.parametrize("course", [358.0, 359.9, 0.0, 360.0])
def test_a_compressed_course_near_north_is_no_radio_range(course: float) -> None:
    found = read(compressed_line(Report(PACKED_PLACE, extension=Motion(course, 10.0)), SEEN).text)
    assert found["course"] == 360
    assert "radiorange" not in found


def test_a_compressed_text_says_no_speed_without_a_course_and_says_that_it_does_not() -> None:
    line = compressed_line(Report(PACKED_PLACE, extension=Motion(None, 10.0)), SEEN)
    assert "course" not in read(line.text)
    assert "without a course" in line.remarks[0]


@pytest.mark.parametrize("degrees", range(0, 360, 7))
def test_a_compressed_course_is_within_two_degrees(degrees: int) -> None:
    found = read(compressed_line(Report(PACKED_PLACE, extension=Motion(float(degrees), 15.0)), SEEN).text)
    assert abs((found["course"] - degrees + 180) % 360 - 180) <= 2
    assert found["speed"] / 3.6 == pytest.approx(15.0, rel=0.04)


@pytest.mark.parametrize("speed", [-0.1, 520.0, float("inf"), float("nan")])
def test_a_speed_that_three_digits_cannot_say_is_refused(speed: float) -> None:
    for say in (plain, packed):
        with pytest.raises(ValueError, match="speed"):
            say(Motion(10.0, speed))


@pytest.mark.parametrize(("metres", "feet"), [(0.0, 0), (376.1232, 1234), (-30.48, -100), (8849.0, 29032)])
def test_an_altitude_is_read_back_to_the_foot(metres: float, feet: int) -> None:
    found = read(plain_line(Report(PLAIN_PLACE, comment="up here", altitude_m=metres)).text)
    assert found["altitude"] / 0.3048 == pytest.approx(feet)
    assert found["comment"] == "up here"


@pytest.mark.parametrize("metres", [400_000.0, -40_000.0])
def test_an_altitude_that_six_characters_cannot_say_is_refused(metres: float) -> None:
    with pytest.raises(ValueError, match="six characters"):
        altitude_words(metres)


def test_a_typed_place_is_never_called_a_current_fix() -> None:
    texts = [compressed_line(Report(PACKED_PLACE), Origin(is_current=now)).text for now in (True, False)]
    assert [read(text)["gpsfixstatus"] for text in texts] == [1, 0]


def test_what_only_the_other_form_can_say_is_refused() -> None:
    with pytest.raises(ValueError, match="compressed text"):
        plain(PackedAltitude(100.0))
    with pytest.raises(ValueError, match="station power"):
        packed(StationPower(1, 1, 1, 1))


# Ambiguity


def test_a_compressed_text_has_no_ambiguity_and_says_why() -> None:
    with pytest.raises(UsageError, match="no ambiguity") as refused:
        compressed_line(Report(PLAIN_PLACE, ambiguity=1), SEEN)
    assert refused.value.exit_code == 2


@pytest.mark.parametrize("level", [-1, 5])
def test_an_ambiguity_that_does_not_exist_is_refused(level: int) -> None:
    with pytest.raises(ValueError, match="0 to 4"):
        plain_line(Report(PLAIN_PLACE, ambiguity=level))


def test_digits_are_left_blank_and_never_rounded() -> None:
    # 59.9996' rounds to 60.00', the next degree: cut to 59.9 it stays in its box.
    near = Position(10 + 59.9996 / 60, -(20 + 9.9999 / 60))
    assert [coordinates(near, level).latitude for level in range(5)] == [
        "1100.00N",
        "1059.9 N",
        "1059.  N",
        "105 .  N",
        "10  .  N",
    ]
    assert [coordinates(near, level).longitude for level in range(5)] == [
        "02010.00W",
        "02009.9 W",
        "02009.  W",
        "0200 .  W",
        "020  .  W",
    ]


def test_a_place_on_the_edge_of_a_box_is_written_as_the_receiver_shows_it() -> None:
    for hundredths in range(6000):
        value = 7 + hundredths / 6000
        assert (
            coordinates(Position(value, -value), 1).latitude == f"07{hundredths // 100:02d}.{hundredths // 10 % 10} N"
        )


def test_the_box_is_as_large_as_its_blanks() -> None:
    # Sides of 0.01', 0.1', 1', 10', 60'; a minute is 1,853 m on the mean sphere (6,371 km), half of that at 60 degrees.
    for level, minutes in enumerate((0.01, 0.1, 1.0, 10.0, 60.0)):
        assert box(PLAIN_PLACE, level).half_latitude_deg * 120 == pytest.approx(minutes)
        high, wide = box_size_m(Position(60.0, 10.0), level)
        assert high == pytest.approx(1853.25 * minutes, rel=1e-4)
        assert wide == pytest.approx(high / 2, rel=0.02)


@pytest.mark.parametrize(
    ("error_m", "level"),
    [(None, 0), (float("nan"), 0), (5.0, 0), (184.0, 0), (186.0, 1), (1_900.0, 2), (20_000.0, 3), (200_000.0, 4)],
)
def test_digits_that_an_error_does_not_know_are_offered_as_blanks(error_m: float | None, level: int) -> None:
    assert ambiguity_for(error_m) == level


# Times


def test_a_stamp_is_in_universal_time_and_knows_no_sixtieth_second() -> None:
    leap = Utc(86_400_500, date(2016, 12, 31))
    assert (day_stamp(leap), clock_stamp(leap)) == ("312359z", "235959h")
    assert day_stamp(Utc(0, None)) is None


@pytest.mark.parametrize("stamp", ["1234", "123456x", "12345 z", "!!!!!!z"])
def test_a_stamp_of_another_form_is_refused(stamp: str) -> None:
    with pytest.raises(ValueError, match="timestamp"):
        plain_line(Report(PLAIN_PLACE, stamp=stamp))


# Comments


HOSTILE = (
    "088/036 and on",
    "PHG5132 tall",
    "RNG0050",
    "/270/729",
    "see /A=012345 there",
    "/A=-00012",
    "!W5p!",
    "x!W55!!W99!",
    "|ss112233|",
    "a|b~c",
    "\x1b[2J\x07hidden",
    "line\nbreak\tand tab",
    "Örkney ☂ \u202e",
)


@pytest.mark.parametrize("typed", HOSTILE)
@pytest.mark.parametrize("extension", [None, Motion(90.0, 5.0)])
def test_no_comment_is_read_as_figures_or_sends_what_cannot_be_sent(typed: str, extension: Motion | None) -> None:
    for line in (
        plain_line(Report(PLAIN_PLACE, comment=typed, extension=extension)),
        plain_line(Report(PLAIN_PLACE, comment=typed, extension=extension, ambiguity=2)),
        compressed_line(Report(PLAIN_PLACE, comment=typed, extension=extension), SEEN),
    ):
        bare = plain_line(Report(PLAIN_PLACE, extension=extension)).text
        found, keys = read(line.text), set(read(bare))
        assert set(found) - {"gpsfixstatus"} <= keys, found
        assert found["latitude"] == pytest.approx(PLAIN_PLACE.latitude_deg, abs=0.01)
        assert all(" " <= char <= "}" and char != "|" for char in line.text)
        assert "\n" not in line.text
        assert line.remarks or "\n" in typed


def test_an_ordinary_comment_is_sent_as_it_is() -> None:
    assert cleaned("Ridge walk, 2 of us!  Back at 17:00", 43) == ("Ridge walk, 2 of us! Back at 17:00", ())
    assert cleaned("café", 43).text == "cafe"


def test_a_long_comment_is_cut_and_the_altitude_never() -> None:
    long = "x" * 100
    for extension, room in ((None, 43), (Motion(90.0, 5.0), 36)):
        line = plain_line(Report(PLAIN_PLACE, comment=long, extension=extension, altitude_m=100.0))
        assert len(line.text) == 1 + 19 + 43
        assert line.text.endswith("x /A=000328")
        assert f"cut to {room - 10}" in line.remarks[0]
    assert len(compressed_line(Report(PLAIN_PLACE, comment=long), SEEN).text) == 1 + 13 + 40


# Symbols


def test_every_named_symbol_is_read_back_as_its_pair() -> None:
    assert len(set(NAMED.values())) == len(NAMED)
    for name, pair in NAMED.items():
        assert symbol(name.upper()) == symbol(pair.table + pair.code) == pair
        assert name_of(pair) == name
        for text in (plain_line(Report(PLAIN_PLACE, pair)).text, compressed_line(Report(PLAIN_PLACE, pair), SEEN).text):
            assert (read(text)["symbol_table"], read(text)["symbol"]) == pair


def test_an_overlaid_digit_becomes_a_letter_where_a_digit_would_be_a_latitude() -> None:
    overlaid = symbol("7>")
    assert read(plain_line(Report(PLAIN_PLACE, overlaid)).text)["symbol_table"] == "7"
    assert read(compressed_line(Report(PLAIN_PLACE, overlaid), SEEN).text)["symbol_table"] == "h"


@pytest.mark.parametrize("typed", ["", "x", "//>", "a>", "/ ", "/|", "/_", "/\x1b", "bicycl", "/é"])
def test_what_is_no_symbol_is_refused_with_what_would_be_right(typed: str) -> None:
    with pytest.raises(UsageError) as refused:
        symbol(typed)
    assert str(refused.value).isprintable()
    assert "'bicycle'" in str(refused.value) or "names:" in str(refused.value) or "cannot be used" in str(refused.value)

"""What is said of a sentence around its fields: remarks, title, values in words; and fields that are no such thing."""

from __future__ import annotations

import pytest

from core.nmea.explain import explain
from core.nmea.explain_frame import STANDARD_LENGTH, checksum_words
from core.nmea.explain_records import Told, value_words
from core.nmea.explain_remarks import remarks, title
from core.nmea.framing import Reason
from tests.build import sentence

UNREAD = "fixboard takes it and reads nothing from it."


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("GPHDT,1,T", "HDT: heading, true. GP: GPS (also its augmentation, sometimes QZSS)"),
        ("GPXQZ,1,2", "XQZ: type not known to us. GP: GPS (also its augmentation, sometimes QZSS)"),
        ("QQHDT,1,T", "HDT: heading, true. QQ: talker QQ, not known to us"),
        ("PXYZ1,1", "PXYZ1: proprietary, maker XYZ"),
    ],
)
def test_the_title_names_type_and_talker_or_the_maker(body: str, said: str) -> None:
    assert title(explain(sentence(body))) == said


def test_what_is_no_sentence_has_neither_title_nor_remarks() -> None:
    nothing = explain("hello")
    assert (title(nothing), remarks(nothing)) == ("", ())


def test_a_sentence_as_it_should_be_needs_no_remark() -> None:
    assert remarks(explain(sentence("GPHDT,1,T"))) == ()


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("GPXQZ,1,2", (UNREAD,)),
        ("GPABCD,1", (UNREAD, "GPABCD has 6 characters; talker and type have 2 and 3 by the standard.")),
        ("PXYZ1,1", (UNREAD, "A maker's own sentence, code XYZ: only the maker says what it means.")),
    ],
)
def test_remarks_say_what_is_odd_the_weightiest_first(body: str, said: tuple[str, ...]) -> None:
    assert remarks(explain(sentence(body))) == said


def test_only_what_is_longer_than_the_standard_allows_is_said_to_be() -> None:
    """82 characters with CR LF (nmea-facts.toml [frame])."""
    fitting = sentence("GPHDT,1,T" + "," * (STANDARD_LENGTH - len(sentence("GPHDT,1,T")) - 2))
    assert len(fitting) + 2 == STANDARD_LENGTH
    assert remarks(explain(fitting)) == ()
    longer = sentence("GPHDT,1,T" + "," * (STANDARD_LENGTH - len(sentence("GPHDT,1,T")) - 1))
    (said,) = remarks(explain(longer))
    assert said.startswith("83 characters with CR LF; the standard allows 82")


def test_a_question_names_who_is_asked_and_for_what() -> None:
    one = explain(sentence("CCGPQ,GGA"))
    assert one.formatter == "a question to GPS (also its augmentation, sometimes QZSS)"
    assert [(field.name, field.told.value) for field in one.fields] == [("sentence asked for", "GGA")]


def test_a_text_beyond_latin_1_is_taken_as_it_would_be_stored() -> None:
    """Pasted from a page whose minus is a true one: bytes above 127 stand in the sentence, and are counted."""
    one = explain("$GPTXT,01,01,02,−5 °*00")
    assert one.reason is Reason.BAD_CHECKSUM
    assert one.checksum is not None
    assert one.checksum.counted == len("GPTXT,01,01,02,−5 °".encode())


def test_a_control_character_beyond_what_is_kept_is_told_without_its_column() -> None:
    one = explain(sentence("GPTXT,01,01,02," + "x" * 300 + "\x07"))
    assert one.reason is Reason.ILLEGAL_CHARACTER
    assert "\x07" not in one.text
    (said,) = one.why
    assert said.endswith(".")


def test_the_checksum_of_a_sentence_that_gives_none_is_worked_out_all_the_same() -> None:
    one = explain("$GPHDT,1,T", require_checksum=False)
    assert one.checksum is not None
    made = sentence("GPHDT,1,T")[-2:]
    assert checksum_words(one.checksum) == f"9 bytes between $ and the end; exclusive or {made}; none is given"


PLACE = "{},{},02015.0,W,120000,A,A"


@pytest.mark.parametrize(
    ("latitude", "letter", "said"),
    [
        ("1030.0", "E", "left out: N or S must follow, and does not"),
        ("1030.0", "", "left out: N or S must follow, and does not"),
        ("10x0.0", "N", "left out: not ddmm.mmmm"),
        ("-1030.0", "N", "left out: not ddmm.mmmm"),
        ("1060.0", "N", "left out: minutes of 60 or more, or beyond 90°"),
        ("9000.1", "S", "left out: minutes of 60 or more, or beyond 90°"),
    ],
)
def test_an_angle_that_is_none_says_why(latitude: str, letter: str, said: str) -> None:
    one = explain(sentence(f"GNGLL,{PLACE.format(latitude, letter)}"))
    told = one.fields[0].told
    assert (told.value, told.meaning) == (None, said)


@pytest.mark.parametrize(
    ("number", "said"),
    [("00", "padding: no satellite"), ("x1", "no satellite number"), ("05", "GPS, named as in RINEX")],
)
def test_a_satellite_number_is_named_or_said_to_be_none(number: str, said: str) -> None:
    told = explain(sentence(f"GPGSV,1,1,01,{number},45,090,41")).fields[3].told
    assert told.meaning == said


def test_a_number_that_no_table_has_keeps_its_question_mark() -> None:
    told = explain(sentence("GPGSV,1,1,01,999,45,090,41")).fields[3].told
    assert str(told.value).startswith("?")
    assert told.meaning == "a number that no table has"


def test_the_second_part_of_an_encapsulated_message_has_no_type() -> None:
    told = explain(sentence("AIVDM,2,2,3,B,1@0000000000000,2", "!")).fields[4].told
    assert told.meaning == "90 bits, six a character"


@pytest.mark.parametrize("body", ["PGRM", "PUBX", "PTNL", "PASHR"])
def test_a_maker_s_sentence_that_ends_too_soon_is_explained_without_names(body: str) -> None:
    one = explain(sentence(f"{body},"))
    assert one.accepted
    assert [field.raw for field in one.fields] == [""]


def test_the_time_of_a_maker_s_sentence_that_is_none_is_text_and_no_fault() -> None:
    one = explain(sentence("PUBX,00,12x000,1030.0,N"))
    told = one.fields[1].told
    assert one.accepted
    assert (told.value, told.is_wrong) == ("12x000", False)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (Told(), "-"),
        (Told(0.0, "m"), "0 m"),
        (Told(10.5, "°"), "10.5°"),
        (Told(-20.123456789, "°"), "-20.123456789°"),
        (Told(8, "", "used"), "8"),
        (Told("a\x1b[31mb\xff"), r"a\x1b[31mb\xff"),
    ],
)
def test_values_in_words(told: Told, words: str) -> None:
    assert value_words(told) == words

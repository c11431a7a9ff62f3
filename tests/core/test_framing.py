"""Bytes to sentences: each rule of core.nmea.framing, and that no bytes can break it or fill the memory."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.nmea.framing import LINE_LIMIT, SENTENCE_LIMIT, Framer, Reason, Rejected, Sentence
from core.nmea.whole_lines import checksum
from tests.build import sentence, xor_of
from tests.framed import AIS, GGA, RMC, frame, only, refused, texts

# Lines


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r", "\r\r\n", "\n\r", "\r\n\r\n"])
def test_every_line_end_will_do(end: str) -> None:
    assert texts(RMC + end + GGA + end) == [RMC, GGA]


def test_the_last_line_needs_no_end_once_the_input_has_ended() -> None:
    framer = Framer()
    assert framer.feed(RMC.encode()) == []
    (event,) = framer.finish()
    assert isinstance(event, Sentence)
    assert event.text == RMC
    assert framer.finish() == []


def test_blank_lines_and_no_bytes_are_nothing() -> None:
    assert frame(b"") == []
    assert frame(b"\r\n\n\r  \r\n\x00\n") == []


@pytest.mark.parametrize(
    "before",
    [
        "2031-05-04 12:00:00.250 -->> ",
        "12:00:00 ",
        "\x00\x00\x00",
        "   \t",
        "[receiver one] ",
        "\x1b[31m",
        "oops! ",
        "! ",
        "half a sentence,,A*4",
    ],
)
def test_what_stands_before_a_sentence_is_passed_over(before: str) -> None:
    assert texts(before + RMC + "\r\n") == [RMC]


@pytest.mark.parametrize("after", ["\x00\x00\x00", "   ", " <-- seen", ",junk", "\x1b[0m", "!", "*", "-1"])
def test_what_stands_after_the_checksum_is_passed_over(after: str) -> None:
    assert texts(RMC + after + "\r\n") == [RMC]


def test_banners_are_no_attempts_at_a_sentence() -> None:
    assert (
        frame("=~=~=~= log 2031.05.04 =~=~=~=\r\nWelcome! Pay $5 or $able*00\r\n$\r\n!\r\n$*00\r\n$GP,1*00\r\n") == []
    )


def test_a_short_address_is_none() -> None:
    """Three characters at least, a capital letter first: the shortest that any maker or talker has."""
    assert frame("$AB,1*00\r\n$1BC,1*00\r\n$abc,1*00\r\n$ABCDEFGHIJK,1*00\r\n") == []
    assert texts(sentence("ABC,1")) == [sentence("ABC,1")]


@pytest.mark.parametrize("address", ["ABC", "GGSA", "GPRMC", "GNGGAH", "PMTK011", "ABCDEFGHIJ"])
@pytest.mark.parametrize("body", ["{}", "{},", "{},,1", "{},1,,2"])
@pytest.mark.parametrize("before", ["", " "])
def test_the_address_ends_at_the_first_comma(address: str, body: str, before: str) -> None:
    found = only(before + sentence(body.format(address)))
    assert found.address == address
    assert found.body == body.format(address)


def test_encapsulated_sentences_begin_with_an_exclamation_mark() -> None:
    assert only(AIS + "\n").text == AIS
    assert only("noise " + AIS + "\n").address == "AIVDM"


def test_an_exclamation_mark_in_a_text_starts_nothing() -> None:
    spoken = sentence("GNTXT,01,01,02,ready! steady!GO,now")
    assert texts(spoken) == [spoken]
    assert texts("well! " + spoken) == [spoken]


# Two on a line


def test_two_sentences_on_a_line_are_two() -> None:
    assert texts(RMC + GGA + "\r\n") == [RMC, GGA]
    assert texts(RMC + " " + GGA + " trailing\r\n") == [RMC, GGA]
    assert texts(AIS + RMC + "\r\n") == [AIS, RMC]


def test_a_dollar_inside_a_sentence_starts_the_next_one() -> None:
    """The half that lost its end is refused, the whole one is rescued."""
    assert texts(GGA[:31] + RMC + "\r\n") == [str(Reason.NO_CHECKSUM), RMC]
    assert texts("$$$" + RMC) == [RMC]


def test_a_dollar_in_a_text_spoils_that_text_only() -> None:
    spoken = sentence("GNTXT,01,01,02,costs $5")
    assert texts(f"{RMC}\n{spoken}\n{GGA}\n") == [RMC, str(Reason.NO_CHECKSUM), GGA]


# Checksums


def test_the_checksum_is_the_exclusive_or() -> None:
    assert checksum(b"") == 0
    assert checksum(b"GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,") == 0x47  # nmea_sentences.json
    assert checksum(b"\xff" * 129) == 0xFF


@given(st.binary(max_size=600))
def test_the_checksum_is_that_of_a_plain_loop_at_every_length(body: bytes) -> None:
    assert checksum(body) == xor_of(body.decode("latin-1"))


@pytest.mark.parametrize("length", [1, 2, 7, 8, 15, 16, 31, 32, 63, 64, 65, 127, 128, 129, 255, 256, 1023, 4000])
def test_the_checksum_at_the_edges_of_its_folding(length: int) -> None:
    body = bytes((17 * n + length) % 256 for n in range(length))
    assert checksum(body) == xor_of(body.decode("latin-1"))


def test_checksums_of_either_case_are_good() -> None:
    body = next(body for body in (f"GPXTE,A,A,0.0{n},L,N" for n in range(10)) if f"{xor_of(body):02X}"[1].isalpha())
    for stated in (f"{xor_of(body):02x}", f"{xor_of(body):02X}"):
        found = only(f"${body}*{stated}\r\n")
        assert found.verified
        assert found.text == f"${body}*{stated}"


@pytest.mark.parametrize(
    ("stated", "detail"),
    [
        ("*00", "checksum says 00, the bytes make 71"),
        ("*7", "checksum says 7, the bytes make 71"),
        ("*", "checksum says nothing, the bytes make 71"),
        ("* 71", "the bytes make 71"),
        ("*7G", "checksum says 7G, the bytes make 71"),
        ("*711", "the bytes make 71"),
        ("*17", "checksum says 17, the bytes make 71"),
    ],
)
@pytest.mark.parametrize("require_checksum", [True, False])
def test_a_wrong_checksum_is_refused_even_where_none_would_do(stated: str, detail: str, require_checksum: bool) -> None:
    body = "GPGSV,2,1,07,07,79,048,42,02,51,062,43,26,36,256,42,27,27,138,42"  # nmea_sentences.json: makes 71
    found = refused(f"${body}{stated}\r\n", require_checksum)
    assert found.reason is Reason.BAD_CHECKSUM
    assert found.detail.endswith(detail)


@pytest.mark.parametrize("end", ["\r\n", "   \r\n", "\x00\x00\n", ""])
def test_without_a_checksum_it_depends_on_the_source(end: str) -> None:
    bare = RMC.partition("*")[0]
    found = refused(bare + end)
    assert found.reason is Reason.NO_CHECKSUM
    assert found.detail == f"the bytes make {RMC[-2:]}, none is given"
    accepted = only(bare + end, require_checksum=False)
    assert (accepted.text, accepted.body, accepted.address) == (bare, bare[1:], "GNRMC")
    assert not accepted.verified


def test_where_checksums_are_not_required_those_there_are_verified() -> None:
    assert only(RMC, require_checksum=False).verified


def test_a_file_that_ends_in_mid_sentence() -> None:
    assert texts(RMC + "\r\n" + GGA[:30]) == [RMC, str(Reason.NO_CHECKSUM)]
    assert texts(RMC + "\r\n" + GGA[:-1]) == [RMC, str(Reason.BAD_CHECKSUM)]


# Length and characters


@pytest.mark.parametrize("length", [83, 84, 200, SENTENCE_LIMIT - 1])
def test_longer_than_the_standard_allows_is_accepted(length: int) -> None:
    long = sentence("GNTXT,01,01,02,".ljust(length, "x"))
    assert texts(long + "\r\n") == [long]


@pytest.mark.parametrize("length", [SENTENCE_LIMIT, SENTENCE_LIMIT + 1, LINE_LIMIT - 5, LINE_LIMIT, 3 * LINE_LIMIT])
@pytest.mark.parametrize("before", ["", " "])
def test_far_too_long_is_refused_alone_or_not(length: int, before: str) -> None:
    """Whichever way a line takes through the framer, the limit is the same."""
    events = frame(before + sentence("GNTXT,01,01,02,".ljust(length, "x")) + "\r\n" + RMC + "\r\n")
    assert [e.reason if isinstance(e, Rejected) else e.text for e in events] == [Reason.TOO_LONG, RMC]


def test_what_is_too_long_is_kept_short_and_explained() -> None:
    found = refused(sentence("GNTXT,01,01,02,".ljust(2000, "x")))
    assert len(found.text) == 200
    assert found.detail == f"2000 characters, {SENTENCE_LIMIT} at most"


@pytest.mark.parametrize("byte", ["\x00", "\x07", "\t", "\x1b", "\x7f"])
@pytest.mark.parametrize("require_checksum", [True, False])
def test_control_characters_are_refused_whatever_the_checksum_says(byte: str, require_checksum: bool) -> None:
    """A terminal would obey them; no sentence has them (NMEA 0183 allows 0x20 to 0x7E, from memory)."""
    found = refused(sentence(f"GNTXT,01,01,02,a{byte}b") + "\r\n", require_checksum)
    assert found.reason is Reason.ILLEGAL_CHARACTER
    assert found.detail == f"byte {ord(byte):#04x} at character 18"


def test_escapes_inside_a_bare_sentence_are_refused() -> None:
    assert texts("$GNTXT,01,01,02,\x1b]0;title\x07\r\n", require_checksum=False) == [str(Reason.ILLEGAL_CHARACTER)]


def test_bytes_beyond_ascii_survive_unchanged() -> None:
    """Makers write texts in all sorts of encodings; Latin-1 keeps every byte."""
    spoken = sentence("GNTXT,01,01,02,h\xf6he \x9b31m")
    found = only(spoken.encode("latin-1"))
    assert found.text == spoken
    assert found.text.encode("latin-1") == spoken.encode("latin-1")

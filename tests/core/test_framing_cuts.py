"""Bytes in any pieces and without end: the same sentences, bounded memory, and nothing raises."""

from __future__ import annotations

import sys
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.nmea.framing import LINE_LIMIT, Event, Framer, Rejected, Sentence
from core.nmea.whole_lines import checksum, checksums
from tests.build import line, xor_of
from tests.framed import AIS, GGA, RMC, frame, texts

# Binary and endless input


def test_binary_around_sentences_is_passed_over() -> None:
    binary = bytes(range(256)) + b"\xb5\x62\x01\x07$\x00\xd3\x00\x13$$\xff"
    assert texts(binary + RMC.encode() + b"\r\n" + binary + b"\n" + GGA.encode() + b"\r\n" + binary) == [RMC, GGA]


MEGABYTE = 1 << 20


@pytest.mark.parametrize("unit", [b"x", b"$", b"!", b"\x00", b"\\", b"$GPGGA,", b"!AIVDM,", b"2031-05-04T12:00:00 "])
def test_an_endless_line_fills_no_memory(unit: bytes) -> None:
    block = (unit * (1 << 16))[: 1 << 16]
    framer, refused_ones = Framer(), 0
    for _ in range(8):
        refused_ones += len(framer.feed(block))
        assert len(framer._rest) < LINE_LIMIT
    assert sys.getsizeof(framer._rest) < 2 * LINE_LIMIT
    assert refused_ones <= 8 * len(block) // len(unit)


@pytest.mark.parametrize("unit", [b"x", b"\x00\xff", b"no dollar here, "])
def test_twenty_megabytes_without_a_line_end(unit: bytes) -> None:
    """In one piece, which is the worst case for copying, and in blocks as a source delivers them."""
    framer = Framer()
    assert framer.feed(unit * (20 * MEGABYTE // len(unit))) == []
    for _ in range(20 * 16):
        assert framer.feed(unit * ((1 << 16) // len(unit))) == []
    assert len(framer._rest) < LINE_LIMIT
    assert texts_of(framer.feed(b"\r\n" + RMC.encode() + b"\r\n")) == [RMC]


def texts_of(events: list[Event]) -> list[str]:
    return [event.text for event in events]


def test_a_sentence_at_the_end_of_an_endless_line_is_found() -> None:
    """The cut falls before a sentence that has just begun, so it is not cut itself."""
    for length in range(LINE_LIMIT - 100, LINE_LIMIT + 5):
        assert texts("x" * length + RMC + "\r\n") == [RMC]


# However it is cut

_piece = st.one_of(
    st.sampled_from([RMC, GGA, AIS, RMC.lower(), GGA[:-2] + "00", RMC[:-3], RMC[20:], GGA[:25], "$GGSA,,1*00"]),
    st.sampled_from(["\r\n", "\n", "\r", "\r\r\n", " ", "$", "!", "\x00" * 5, "*", "\\c:1935662400*57\\", ","]),
    st.sampled_from(["2031-05-04T12:00:00Z ", "x" * 1100, "$GNTXT," + "y" * 1020, "z" * 5000, "\x1b[2J"]),
    st.binary(max_size=40).map(lambda raw: raw.decode("latin-1")),
)
mixtures = st.lists(_piece, max_size=12).map(lambda pieces: "".join(pieces).encode("latin-1"))


def feed_in_pieces(data: bytes, cuts: list[int], require_checksum: bool = True) -> list[Event]:
    framer, events = Framer(require_checksum), []
    edges = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    for start, end in pairwise(edges):
        events += framer.feed(data[start:end])
    return events + framer.finish()


@given(mixtures, st.booleans())
def test_cut_at_every_byte_it_is_the_same(data: bytes, require_checksum: bool) -> None:
    assert feed_in_pieces(data, [*range(len(data))], require_checksum) == frame(data, require_checksum)


@given(mixtures, st.lists(st.integers(0, 20_000), max_size=8))
def test_cut_anywhere_it_is_the_same(data: bytes, cuts: list[int]) -> None:
    assert feed_in_pieces(data, cuts) == frame(data)


@given(st.binary(max_size=3000), st.booleans())
def test_no_bytes_raise(data: bytes, require_checksum: bool) -> None:
    for event in frame(data, require_checksum):
        assert event.text.encode("latin-1").rstrip() in data


@given(st.text("GNRMCA,*0123456789ABCDEF$!\\\r\n", max_size=300), st.booleans())
def test_nothing_that_looks_like_sentences_raises(data: str, require_checksum: bool) -> None:
    for event in frame(data, require_checksum):
        assert isinstance(event, Rejected) or event.address[0].isupper()


@given(mixtures)
def test_what_is_accepted_is_printable_and_verified(data: bytes) -> None:
    for event in frame(data):
        if isinstance(event, Sentence):
            assert event.verified
            assert f"{xor_of(event.body):02X}" == event.text[-2:].upper()
            assert not any(ord(character) < 0x20 or character == "\x7f" for character in event.text)


@given(st.integers(0, len(RMC) - 1), st.integers(1, 255))
def test_one_changed_byte_is_never_accepted_as_it_was_not_sent(at: int, change: int) -> None:
    """A checksum of eight bits finds every single changed byte."""
    raw = bytearray(line("GNRMC,120000.00,A,1030.0000,N,02015.0000,W,5.0,90.0,040531,,,A"))
    raw[at] ^= change
    for text in (event.text for event in frame(bytes(raw)) if isinstance(event, Sentence)):
        assert text.upper() == RMC


# The quick way and the careful one


class CarefulFramer(Framer):
    """Looks at every line with care, as the quick way does only with those that it cannot take."""

    def _whole_lines(self, block: bytes) -> list[Event]:
        events: list[Event] = []
        for one in block.replace(b"\r", b"\n").split(b"\n"):
            if one:
                self._line(one, events)
        return events


PIECES = [
    RMC,
    GGA,
    AIS,
    RMC[:-2],
    RMC[:-3],
    GGA[:30],
    GGA.lower(),
    RMC[:-2] + RMC[-2:].lower(),
    "$",
    "!",
    "*",
    "\\",
    ",",
]
BETWEEN = [
    "\r\n",
    "\n",
    "\r",
    " ",
    "\t",
    "\x00",
    "\x01",
    "\xb0",
    "2031-05-04T12:00:00.5Z ",
    "\\c:1*2B\\",
    "x" * 600,
    "0",
]


@given(st.lists(st.sampled_from(PIECES + BETWEEN), max_size=60), st.booleans())
def test_the_quick_way_finds_what_the_careful_one_does(pieces: list[str], require: bool) -> None:
    data = "".join(pieces).encode("latin-1") + b"\n"
    assert Framer(require).feed(data) == CarefulFramer(require).feed(data)


@pytest.mark.parametrize("require", [True, False])
def test_it_does_so_on_a_whole_block_with_one_damaged_character_anywhere(require: bool) -> None:
    """The block is long enough for the checksums to be summed side by side."""
    block = (f"{RMC}\r\n2031-05-04T12:00:00Z {GGA}\r\n" * 8).encode()
    for at in range(len(block) // 2):
        for byte in (b"$", b"!", b"*", b"\n", b"\x00", b"A", b""):
            damaged = block[:at] + byte + block[at + 1 :]
            assert Framer(require).feed(damaged) == CarefulFramer(require).feed(damaged)


@pytest.mark.parametrize("length", [82, 164, 165, 1000, 1015, 1016, 1017, 1023, 1024, 1025, 4090])
@pytest.mark.parametrize("before", ["", " " * 512, " " * 513])
def test_long_lines_are_judged_alike(length: int, before: str) -> None:
    body = "GPTXT," + "x" * (length - 6)
    data = f"{before}${body}*{xor_of(body):02X}\r\n{before}${body}\r\n".encode() * 20
    for require in (True, False):
        assert Framer(require).feed(data) == CarefulFramer(require).feed(data)


@given(st.lists(st.text(st.characters(max_codepoint=255), max_size=200), max_size=40))
def test_checksums_side_by_side_are_those_one_by_one(bodies: list[str]) -> None:
    assert list(checksums(bodies)) == [checksum(body.encode("latin-1")) for body in bodies]

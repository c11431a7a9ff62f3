"""Sentences explained: against the model on all real recordings, against published values, against made damage."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.intake import WIRE_LINES
from core.model import FixModel
from core.nmea import explain_letters as words
from core.nmea.decode import decode
from core.nmea.explain import Explained, explain, explain_all, explain_wire
from core.nmea.explain_frame import checksum_words
from core.nmea.explain_layouts import FIX_LAYOUTS
from core.nmea.explain_marine import MARINE_LAYOUTS
from core.nmea.explain_names import TALKERS
from core.nmea.explain_records import Field
from core.nmea.explain_remarks import remarks
from core.nmea.framing import Framer, Reason, Rejected, Sentence
from core.nmea.readings import Gga, Gll, Gns, Gsa, Gsv, Rmc
from tests.build import line, sentence

DATA = Path(__file__).parents[1] / "data"
FACTS = tomllib.loads((DATA / "nmea_words.toml").read_text("utf-8"))
PUBLISHED = json.loads((DATA / "nmea_sentences.json").read_text("utf-8"))["sentences"]
FOLDER = Path(os.environ.get("FIXBOARD_RECORDINGS", Path(__file__).parents[3] / "shared" / "recordings"))
RECORDINGS = sorted(FOLDER.glob("*.nmea")) + sorted(FOLDER.glob("*.txt")) + sorted(FOLDER.glob("*.bin"))


def of(body: str, start: str = "$") -> Explained:
    return explain(sentence(body, start))


def field(one: Explained, number: int) -> Field:
    return one.fields[number - 1]


def value(one: Explained, number: int) -> Any:
    return field(one, number).told.value


# Agreement


def by_model(data: bytes, required: bool) -> list[tuple[str, Reason | None]]:
    """What the model took and refused, by way of its wire; few enough at a time for the wire to hold them."""
    model = FixModel(required)
    model.feed(data, 0.0)
    model.finish()
    wire = model.snapshot().wire
    assert len(wire) < WIRE_LINES
    return [(one.text, one.reason) if isinstance(one, Rejected) else (one, None) for one in wire]


def by_us(data: bytes, required: bool) -> list[tuple[str, Reason | None]]:
    found = explain_all(data, required)
    assert all(one.accepted == (one.reason is None) for one in found)
    return [(one.text, one.reason) for one in found]


def pieces(data: bytes) -> Iterator[bytes]:
    lines = data.splitlines(keepends=True)
    for n in range(0, len(lines), 100):
        yield b"".join(lines[n : n + 100])


@pytest.mark.skipif(not RECORDINGS, reason="no recordings: FIXBOARD_RECORDINGS names their folder")
@pytest.mark.parametrize("required", [True, False])
def test_real_sentences_are_taken_and_refused_as_the_model_does(required: bool) -> None:
    for path in RECORDINGS:
        for piece in pieces(path.read_bytes()):
            assert by_us(piece, required) == by_model(piece, required)


TYPES = st.sampled_from(
    ["GPGGA", "GNRMC", "GPGSV", "GNGSA", "GPZDA", "GNGNS", "GPTXT", "PUBX", "PTNL", "AIVDM", "GPVTG"]
)
TEXTS = st.text(st.sampled_from("0123456789.ANSEWV,-*$!\\\x07\xb2"), max_size=60)
DAMAGED = st.builds(lambda kind, text: line(f"{kind},{text}"), TYPES, TEXTS)
BARE = st.builds(lambda kind, text: f"${kind},{text}\r\n".encode("latin-1"), TYPES, TEXTS)


@given(st.lists(DAMAGED | BARE | st.binary(max_size=40), max_size=12), st.booleans())
def test_whatever_comes_is_taken_and_refused_as_the_model_does(parts: list[bytes], required: bool) -> None:
    data = b"".join(parts)
    assert by_us(data, required) == by_model(data, required)


@given(st.lists(DAMAGED | BARE, max_size=8), st.booleans())
def test_a_line_of_the_wire_is_explained_as_it_was_decided(parts: list[bytes], required: bool) -> None:
    model = FixModel(required)
    model.feed(b"".join(parts), 0.0)
    for one in model.snapshot().wire:
        told = explain_wire(one)
        assert told.accepted == (not isinstance(one, Rejected))
        assert told.reason == (one.reason if isinstance(one, Rejected) else None)


@pytest.mark.skipif(not RECORDINGS, reason="no recordings: FIXBOARD_RECORDINGS names their folder")
def test_positions_and_satellites_are_those_of_decoding() -> None:
    checked = 0
    for path in RECORDINGS:
        framer = Framer(require_checksum=False)
        for event in framer.feed(path.read_bytes())[::7]:
            checked += isinstance(event, Sentence) and agrees(event)
    assert checked > 1000


def agrees(event: Sentence) -> bool:
    reading, one = decode(event), explain(event.text, require_checksum=False)
    if isinstance(reading, Gga | Rmc | Gns | Gll):
        at = {Gga: 2, Rmc: 3, Gns: 2, Gll: 1}[type(reading)]
        shown = value(one, at), value(one, at + 2)
        if reading.position is not None:
            assert shown == (round(reading.position.latitude_deg, 9), round(reading.position.longitude_deg, 9))
        else:
            assert None in shown
    elif isinstance(reading, Gsa):
        names = [f.told.value for f in one.fields if f.name == "satellite" and f.told.value]
        assert names == list(reading.satellites)
    elif isinstance(reading, Gsv):
        names = [f.told.value for f in one.fields if f.name == "satellite" and f.told.value]
        assert names == [heard.name for heard in reading.satellites]
    return reading is not None


# Outside truth: published sentences and tables (tests/data, each with its source)


@pytest.mark.parametrize("row", [row for row in PUBLISHED if row["checksum_ok"]], ids=lambda row: row["sentence"][:24])
def test_published_sentences_say_what_is_published(row: dict[str, Any]) -> None:
    one = explain(row["sentence"])
    assert one.accepted
    assert one.checksum
    assert f"{one.checksum.made:02X}" == row["computed_checksum"]
    stated = row["decoded"]
    named = {f.name: f.told.value for f in one.fields}
    for key, name in (("lat", "latitude"), ("lon", "longitude")):
        if isinstance(stated.get(key), float) and name in named:
            assert named[name] == pytest.approx(stated[key], abs=5.1e-7)  # printed with six decimals at least
    for key, name in (
        ("hdop", "HDOP"),
        ("alt_msl_m", "altitude"),
        ("geoid_sep_m", "geoid separation"),
        ("date", "date"),
    ):
        if stated.get(key) is not None and name in named and named[name] is not None:
            assert named[name] == stated[key]


def test_a_published_sentence_with_a_wrong_checksum_is_refused_for_it() -> None:
    rows = [row for row in PUBLISHED if not row["checksum_ok"]]
    assert rows
    for row in rows:
        one = explain(row["sentence"])
        assert one.reason is Reason.BAD_CHECKSUM
        assert row["computed_checksum"] in one.why[0]


def test_letters_and_ids_are_those_of_the_published_tables() -> None:
    assert set(words.QUALITIES) == set(FACTS["gga_quality"])
    assert set(words.MODES) == {key for key in FACTS["mode_indicator"] if len(key) == 1}
    assert set(words.NAV_STATUSES) == set(FACTS["nav_status"])
    assert set(words.SYSTEM_IDS) == {key for key in FACTS["system_id"] if len(key) == 1}
    assert set(FACTS["talkers"]) <= set(TALKERS)
    by_name = {"GPS": "G", "GLONASS": "R", "Galileo": "E", "BeiDou": "C", "QZSS": "J", "NavIC": "I"}
    assert {letter: FACTS["signal_id"][name] for name, letter in by_name.items()} == words.SIGNALS


SAME_LENGTH = (
    "GGA",
    "RMC",
    "VTG",
    "GLL",
    "ZDA",
    "GNS",
    "GST",
    "HDT",
    "THS",
    "DTM",
    "RMB",
    "APB",
    "XTE",
    "WPL",
    "BOD",
    "BWC",
)


@pytest.mark.parametrize("formatter", SAME_LENGTH)
def test_a_layout_has_as_many_fields_as_the_published_table(formatter: str) -> None:
    assert len({**FIX_LAYOUTS, **MARINE_LAYOUTS}[formatter]) == len(FACTS["fields"][formatter])


# What fields say


def test_a_latitude_is_shown_with_its_arithmetic() -> None:
    """47 17.112671 N, 8 33.914843 E is 47.28521118, 8.56524738 (u-blox ZED-F9P interface description, 4.1.5)."""
    one = of("GNGLL,4717.112671,N,00833.914843,W,120000.00,A,A")
    assert value(one, 1) == pytest.approx(47.28521118, abs=5e-9)
    assert field(one, 1).told.meaning == "47 + 17.112671 / 60"
    assert value(one, 3) == pytest.approx(-8.56524738, abs=5e-9)
    assert field(one, 3).told.meaning == "-(8 + 33.914843 / 60)"


@pytest.mark.parametrize(
    ("body", "number", "said"),
    [
        ("GPGLL,1030.0,,02015.0,W,120000,A", 1, "N or S must follow"),
        ("GPGLL,1060.0,N,02015.0,W,120000,A", 1, "minutes of 60 or more"),
        ("GPGGA,120000,1030.0,N,02015.0,W,1,08,99.99,1.0,M,,M,,0000", 8, "there is none"),
        ("GPGGA,120000,1030.0,N,02015.0,W,1,08,1.0,1.0,M,,M,,0000", 14, "no corrections"),
        ("GPGGA,120000,1030.0,N,02015.0,W,1,08,1.0,1.0,M,,M,,0000", 11, "not told"),
        ("GNRMC,120000,A,,,,,,,000000,,,A,V", 9, "knows no date"),
        ("GNRMC,235960,A,,,,,,,311216,,,A,V", 1, "leap second"),
        ("GNGNS,120000,,,,,ADN,08,,,,,", 6, "GPS autonomous, GLONASS differential, Galileo none"),
        ("GPGSV,1,1,01,05,45,090,00", 7, "not tracked"),
        ("GPXYZ,1", 1, ""),
    ],
)
def test_what_is_left_out_says_why(body: str, number: int, said: str) -> None:
    assert said in field(of(body), number).told.meaning


def test_satellites_are_named_by_the_system_that_the_sentence_states() -> None:
    assert value(of("GNGSA,A,3,05,,,,,,,,,,,,1,1,1,3"), 3) == "E05"
    assert value(of("GNGSA,A,3,05,,,,,,,,,,,,1,1,1,4"), 3) == "C05"
    assert value(of("GAGSV,1,1,01,05,45,090,40,7"), 8) == "E1 (L1-BC)"
    assert value(of("GBGSV,1,1,01,05,45,090,40,B"), 8) == "B2I"


def test_unknown_fields_and_types_are_called_unknown() -> None:
    one = of("GPXYZ,1,,3")
    assert [f.name for f in one.fields] == ["not known to us"] * 3
    assert one.formatter == ""
    assert of("GPHDT,1.0,T,9").fields[2].name == "not known to us"


def test_the_long_tail_has_pynmea2_s_names() -> None:
    one = of("IIMDA,30.1,I")
    assert one.names == "pynmea2"
    assert any("pynmea2" in said for said in remarks(one))
    made = of("PUBX,00,120000.00,1030.0,N")
    assert (made.maker, made.talker, made.fields[1].told.value) == ("UBX", "", "12:00:00.00")


def test_a_beidou_talker_that_begins_with_p_is_no_maker() -> None:
    one = explain("$PQGSV,3,1,12,02,11,112,,05,28,135,,07,22,049,,09,02,118,,0*73")
    assert (one.maker, value(one, 4)) == ("", "C02")


def test_an_encapsulated_sentence_names_its_message_type() -> None:
    """Message type 1 is a class A position report; `1` is six bits of value 1 (ITU-R M.1371 armour, memory)."""
    one = of("AIVDM,1,1,,B,177KQJ5000G?tO`K>RA1wUbN0TKH,0", "!")
    assert "message type 1;" in field(one, 5).told.meaning
    assert any("packed" in said for said in remarks(one))


# Refused


def test_a_wrong_checksum_is_worked_out() -> None:
    good = sentence("GPHDT,123.4,T")
    stated = f"{int(good[-2:], 16) ^ 1:02X}"
    one = explain(good[:-2] + stated)
    assert one.why[0] == f"Checksum says {stated}, the bytes make {good[-2:]}."
    assert one.checksum
    assert checksum_words(one.checksum) == f"13 bytes between $ and *; exclusive or {good[-2:]}, it says {stated}"


@pytest.mark.parametrize(
    ("text", "reason", "said"),
    [
        ("$GPHDT,1,T*1", Reason.BAD_CHECKSUM, "Two hexadecimal digits must follow"),
        (sentence("GPHDT,1,T") + "7", Reason.BAD_CHECKSUM, "A third digit, 7"),
        ("$GPHDT,1,T", Reason.NO_CHECKSUM, "taken only where a source has none"),
        ("$GPHDT,\x07,T*00", Reason.ILLEGAL_CHARACTER, r"Column 8 is \x07, bell"),
        (sentence("GPHDT," + "1" * 1100), Reason.TOO_LONG, "1106 characters, 1024 at most"),
        (sentence("GPGGA,12x000,1030.0,N,02015.0,W,1,08,1,1,M,1,M,,"), Reason.MALFORMED, "It is field 1 (time)"),
        (sentence("GPGGA,120000"), Reason.MALFORMED, "GGA has 9 at least"),
        (sentence("GPGSV,1,2,00"), Reason.MALFORMED, "field 1 (pages) and field 2 (page)"),
    ],
)
def test_a_refusal_says_why(text: str, reason: Reason, said: str) -> None:
    one = explain(text)
    assert (one.accepted, one.reason) == (False, reason)
    assert any(said in sentence_ for sentence_ in one.why), one.why


def test_a_text_that_was_cut_has_no_checksum_worked_out_from_what_is_left() -> None:
    one = explain(sentence("GPHDT," + "1" * 1100))
    assert one.checksum is None
    assert one.is_cut


def test_a_sentence_taken_without_checksum_says_so() -> None:
    one = explain("$GPHDT,1,T", require_checksum=False)
    assert one.accepted
    assert "Taken without a checksum" in remarks(one)[0]


def test_what_is_no_sentence_says_what_one_would_be() -> None:
    one = explain("hello")
    assert (one.accepted, one.reason, one.fields) == (False, None, ())
    assert "begins with $ or !" in one.why[1]


# Before it


def test_tag_blocks_and_host_times_are_opened() -> None:
    body = "c:1935576000,s:Q1ABC"
    block = f"\\{body}*{sentence(body)[-2:]}\\"
    (stamp, tag) = explain(f"2031-05-04T12:00:00Z {block}{sentence('GPHDT,1,T')}").before
    assert stamp.meaning.startswith("2031-05-04T12:00:00.000Z")
    assert tag.meaning == "time it was written: 2031-05-03T12:00:00.000Z; source: Q1ABC"
    (bad,) = explain(f"\\{body}*00\\{sentence('GPHDT,1,T')}").before
    assert "not believed" in bad.meaning


def test_the_second_sentence_of_a_line_has_nothing_of_the_first_before_it() -> None:
    one = sentence("GPHDT,1,T")
    assert [found.before for found in explain_all(f"{one}\r\n{one}{one}")] == [(), (), ()]

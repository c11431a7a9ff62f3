"""XML from strangers: what is refused, and that the refusal says where and what to do."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.formats import safe_xml
from core.formats.safe_xml import DEEPEST, as_utf8, escaped, parse_xml, xml_text

EXPANDING = b"""<!DOCTYPE a [<!ENTITY b "bbbbbbbb"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]><a>&c;</a>"""
OUTSIDE = b"""<!DOCTYPE a SYSTEM "file:///etc/hostname"><a/>"""


def nested(depth: int) -> bytes:
    return b"<a>" * depth + b"</a>" * depth


@pytest.mark.parametrize("data", [EXPANDING, OUTSIDE, b"<!DOCTYPE a><a/>"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_document_types_are_refused_in_any_encoding(data: bytes, encoding: str) -> None:
    with pytest.raises(InputError, match=r"places\.gpx has a document type.*remove"):
        parse_xml(data.decode().encode(encoding), "places.gpx")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"   ",
        b"no markup",
        b"<a>",
        b"<a></b>",
        b"<a/><b/>",
        b"<a>&unknown;</a>",
        b"<a>\x00</a>",
        b"<a>\x1b</a>",
        b"<a>\xff</a>",
        b"<a b='1' b='2'/>",
        b"<?xml version='1.0' encoding='no-such'?><a/>",
        b"<?xml version='1.0' encoding='utf-16'?><a/>",
        b"<?xml version='1.0' encoding='euc-jp'?><a/>",
        b"<x:a/>",
        b"<a>" * 60,
    ],
)
def test_what_is_not_well_formed_is_refused_with_its_name(data: bytes) -> None:
    with pytest.raises(InputError, match=r"places\.gpx is not well-formed XML"):
        parse_xml(data, "places.gpx")


def test_the_place_of_the_damage_is_said() -> None:
    with pytest.raises(InputError, match="line 3, column 2"):
        parse_xml(b"<a>\n<b>\n</c>\n</a>", "x")


def test_deep_nesting_is_refused_before_anything_is_built() -> None:
    assert len(list(parse_xml(nested(DEEPEST), "x").iter())) == DEEPEST
    with pytest.raises(InputError, match="elements deep"):
        parse_xml(nested(DEEPEST + 1), "x")
    with pytest.raises(InputError, match="elements deep"):
        parse_xml(b"<a>" * 1_000_000, "x")


def test_a_file_that_is_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(safe_xml, "BIGGEST_BYTES", 10)
    assert parse_xml(b"<abcdefg/>", "x").tag == "abcdefg"
    with pytest.raises(InputError, match="larger than"):
        parse_xml(b"<abcdefgh/>", "x")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "windows-1252"])
def test_encodings_are_read_as_declared(encoding: str) -> None:
    text = f"<?xml version='1.0' encoding='{encoding}'?><a>h\u00fctte</a>"
    assert parse_xml(text.encode(encoding), "x").text == "h\u00fctte"


@given(st.binary(max_size=200))
def test_any_bytes_give_a_tree_or_an_input_error(data: bytes) -> None:
    try:
        found = parse_xml(data, "x")
    except InputError:
        return
    assert found.tag


@given(st.text())
def test_any_text_can_be_written_and_comes_back(text: str) -> None:
    element = ET.Element("a")
    element.text = xml_text(text)
    back = parse_xml(ET.tostring(element, encoding="UTF-8"), "x").text or ""
    # XML 1.0, section 2.11: the reader makes one line feed of every kind of line end.
    assert back == xml_text(text).replace("\r\n", "\n").replace("\r", "\n")


def test_only_what_xml_cannot_write_is_taken_away() -> None:
    assert xml_text("a\x00\x1b[31m\ufffe\ud800b\t\n\U0001f3d5\x85") == "a[31mb\t\n\U0001f3d5\x85"


# Into UTF-8


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "windows-1252", "us-ascii"])
@pytest.mark.parametrize("quote", ["'", '"'])
def test_a_document_in_utf_8_says_the_same(encoding: str, quote: str) -> None:
    declared = f"<?xml version='1.0' encoding='{encoding}' standalone='yes'?>".replace("'", quote)
    text = f"{declared}<a b='&#233;'>&#x20ac;</a>"
    made = as_utf8(text.encode(encoding), "x")
    assert ET.tostring(parse_xml(made, "x")) == ET.tostring(parse_xml(text.encode(encoding), "x"))
    assert made.decode("utf-8").casefold() == text.replace(encoding, "utf-8")


@pytest.mark.parametrize("data", [b"<a/>", b"\xef\xbb\xbf<a/>", b"<?xml version='1.0'?><a>\xc3\xa9</a>", b"", b"\xff"])
def test_what_is_utf_8_or_nothing_is_left_alone(data: bytes) -> None:
    assert as_utf8(data, "x") == data


@pytest.mark.parametrize("encoding", ["utf-7", "rot13", "idna", "no-such", "utf-16", "cp037", "-"])
def test_encodings_that_the_parser_does_not_take_are_refused(encoding: str) -> None:
    data = f"<?xml version='1.0' encoding='{encoding}'?><a>+ADw-b/+AD4-</a>".encode()
    with pytest.raises(InputError, match="x is not well-formed"):
        as_utf8(data, "x")


@given(st.binary(max_size=100), st.sampled_from(["utf-8", "utf-16", "iso-8859-1", "windows-1252"]))
def test_any_bytes_become_utf_8_or_an_input_error(data: bytes, encoding: str) -> None:
    head = f"<?xml version='1.0' encoding='{encoding}'?><a>".encode(encoding)
    try:
        made = as_utf8(head + data + "</a>".encode(encoding.replace("utf-16", "utf-16-le")), "x")
    except InputError:
        return
    if encoding != "utf-8":
        assert parse_xml(made, "x").tag == "a"


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\n\t")))
def test_what_is_escaped_comes_back_from_content_and_attribute(text: str) -> None:
    fit = xml_text(text)
    root = parse_xml(f'<a b="{escaped(fit)}">{escaped(fit)}</a>'.encode(), "x")
    assert (root.get("b"), root.text or "") == (fit, fit)

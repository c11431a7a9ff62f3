"""XML from strangers: size, nesting and document types are checked before anything is built from it."""

from __future__ import annotations

import codecs
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from xml.parsers import expat

from core.errors import InputError

BIGGEST_BYTES = 64 * 1024 * 1024
MOST_ELEMENTS = 3_000_000
"""A million points with height and time. Each takes up to four hundred bytes, so this bounds the memory."""
MOST_ATTRIBUTES = 1000
"""Of one element, namespaces aside; a point has two."""
DEEPEST = 64
"""GPX nests half a dozen deep; extensions of others a few more."""

# Not by xml.sax.saxutils, which brings an HTTP client along: start-up time is a promise.
_ESCAPES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})
# What the Char production leaves out (XML 1.0, section 2.2): to compile its complement takes ten times as long.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NAMES_ENCODING = re.compile(rb"""(?:\xef\xbb\xbf)?<\?xml\s[^>]*?\bencoding\s*=\s*["']([A-Za-z0-9._-]+)""")
_UTF8 = frozenset({"utf-8", "utf-8-sig"})
_ENCODING_IN_TEXT = re.compile(r"""\A(<\?xml\s[^>]*?\bencoding\s*=\s*)(["'])[^"']*\2""")


def parse_xml(data: bytes, name: str) -> ET.Element:
    """The root element of a document. Raises InputError naming the file, the place and the reason.

    Document types are refused: they can make a few bytes expand to gigabytes, and none of our formats needs one.
    """
    data = called_utf8(data)
    walk(data, name, Watcher(name))
    return build(data, name)


def build(data: bytes, name: str) -> ET.Element:
    """The root element of a document that has been walked through: it refuses only what is not well-formed."""
    with _said(name):
        return ET.fromstring(data)


def xml_text(text: str) -> str:
    """The text without the characters that XML 1.0 (section 2.2) has no way to write."""
    return _UNFIT.sub("", text)


def escaped(text: str) -> str:
    """As it is written in the content of an element, or between double quotes in an attribute."""
    return text.translate(_ESCAPES)


def called_utf8(data: bytes) -> bytes:
    """The same document, its UTF-8 under the one name that the parser knows for all of it.

    Called `utf8`, or by another of Python's names for it, nothing beyond ASCII would be let through.
    """
    named = _NAMES_ENCODING.match(data)
    try:
        is_utf8 = named is not None and codecs.lookup(named[1].decode()).name in _UTF8
    except LookupError:  # what is no encoding is refused where the document is read
        return data
    return data[: named.start(1)] + b"UTF-8" + data[named.end(1) :] if named and is_utf8 else data


def as_utf8(data: bytes, name: str) -> bytes:
    """The same document in UTF-8, its declaration saying so. Raises InputError as `parse_xml` does."""
    with _said(name):
        data = called_utf8(data)
        encoding = _encoding(data)
        if encoding == "utf-8":
            return data
        walk(data, name, Watcher(name))  # only what the parser takes in this encoding: Python knows stranger ones
        return _ENCODING_IN_TEXT.sub(r"\1\2UTF-8\2", data.decode(encoding)).encode()


class Watcher:
    """What is told of a document's elements while it is walked through. This one only counts them."""

    def __init__(self, name: str) -> None:
        self._name = name
        self.depth = 0
        """Of the element being told of; the root has 1."""
        self._count = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        self.depth += 1
        self._count += 1
        if self._count > MOST_ELEMENTS or len(attributes) > MOST_ATTRIBUTES:
            most = f"{MOST_ELEMENTS:,} elements" if self._count > MOST_ELEMENTS else f"{MOST_ATTRIBUTES} attributes"
            raise InputError(f"{self._name} has more than {most}: split it, or set it aside")
        if self.depth > DEEPEST:
            raise InputError(f"{self._name} nests more than {DEEPEST} elements deep: it is no file of this kind")

    def end(self, tag: str) -> None:
        """It ends."""
        self.depth -= 1


def walk(data: bytes, name: str, watcher: Watcher, parser: expat.XMLParserType | None = None) -> None:
    """Tell `watcher` of each element. Raises InputError for what is too large, has a document type, is damaged."""
    if len(data) > BIGGEST_BYTES:
        raise InputError(f"{name} is larger than {BIGGEST_BYTES // 1024**2} MB: split it")

    def refuse(*_: Any) -> None:
        raise InputError(f"{name} has a document type, which is refused: remove its <!DOCTYPE ...> line")

    parser = parser or expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = watcher.start
    parser.EndElementHandler = watcher.end
    with _said(name):
        _check_encoding(data)
        parser.Parse(data, True)


@contextmanager
def _said(name: str) -> Iterator[None]:
    try:
        yield
    except (ET.ParseError, expat.ExpatError, ValueError, LookupError) as error:
        raise InputError(
            f"{name} is not well-formed XML ({error}): correct it at that place, or set it aside"
        ) from error


_NO_ENCODINGS = frozenset({"unicode_escape", "raw_unicode_escape"})
"""Codecs that the parser takes from Python, though no text is written in them: in them a `<` need not be one."""


def _check_encoding(data: bytes) -> None:
    named = _NAMES_ENCODING.match(data)
    if named and codecs.lookup(named[1].decode()).name.replace("-", "_") in _NO_ENCODINGS:
        raise LookupError(f"unknown encoding {named[1].decode()}")


def _encoding(data: bytes) -> str:
    """By the first bytes (XML 1.0, appendix F), then by the declaration, as Python names it."""
    first = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"<\0": "utf-16-le", b"\0<": "utf-16-be"}.get(data[:2])
    if first:
        return first
    named = _NAMES_ENCODING.match(data)
    return codecs.lookup(named[1].decode()).name if named else "utf-8"

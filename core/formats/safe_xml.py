"""XML from strangers: size, nesting and document types are checked before anything is built from it."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import Any
from xml.parsers import expat

from core.errors import InputError

BIGGEST_BYTES = 64 * 1024 * 1024
DEEPEST = 64
"""GPX nests half a dozen deep; extensions of others a few more."""

_UNFIT = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def parse_xml(data: bytes, name: str) -> ET.Element:
    """The root element of a document. Raises InputError naming the file, the place and the reason.

    Document types are refused: they can make a few bytes expand to gigabytes, and none of our formats needs one.
    """
    if len(data) > BIGGEST_BYTES:
        raise InputError(f"{name} is larger than {BIGGEST_BYTES // 1024**2} MB: split it")
    try:
        _check(data, name)
        return ET.fromstring(data)
    except (ET.ParseError, expat.ExpatError, ValueError, LookupError) as error:
        raise InputError(
            f"{name} is not well-formed XML ({error}): correct it at that place, or set it aside"
        ) from error


def xml_text(text: str) -> str:
    """The text without the characters that XML 1.0 (section 2.2) has no way to write."""
    return _UNFIT.sub("", text)


def _check(data: bytes, name: str) -> None:
    depth = 0

    def refuse(*_: Any) -> None:
        raise InputError(f"{name} has a document type, which is refused: remove its <!DOCTYPE ...> line")

    def deeper(*_: Any) -> None:
        nonlocal depth
        depth += 1
        if depth > DEEPEST:
            raise InputError(f"{name} nests more than {DEEPEST} elements deep: it is no file of this kind")

    def back(*_: Any) -> None:
        nonlocal depth
        depth -= 1

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = deeper
    parser.EndElementHandler = back
    parser.Parse(data, True)

r"""A terminal that is not UTF-8 gets one character of its own for each that it has not: columns stay where they are.

Python would write `\xb0` for a degree sign there: four cells for one, and everything to the right of it is off.
"""

from __future__ import annotations

import codecs
import io
from typing import TextIO

from core.spelled import stand_in

HANDLER = "fixboard-cells"
"""Among Python's error handlers."""


def is_utf8(stream: TextIO | None) -> bool:
    """Whether it takes every character."""
    return (getattr(stream, "encoding", None) or "").lower().replace("-", "").replace("_", "") == "utf8"


def can_show(text: str, stream: TextIO | None) -> bool:
    """Whether all of these characters are its own; whatever has no encoding is asked nothing."""
    try:
        text.encode(getattr(stream, "encoding", None) or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def make_plain(stream: TextIO | None) -> None:
    """Have it say in its own characters, cell for cell, what it is given. UTF-8 stays as it is."""
    if not isinstance(stream, io.TextIOWrapper) or is_utf8(stream):
        return
    codecs.register_error(HANDLER, _stand_ins)
    # In encodings of several bytes a degree sign is two cells wide.
    stream.reconfigure(encoding=stream.encoding if _is_of_single_bytes(stream.encoding) else "ascii", errors=HANDLER)


def _is_of_single_bytes(encoding: str) -> bool:
    return len("°".encode(encoding, "replace")) == 1


def _stand_ins(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(stand_in, error.object[error.start : error.end])), error.end

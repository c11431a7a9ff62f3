"""What stood before a sentence on its line: TAG blocks opened, host times, anything else counted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime

from core.nmea.explain_records import Before, escaped
from core.nmea.stamps import line_stamp_ms, split_tag
from core.nmea.whole_lines import checksum

CODES = {
    "c": "time it was written",
    "d": "destination",
    "g": "group (sentence-of-group)",
    "n": "line count",
    "r": "relative time",
    "s": "source",
    "t": "text",
}
"""nmea-facts.toml [tag_block]."""
_BLOCK = re.compile(rb"\\([^\\*]{1,200})\*([0-9A-Fa-f]{2})\\")


def opened(prefix: bytes) -> tuple[Before, ...]:
    """In order; blanks and zero bytes between them are nothing."""
    return tuple(_parts(prefix))


def _parts(prefix: bytes) -> Iterator[Before]:
    done = 0
    for found in _BLOCK.finditer(prefix):
        yield from _other(prefix[done : found.start()])
        yield _block(found.group(), found.group(1), int(found.group(2), 16))
        done = found.end()
    yield from _other(prefix[done:])


def _block(whole: bytes, inside: bytes, stated: int) -> Before:
    made = checksum(inside)
    if made != stated:
        return Before("TAG block", _text(whole), f"not believed: checksum says {stated:02X}, the bytes make {made:02X}")
    tag = split_tag(whole)
    unix_ms = tag.unix_ms if tag else None
    parts = inside.decode("latin-1").split(",")
    return Before("TAG block", _text(whole), "; ".join(_code(part, unix_ms) for part in parts))


def _code(part: str, unix_ms: int | None) -> str:
    code, colon, value = part.partition(":")
    name = CODES.get(code, f"code {escaped(code)}, not known to us") if colon else "not code:value"
    shown = when(unix_ms) if code == "c" and colon and unix_ms is not None else escaped(value if colon else part)
    return f"{name}: {shown}"


def when(unix_ms: int) -> str:
    """ISO 8601 with milliseconds, UTC."""
    moment = datetime.fromtimestamp(unix_ms // 1000, tz=UTC)
    return f"{moment:%Y-%m-%dT%H:%M:%S}.{unix_ms % 1000:03d}Z"


def _other(part: bytes) -> Iterator[Before]:
    if not part.strip(b"\x00 \t\r\n"):
        return
    stamp = line_stamp_ms(part)
    if stamp is None:
        yield Before("other bytes", _text(part[:60]), f"{len(part)} of them, no part of the sentence")
    else:
        yield Before("host time", _text(part.strip()), f"{when(stamp)}; one without a zone is taken as UTC")


def _text(raw: bytes) -> str:
    return raw.decode("latin-1")

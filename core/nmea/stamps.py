"""Host times written beside sentences: TAG blocks (NMEA 0183 v4) and ISO 8601 times at the start of a line."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from functools import lru_cache
from typing import NamedTuple

SECONDS_DIGITS = 11
"""A `c:` value of up to this many digits is seconds, a longer one milliseconds (nmea-facts.toml [tag_block])."""

_TAG = re.compile(rb"\\([^\\*]{1,200})\*([0-9A-Fa-f]{2})\\[^\\]*\Z")
_ISO = re.compile(rb"(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d:\d\d)(?:[.,](\d{1,9}))?(Z|[+-]\d\d:?\d\d)?")
_LATEST_MS = 253_402_300_799_000
"""The end of the year 9999: anything later is damage, and datetime could not show it."""


class Tag(NamedTuple):
    """The parts of a TAG block that fixboard uses."""

    unix_ms: int | None
    """`c:`, when the sentence was written."""
    source: str | None
    """`s:`, who wrote it."""


@lru_cache(maxsize=64)
def host_stamp(prefix: str) -> tuple[int | None, Tag | None]:
    """When the host wrote the sentence that `prefix` stands before, Unix milliseconds, and its TAG block.

    Cached because what is written within one second often bears the same time.
    """
    raw = prefix.encode("latin-1")
    tag = split_tag(raw)
    return (tag.unix_ms if tag and tag.unix_ms is not None else line_stamp_ms(raw)), tag


def split_tag(prefix: bytes) -> Tag | None:
    """The TAG block that stands right before a sentence; None where there is none or its checksum fails."""
    found = _TAG.search(prefix)
    if not found or _xor(found.group(1)) != int(found.group(2), 16):
        return None
    parts = dict(part.split(":", 1) for part in found.group(1).decode("latin-1").split(",") if ":" in part)
    return Tag(_unix_ms(parts.get("c", "")), parts.get("s"))


def line_stamp_ms(prefix: bytes) -> int | None:
    """Unix milliseconds of the last ISO 8601 time in `prefix`; a time without a zone is taken as UTC."""
    times = list(_ISO.finditer(prefix[-200:]))
    if not times:
        return None
    found = times[-1]
    day, clock, fraction, zone = (part.decode("ascii") if part else "" for part in found.groups())
    try:
        moment = datetime.fromisoformat(f"{day}T{clock}{zone}")
    except ValueError:
        return None
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return round(moment.timestamp() * 1000) + int(f"{fraction:0<3}"[:3])


def _unix_ms(text: str) -> int | None:
    if not (text.isascii() and text.isdigit() and len(text) <= 15):
        return None
    value = int(text) * (1000 if len(text) <= SECONDS_DIGITS else 1)
    return value if value <= _LATEST_MS else None


def _xor(body: bytes) -> int:
    total = 0
    for byte in body:
        total ^= byte
    return total

"""`fixboard explain`: a sentence field by field, for the shell."""

from __future__ import annotations

import json
import os
from argparse import Namespace
from collections.abc import Iterable, Iterator
from typing import Any

from core.errors import InputError
from core.nmea.explain import Explained, explain_all
from core.nmea.explain_frame import checksum_words
from core.nmea.explain_records import Field, escaped, value_words
from core.nmea.explain_remarks import remarks, title
from tui.cli_queries import standard_input
from tui.speaking import printable, tell

MOST_BYTES = 1_000_000
"""More is a recording, not some sentences."""
NOTHING = (
    "no sentence in that: one begins with $ or !, then come 3 to 10 capital letters and digits, and a comma or *. "
    "In the shell put it in single quotes: without them, or in double ones, $ begins a variable"
)


def explain(options: Namespace) -> int:
    """`fixboard explain SENTENCE`; a refused sentence is explained too, and is no failure."""
    found = explain_all(_given(options.sentence), options.checksums != "allow")
    if not found:
        raise InputError(NOTHING)
    if options.json:
        tell(json.dumps({"sentences": [as_json(one) for one in found]}, allow_nan=False))
    else:
        tell("\n\n".join("\n".join(_lines(one)) for one in found))
    return 0


def _given(text: str) -> bytes:
    """What was typed, byte for byte, or what comes on standard input."""
    if text != "-":
        return os.fsencode(text)
    data = standard_input().read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise InputError(f"more than {MOST_BYTES} bytes: that is a recording, see fixboard digest and fixboard replay")
    return data


def as_json(one: Explained) -> dict[str, Any]:
    """Everything, unknown as null."""
    made = one.checksum
    return {
        "text": one.text,
        "accepted": one.accepted,
        "reason": one.reason.value if one.reason else None,
        "why": list(one.why),
        "address": one.address,
        "talker": one.talker or None,
        "formatter": one.formatter or None,
        "maker": one.maker or None,
        "names": one.names or None,
        "is_used": one.is_used,
        "remarks": list(remarks(one)),
        "checksum": made and {"bytes": made.counted, "made": f"{made.made:02X}", "stated": made.stated or None},
        "before": [part._asdict() for part in one.before],
        "fields": [_field_json(field) for field in one.fields],
    }


def _field_json(field: Field) -> dict[str, Any]:
    told = field.told
    return {
        "number": field.number,
        "name": field.name,
        "raw": field.raw,
        "value": told.value,
        "unit": told.unit or None,
        "meaning": told.meaning,
        "is_wrong": told.is_wrong,
    }


def _lines(one: Explained) -> Iterator[str]:
    yield escaped(one.text)
    if title(one):
        yield f"  {title(one)}"
    state = "taken" if one.accepted else f"refused: {one.reason}"
    yield f"  {state}; {checksum_words(one.checksum)}" if one.checksum else f"  {state}; only its beginning was kept"
    yield from (f"  {line}" for line in (*one.why, *remarks(one)))
    yield from (f"  before it, {part.what}: {escaped(part.raw)}: {part.meaning}" for part in one.before)
    yield from _table(one.fields)


def _table(fields: Iterable[Field]) -> Iterator[str]:
    for field in fields:
        cells = f"{field.number:>3}  {field.name:<24} {escaped(field.raw):<16} {value_words(field.told):<18}"
        yield printable(f"{cells} {field.told.meaning}".rstrip())

"""JSON from strangers: bounded in size and values before anything is built, refused with the place and what to do."""

from __future__ import annotations

import json
from typing import Any

from core.errors import InputError

BIGGEST_BYTES = 64 * 1024 * 1024
MOST_VALUES = 8_000_000
"""A million points with times have half of them. Each takes up to a hundred bytes, so this bounds the memory."""


def parse_json(data: bytes, name: str) -> Any:
    """What a document says. Raises InputError naming the file, the place and the reason."""
    if len(data) > BIGGEST_BYTES:
        raise InputError(f"{name} is larger than {BIGGEST_BYTES // 1024**2} MB: split it")
    if sum(map(data.count, (b",", b"[", b"{"))) > MOST_VALUES:  # at most one value more than these in any document
        raise InputError(f"{name} holds more than {MOST_VALUES:,} values: split it")
    try:
        return json.loads(data.decode("utf-8-sig"))
    except RecursionError as error:
        raise InputError(f"{name} is no JSON that can be read: it nests too deeply; set it aside") from error
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{name} is no JSON ({error}): correct it at that place, or set it aside") from error
    except ValueError as error:  # Python's own words on it are for programmers
        raise InputError(f"{name} holds a number of thousands of digits: correct it, or set it aside") from error

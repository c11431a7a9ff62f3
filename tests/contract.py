"""The keys of the JSON objects, as the contract with scripts names them; extra ones of ours stand apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

NOW = frozenset(
    [
        "utc",
        "latitude",
        "longitude",
        "altitude_m",
        "geoid_separation_m",
        "speed_mps",
        "course_true",
        "mode",
        "dimensions",
        "satellites_in_fix",
        "satellites_in_view",
        "hdop",
        "age_s",
        "source",
    ]
)
NOW_LATER = frozenset(("verdict", "reasons", "error_95_m"))
DIGEST = frozenset(
    [
        "sentences",
        "types",
        "epochs",
        "epochs_with_fix",
        "first_fix",
        "last_fix",
        "modes",
        "satellites_in_view_max",
        "max_speed_mps",
        "distance_raw_m",
        "distance_m",
        "duration_s",
    ]
)
DIGEST_LATER = frozenset(("verdicts", "error_95_m"))
SENTENCES = frozenset(("good", "bad_checksum", "no_checksum", "other_rejected", "malformed"))
"""`malformed` is ours: framed well, checksum right, and still no sentence of its type."""
PLACE_AND_TIME = frozenset(("utc", "latitude", "longitude"))


def check_now(found: dict[str, Any]) -> None:
    """Every key there, none besides, no figure that JSON does not have."""
    assert NOW <= set(found) <= NOW | NOW_LATER
    assert all(map(is_a_figure, numbers(found)))


def check_digest(found: dict[str, Any]) -> None:
    """As `check_now`, and the objects within."""
    assert DIGEST <= set(found) <= DIGEST | DIGEST_LATER
    assert set(found["sentences"]) == SENTENCES
    for name in ("first_fix", "last_fix"):
        assert found[name] is None or set(found[name]) == PLACE_AND_TIME
    assert all(map(is_a_figure, numbers(found)))


def numbers(value: Any) -> Iterator[float]:
    """All numbers in an object, however deep."""
    if isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from numbers(one)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


def is_a_figure(number: float) -> bool:
    """Neither NaN nor infinite."""
    return math.isfinite(number)

"""Tables of check values in tests/data: CSV whose first lines, marked `#`, tell the source."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """All rows of one table."""
    with (DATA / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(line for line in stream if not line.startswith("#")))

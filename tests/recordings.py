"""The folder of real recordings, which is not part of the project: tests that need it are skipped without it."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(os.environ.get("FIXBOARD_RECORDINGS") or Path(__file__).parents[1] / "../shared/recordings")
"""Where the recordings are; the default is beside the project's root."""

needs_recordings = pytest.mark.skipif(
    not (FOLDER / "truth.json").is_file(),
    reason="the real recordings are not here: set FIXBOARD_RECORDINGS to their folder",
)


def truth() -> dict[str, Any]:
    """What two independent parser libraries counted in each recording, by file name; empty without the folder."""
    path = FOLDER / "truth.json"
    found: dict[str, Any] = json.loads(path.read_text("utf-8")) if path.is_file() else {}
    return found

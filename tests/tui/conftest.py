"""For every test of the screen: one zone, no user's settings, nothing of this computer to choose from."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def same_everywhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """UTC as the local time, an empty folder to start in, no serial ports, no colours by environment."""
    for name in ("NO_COLOR", "COLORTERM", "TEXTUAL_COLOR_SYSTEM", "FIXBOARD_DATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setattr("tui.offers.ports", tuple)
    started_in = tmp_path / "started-in"
    started_in.mkdir()
    monkeypatch.chdir(started_in)
    if hasattr(time, "tzset"):
        time.tzset()
    yield
    monkeypatch.undo()
    if hasattr(time, "tzset"):
        time.tzset()

"""For tests that put a board on the screen: the same on every computer."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def same_everywhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """No colours by environment, an empty folder to start in, no ports of this computer."""
    for name in ("NO_COLOR", "COLORTERM", "TEXTUAL_COLOR_SYSTEM", "FIXBOARD_DATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("tui.offers.ports", tuple)
    (tmp_path / "started-in").mkdir()
    monkeypatch.chdir(tmp_path / "started-in")
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()

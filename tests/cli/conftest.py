"""For every test of the commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import Ask, asker


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes]) -> Ask:
    """Runs a command within the test's own process."""
    return asker(capfdbinary)


@pytest.fixture
def data_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's files are in the test's own folder."""
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path))


@pytest.fixture
def data_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's files are in a folder below the test's own, out of the way of what the test puts there."""
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))

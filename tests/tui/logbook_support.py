"""The logbook on the screen, with two sessions that the recorder made. Names and places are invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.logbooks import LATER, NOON, record, walk
from tests.tui.support import until
from tui.app import FixboardApp
from tui.panes.session_list import SessionListPane
from tui.screens.logbook import LogbookScreen

WALK = "2031-05-04_120000_gps.nmea"
STILL = "2031-05-04_140000_base.nmea"


@pytest.fixture(autouse=True)
def much_later(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The actions' clock: after all that was recorded."""
    monkeypatch.setattr("tui.actions.session_listing.SessionListActions._logbook_now", staticmethod(lambda: LATER))
    yield


def two_sessions(folder: Path) -> Path:
    """A walk of a minute at noon, and two hours later, by another receiver, a session without any fix."""
    record(folder, NOON, walk(NOON, 60))
    record(folder, NOON + timedelta(hours=2), walk(NOON + timedelta(hours=2), 20, gap=(0, 20)), label="base")
    return folder


async def opened(app: FixboardApp, pilot: Pilot[None]) -> LogbookScreen:
    """With all that is known of its sessions."""
    await pilot.press("L")
    await until(pilot, lambda: isinstance(app.screen, LogbookScreen) and app.screen.is_mounted)
    screen = app.screen
    assert isinstance(screen, LogbookScreen)
    await until(pilot, lambda: all(entry.summary for entry in screen.entries))
    await pilot.pause()
    return screen


def chosen(app: FixboardApp) -> str:
    entry = app.screen.query_one(SessionListPane).chosen
    assert entry is not None
    return entry.session.key


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*.nmea"))


async def type_into(app: FixboardApp, pilot: Pilot[None], box: str, text: str) -> None:
    app.screen.query_one(box, Input).value = text
    await pilot.press("enter")
    await pilot.pause()

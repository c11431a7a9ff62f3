"""A held place: the board's shape without a receiver, and never a fix. The place is invented."""

from __future__ import annotations

import threading
from datetime import date

from core.aged import Freshness
from core.fix import FixMode, Position
from core.held import HeldModel, HeldPlace
from core.sources.feed import Feed
from core.sources.held import HeldSource
from core.sources.source import SourceKind, SourceState
from core.sources.wall import WallAnchor
from core.trust import Verdict

CAR = HeldPlace("Car at Quennet ford", Position(10.5, -20.25), 12.5, 7.0)
NOON_4_MAY_2031_MS = 1_935_662_400_000
"""2031-05-04T12:00:00Z in Unix milliseconds (`date -u -d 2031-05-04T12:00:00Z +%s`)."""


def model(place: HeldPlace = CAR) -> HeldModel:
    return HeldModel(place, WallAnchor(NOON_4_MAY_2031_MS, 100.0))


def test_a_held_place_is_no_satellite_fix_whatever_else_it_is() -> None:
    held = model().snapshot()
    assert held.fix.position == CAR.position
    assert not held.fix.is_satellite_fix
    assert held.fix.mode is FixMode.MANUAL
    assert held.last_fix is None
    assert held.trust.verdict is Verdict.NO_FIX
    assert "saved place" in held.trust.reasons[0]


def test_its_place_never_grows_old_but_its_clock_does() -> None:
    values = model().snapshot().values
    assert values.position is not None
    assert values.position.freshness(100.0 + 1e6) is Freshness.FRESH
    assert values.utc is not None
    assert values.utc.freshness(110.1) is Freshness.GONE


def test_the_time_is_the_computers_and_goes_on_with_the_ticks() -> None:
    held = model()
    held.feed(b"\n", 100.0 + 13 * 3600.0)
    utc = held.snapshot().fix.utc
    assert utc is not None
    assert (utc.day, utc.clock()) == (date(2031, 5, 5), "01:00:00")


def test_it_keeps_the_height_and_the_error_that_were_marked() -> None:
    held = model().snapshot()
    assert held.values.height is not None
    assert held.values.height.value.altitude_m == 12.5
    assert held.trust.error.horizontal_m == 7.0
    bare = model(HeldPlace("typed", CAR.position)).snapshot()
    assert bare.values.height is None
    assert bare.trust.error.horizontal_m is None


def test_the_source_ticks_once_a_second_and_does_not_catch_up_after_a_sleep() -> None:
    now = [50.0]
    source = HeldSource("Car", lambda: now[0])
    assert source.read(0.0) is not None
    assert source.read(0.0) is None
    now[0] = 51.0
    assert source.read(0.0) is not None
    now[0] = 5000.0  # the lid was closed
    assert source.read(0.0) is not None
    assert source.read(0.0) is not None  # due now; the 4,947 that were missed are not made up
    assert source.read(0.0) is None
    assert source.status().kind is SourceKind.HELD
    assert source.status().state is SourceState.HOLDING


def test_a_feed_shows_it_at_once() -> None:
    now = [100.0]
    told = threading.Event()
    feed = Feed(HeldSource("Car", lambda: now[0]), model(), told.set)
    feed.start()
    assert told.wait(10)
    assert feed.take().fix.position == CAR.position
    feed.stop()

"""The board at the ends of the calendar, of the tables of leap seconds, and of what formulas are made for."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.clock import ClockMeter, Clocks, ClockSetup
from core.gps_time import GPS_EPOCH, next_rollover
from core.judgement import Judgement
from core.model import FixModel, Snapshot
from core.outing import Outing
from tests.build import lines
from tests.faults.time_streams import place
from tests.tui.support import ISLE, board_app, board_state, screen_rows, show
from tui.actions.beam import _day
from tui.dark import before_dark
from tui.screens.board import PAGES

DAYS = {
    "the last second of all": ("31,12,9999", 86_369),
    "the leap second after it": ("31,12,9999", 86_370),
    "no year of the sun's formulas": ("31,12,2199", 3_600),
    "before any satellite": ("06,01,1980", 0),
    "two digits of the year wrap": ("31,12,2079", 86_370),
    "a leap day": ("29,02,2028", 86_370),
    "year 1": ("01,01,0001", 0),
}
"""A date as ZDA tells it, and the second of the day at which 31 epochs begin: some of them end in a leap second."""


def said(second: int) -> str:
    return "235960" if second == 86_400 else f"{timedelta(seconds=second)}".replace(":", "").zfill(6)[:6]


def state_of(name: str, *, seconds: int = 31) -> Snapshot:
    """With everything on that a board has."""
    day, begins = DAYS[name]
    model = FixModel(judgement=Judgement(ErrorModel(), date(2031, 5, 4)), outing=Outing())
    model.clock = ClockMeter(ClockSetup(lambda: Clocks(1.9e9, 100.0)))
    for n in range(seconds):
        gga = f"GNGGA,{said(begins + n)},{place(n)},1,09,1.0,12.5,M,30.0,M,,"
        model.feed(lines(gga, f"GNZDA,{said(begins + n)},{day},00,00"), 100.0 + n)
    return model.snapshot()


@pytest.mark.parametrize("name", DAYS)
async def test_every_page_is_drawn_whatever_the_date(tmp_path: Path, name: str) -> None:
    """Also once the receiver has gone silent, when the board goes on from its last time by itself."""
    app = board_app(tmp_path)
    snapshot = state_of(name)
    async with app.run_test(size=(120, 40)) as pilot:
        for age_s in (0.0, 4000.0):
            show(app, board_state(snapshot, age_s, target=ISLE))
            for page in PAGES:
                app.action_page(page)
                await pilot.pause()
                assert len({len(row) for row in screen_rows(app)}) == 1
    assert app.return_code in {None, 0}
    assert snapshot.trip.track.count
    assert snapshot.clock.utc is not None


@pytest.mark.parametrize("age_s", [0.0, 1.0, 5.0, 86_400.0, 1e9])
@pytest.mark.parametrize("name", DAYS)
def test_how_long_it_is_light_is_told_or_why_not(name: str, age_s: float) -> None:
    found = before_dark(board_state(state_of(name), age_s))
    assert found.latest_turn or found


@pytest.mark.parametrize("day", [date.max, date(9997, 1, 1), date(9982, 6, 25), date.min, date(1980, 1, 5)])
def test_the_next_rollover_is_one_that_the_calendar_has_or_none(day: date) -> None:
    found = next_rollover(day)
    assert found is None or found.utc.date() >= day or day < GPS_EPOCH.date()


@pytest.mark.parametrize("year", [1, 1600, 1896, 1904, 2028, 2096, 2104, 9996])
def test_a_leap_day_of_any_year_is_moved_to_one_whose_sun_is_known(year: int) -> None:
    day = date(year, 2, 29) if year != 1 else date.min
    moved = _day(day)
    assert (moved.month, moved.day) == (day.month, day.day)
    assert 1901 <= moved.year <= 2099


def test_a_state_can_be_changed_at_the_last_second() -> None:
    state = board_state(state_of("the last second of all"))
    assert replace(state, now_s=state.now_s + 10.0).utc is not None
    assert datetime.max.replace(tzinfo=UTC).year == 9999

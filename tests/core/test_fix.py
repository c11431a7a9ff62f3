"""The records: how an instant is written, and what a Fix works out when asked."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from core.fix import NO_FIX, SATELLITE_FIX_MODES, Fix, FixMode, Heard, Position, Satellite, Utc, strongest
from core.nmea.readings import Gsv

DAY = date(2031, 5, 4)
HERE = Position(10.5, -20.25)


@pytest.mark.parametrize(
    ("time_ms", "iso", "clock"),
    [
        (0, "T00:00:00.000Z", "00:00:00"),
        (43_200_007, "T12:00:00.007Z", "12:00:00"),
        (86_399_999, "T23:59:59.999Z", "23:59:59"),
        (86_400_000, "T23:59:60.000Z", "23:59:60"),
        (86_400_999, "T23:59:60.999Z", "23:59:60"),
    ],
)
def test_an_instant_is_written_as_the_contract_says(time_ms: int, iso: str, clock: str) -> None:
    assert Utc(time_ms, None).iso() == iso
    assert Utc(time_ms, DAY).iso() == f"2031-05-04{iso}"
    assert Utc(time_ms, DAY).clock() == clock


def test_tenths_are_cut_off_not_rounded() -> None:
    assert [Utc(43_200_999, None).clock(digits) for digits in range(4)] == [
        "12:00:00",
        "12:00:00.9",
        "12:00:00.99",
        "12:00:00.999",
    ]


def test_an_instant_as_a_datetime() -> None:
    assert Utc(43_200_500, DAY).datetime() == datetime(2031, 5, 4, 12, 0, 0, 500_000, tzinfo=UTC)
    assert Utc(43_200_500, None).datetime() is None
    assert Utc(86_400_000, DAY).datetime() == datetime(2031, 5, 5, tzinfo=UTC)
    assert Utc(86_400_000, date(9999, 12, 31)).datetime() is None


def test_nothing_said_is_nothing_known() -> None:
    assert set(NO_FIX) == {None, FixMode.NONE, (), False}
    assert NO_FIX.satellites == ()
    assert (NO_FIX.is_satellite_fix, NO_FIX.satellites_in_fix, NO_FIX.satellites_in_view) == (False, None, None)


def test_the_words_of_the_modes_are_those_of_the_contract() -> None:
    assert " ".join(FixMode) == ("none autonomous differential precise rtk_fixed rtk_float estimated manual simulated")
    satellites = [str(mode) for mode in FixMode if mode in SATELLITE_FIX_MODES]
    assert satellites == ["autonomous", "differential", "precise", "rtk_fixed", "rtk_float"]


@pytest.mark.parametrize("mode", FixMode)
def test_a_satellite_fix_needs_a_place_and_its_mode(mode: FixMode) -> None:
    assert Fix(position=HERE, mode=mode).is_satellite_fix == (mode in SATELLITE_FIX_MODES)
    assert not Fix(position=None, mode=mode).is_satellite_fix


@pytest.mark.parametrize(
    ("fix", "count"),
    [
        (Fix(position=HERE, used=("G01", "G02"), stated_in_fix=9), 2),
        (Fix(position=HERE, used=(), stated_in_fix=9), 9),
        (Fix(position=HERE, stated_in_fix=9), 9),
        (Fix(position=HERE, stated_in_fix=0), 0),
        (Fix(position=HERE), None),
        (Fix(used=("G01",)), 0),
        (Fix(stated_in_fix=9), 0),
        (Fix(), None),
    ],
)
def test_satellites_in_the_fix(fix: Fix, count: int | None) -> None:
    """Those listed; where none are, the number that is stated; a void epoch uses none."""
    assert fix.satellites_in_fix == count


PAGES = (Gsv(1, 1, "G", "1", "05,45,090,30,06,,,"), Gsv(1, 1, "G", "8", "05,,,41"))


def test_satellites_of_an_epoch() -> None:
    fix = Fix(position=HERE, heard=PAGES, used=("G05", "G09", "G05"))
    assert fix.satellites == (
        Satellite("G05", 45, 90, 41, True),
        Satellite("G06", None, None, None, False),
        Satellite("G09", None, None, None, True),
    )
    assert fix.satellites_in_view == 2
    assert not any(one.in_fix for one in fix._replace(position=None).satellites)


@pytest.mark.parametrize(
    ("one", "other", "stronger"),
    [
        (None, Heard("G05", 45, 90, 30), Heard("G05", 45, 90, 30)),
        (Heard("G05", 45, 90, 30), Heard("G05", 46, 91, 41), Heard("G05", 46, 91, 41)),
        (Heard("G05", 45, 90, 41), Heard("G05", 46, 91, 30), Heard("G05", 45, 90, 41)),
        (Heard("G05", 45, 90, 30), Heard("G05", None, None, 41), Heard("G05", 45, 90, 41)),
        (Heard("G05", None, None, 41), Heard("G05", 45, 90, 30), Heard("G05", 45, 90, 41)),
        (Heard("G05", 45, 90, None), Heard("G05", 45, 90, 1), Heard("G05", 45, 90, 1)),
        (Heard("G05", 45, 90, 30), Heard("G05", 46, 91, None), Heard("G05", 45, 90, 30)),
        (Heard("G05", 45, 90, 30), Heard("G05", 46, 91, 30), Heard("G05", 45, 90, 30)),
    ],
)
def test_the_stronger_signal_with_the_place_of_either(one: Heard | None, other: Heard, stronger: Heard) -> None:
    assert strongest(one, other) == stronger

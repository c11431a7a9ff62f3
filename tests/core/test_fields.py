"""Text of a field to a number, a time, a date, a place: every form, every edge, every kind of damage."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from core.fix import Position
from core.nmea import fields as f
from core.nmea.fields import KNOT_MPS
from tests.played import HERE

NOON_MS = 43_200_000


PLACES: list[tuple[str, Position | None]] = [
    ("1030.0000,N,02015.0000,W", HERE),
    ("1030.0000,S,02015.0000,E", Position(-10.5, 20.25)),
    ("1030,N,02015,W", HERE),
    ("1030.,N,02015.,W", HERE),
    ("01030.0,N,2015.0,W", HERE),  # unusual padding
    ("0000.0000,N,00000.0000,E", Position(0.0, 0.0)),
    ("0000.0000,S,00000.0000,W", Position(0.0, 0.0)),
    ("9000.0000,N,18000.0000,E", Position(90.0, 180.0)),
    ("9000.0000,S,18000.0000,W", Position(-90.0, -180.0)),
    ("0030.0,S,00030.0,W", Position(-0.5, -0.5)),
    ("1029.99999999,N,02014.99999999,W", Position(10 + 29.99999999 / 60, -20 - 14.99999999 / 60)),
    *[(text, None) for text in (
        "", "1030.0,N", ",N,02015.0,W", "1030.0,,02015.0,W", "1030.0,N,02015.0,", "1030.0,N,,W",
        "9000.0001,N,02015.0,W", "9100.0,N,02015.0,W", "1030.0,N,18000.0001,W", "1030.0,N,19015.0,E",
        "1060.0,N,02015.0,W", "1099.9,N,02015.0,W", "1030.0,N,02060.0,W",
        "1030.0,n,02015.0,W", "1030.0,N,02015.0,w", "1030.0,E,02015.0,W", "1030.0,N,02015.0,S", "1030.0,NS,02015.0,W",
        "nan,N,02015.0,W", "inf,N,02015.0,W", "1e3,N,02015.0,W", "1_030.0,N,02015.0,W", "-1030.0,N,02015.0,W",
        "+1030.0,N,02015.0,W", "1030.0.0,N,02015.0,W", " 1030.0,N,02015.0,W", "1030;0,N,02015.0,W", ".,N,.,W",
        "10\xb20.0,N,02015.0,W", "1030.\xb2,N,02015.0,W", "5936.79K,N,02015.0,W", f"{'1' * 40},N,02015.0,W",
        f"1030.{'0' * 40},N,02015.0,W",
    )],
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), PLACES, ids=[repr(text) for text, _ in PLACES])
def test_places(text: str, expected: Position | None) -> None:
    four = [*text.split(","), *[""] * 4][:4]
    found = f.position(*four)
    assert found == expected
    if found:
        assert str(found.latitude_deg) != "-0.0"
        assert str(found.longitude_deg) != "-0.0"


ARABIC = "٣٤"
NOT_NUMBERS = [
    "", "nan", "inf", "-inf", "1e5", "1_0", " 1", "1 ", "0x1", "1,5", "+-1", ".", "-", "1.2.3", ARABIC, "1" * 13,
    "\xb2", "None", "1\n", "\x00",
]  # fmt: skip


@pytest.mark.parametrize("text", NOT_NUMBERS)
def test_text_that_is_no_number_is_none(text: str) -> None:
    for convert in (f.number, f.direction, f.speed_knots, f.speed_kmh, f.dilution, f.at_least_zero, f.height, f.whole):
        assert convert(text) is None


def test_numbers() -> None:
    texts = ["0", "00007.50", "-1.5", "+1.5", ".5", "-.5", "5.", "999999999999"]
    assert [f.number(text) for text in texts] == [0.0, 7.5, -1.5, 1.5, 0.5, -0.5, 5.0, 999_999_999_999.0]
    assert [f.whole(text) for text in ("0", "007", "-1", "1.0", "999999", "1000000")] == [
        0,
        7,
        None,
        None,
        999_999,
        None,
    ]


@pytest.mark.parametrize(
    ("convert", "values"),
    [
        (f.direction, {"0": 0.0, "359.9": 359.9, "360.0": 0.0, "360.1": None, "-0.1": None}),
        (f.speed_knots, {"0.0": 0.0, "1": 1852 / 3600, "-0.1": None, "12195.6": None}),
        (f.speed_knots, {"1001": 1001 * 1852 / 3600, "1002": None}),
        (f.speed_kmh, {"3.6": 1.0, "1853": 1853 / 3.6, "1855": None, "-1": None}),
        (f.dilution, {"0.5": 0.5, "99.8": 99.8, "99.9": None, "99.99": None, "0": None, "0.0": None, "-1": None}),
        (f.height, {"-12000": -12000.0, "-12000.1": None, "100000": 100_000.0, "100001": None, "00038": 38.0}),
        (f.at_least_zero, {"0": 0.0, "-0.1": None, "5.5": 5.5}),
    ],
)  # fmt: skip
def test_ranges(convert: Callable[[str], float | None], values: dict[str, float | None]) -> None:
    assert {text: convert(text) for text in values} == {
        text: None if value is None else pytest.approx(value) for text, value in values.items()
    }


def test_a_knot_is_1852_metres_an_hour() -> None:
    """International Hydrographic Conference, Monaco 1929: one nautical mile is exactly 1,852 m."""
    assert round(KNOT_MPS * 3600, 12) == 1852.0


TIMES = {
    "": None, "000000": 0, "120000": NOON_MS, "120000.": NOON_MS, "120000.5": NOON_MS + 500,
    "120000.007": NOON_MS + 7, "120000.9999": NOON_MS + 999, "235959.999": 86_399_999,
    "235960": 86_400_000, "235960.999": 86_400_999,
}  # fmt: skip


@pytest.mark.parametrize(("text", "ms"), TIMES.items())
def test_times_of_day(text: str, ms: int | None) -> None:
    """Truncated to milliseconds, so that a time never runs ahead; the leap second is the 86,400th."""
    assert f.time_of_day(text) == ms


DATES = {
    "": None, "000000": None, "040531": date(2031, 5, 4), "060180": date(1980, 1, 6), "311299": date(1999, 12, 31),
    "010100": date(2000, 1, 1), "311279": date(2079, 12, 31), "290232": date(2032, 2, 29),
    "290231": None, "320131": None, "011331": None, "000131": None, "010031": None,
}  # fmt: skip


@pytest.mark.parametrize(("text", "day"), DATES.items())
def test_dates(text: str, day: date | None) -> None:
    """Two digits of the year: from 80 on the 1900s, since GPS time began on 1980-01-06."""
    assert f.date_ddmmyy(text) == day

"""Streams of a receiver around the moments at which clocks and calendars do something odd: the table `CASES`.

A walk of 120 seconds due north at 1.5 m/s on the open ocean, an epoch a second, sixty of them before the moment. What a
case changes is what its sentences say of time; how far was walked, and for how long, is the same in all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from tests.build import gsa, lines

BEFORE = 60
"""Epochs before the moment, and as many from it on."""
COUNT = 2 * BEFORE
PACE_MPS = 1.5
NORTH_DEG_PER_S = PACE_MPS / 110_600
"""Near 10.5 degrees north, where a minute of latitude is 1843 m (WGS 84)."""
LONGITUDE = "02015.000000,W"

Said = tuple[str, str]
"""Time (hhmmss, with a fraction or not) and date (ddmmyy, or empty), as an epoch's sentences say them."""


@dataclass(frozen=True, slots=True)
class Case:
    """One odd moment."""

    name: str
    said: Sequence[Said]
    """Of each epoch, `COUNT` of them."""
    shown: Sequence[str]
    """What each epoch's time and date are then, ISO 8601: those that are stated here, or the same as said."""
    steady: bool = True
    """Whether the receiver's clock goes on a second an epoch, as far as anybody can tell: then nothing may be broken by
    it, and no second is missing."""


def place(n: float) -> str:
    """Of the walk, after so many seconds."""
    minutes = 30.0 + n * NORTH_DEG_PER_S * 60.0
    return f"10{minutes:09.6f},N,{LONGITUDE}"


def epoch(n: int, said: Said, kinds: str = "rmc gga") -> bytes:
    """The sentences of the n-th second: with a fix, nine satellites, dilution 1."""
    time, day = said
    made = {
        "rmc": f"GNRMC,{time},A,{place(n)},2.9,0.0,{day},,,A",
        "gga": f"GNGGA,{time},{place(n)},1,09,1.0,12.5,M,30.0,M,,",
    }
    return lines(*[made[kind] for kind in kinds.split()], gsa(5, 7, 13, 15, 20, 24, 30, system="1"))


def stream(case: Case, kinds: str = "rmc gga") -> bytes:
    """All of a case."""
    return b"".join(epoch(n, said, kinds) for n, said in enumerate(case.said))


def _counted(moment: datetime, told: Callable[[datetime], Said] | None = None) -> tuple[list[Said], list[str]]:
    """The seconds around `moment`: as an honest receiver says them, or as `told` makes of them; and what they are."""
    times = [moment + timedelta(seconds=n - BEFORE) for n in range(COUNT)]
    said = [told(time) if told else _said(time) for time in times]
    return said, [f"{time:%Y-%m-%dT%H:%M:%S}.000Z" for time in times]


def _said(time: datetime) -> Said:
    return f"{time:%H%M%S}", f"{time:%d%m%y}"


def _dateless_said(time: datetime) -> Said:
    return f"{time:%H%M%S}", ""


def _honest(name: str, moment: datetime, told: Callable[[datetime], Said] | None = None) -> Case:
    said, shown = _counted(moment, told)
    return Case(name, said, shown)


def _dateless() -> Case:
    said, shown = _counted(datetime(2031, 5, 5), _dateless_said)
    return Case("no date at all", said, [text[10:] for text in shown])


def _rarely_dated() -> Case:
    """Every tenth second only, the first time in the sixth."""
    said, shown = _counted(
        datetime(2031, 5, 5), lambda time: _said(time) if time.second % 10 == 5 else _dateless_said(time)
    )
    return Case("a date told every tenth second only", said, [*(text[10:] for text in shown[:5]), *shown[5:]])


def _early_by(name: str, moment: datetime, days: int) -> Case:
    """The right time of day, and a date that is so many days early: shown as it is said."""
    off = timedelta(days=days)
    said, shown = _counted(moment - off)
    return Case(name, said, shown)


def _leap_second() -> Case:
    """2016-12-31 had one (tests/data/leap_seconds.csv); the sixty seconds before it end on it."""
    last = datetime(2016, 12, 31, 23, 59, 59)
    before = [last - timedelta(seconds=BEFORE - 2 - n) for n in range(BEFORE - 1)]
    after = [datetime(2017, 1, 1) + timedelta(seconds=n) for n in range(BEFORE)]
    said = [*map(_said, before), ("235960", "311216"), *map(_said, after)]
    shown = [f"{time:%Y-%m-%dT%H:%M:%S}.000Z" for time in (*before, *after)]
    shown.insert(BEFORE - 1, "2016-12-31T23:59:60.000Z")
    return Case("a leap second", said, shown)


def _changed(case: Case, name: str, changes: dict[int, tuple[Said, str]]) -> Case:
    """The same but for some epochs: what they say, and what that is; the clock then is not steady."""
    said, shown = [*case.said], [*case.shown]
    for n, (says, is_shown) in changes.items():
        said[n], shown[n] = says, is_shown
    return Case(name, said, shown, steady=False)


_MIDNIGHT = _honest("midnight", datetime(2031, 5, 5))
_AFTER = BEFORE + 5
_ODD: tuple[tuple[str, int, Said, str], ...] = (
    ("the old date for a second", BEFORE, ("000000", "040531"), "2031-05-04T00:00:00.000Z"),
    ("the new date a second early", BEFORE - 1, ("235959", "050531"), "2031-05-05T23:59:59.000Z"),
    ("a date that jumps for a second", _AFTER, ("000005", "050541"), "2041-05-05T00:00:05.000Z"),
    ("a date of 1980 for a second", _AFTER, ("000005", "060180"), "1980-01-06T00:00:05.000Z"),
    ("no such date for a second", _AFTER, ("000005", "310231"), "2031-05-05T00:00:05.000Z"),
    ("zeros for a date for a second", _AFTER, ("000005", "000000"), "2031-05-05T00:00:05.000Z"),
)
"""Midnight, but that one epoch says another date; and what that is shown as."""
_ODD_SECONDS = [_changed(_MIDNIGHT, name, {n: (said, shown)}) for name, n, said, shown in _ODD]
CASES = [
    _MIDNIGHT,
    _honest("year's end", datetime(2032, 1, 1)),
    _honest("into a leap day", datetime(2028, 2, 29)),
    _honest("out of a leap day", datetime(2028, 3, 1)),
    _honest("no leap day", datetime(2031, 3, 1)),
    _honest("end of the century's leap day", datetime(2000, 2, 29)),
    _honest("a week of the satellites begins", datetime(2031, 5, 11)),
    _honest("the week count rolls over and the receiver knows", datetime(2038, 11, 21)),
    _rarely_dated(),
    _early_by("1024 weeks early over midnight", datetime(2027, 1, 1), 7168),
    _early_by("2048 weeks early over midnight", datetime(2027, 1, 1), 2 * 7168),
    _dateless(),
    _leap_second(),
    *_ODD_SECONDS,
]
"""By name in the tests."""


def _starting_in_1980() -> Case:
    """Seconds since it was switched on, until it learns time and date: 22 hours and 51 years in one step."""
    start = [datetime(1980, 1, 6) + timedelta(seconds=n) for n in range(BEFORE)]
    rest = [datetime(2031, 5, 4, 22) + timedelta(seconds=n) for n in range(BEFORE)]
    shown = [f"{time:%Y-%m-%dT%H:%M:%S}.000Z" for time in (*start, *rest)]
    return Case("1980 until it knows", [*map(_said, start), *map(_said, rest)], shown, steady=False)


def _week_lost() -> Case:
    """An old receiver in the night of a rollover: the date falls back by 1024 weeks, the time of day goes on."""
    case = _honest("the week count rolls over and the receiver does not know", datetime(2038, 11, 21))
    early = [_said(datetime(2038, 11, 21) - timedelta(days=7168) + timedelta(seconds=n)) for n in range(BEFORE)]
    shown = [f"{date(2019, 4, 7)}T00:0{n // 60}:{n % 60:02d}.000Z" for n in range(BEFORE)]
    return Case(case.name, [*case.said[:BEFORE], *early], [*case.shown[:BEFORE], *shown], steady=False)


CASES += [_starting_in_1980(), _week_lost()]
BY_NAME = {case.name: case for case in CASES}

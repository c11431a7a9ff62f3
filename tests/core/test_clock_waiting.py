"""What is said while there is nothing to bound the clock with: nothing heard, or no fix in what is."""

from __future__ import annotations

from datetime import UTC, datetime

from core.clock import NO_FIX_YET, ClockMeter, ClockSetup
from core.clock_report import NOTHING_YET, ClockReport
from core.model import FixModel
from core.nmea.tagging import tag_block
from tests.build import gga, line, rmc

BEGUN_MS = round(datetime(2031, 5, 4, 12, 0, tzinfo=UTC).timestamp() * 1000)


def heard(*seconds_with_fix: bool) -> ClockReport:
    model = FixModel()
    model.clock = ClockMeter(ClockSetup())
    for n, has_fix in enumerate(seconds_with_fix):
        stamp = tag_block(BEGUN_MS + n * 1000 + 217)
        void = f"GNRMC,1200{n % 60:02d}.00,V,,,,,,,040531,,,N"
        model.feed(stamp + line(rmc(43_200 + n) if has_fix else void), 0.0)
        if has_fix:
            model.feed(stamp + line(gga(43_200 + n)), 0.0)
    return model.clock.report()


def test_before_anything_nothing_has_come() -> None:
    assert heard().reasons == NOTHING_YET


def test_seconds_without_a_fix_are_not_nothing() -> None:
    assert heard(*[False] * 30).reasons == (NO_FIX_YET,)


def test_with_a_fix_it_is_no_longer_said() -> None:
    assert NO_FIX_YET not in heard(*[False] * 5, *[True] * 40).reasons

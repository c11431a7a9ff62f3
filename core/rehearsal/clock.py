"""What time the receiver believes it is: none, the time of day alone, or the date too, perhaps 1024 weeks early."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from core.dates import ROLLOVER_DAYS
from core.fix import Utc
from core.rehearsal.tracking import Channel, Start


class StationClock:
    """Learns the time from one channel, the date with the first ephemeris; then keeps both by itself.

    The leap seconds between GPS time and UTC are taken as known: receivers keep them in their firmware.
    """

    def __init__(self, start: Start) -> None:
        self.has_time = self.has_date = start is not Start.COLD

    def learn(self, channels: Iterable[Channel], now_s: float) -> None:
        """Take what the channels have read by now, `now_s` seconds after switching on."""
        if self.has_date:
            return
        for channel in channels:
            self.has_time = self.has_time or channel.knows_time
            self.has_date = self.has_date or channel.knows_orbit(now_s)

    def reading(self, t: datetime, rollovers: int) -> Utc | None:
        """What it shows at the true UTC `t`."""
        if not self.has_time:
            return None
        ms = ((t.hour * 60 + t.minute) * 60 + t.second) * 1000 + t.microsecond // 1000
        return Utc(ms, _shifted(t.date(), rollovers) if self.has_date else None)


def _shifted(day: date, rollovers: int) -> date:
    """Early by whole rollovers, as far as there are dates (gps_time.json: 2026-11-25 shown as 2007-04-11)."""
    most = (day.toordinal() - 1) // ROLLOVER_DAYS
    return day - timedelta(days=ROLLOVER_DAYS * min(rollovers, most))

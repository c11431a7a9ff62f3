"""From the recording's clock to the time of day, where the two run together; and round times for an axis."""

from __future__ import annotations

import math
from typing import NamedTuple

from core.fix import Fix

DAY_S = 86_400.0
LOOSE_S = 3.0
"""The two clocks may differ by this much more or less: a line that delivers late. Beyond, a clock was set."""
STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400)
MOST_TICKS = 6


class Times(NamedTuple):
    """How the axis is labelled."""

    end_s: float
    """The recording's clock at its end; it begins with 0."""
    utc_at_0_s: float | None
    """Time of day in UTC at 0, 0 to 86,400; None where no one time fits all of the recording."""

    def label(self, at_s: float, *, seconds: bool = False) -> str:
        """Time of day in UTC, else since the beginning; whole seconds."""
        whole = round(at_s if self.utc_at_0_s is None else (self.utc_at_0_s + at_s) % DAY_S)
        hours, rest = divmod(whole, 3600)
        hour = f"{hours % 24:02d}" if self.utc_at_0_s is not None else f"{hours}"
        return f"{hour}:{rest // 60:02d}" + (f":{rest % 60:02d}" if seconds else "")

    @property
    def words(self) -> str:
        """What the labels are."""
        return "time since the beginning, h:mm" if self.utc_at_0_s is None else "time of day, UTC"

    def ticks(self) -> list[tuple[float, str]]:
        """Round times within the recording, with labels: at most seven."""
        step = next((one for one in STEPS_S if self.end_s / one <= MOST_TICKS), None)
        step = step or math.ceil(self.end_s / MOST_TICKS / STEPS_S[-1]) * STEPS_S[-1]
        shift = self.utc_at_0_s or 0.0
        first = math.ceil(shift / step)
        count = int((shift + self.end_s) // step) - first + 1
        return [
            (number * step - shift, self.label(number * step - shift, seconds=step < 60))
            for number in range(first, first + count)
        ]


class TimesFound:
    """Watches satellite fixes."""

    def __init__(self) -> None:
        self._first_s: float | None = None
        self._low_s = self._high_s = 0.0
        self.end_s = 0.0

    def take(self, fix: Fix, at_s: float) -> None:
        """The next epoch."""
        self.end_s = at_s
        if not fix.is_satellite_fix or fix.utc is None:
            return
        offset_s = fix.utc.time_ms / 1000 - at_s
        if self._first_s is None:
            self._first_s = offset_s
        off_s = math.remainder(offset_s - self._first_s, DAY_S)
        self._low_s, self._high_s = min(self._low_s, off_s), max(self._high_s, off_s)

    def found(self) -> Times:
        """As of the end."""
        fits = self._first_s is not None and self._high_s - self._low_s <= LOOSE_S
        return Times(self.end_s, self._first_s % DAY_S if fits and self._first_s is not None else None)

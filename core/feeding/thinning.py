"""Fewer epochs than come: 1 Hz of 10, on the whole second where there is a time of day.

Time is divided into spans of 1/rate seconds, by the sentences' own clock where they have one. Of each span the first
epoch goes on; of one that comes in several sentences, all of them. A sentence without a time (the sky, the satellites
in use) goes on once a span too, in whatever epoch it comes: receivers at 10 Hz send their sky in one of the ten.
"""

from __future__ import annotations

import math

from core.nmea.fields import BadField, time_of_day

_TIME_AT = {"RMC": 1, "GGA": 1, "GNS": 1, "GLL": 5, "ZDA": 1, "GST": 1, "GBS": 1}
"""Which field has the time of day (nmea-facts.toml [fields])."""
MOST_REMEMBERED = 1000
"""Kinds of sentences in one span; a stream that makes up more must not fill the memory."""


def span_of(time_ms: int | None, at_s: float, rate_hz: float) -> tuple[bool, int]:
    """Which span an instant is in: by its time of day, else by when it arrived."""
    # A whole number of spans a second, or of seconds a span, begins on the second; the tiny part is for 9.999999.
    seconds = at_s if time_ms is None else time_ms / 1000
    return time_ms is not None, math.floor(seconds * rate_hz + 1e-6)


class Thinner:
    """Says of each sentence whether it goes on."""

    def __init__(self, rate_hz: float | None) -> None:
        """`rate_hz`: epochs a second; None: all."""
        self._rate_hz = rate_hz
        self._time_ms: int | None = None
        self._span: tuple[bool, int] | None = None
        self._counts: dict[str, int] = {}
        """How often each address has come in this epoch."""
        self._last: dict[tuple[str, int], tuple[bool, int]] = {}
        """The span in which the n-th sentence of an address last went on."""

    def passes(self, address: str, body: str, at_s: float) -> bool:
        """Whether it goes on. `at_s`: when it arrived."""
        if self._rate_hz is None or address.endswith("TXT"):
            return True
        field = _TIME_AT.get(address[2:]) if len(address) == 5 else None
        if field is not None:
            self._look_at(_time_ms(body, field), address)
        self._span = span_of(self._time_ms, at_s, self._rate_hz)
        nth = self._counts[address] = self._counts.get(address, 0) + 1
        return self._first_of_its_span((address, nth))

    def _look_at(self, time_ms: int | None, address: str) -> None:
        """Another time begins another epoch; where there is none, the same sentence again does."""
        begins = time_ms != self._time_ms if time_ms is not None else self._counts.get(address, 0) > 0
        self._time_ms = time_ms
        if begins:
            self._counts.clear()

    def _first_of_its_span(self, key: tuple[str, int]) -> bool:
        if self._span is None or self._last.get(key) == self._span:
            return False
        if len(self._last) >= MOST_REMEMBERED:
            self._last.clear()
        self._last[key] = self._span
        return True


def _time_ms(body: str, field: int) -> int | None:
    fields = body.split(",", field + 1)
    try:
        return time_of_day(fields[field]) if len(fields) > field else None
    except BadField:
        return None

"""A held place: a saved position that the board runs from without a receiver, and which never passes for a fix.

`HeldModel` has the shape of the FixModel as a feed knows it, so nothing above can tell how little is behind it; what
it says is a position put in by hand (the trade's mode for that, `manual`), and the verdict stays "no fix".
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import inf
from typing import NamedTuple

from core.accuracy import NO_ERROR, Error95
from core.aged import Aged
from core.fix import Fix, FixMode, Position, Utc
from core.history import Height, Mode, Values
from core.model import Snapshot
from core.navigator import Navigator
from core.outing import Outing
from core.site import SiteAverager
from core.sources.wall import WallAnchor
from core.trust import Trust, Verdict

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
REASON = "a saved place, not a measurement"
ADVICE = "k goes back to the receiver"
TICK_S = 1.0


class HeldPlace(NamedTuple):
    """What is held."""

    name: str
    position: Position
    altitude_m: float | None = None
    """Above mean sea level."""
    error_95_m: float | None = None
    """Of the place on the ground, as it was when the place was marked."""


class HeldModel:
    """Answers with the place, and with the time by this computer's clock."""

    epoch_complete = True

    def __init__(self, place: HeldPlace, clock: WallAnchor) -> None:
        """`clock`: ties the source's monotonic seconds to the time of day."""
        self.place = place
        self.navigator = Navigator()
        self.outing: Outing | None = None
        """A held place goes nowhere."""
        self.site: SiteAverager | None = None
        """And is no measurement that a mean could be made of."""
        self._clock = clock
        self._at_s = clock.monotonic_s

    def feed(self, data: bytes, at_s: float) -> list[Fix]:
        """Whatever comes only moves the clock."""
        del data
        self._at_s = at_s
        return []

    def finish(self) -> list[Fix]:
        """Nothing is ever left over."""
        return []

    def snapshot(self) -> Snapshot:
        """The place, of any age: it does not grow old, since it never was a measurement."""
        utc, place = self._utc(), self.place
        fix = Fix(utc=utc, position=place.position, mode=FixMode.MANUAL, altitude_m=place.altitude_m, told=True)
        height = None if place.altitude_m is None else Aged(Height(place.altitude_m, None), self._at_s, inf)
        values = Values(
            utc=Aged(utc, self._at_s, TICK_S),
            position=Aged(place.position, self._at_s, inf),
            mode=Aged(Mode(FixMode.MANUAL, None), self._at_s, inf),
            height=height,
        )
        return Snapshot(fix=fix, at_s=self._at_s, values=values, trust=_trust(place))

    def _utc(self) -> Utc:
        moment = _EPOCH + timedelta(milliseconds=self._clock.unix_at(self._at_s))
        midnight = moment.replace(hour=0, minute=0, second=0, microsecond=0)
        return Utc(int((moment - midnight).total_seconds() * 1000), moment.date())


def _trust(place: HeldPlace) -> Trust:
    error = NO_ERROR if place.error_95_m is None else Error95(place.error_95_m, None, "the place as it was marked")
    return Trust(Verdict.NO_FIX, (REASON,), ADVICE, error)

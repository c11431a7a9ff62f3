"""Sentences written anew from what the board makes of the source's: one set an epoch, modes that say what it is.

An epoch is written when it looks complete and the line pauses, or when the next one begins: once, with all that had
come by then. What is no receiver's own live word is written as simulated, whatever the recording said; a held place as
put in by hand. Once a position is stale (two of its kind were due and did not come) a void set goes out every second.
"""

from __future__ import annotations

from collections.abc import Iterator

from core.feeding.pacing import Rate, Staleness
from core.feeding.plan import FeedPlan, Origin
from core.fix import Fix, FixMode, Satellite
from core.nmea.decode import Malformed, decode
from core.nmea.epoch import Epoch, EpochAssembler
from core.nmea.framing import Framer, Rejected
from core.nmea.merge import DayCarry, merge
from core.nmea.readings import Text
from core.nmea.write import USUAL_TYPES, sentences, void
from core.nmea.write import Epoch as Written
from core.sky import SkyBook

PAUSE_S = 0.03
"""A line that is quiet for so long pauses between two bursts, at 10 Hz and at 4800 baud (2 ms a character) alike."""
LONG_PAUSE_S = 0.25
"""And one that is quiet for so long has said all, whatever the epoch looks like."""
MOST_A_SECOND = 20.0
"""Epochs of a recording that is played fast: no receiver that a reader might expect sends more (common practice)."""


class RebuiltWriter:
    """Takes what arrives, gives what goes out. Times are seconds of one clock of the room."""

    def __init__(self, plan: FeedPlan, origin: Origin) -> None:
        self._plan = plan
        self._types = plan.types or USUAL_TYPES
        self._is_recorded = origin.kind.is_recorded
        self._framer = Framer(origin.require_checksum)
        self._assembler = EpochAssembler()
        self._carry = DayCarry()
        self._rate = Rate(plan.rate_hz)
        self._told_s: float | None = None
        self._delayed: Fix | None = None
        """The newest of those that came too fast: where they stop, it is told after all."""
        self._staleness = Staleness()
        self._sky = SkyBook()
        self._sky_is_new = False
        self._open: Epoch | None = None
        """The newest epoch, while it has not been written."""
        self._newest: Epoch | None = None
        self._heard_s = 0.0
        self._was_void: bool | None = None
        """Of the epoch written last: that a fix is lost or found is told at once, whatever the rate."""

    @property
    def waits(self) -> bool:
        """Whether an epoch waits for the line to pause."""
        return self._open is not None or self._delayed is not None

    def take(self, data: bytes, at_s: float) -> list[bytes]:
        """The lines of the epochs that `data` shows to be over."""
        self._heard_s = at_s
        return [line for epoch in self._overtaken(data, at_s) for line in self._written(epoch, at_s)]

    def tick(self, at_s: float) -> list[bytes]:
        """The lines of an epoch that has come to a pause; void ones where nothing has come for too long."""
        quiet_s = at_s - self._heard_s
        if self._open and (quiet_s >= LONG_PAUSE_S or (quiet_s >= PAUSE_S and self._assembler.complete)):
            epoch, self._open = self._open, None
            return self._written(epoch, at_s)
        if self._delayed and not self._is_too_fast(at_s):
            return self._paced(self._delayed, at_s)
        return self._told(void(), at_s) if self._staleness.wants_void(at_s) else []

    def _overtaken(self, data: bytes, at_s: float) -> Iterator[Epoch]:
        for event in self._framer.feed(data):
            reading = None if isinstance(event, Rejected) else decode(event)
            if reading is None or isinstance(event, Rejected) or isinstance(reading, Malformed | Text):
                continue
            self._assembler.add(event.address, reading, at_s)
            current = self._assembler.current
            if current is not None and current.anchors and current is not self._newest:
                if self._open:
                    yield self._open
                self._newest = self._open = current

    def _written(self, epoch: Epoch, at_s: float) -> list[bytes]:
        fix = merge(epoch, self._carry)
        self._carry.remember(fix.utc)
        self._sky.take(epoch.gsv, epoch.at_s)
        self._sky_is_new = self._sky_is_new or bool(epoch.gsv)
        if not fix.told:
            return []
        self._staleness.came(epoch.at_s)
        if self._is_too_fast(at_s):
            self._delayed = fix
            return []
        return self._paced(fix, at_s)

    def _is_too_fast(self, at_s: float) -> bool:
        return self._is_recorded and self._told_s is not None and at_s - self._told_s < 1.0 / MOST_A_SECOND

    def _paced(self, fix: Fix, at_s: float) -> list[bytes]:
        """If its turn has come."""
        self._delayed = None
        is_void = fix.position is None
        if not self._rate.allows(fix, at_s) and self._was_void is is_void:
            return []
        self._was_void, self._told_s = is_void, at_s
        return self._told(self._labelled(fix), at_s)

    def _labelled(self, fix: Fix) -> Fix:
        return fix._replace(mode=FixMode.SIMULATED) if self._is_recorded and fix.position is not None else fix

    def _told(self, fix: Fix, at_s: float) -> list[bytes]:
        return sentences(Written(fix, self._news_of_the_sky(at_s), self._plan.talker), self._types)

    def _news_of_the_sky(self, at_s: float) -> tuple[Satellite, ...] | None:
        """Once for each time that it was told; that of a recording is nobody's sky now."""
        if not self._sky_is_new or self._is_recorded:
            return None
        self._sky_is_new = False
        self._sky.drop_old(at_s)
        return self._sky.satellites(frozenset())

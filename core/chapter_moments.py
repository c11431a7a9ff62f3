"""Finds the moments of a recording that somebody would point at, in one pass and in bounded memory.

Each watch looks at one thing, takes epochs in their order and says what it has found; some can only say it later, or at
the end. What is found is dated to when it happened.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Protocol

from core import chapter_words as words
from core.chapter_words import Found
from core.epochs import Epoch
from core.moving import Motion
from core.steps import Follows, Steps
from core.trust import Verdict

SETTLED_S = 15.0
"""So long after a change of mode the receiver's own error figures have followed it (common practice, no source)."""
GAP_S = 60.0
"""Less may be a receiver that reports seldom (common practice, no source)."""
LOST_S, DOUBT_S, REST_S = 3.0, 15.0, 45.0
"""Shorter losses, doubts and rests are not worth a word to an audience (common practice, no source)."""
JOINING_S = 20.0
"""After a fix has come its satellites are still joining: that is no geometry of the sky."""
POOR_HDOP, CONTRAST = 2.0, 2.0
"""Worst and best are worth showing where they differ: from this HDOP on, and by this factor."""


class Watch(Protocol):
    """One thing."""

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """What this epoch shows."""

    def end(self) -> Iterator[Found]:
        """What is only known now."""


class FixWatch:
    """Switched on, first fix, lost, back."""

    def __init__(self) -> None:
        self._newest: Epoch | None = None
        self._begin_s: float | None = None
        self._with: Epoch | None = None
        self._lost: Epoch | None = None

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """Where it goes from the one to the other."""
        if self._begin_s is None:
            self._begin_s = epoch.at_s
            if not epoch.fix.is_satellite_fix:
                yield words.switched_on(epoch)
        self._newest = epoch
        if epoch.fix.is_satellite_fix:
            yield from self._has(epoch, self._begin_s)
            self._with, self._lost = epoch, None
        elif self._with is not None and self._lost is None:
            self._lost = epoch

    def end(self) -> Iterator[Found]:
        """A fix that did not come back."""
        if self._lost is not None and self._newest is not None:
            for_s = self._newest.at_s - self._lost.at_s
            if for_s >= LOST_S:
                yield words.lost(self._lost, self._with, for_s, ends=False)

    def _has(self, epoch: Epoch, begin_s: float) -> Iterator[Found]:
        if self._with is None:
            yield words.first_fix(epoch, epoch.at_s - begin_s)
        elif self._lost is not None:
            for_s = epoch.at_s - self._lost.at_s
            if for_s >= LOST_S:
                yield words.lost(self._lost, self._with, for_s, ends=True)
                yield words.back(epoch, for_s)


class ModeWatch:
    """One kind of satellite fix after another, said once the receiver's error figures have followed it."""

    def __init__(self) -> None:
        self._newest: Epoch | None = None
        self._changes: list[tuple[Epoch, Epoch]] = []
        """Before and after, not said yet."""

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """A loss is no mode, and dead reckoning is a loss."""
        yield from self._due(epoch.at_s - SETTLED_S)
        before, self._newest = self._newest, epoch if epoch.fix.is_satellite_fix else None
        if before is not None and (self._newest is None or before.fix.mode is not epoch.fix.mode):
            yield from self._due(epoch.at_s, before)
            if self._newest is not None:
                self._changes.append((before, epoch))

    def end(self) -> Iterator[Found]:
        """Those that the recording ends on."""
        return self._due(math.inf)

    def _due(self, until_s: float, newest: Epoch | None = None) -> Iterator[Found]:
        """Each with the newest fix of the new mode."""
        while self._changes and self._changes[0][1].at_s <= until_s:
            before, epoch = self._changes.pop(0)
            yield words.mode(epoch, before, newest or self._newest or epoch)


class SignWatch:
    """What the evidence says of single epochs: jumps, all signals falling, wrong dates, time going back."""

    def __init__(self) -> None:
        self._before: frozenset[str] = frozenset()
        self._dated = False

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """Only where it begins: evidence stays for ten seconds."""
        evidence = epoch.trust.evidence
        if evidence is None:
            return
        signs = {"jump": evidence.jumped_m is not None, "fell": evidence.signals_fell, "back": evidence.went_back}
        now = frozenset(sign for sign, is_there in signs.items() if is_there)
        new, self._before = now - self._before, now
        if "jump" in new:
            yield words.jump(epoch, evidence.jumped_m or 0.0)
        if "fell" in new:
            yield words.signals_fell(epoch)
        if "back" in new:
            yield words.backwards(epoch)
        if evidence.day_is_wrong and not self._dated:
            self._dated = True
            yield words.wrong_date(epoch)

    def end(self) -> Iterator[Found]:
        """Nothing."""
        return iter(())


class DoubtWatch:
    """A fix that is doubtful for a while, after one that was not."""

    def __init__(self) -> None:
        self._since: Epoch | None = None
        self._was_good = False
        self._newest_s = 0.0

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """Said once it is over."""
        self._newest_s = epoch.at_s
        if epoch.trust.verdict is Verdict.DOUBTFUL:
            if self._since is None and self._was_good:
                self._since = epoch
            return
        yield from self.end()
        self._since, self._was_good = None, epoch.trust.verdict > Verdict.DOUBTFUL

    def end(self) -> Iterator[Found]:
        """One that is still there."""
        if self._since is not None and self._newest_s - self._since.at_s >= DOUBT_S:
            yield words.doubt(self._since, self._newest_s - self._since.at_s)


class GapWatch:
    """No epoch for a while, and the antimeridian: both are seen from one epoch to the next."""

    def __init__(self) -> None:
        self._before_s: float | None = None
        self._longitude_deg: float | None = None

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """Against the one before."""
        before_s, self._before_s = self._before_s, epoch.at_s
        if before_s is not None and epoch.at_s - before_s >= GAP_S:
            yield words.gap(before_s, epoch.at_s - before_s)
        if not epoch.fix.is_satellite_fix or epoch.fix.position is None:
            return
        before_deg, self._longitude_deg = self._longitude_deg, epoch.fix.position.longitude_deg
        if before_deg is not None and abs(before_deg - self._longitude_deg) > 180.0:
            yield words.meridian(epoch, eastwards=before_deg > 0)

    def end(self) -> Iterator[Found]:
        """Nothing."""
        return iter(())


class MotionWatch:
    """Setting out and standing still, by the rule that the trip counts by (`core.moving`)."""

    def __init__(self) -> None:
        self._steps, self._motion = Steps(), Motion()
        self._rests_since_s: float | None = None
        self._newest_s = 0.0

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """The rule finds out late: how late, the times that it counts over tell."""
        step = self._steps.take(epoch.fix, epoch.at_s, epoch.usable)
        if step is None:
            return
        self._newest_s = epoch.at_s
        motion = self._motion
        if step.follows is not Follows.GOES_ON:
            motion.begin(step.sample)
            self._rests_since_s = epoch.at_s if self._rests_since_s is None else self._rests_since_s
            return
        was_moving, moving_s, stopped_s = motion.moving, motion.moving_s, motion.stopped_s
        motion.go_on(step.sample)
        if motion.moving and not was_moving:
            yield from self._sets_out(epoch.at_s - (motion.moving_s - moving_s))
        elif was_moving and not motion.moving:
            self._rests_since_s = epoch.at_s - max(0.0, motion.stopped_s - stopped_s)

    def end(self) -> Iterator[Found]:
        """The rest at the end."""
        yield from self._rested(self._newest_s)

    def _sets_out(self, at_s: float) -> Iterator[Found]:
        rested_s = 0.0 if self._rests_since_s is None else at_s - self._rests_since_s
        yield from self._rested(at_s)
        self._rests_since_s = None
        if rested_s >= REST_S:
            yield words.set_out(at_s, rested_s)

    def _rested(self, until_s: float) -> Iterator[Found]:
        since_s = self._rests_since_s
        if since_s is not None and until_s - since_s >= REST_S:
            yield words.standing(since_s, until_s - since_s)


class GeometryWatch:
    """Best and worst dilution, once the satellites have joined."""

    def __init__(self) -> None:
        self._since_s: float | None = None
        self._best: tuple[float, Epoch] | None = None
        self._worst: tuple[float, Epoch] | None = None

    def take(self, epoch: Epoch) -> Iterator[Found]:
        """Nothing is said before the end."""
        if not epoch.fix.is_satellite_fix:
            self._since_s = None
            return iter(())
        self._since_s = epoch.at_s if self._since_s is None else self._since_s
        hdop = epoch.fix.hdop
        if hdop is not None and epoch.at_s - self._since_s >= JOINING_S:
            self._weigh(hdop, epoch)
        return iter(())

    def end(self) -> Iterator[Found]:
        """Both, or neither."""
        if self._best is None or self._worst is None:
            return
        if self._worst[0] >= POOR_HDOP and self._worst[0] >= CONTRAST * self._best[0]:
            yield words.worst(self._worst[1], self._worst[0])
            yield words.best(self._best[1], self._best[0])

    def _weigh(self, hdop: float, epoch: Epoch) -> None:
        if self._best is None or hdop < self._best[0]:
            self._best = hdop, epoch
        if self._worst is None or hdop > self._worst[0]:
            self._worst = hdop, epoch


def watches() -> tuple[Watch, ...]:
    """All of them, for one recording."""
    return (FixWatch(), ModeWatch(), SignWatch(), DoubtWatch(), GapWatch(), MotionWatch(), GeometryWatch())

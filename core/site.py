"""Averaging one spot, for one source: begun, paused, gone on with and ended by the user.

Fed in one thread, asked in another.

It pauses by itself rather than smear two places into one: where the receiver is carried away or its datum changes it
waits for the user; where its positions have jumped it waits for them to come back.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

from core.fix import Fix, FixMode, Position, Utc
from core.site_session import NO_SAMPLES, Counted, SampleView, Session
from core.site_watch import CarryWatch, are_away, are_back

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.averaging import Centre, SiteAverage, SiteSample
    from core.benchmark import Mark

CARRIED = "the receiver is being carried: S goes on once it stands on the very same spot, E ends it here"
AWAY = "positions have jumped or drifted away: it goes on by itself when they are back; if you moved it, E ends it"
OTHER_DATUM = "the receiver's datum changed from {} to {}: their positions cannot be averaged. E ends it here"
BY_USER = "paused by you"


class SiteState(Enum):
    """Where an averaging stands."""

    NONE = "not begun"
    RUNNING = "averaging"
    AWAY = "waiting"
    """For the positions to come back."""
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(frozen=True, slots=True)
class SiteReport:
    """What the screen shows of it."""

    state: SiteState = SiteState.NONE
    why: str = ""
    """Why it is paused or waits, in words."""
    samples: SampleView = NO_SAMPLES
    waiting: int = 0
    """Fixes that will count in a few seconds unless the receiver moves."""
    newest: SiteSample | None = None
    average: SiteAverage | None = None
    """The figures, perhaps of a few samples less than there are."""
    position: Position | None = None
    """The mean."""
    origin: Position | None = None
    """The first fix: what metres are counted from."""
    altitude_m: float | None = None
    """The mean above sea level, as the receiver reports it."""
    height_m: float | None = None
    """The mean above the ellipsoid."""
    covered_s: float = 0.0
    gaps: int = 0
    gap_s: float = 0.0
    skipped: int = 0
    """Epochs without a usable fix, while it ran."""
    modes: tuple[tuple[FixMode, int], ...] = ()
    """How many fixes of each, the most frequent first."""
    began: Utc | None = None
    last: Utc | None = None
    error_95_m: float | None = None
    """Horizontal, estimated for the newest single fix that counts."""
    datum: str | None = None
    mark: Mark | None = None
    """What the mean is compared with."""
    mark_at: tuple[float, float] | None = None
    """Metres east and north of the first fix."""

    @property
    def is_under_way(self) -> bool:
        """Begun and not ended."""
        return self.state in _UNDER_WAY


_UNDER_WAY = frozenset({SiteState.RUNNING, SiteState.AWAY, SiteState.PAUSED})
NO_SITE = SiteReport()


class SiteAverager:
    """Every method may be called from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._state = SiteState.NONE
        self._why = ""
        self._session = Session()
        self._carry = CarryWatch()
        self._datum: str | None = None
        self._mark: Mark | None = None
        self.keeps = False
        """Whether somebody takes what has been counted, with `fresh`."""

    @property
    def is_taking(self) -> bool:
        """Whether epochs are wanted at all: asked for each of a million of them, hence without the lock."""
        return self._state is SiteState.RUNNING or self._state is SiteState.AWAY

    def start(self) -> bool:
        """A new averaging, from the next usable fix on; False where one is under way."""
        with self._lock:
            if self._state in _UNDER_WAY:
                return False
            self._session, self._carry, self._datum = Session(), CarryWatch(), None
            self._state, self._why = SiteState.RUNNING, ""
            return True

    def pause(self, why: str = BY_USER) -> bool:
        """Take no fixes for a while; False where none are taken."""
        with self._lock:
            if not self.is_taking:
                return False
            self._count_all()
            self._halt(SiteState.PAUSED, why)
            return True

    def resume(self) -> bool:
        """Go on, on the same spot; False where nothing is paused."""
        with self._lock:
            if self._state is not SiteState.PAUSED:
                return False
            self._state, self._why, self._carry = SiteState.RUNNING, "", CarryWatch()
            return True

    def stop(self, why: str = "") -> bool:
        """End it; the result stays. False where nothing is under way. `why`: where the user did not ask for it."""
        with self._lock:
            if self._state not in _UNDER_WAY:
                return False
            self._count_all()
            self._halt(SiteState.ENDED, why)
            return True

    def take(self, fix: Fix, at_s: float, *, usable: bool, error_95_m: float | None) -> None:
        """The next finished epoch; `usable`: a satellite fix that is good enough to count by."""
        with self._lock:
            if not self.is_taking:
                return
            if not usable or fix.position is None:
                self._session.skipped += 1
            elif not self._is_on_another_datum(fix):
                self._take(fix, at_s, error_95_m)

    def set_mark(self, mark: Mark | None) -> None:
        """What the mean is compared with from now on."""
        with self._lock:
            self._mark = mark

    def restore(self, kept: Sequence[Counted], state: SiteState, why: str = "") -> None:
        """Go on with an averaging that was kept, running or paused; or show one that was ended."""
        session = Session()
        session.load(kept)
        with self._lock:
            self._session, self._carry = session, CarryWatch()
            self._state, self._why = state, why
            self._datum = next((one.datum for one in kept if one.datum), None)

    def fresh(self) -> list[Counted]:
        """What has been counted since this was asked last."""
        with self._lock:
            found, self._session.fresh = self._session.fresh, []
            return found

    def report(self) -> SiteReport:
        """As of now."""
        if self._state is SiteState.NONE and self._mark is None:
            return NO_SITE
        with self._lock:
            return self._report()

    def _is_on_another_datum(self, fix: Fix) -> bool:
        """The first datum that is told stands; none told says nothing."""
        self._datum = self._datum or fix.datum
        if fix.datum is None or fix.datum == self._datum:
            return False
        self._count_all()
        self._halt(SiteState.PAUSED, OTHER_DATUM.format(self._datum, fix.datum))
        return True

    def _take(self, fix: Fix, at_s: float, error_95_m: float | None) -> None:
        from core.site_watch import reach

        session = self._session
        sample = session.offered(fix, at_s, error_95_m)
        if sample is None:
            return
        if self._carry.is_carried(sample, fix.speed_mps):
            self._halt(SiteState.PAUSED, CARRIED)
            return
        around = [one for _, one in session.waiting]
        reach_m = reach(session.average, error_95_m, fix.mode)
        if self._state is SiteState.AWAY:
            self._look_if_back(around, reach_m)
        elif are_away(around, session.average, reach_m):
            self._halt(SiteState.AWAY, AWAY)
        else:
            self._count()

    def _look_if_back(self, around: list[SiteSample], reach_m: float | None) -> None:
        """Fixes on probation are forgotten unless all of them are back."""
        session = self._session
        if are_back(around, session.average, reach_m):
            self._state, self._why = SiteState.RUNNING, ""
        else:
            session.forget_oldest()

    def _count_all(self) -> None:
        """Those on probation too, unless they are away: nothing has moved until now."""
        if self._state is SiteState.RUNNING:
            self._count(all_of_them=True)

    def _count(self, *, all_of_them: bool = False) -> None:
        self._session.release(all_of_them=all_of_them)
        if not self.keeps:
            self._session.fresh.clear()

    def _halt(self, state: SiteState, why: str) -> None:
        """What is on probation belongs to what made it halt."""
        self._session.drop_waiting()
        self._state, self._why = state, why

    def _report(self) -> SiteReport:
        session, found = self._session, self._session.average
        report = SiteReport(
            state=self._state,
            why=self._why,
            samples=SampleView(session.samples, len(session.samples)),
            waiting=len(session.waiting),
            newest=session.waiting[-1][1] if session.waiting else None,
            average=found,
            origin=session.origin,
            covered_s=session.covered_s,
            gaps=session.gaps,
            gap_s=session.gap_s,
            skipped=session.skipped,
            modes=tuple(session.modes.most_common()),
            began=session.first_utc,
            last=session.last.utc if session.last else None,
            error_95_m=session.last.error_95_m if session.last else None,
            datum=self._datum,
            mark=self._mark,
            mark_at=session.place_of(self._mark.position) if self._mark else None,
        )
        return _with_mean(report, session, found.centre) if found and found.centre else report


def _with_mean(report: SiteReport, session: Session, centre: Centre) -> SiteReport:
    from core.places.forms import ellipsoidal_height_m

    base_m = session.origin_altitude_m
    altitude_m = None if base_m is None or centre.up_m is None else base_m + centre.up_m
    return replace(
        report,
        position=session.position_at(centre.east_m, centre.north_m),
        altitude_m=altitude_m,
        height_m=ellipsoidal_height_m(altitude_m, session.separation_m),
    )

"""Keeps an averaging on the disk while it goes, in a thread of its own: nothing ever waits for the disk."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from core.disk_keeper import DiskKeeper
from core.errors import InputError
from core.fix import Position
from core.site import SiteAverager, SiteState
from core.site_file import WORST_ERROR_M, SiteFile
from core.site_session import Counted

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.benchmark import Mark

SAVE_EVERY = 10
"""Looks, at one a second, between two writings: what a crash may cost, besides those on probation. Not oftener, since
each wears a memory card and hours go by."""
VERSION = 1
SAME_SPOT = timedelta(hours=12)
"""One that ended longer ago is not taken up without asking: by then the receiver stands elsewhere (as for the trip)."""
ASK_FIRST = "the last run ended {}: S goes on if the receiver stands on the very same spot, E ends it"


class SiteKeeper(DiskKeeper):
    """Keeps one averager on the disk."""

    def __init__(self, file: SiteFile) -> None:
        super().__init__("averaging")
        self._file = file
        self._site: SiteAverager | None = None
        self._pending: list[Counted] = []
        self._looks = 0
        self._finished = ""
        self._saved_state: dict[str, Any] = {}
        self._is_damaged = False
        self.saved = 0
        """Fixes written in this run: they are on the disk."""

    def begin(self, site: SiteAverager, now: datetime) -> str:
        """Go on with what is on the disk; what to say of it, empty for nothing. `now`: by this computer's clock."""
        if not self._is_ours(self._file.path):
            return ""
        self._site, site.keeps = site, True
        self._pending, self._looks, self.saved = [], 0, 0
        told = self._restore(site, now)
        self._begin_saving()
        return told

    def look(self) -> None:
        """Once a second: write what is due."""
        self._looks += 1
        if self._looks % SAVE_EVERY == 0:
            self.save()

    def save(self) -> None:
        """Write all that has been counted, and how it stands."""
        site = self._site
        if site is None:
            return
        fresh, report = site.fresh(), site.report()
        if report.state is SiteState.ENDED:
            self._ask("fixes", lambda: self._end(fresh))
        elif fresh or self._pending:
            self._ask("fixes", lambda: self._append(fresh))
        state = {"version": VERSION, "state": report.state.name, "why": report.why, "mark": _mark_out(report.mark)}
        self._ask("state", lambda: self._save_state(state))

    def start(self, site: SiteAverager) -> bool:
        """Begin a new averaging; False where one is under way. Whatever file is there is ended, none written over."""
        self.save()  # what the one before has not written yet
        if not site.start():
            return False
        if site is self._site:
            self._ask("fixes", lambda: self._end([]))
            self.save()
        return True

    def end(self) -> None:
        """As all keepers; the averaging may go on, unsaved."""
        super().end()
        self._site = None

    def _save_rest(self) -> None:
        self.save()

    def _restore(self, site: SiteAverager, now: datetime) -> str:
        """The fixes decide; a state that cannot be read costs the mark alone."""
        told = ""
        try:
            state = self._file.state()
        except InputError as error:
            state, told = {}, f"The averaging's mark is lost: {error}. It is set aside."
            self._is_damaged = True
            self._ask("state", self._set_state_aside)
        self._finished = str(state.get("finished", ""))
        site.set_mark(_mark_in(state.get("mark")))
        kept = self._file.counted()
        if kept:
            return _go_on(site, kept, (state, now)) + told
        ended = self._file.counted(self._finished) if self._finished else []
        if ended:
            site.restore(ended, SiteState.ENDED)
        return told

    def _set_state_aside(self) -> None:
        """Before anything is written in its place, however often that has to be tried."""
        if self._is_damaged:
            self._file.set_state_aside()
            self._is_damaged = False

    def _append(self, fresh: list[Counted]) -> None:
        """Together with those that could not be written before: a disk may have room again."""
        self._pending.extend(fresh)
        if self._pending:
            self._file.append(self._pending)
            self.saved += len(self._pending)
            self._pending.clear()

    def _end(self, fresh: list[Counted]) -> None:
        self._append(fresh)
        self._finished = self._file.end() or self._finished

    def _save_state(self, state: dict[str, Any]) -> None:
        """Only where it has changed: it is asked for every ten seconds."""
        self._set_state_aside()
        whole = {**state, "finished": self._finished}
        if whole != self._saved_state:
            self._file.save_state(whole)
            self._saved_state = whole


def _go_on(site: SiteAverager, kept: list[Counted], how: tuple[Mapping[str, Any], datetime]) -> str:
    """At once where the last run ended a short while ago, else paused; paused too where it was paused."""
    state, now = how
    last = kept[-1].utc.datetime() if kept[-1].utc else None
    recent = last is not None and timedelta(0) <= now - last < SAME_SPOT
    if state.get("state") == SiteState.PAUSED.name:
        site.restore(kept, SiteState.PAUSED, str(state.get("why", ""))[:200])
        return f"The averaging is still paused: {len(kept)} fixes so far. A shows it. "
    if not recent:
        when = f"at {last:%Y-%m-%d %H:%M} UTC" if last else "at an unknown time"
        site.restore(kept, SiteState.PAUSED, ASK_FIRST.format(when))
        return f"An averaging is unfinished since {when.removeprefix('at ')}: A shows it. "
    site.restore(kept, SiteState.RUNNING)
    return f"The averaging goes on: {len(kept)} fixes so far. A shows it. "


def _mark_out(mark: Mark | None) -> dict[str, Any] | None:
    if mark is None:
        return None
    kind = mark.height_kind.value if mark.height_kind else None
    return {**mark._asdict(), "position": list(mark.position), "height_kind": kind}


def _mark_in(found: Any) -> Mark | None:
    """None for what is no mark: somebody has edited it."""
    from core.benchmark import HIGHEST_M, LOWEST_M, HeightKind, Mark, mark_name

    try:
        latitude, longitude = (_number(one) for one in found["position"])
        if abs(latitude) > 90.0 or abs(longitude) > 180.0:
            return None
        kind = HeightKind(found["height_kind"]) if found["height_kind"] is not None else None
        return Mark(
            mark_name(str(found["name"])),
            Position(latitude, longitude),
            _within(found["coarse_m"], 0.0, WORST_ERROR_M),
            None if found["error_m"] is None else _within(found["error_m"], 0.0, WORST_ERROR_M),
            None if found["height_m"] is None else _within(found["height_m"], LOWEST_M, HIGHEST_M),
            kind,
        )
    except (KeyError, TypeError, ValueError, OverflowError):
        return None


def _within(value: Any, low: float, high: float) -> float:
    if not low <= _number(value) <= high:
        raise ValueError(value)
    return float(value)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(value)
    return float(value)

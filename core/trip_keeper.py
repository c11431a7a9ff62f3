"""Writes the trip while it goes, in a thread of its own: neither receiver nor screen ever waits for the disk."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from queue import SimpleQueue
from typing import Any

from core.errors import InputError
from core.file_lock import locked
from core.outing import Outing
from core.track import TrackPoint
from core.trip_file import TripFile

TOTALS_EVERY = 10
"""Looks, at one a second, between two savings of the totals: what a crash may cost of them."""
CLOSE_S = 2.0
BEFORE = "track_before"
"""Key of the kept totals: the file of the track before the last reset."""

Job = Callable[[], None]


class TripKeeper:
    """Keeps one outing on the disk. The methods belong to one thread; the writing is done in another."""

    def __init__(self, file: TripFile) -> None:
        self._file = file
        self._jobs: SimpleQueue[tuple[str, Job] | None] = SimpleQueue()
        self._outing: Outing | None = None
        self._lock = ExitStack()
        self._kept = 0
        self._looks = 0
        self._before = ""
        self._troubles: dict[str, str] = {}
        self._thread: threading.Thread | None = None
        self._pending: list[TrackPoint] = []
        self._rewrite_due = False
        self._is_damaged = False

    @property
    def trouble(self) -> str:
        """Why something could not be saved; empty while all is."""
        return next(iter(self._troubles.values()), "")

    def begin(self, outing: Outing) -> tuple[list[TrackPoint], str]:
        """Go on with the trip on the disk, in this outing: its track, and what must be said of how that went."""
        self._troubles.clear()
        try:
            self._lock.enter_context(locked(self._file.track, tries=1))
        except InputError:
            self._troubles["lock"] = "another fixboard keeps its trip in this folder; this one is not saved"
            return [], ""
        points = self._file.points()
        told = self._restore(outing, points)
        self._outing, self._kept, self._looks = outing, len(points), 0
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="trip", daemon=True)
            self._thread.start()
        return points, told

    def look(self) -> None:
        """Once a second: save what has come."""
        outing = self._outing
        if outing is None:
            return
        track = outing.report().track
        fresh = track.points[self._kept : track.count]
        self._kept = track.count
        if fresh or self._pending or self._rewrite_due:
            self._ask("track", lambda: self._append(fresh))
        self._looks += 1
        if self._looks % TOTALS_EVERY == 0:
            self._save_totals(outing)

    def reset(self) -> bool:
        """A new trip: the old track is saved to its end and set aside. False where there is nothing to end."""
        outing = self._outing
        if outing is None:
            return False
        self.look()
        if not outing.reset():
            return False
        self._kept = 0
        self._ask("track", self._set_aside)
        self._save_totals(outing)
        return True

    def undo_reset(self) -> bool:
        """The trip as it was, on the disk too; the track that was set aside stays there as well."""
        outing = self._outing
        if outing is None or not outing.undo_reset():
            return False
        self._kept = outing.report().track.count
        self._ask("track", self._back_again)
        self._save_totals(outing)
        return True

    def end(self) -> None:
        """Save all that is left, and stop; waits for the disk two seconds at most."""
        if self._thread is not None:
            self.look()
            if self._outing is not None:
                self._save_totals(self._outing)
            self._jobs.put(None)
            self._thread.join(CLOSE_S)
        self._thread = self._outing = None
        self._lock.close()

    def _restore(self, outing: Outing, points: Sequence[TrackPoint]) -> str:
        """Totals that cannot be read are set aside, and begin anew; the track stays."""
        try:
            state = self._file.totals()
            self._before = str((state or {}).pop(BEFORE, ""))
            outing.restore(state, points, self._file.points(self._before) if self._before else ())
        except InputError as error:
            outing.restore(None, points)
            self._is_damaged = True
            self._ask("totals", self._set_totals_aside)
            return f"The totals of the trip begin anew: {error}. They are set aside; the track is here."
        return ""

    def _set_totals_aside(self) -> None:
        """Before anything is written in their place, however often that has to be tried."""
        if self._is_damaged:
            self._file.set_totals_aside()
            self._is_damaged = False

    def _append(self, fresh: Sequence[TrackPoint]) -> None:
        """Together with those that could not be written before: a disk may have room again."""
        if self._rewrite_due:
            self._rewrite()
            return
        self._pending.extend(fresh)
        self._file.append(self._pending)
        self._pending.clear()

    def _back_again(self) -> None:
        """After what was asked before it: the old track was set aside under another name."""
        self._rewrite_due = True
        self._append(())

    def _rewrite(self) -> None:
        """The whole track; tried again at every look until there is room for it."""
        outing = self._outing
        if outing is not None:
            track = outing.report().track
            self._file.rewrite(track.points[: track.count])
            self._kept = max(self._kept, track.count)
        self._pending.clear()
        self._rewrite_due = False

    def _set_aside(self) -> None:
        """What is pending belongs to the old track."""
        if self._pending:
            self._append(())
        self._before = self._file.set_aside()

    def _save_totals(self, outing: Outing) -> None:
        state: dict[str, Any] = outing.state()

        def save() -> None:
            self._set_totals_aside()
            self._file.save_totals({**state, BEFORE: self._before})

        self._ask("totals", save)

    def _ask(self, kind: str, job: Job) -> None:
        self._jobs.put((kind, job))

    def _run(self) -> None:
        while (asked := self._jobs.get()) is not None:
            kind, job = asked
            try:
                job()
                self._troubles.pop(kind, None)
            except Exception as error:  # a fault here must be seen, and must not end the saving of the rest
                self._troubles[kind] = str(error)

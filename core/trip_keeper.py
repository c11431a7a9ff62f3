"""Writes the trip while it goes, in a thread of its own: neither receiver nor screen ever waits for the disk."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from queue import SimpleQueue

from core.errors import InputError
from core.outing import Outing
from core.track import TrackPoint
from core.trip_file import TripFile

TOTALS_EVERY = 10
"""Looks, at one a second, between two savings of the totals: what a crash may cost of them."""
CLOSE_S = 2.0

Job = Callable[[], None]


class TripKeeper:
    """Keeps one outing on the disk. The methods belong to one thread; the writing is done in another."""

    def __init__(self, file: TripFile) -> None:
        self._file = file
        self._jobs: SimpleQueue[Job | None] = SimpleQueue()
        self._outing: Outing | None = None
        self._kept = 0
        self._looks = 0
        self.trouble = ""
        """Why the last writing failed; empty once one succeeds again."""
        self._thread: threading.Thread | None = None
        self._pending: list[TrackPoint] = []

    def begin(self, outing: Outing) -> bool:
        """Go on with the trip on the disk, in this outing; whether there was one.

        Totals that cannot be read begin anew; the track stays.
        """
        points = self._file.points()
        try:
            outing.restore(self._file.totals(), points)
        except InputError as error:
            self.trouble = str(error)
            outing.restore(None, points)
        self._outing, self._kept, self._looks = outing, len(points), 0
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="trip", daemon=True)
            self._thread.start()
        return bool(points)

    def look(self) -> None:
        """Once a second: save what has come."""
        outing = self._outing
        if outing is None:
            return
        track = outing.report().track
        fresh = track.points[self._kept : track.count]
        self._kept = track.count
        if fresh:
            self._jobs.put(lambda: self._append(fresh))
        self._looks += 1
        if self._looks % TOTALS_EVERY == 0:
            self._save_totals(outing)

    def reset(self) -> None:
        """The outing was reset: the old track is set aside."""
        self._kept = 0
        self._jobs.put(self._file.set_aside)

    def undo_reset(self) -> None:
        """The outing has its old track again."""
        outing = self._outing
        if outing is None:
            return
        track = outing.report().track
        points, self._kept = track.points[: track.count], track.count
        self._jobs.put(lambda: self._file.rewrite(points))
        self._save_totals(outing)

    def end(self) -> None:
        """Save all that is left, and stop; waits for the disk two seconds at most."""
        if self._thread is None:
            return
        self.look()
        if self._outing is not None:
            self._save_totals(self._outing)
        self._jobs.put(None)
        self._thread.join(CLOSE_S)
        self._thread = self._outing = None

    def _save_totals(self, outing: Outing) -> None:
        state = outing.state()
        self._jobs.put(lambda: self._file.save_totals(state))

    def _append(self, fresh: Sequence[TrackPoint]) -> None:
        """Together with those that could not be written before: a disk may have room again."""
        self._pending.extend(fresh)
        self._file.append(self._pending)
        self._pending.clear()

    def _run(self) -> None:
        while (job := self._jobs.get()) is not None:
            try:
                job()
                self.trouble = ""
            except InputError as error:
                self.trouble = str(error)

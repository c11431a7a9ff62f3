"""Writes the trip while it goes, in a thread of its own: neither receiver nor screen ever waits for the disk."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from core.disk_keeper import DiskKeeper
from core.errors import InputError
from core.outing import Outing
from core.track import TrackPoint
from core.trip_file import TripFile

TOTALS_EVERY = 10
"""Looks, at one a second, between two savings of the totals: what a crash may cost of them."""
BEFORE = "track_before"
"""Key of the kept totals: the file of the track before the last reset."""


class TripKeeper(DiskKeeper):
    """Keeps one outing on the disk."""

    def __init__(self, file: TripFile) -> None:
        super().__init__("trip")
        self._file = file
        self._outing: Outing | None = None
        self._kept = 0
        self._looks = 0
        self._before = ""
        self._pending: list[TrackPoint] = []
        self._next: list[TrackPoint] = []
        """Of the trip after a reset, while the old track could not be set aside yet."""
        self._aside_due = self._rewrite_due = False
        self._is_damaged = False

    def begin(self, outing: Outing) -> tuple[list[TrackPoint], str]:
        """Go on with the trip on the disk, in this outing: its track, and what must be said of how that went."""
        if not self._is_ours(self._file.track):
            return [], ""
        points = self._file.points()
        told = self._restore(outing, points)
        self._outing, self._kept, self._looks = outing, len(points), 0
        self._begin_saving()
        return points, told

    def look(self) -> None:
        """Once a second: save what has come."""
        outing = self._outing
        if outing is None:
            return
        track = outing.report().track
        fresh = track.points[self._kept : track.count]
        self._kept = track.count
        if fresh or self._pending or self._aside_due or self._rewrite_due:
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
        """As all keepers; the outing may go on, unsaved."""
        super().end()
        self._outing = None

    def _save_rest(self) -> None:
        self.look()
        if self._outing is not None:
            self._save_totals(self._outing)

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
        elif self._aside_due:
            self._next.extend(fresh)
            self._set_aside()
        else:
            self._write(fresh)

    def _write(self, fresh: Sequence[TrackPoint]) -> None:
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
        self._next.clear()
        self._aside_due = self._rewrite_due = False

    def _set_aside(self) -> None:
        """What is pending belongs to the old track. Tried again at every look, so that two trips never become one."""
        self._aside_due = True
        if self._pending:
            self._write(())
        self._before = self._file.set_aside()
        self._aside_due = False
        if self._next:
            fresh, self._next = self._next, []
            self._write(fresh)

    def _save_totals(self, outing: Outing) -> None:
        state: dict[str, Any] = outing.state()

        def save() -> None:
            self._set_totals_aside()
            self._file.save_totals({**state, BEFORE: self._before})

        self._ask("totals", save)

"""The user's side of a run: their waypoints, what the board remembers for them, how their terminal draws."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from core.board_panes import PANES
from core.errors import FixboardError
from core.locations import NO_HOME, Locations
from core.memory import NOTHING, Memory, recall, remember_choices

if TYPE_CHECKING:
    # Start-up time: what the first frame does not need is imported where it is used.
    from core.fix import Fix
    from core.places.notation import Notation
    from core.route_memory import Recalled
    from core.sessions import Logbook
    from core.settings import Settings
    from core.waypoints import Imported, Removed, Waypoint, Waypoints


@dataclass(frozen=True, slots=True)
class Look:
    """How to draw, as the command line and the terminal decide."""

    glyphs: str = "braille"
    theme: str = ""
    """Palette name; empty: the remembered one, else dark."""


EDITION = "1"
"""Of the cautions: another figure shows them once more to those who have read them."""
MOST_LOOKED_AT = 100_000
"""Bytes of the settings that are looked through before the first frame."""
NOWHERE = "No home folder is known for you: nothing is kept. Set FIXBOARD_DATA to a folder that you may write"


class Session:
    """Reads and writes the user's files. Failures to save come back as words, never as a crash."""

    def __init__(self, places: Locations, look: Look, *, record: bool = False) -> None:
        """Reads what the first frame needs; the rest is read when it is asked for. `record`: record live sources."""
        self.look = look
        self._record = record
        self._places = places
        self._troubles = [NOWHERE] if NO_HOME in places.data.parents else []
        self._memory = self._recalled()

    @property
    def troubles(self) -> list[str]:
        """What was damaged, and what was done about it: to be told when there is a screen."""
        _ = self.settings, self.waypoints  # read by now, whoever has asked
        return self._troubles

    @cached_property
    def settings(self) -> Settings:
        """What the user has set, as far as it is right. Their file: nothing but the settings screen writes it."""
        from core.settings import usable_settings
        from tui.own_keys import screens

        found, wrong = usable_settings(self._places.settings, screens())
        self._troubles += [f"{one}. Until that is corrected it is as if it were not set" for one in wrong]
        return found

    @cached_property
    def _waypoints(self) -> Waypoints:
        from core.waypoints import Waypoints

        try:
            return Waypoints(self._places.waypoints)
        except FixboardError:
            from core.mending import mended_waypoints

            found, told = mended_waypoints(self._places.waypoints, datetime.now(tz=UTC))
            self._troubles += [told] if told else []
            return found

    def _recalled(self) -> Memory:
        found = recall(self._places.board)
        if found != NOTHING or _is_missing(self._places.board):
            return found
        from core.mending import mended_memory

        found, told = mended_memory(self._places.board, datetime.now(tz=UTC))
        self._troubles += [told] if told else []
        return found

    @cached_property
    def logbook(self) -> Logbook:
        """The recorded sessions, read when somebody asks for them."""
        from core.sessions import Logbook

        return Logbook(self.recordings, self.settings.errors)

    @property
    def waypoints(self) -> tuple[Waypoint, ...]:
        """In the order of the file."""
        # Start-up time: without a file there are none, and nothing need be imported to know it.
        if "_waypoints" not in vars(self) and _is_missing(self._places.waypoints):
            return ()
        return self._waypoints.all()

    @property
    def route(self) -> Recalled:
        """The remembered legs that still exist, the target first; and what has become of the others."""
        from core.route_memory import recalled

        return recalled(self._memory.route, self.waypoints)

    @property
    def target(self) -> Waypoint | None:
        """The first of them."""
        return next(iter(self.route.legs), None)

    @property
    def notation(self) -> Notation:
        """That of the settings, or what was chosen since."""
        from core.places.notation import Notation

        return Notation.__members__.get(self._chosen("notation").upper(), Notation.DECIMAL)

    @property
    def theme(self) -> str:
        """The theme to begin with."""
        return self.look.theme or self._chosen("theme") or "dark"

    @property
    def bell(self) -> str:
        """`on`, `off` or `live`: as it is set, or was chosen since."""
        return self._chosen("alert") or "live"

    def _chosen(self, name: str) -> str:
        """What was chosen by key, unless the settings have changed since; then theirs. Empty for neither."""
        choice, was_set = getattr(self._memory, name), getattr(self._memory, f"{name}_set")
        is_set = self._set(name)
        return choice if choice and was_set == is_set else is_set

    def _set(self, name: str) -> str:
        """What the settings say; empty where they say nothing."""
        if "settings" not in vars(self) and not self._mentions(name):
            return ""
        settings = self.settings
        return {"theme": settings.board.theme, "notation": settings.board.notation, "alert": settings.alerts.bell}[name]

    def _mentions(self, name: str) -> bool:
        """Whether the file can say anything of it. Start-up time: few have one, and then it says it seldom."""
        from core.plain_files import read_plain

        try:
            return {"alert": "bell"}.get(name, name).encode() in read_plain(self._places.settings, MOST_LOOKED_AT)
        except OSError:
            return False

    @property
    def has_all_panes(self) -> bool:
        """Whether the settings leave none out of the board."""
        return not self._mentions("panes") or set(self.settings.board.panes) == set(PANES)

    def forget_folders(self) -> None:
        """The logbook is read anew: it may lie elsewhere by now."""
        vars(self).pop("logbook", None)

    @property
    def owes_notice(self) -> bool:
        """Whether the cautions have never been read and closed, as far as is remembered."""
        return self._memory.notice != EDITION

    @property
    def memory(self) -> Memory:
        """All that is remembered."""
        return self._memory

    @property
    def records(self) -> bool:
        """Whether live sources are recorded from the start, in this run or always."""
        return self._record or self.settings.recorder.always

    @property
    def data(self) -> Path:
        """The folder of all that is the user's."""
        return self._places.data

    @property
    def station_folder(self) -> Path:
        """Where the user's lists of radio stations are."""
        return self.settings.folders.stations or self._places.stations

    @property
    def recordings(self) -> Path:
        """Where the recorder writes."""
        return self.settings.folders.recordings or self._places.recordings

    def mark(self, fix: Fix, error_95_m: float | None = None, note: str = "") -> Waypoint:
        """Mark and save; what is returned is as it was saved. Raises InputError with the reason where that cannot be.

        `error_95_m`: the horizontal 95 % error of the fix.
        """
        from core.marks import mark_here

        taken = tuple(place.name for place in self.waypoints)
        return self._waypoints.add(replace(mark_here(fix, error_95_m, taken), note=note))

    def refresh(self) -> bool:
        """Whether another program has changed the waypoints. Raises InputError where it damaged them."""
        return self._waypoints.refresh()

    def add(self, waypoint: Waypoint) -> Waypoint:
        """Add and save; what is returned is as it was saved. Raises InputError."""
        return self._waypoints.add(waypoint)

    def change(self, old: Waypoint, new: Waypoint) -> tuple[bool, Waypoint]:
        """Save `new` for `old`: False where that had gone and `new` was added; and the waypoint as it was saved.

        Raises InputError.
        """
        before = set(self.waypoints)
        was_there = self._waypoints.change(old, new)
        return was_there, next((one for one in self.waypoints if one not in before), new)

    def remove(self, waypoint: Waypoint) -> Removed:
        """Delete one; what brings it back. Raises InputError."""
        return self._waypoints.remove(waypoint)

    def restore(self, removed: Removed) -> None:
        """Bring one back. Raises InputError."""
        self._waypoints.restore(removed)

    def import_places(self, path: Path) -> Imported:
        """Take over the waypoints of a GPX file. Raises InputError."""
        return self._waypoints.import_from(path)

    def export_places(self, path: Path, chosen: Sequence[Waypoint]) -> None:
        """Write some into a new GPX file. Raises InputError, also where the file exists."""
        self._waypoints.export_to(path, chosen)

    def keep_route(self, legs: Iterable[Waypoint], trail: str = "") -> str:
        """Remember the way, the target first, or the trail back. The reason where it could not be saved, else empty."""
        from core.route_memory import written

        return self.keep(route=written(legs), trail=trail)

    def keep(self, **choices: str) -> str:
        """Remember choices; the reason where they could not be saved, else empty."""
        choices |= {f"{name}_set": self._set(name) for name in ("theme", "notation", "alert") if name in choices}
        self._memory = replace(self._memory, **choices)
        try:
            remember_choices(self._places.board, self._memory, choices)
        except FixboardError as error:
            return str(error)
        return ""


def _is_missing(path: Path) -> bool:
    """False too where that cannot be found out: who then reads it says why."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return True
    except OSError:
        return False
    return False

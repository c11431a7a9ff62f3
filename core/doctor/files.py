"""Folders and kept files: whether they can be written, and whether what lies there can be read."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from core.doctor.finding import Finding, Grade, Surroundings
from core.errors import FixboardError

_FILES = "files"
LEAST_FREE = 200_000_000
"""Bytes: three days at 1 Hz with ten sentences a second, see the digest's benchmark (70 MB a day)."""


def files(here: Surroundings) -> Iterator[Finding]:
    """The folder, the room in it, and each kept file that is there."""
    folder = here.locations.data
    yield _folder(folder)
    yield from _room(folder)
    yield from _kept(here.locations.settings, _settings, "mend that line, or take it out")
    yield from _kept(here.locations.waypoints, _waypoints, "put waypoints.gpx.bak, the generation before, in its place")
    yield from _lists(here.locations.stations)


def _folder(folder: Path) -> Finding:
    """Tried, not asked: a disk mounted read-only or a quota is not seen in permissions."""
    nearest = _nearest(folder)
    remedy = "name another folder with FIXBOARD_DATA, or make this one yours to write"
    if not nearest.is_dir():
        return Finding(_FILES, Grade.MEND, f"{nearest} is not a folder", remedy)
    try:
        with tempfile.TemporaryFile(dir=nearest) as probe:
            probe.write(b"x")
    except OSError as error:
        return Finding(_FILES, Grade.MEND, f"{folder} cannot be written ({error.strerror or error})", remedy)
    made = "" if nearest == folder else ", made when something is first kept"
    return Finding(_FILES, Grade.FINE, f"your files are kept in {folder}{made}")


def _room(folder: Path) -> Iterator[Finding]:
    try:
        free = shutil.disk_usage(_nearest(folder)).free
    except OSError:
        return
    shown = f"{free / 1e9:.1f} GB free there"
    if free < LEAST_FREE:
        yield Finding(_FILES, Grade.NOTE, shown, "make room: a day of recording takes 70 MB at one fix a second")
    else:
        yield Finding(_FILES, Grade.FINE, shown)


def _nearest(folder: Path) -> Path:
    """The folder, or the first above it that exists."""
    return next((one for one in (folder, *folder.parents) if os.path.lexists(one)), folder)


Reader = Callable[[Path], str]
"""Says what was read; raises FixboardError where it cannot be."""


def _settings(path: Path) -> str:
    from core.settings import read_settings

    read_settings(path)
    return "settings are understood"


def _waypoints(path: Path) -> str:
    from core.waypoints import Waypoints

    count = len(Waypoints(path).all())
    return f"{count} waypoint{'' if count == 1 else 's'}"


def _kept(path: Path, read: Reader, remedy: str) -> Iterator[Finding]:
    if not os.path.lexists(path):
        return
    try:
        yield Finding(_FILES, Grade.FINE, f"{path.name}: {read(path)}")
    except FixboardError as error:
        yield Finding(_FILES, Grade.MEND, str(error), remedy)


def _lists(folder: Path) -> Iterator[Finding]:
    from core.station_book import lists_in

    try:
        count = len(lists_in(folder))
    except (OSError, FixboardError):
        return
    if count:
        lists = "1 list" if count == 1 else f"{count} lists"
        yield Finding(_FILES, Grade.FINE, f"{lists} of stations; `fixboard stations` says what was understood of them")

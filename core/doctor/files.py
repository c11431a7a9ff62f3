"""Folders and kept files: whether they can be written, and whether what lies there can be read."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from core.doctor.finding import Finding, Grade, Surroundings
from core.errors import FixboardError
from core.locations import NO_HOME

_FILES = "files"
_FOLDER_REMEDY = "name another folder with FIXBOARD_DATA, or make this one yours to write"
_NO_HOME_REMEDY = "set FIXBOARD_DATA to a folder that you may write"
LEAST_FREE = 200_000_000
"""Bytes: three days at 1 Hz with ten sentences a second, see the digest's benchmark (70 MB a day)."""


def files(here: Surroundings) -> Iterator[Finding]:
    """The folder, the room in it, and each kept file that is there."""
    folder = here.locations.data
    if NO_HOME in folder.parents:
        yield Finding(_FILES, Grade.MEND, "no home folder is known for you: nothing can be kept", _NO_HOME_REMEDY)
        return
    yield _folder(folder)
    yield from _room(folder)
    recordings = here.locations.recordings
    if folder not in recordings.parents:  # the settings want them elsewhere
        yield _folder(recordings, "recordings", "name another folder in the settings, or make this one yours to write")
        yield from _room(recordings)
    yield from _kept(here.locations.settings, _settings, "mend that line, or take it out")
    yield from _kept(here.locations.waypoints, _waypoints, "put waypoints.gpx.bak, the generation before, in its place")
    yield from _lists(here.locations.stations)


def _folder(folder: Path, what: str = "your files", remedy: str = _FOLDER_REMEDY) -> Finding:
    """Tried, not asked: a disk mounted read-only or a quota is not seen in permissions."""
    nearest = _nearest(folder)
    if not nearest.is_dir():
        return Finding(_FILES, Grade.MEND, f"{nearest} is not a folder", remedy)
    try:
        with tempfile.TemporaryFile(dir=nearest) as probe:
            probe.write(b"x")
    except OSError as error:
        return Finding(_FILES, Grade.MEND, f"{folder} cannot be written ({error.strerror or error})", remedy)
    made = "" if nearest == folder else ", made when something is first kept"
    return Finding(_FILES, Grade.FINE, f"{what} are kept in {folder}{made}")


def _room(folder: Path) -> Iterator[Finding]:
    if not _nearest(folder).is_dir():
        return
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

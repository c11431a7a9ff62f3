"""A kept file that cannot be read does not keep the board from starting: it is set aside, and the save before counts.

Set aside means another name in the same folder, with the date and never over anything: whoever can mend the file has
it. Nothing else is done to it. Where it cannot even be moved it stays, and nothing is written in its place.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from core.errors import InputError
from core.file_lock import locked
from core.folders import move_aside
from core.formats.gpx_document import read_document
from core.memory import NOTHING, Memory, damage, recall
from core.passing import is_passing
from core.plain_files import read_plain
from core.storage import replace_file
from core.waypoints import BIGGEST_BYTES, Waypoints


def mended_memory(path: Path, now: datetime) -> tuple[Memory, str]:
    """What the board remembers, whatever has become of the file, and what to say of that; empty for nothing."""
    try:
        with locked(path):
            why = damage(path)
            if not why:
                return recall(path), ""
            aside = set_aside(path, now)
            kept = recall(_backup(path))
    except (InputError, OSError) as error:
        return NOTHING, f"{path} cannot be read, nor moved away ({_reason(error)}): what was remembered begins anew"
    begins = "what the board remembers begins anew" if kept == NOTHING else "what was remembered before it counts"
    return kept, f"{path} cannot be read ({why}). It now lies in {aside.name}; {begins}"


def mended_waypoints(path: Path, now: datetime) -> tuple[Waypoints, str]:
    """The user's places, whatever has become of their file, and what to say of that; empty for nothing."""
    try:
        return Waypoints(path), ""
    except InputError:
        pass
    try:
        with locked(path):
            return _mended(path, now)
    except (InputError, OSError) as error:
        told = f"{path} cannot be read, nor moved away ({_reason(error)}): no waypoint is saved until it can be read"
        return Waypoints(path, is_unread=True), told


def _mended(path: Path, now: datetime) -> tuple[Waypoints, str]:
    """Under the lock: another board may have done it meanwhile."""
    try:
        return Waypoints(path), ""
    except InputError as error:
        if is_passing(error.__cause__):
            raise
        why = error
    aside = set_aside(path, now)
    told = f"{why}. It now lies in {aside.name}"
    try:
        before = read_plain(_backup(path), BIGGEST_BYTES)
        read_document(before, str(_backup(path)))
        replace_file(path, before)
    except (InputError, OSError):
        return Waypoints(path), f"{told}; there is no save before it that could be read"
    return Waypoints(path), f"{told}; the waypoints of the save before it are here"


def set_aside(path: Path, now: datetime) -> Path:
    """Give a damaged file a name with the date, as `board.2031-05-04_120000.toml`; where it lies then. Raises OSError.

    Of a symbolic link what it leads to is moved. Only for who holds the lock on it.
    """
    real = path.resolve()
    return move_aside(real, f"{real.stem}.{now:%Y-%m-%d_%H%M%S}{real.suffix}")


def _backup(path: Path) -> Path:
    real = path.resolve()
    return real.with_name(real.name + ".bak")


def _reason(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error)

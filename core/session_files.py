"""The files of the recordings folder, and which of them the recorder wrote as one session.

The recorder begins another file where one has grown to its limit, and with each day (UTC). The files' names tell when
each began: `2031-05-04_120000_ttyACM0.nmea`, with `-2` behind the label where that second had one already, and `.gz`
once it is compressed. A file goes on with the one before where that had to end, and ended just then. It is not asked
whether the bytes fit: two sessions taken for one would lose nothing, since files are only ever read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from stat import S_ISREG
from typing import NamedTuple

from core.errors import InputError
from core.logbook import LARGEST_FILE
from core.sources.recording import LONGEST_LINE

NOTES, CACHE, BIN = "logbook.json", "summaries.json", "deleted"
"""Ours, in the same folder: `session_notes.py`, `session_cache.py`, `session_bin.py`."""
TURNS_WITHIN_S = 60.0
"""A page is turned when the next byte comes: a receiver may be silent for so long (common practice, no source)."""
LEAST_S = -5.0
"""Times of arrival and names are of the same clock; a file's own time, where only that is known, may be late."""
GROWS_FOR_S = 30.0
"""A plain file that was written to so recently may be written to again."""
_TAIL = 2 * LONGEST_LINE
_OURS = re.compile(r"(?:logbook|summaries)(?:\.[\w-]+)*\.json(?:\.bak)?|.+\.chapters\.toml(?:\.bak)?")
_NAME = re.compile(r"(\d{4}-\d\d-\d\d_\d{6})_(.+?)(?:-(\d{1,3}))?\.nmea(?:\.gz)?", re.ASCII)
_TAG_TIME = re.compile(rb"\\(?:[^\\\r\n]*,)?c:(\d{10,13})[,*]")


class SessionFile(NamedTuple):
    """One file, and what the folder says of it."""

    path: Path
    size: int
    """Bytes on the disk; 0 where it cannot be looked at."""
    mtime_ns: int
    twin: Path | None = None
    """Its compressed copy, where a crash left both."""
    problem: str = ""
    """Why it cannot be a recording at all."""

    @property
    def key(self) -> str:
        """Its name, the same before and after it is compressed."""
        return self.path.name.removesuffix(".gz")

    @property
    def stamp(self) -> datetime | None:
        """When the recorder began it, by this computer's clock, to the second; None for files of others."""
        found = _NAME.fullmatch(self.path.name)
        try:
            return datetime.strptime(found[1], "%Y-%m-%d_%H%M%S").replace(tzinfo=UTC) if found else None
        except ValueError:
            return None

    @property
    def label(self) -> str:
        """What was recorded, as the recorder wrote it into the name; empty for files of others."""
        found = _NAME.fullmatch(self.path.name)
        return found[2] if found else ""

    @property
    def order(self) -> tuple[float, int, str]:
        """By the time it began, and then by the number in its name."""
        found, stamp = _NAME.fullmatch(self.path.name), self.stamp
        began = stamp.timestamp() if stamp else self.mtime_ns / 1e9
        return began, int(found[3] or 1) if found else 0, self.path.name


class Session(NamedTuple):
    """One run of the recorder, or one file of somebody else."""

    files: tuple[SessionFile, ...]
    """In their order, at least one."""
    growing: bool = False
    """Whether it is being recorded now, or was half a minute ago."""

    @property
    def key(self) -> str:
        """What notes go by: the name of its first file, without `.gz`."""
        return self.files[0].key

    @property
    def paths(self) -> tuple[Path, ...]:
        """Those that hold the recording, in their order."""
        return tuple(file.path for file in self.files)

    @property
    def size(self) -> int:
        """Bytes on the disk."""
        return sum(file.size for file in self.files)

    @property
    def began(self) -> datetime | None:
        """By the name of its first file."""
        return self.files[0].stamp


def sessions_in(
    folder: Path, now: datetime, recording: Path | None = None, largest: int = LARGEST_FILE
) -> tuple[Session, ...]:
    """All sessions of a folder, the oldest first; none where there is no such folder.

    `recording`: the file that this program writes to. `largest`: the size at which the recorder turns the page.
    Raises OSError where the folder may not be read.
    """
    grouped: list[list[SessionFile]] = []
    for file in sorted(files_in(folder), key=lambda one: one.order):
        if grouped and _goes_on(grouped[-1][-1], file, largest):
            grouped[-1].append(file)
        else:
            grouped.append([file])
    return tuple(Session(tuple(files), _grows(files[-1], now, recording)) for files in grouped)


def session_of(path: Path, now: datetime) -> Session:
    """One file, wherever it lies. Raises InputError where there is none."""
    file = _looked_at(path)
    if file is None:
        raise InputError(f"{path} is a folder: name one recording in it")
    if file.problem and not path.exists():
        raise InputError(f"there is no file {path}: check the name and the folder")
    return Session((file,), _grows(file, now, None))


def files_in(folder: Path) -> list[SessionFile]:
    """What might be a recording: all that is not hidden, a folder, or of our own books."""
    try:
        names = [
            path.name for path in folder.iterdir() if not (path.name.startswith(".") or _OURS.fullmatch(path.name))
        ]
    except (FileNotFoundError, NotADirectoryError):
        return []
    return [file for file in (_looked_at(folder / name) for name in _without_twins(names)) if file is not None]


def _without_twins(names: Iterable[str]) -> list[str]:
    """A file that is being compressed is there twice for a moment."""
    there = set(names)
    return [name for name in there if not (name.endswith(".gz") and name.removesuffix(".gz") in there)]


def _looked_at(path: Path) -> SessionFile | None:
    try:
        found = path.stat()
    except OSError as error:
        return SessionFile(path, 0, 0, problem=f"cannot be looked at ({error.strerror or error})")
    if path.is_dir():
        return None
    if not S_ISREG(found.st_mode):
        return SessionFile(path, 0, 0, problem="is a pipe or a device, not a recording")
    twin = path.with_name(path.name + ".gz")
    problem = "the rest of a compression that was broken off: the recording itself is beside it"
    return SessionFile(
        path,
        found.st_size,
        found.st_mtime_ns,
        twin if not path.name.endswith(".gz") and os.path.isfile(twin) else None,  # noqa: PTH113 - names too long
        problem if path.name.endswith(".gz.part") else "",
    )


def _grows(file: SessionFile, now: datetime, recording: Path | None) -> bool:
    age_s = now.timestamp() - file.mtime_ns / 1e9
    # A time in the future says nothing: the clock has been set since.
    return file.path == recording or (file.path.name.endswith(".nmea") and 0.0 <= age_s < GROWS_FOR_S)


def _goes_on(before: SessionFile, after: SessionFile, largest: int) -> bool:
    """A label that ends in `-2` itself is taken for `-2` of another: all else has to fit as well."""
    if before.stamp is None or after.stamp is None or before.label != after.label:
        return False
    if before.stamp.date() == after.stamp.date() and _unpacked(before) <= largest:
        return False
    ended_s = _ended_s(before)
    return ended_s is not None and LEAST_S <= after.stamp.timestamp() - ended_s <= TURNS_WITHIN_S


def _unpacked(file: SessionFile) -> int:
    """ISIZE of RFC 1952, the last four bytes: files of the recorder are far below the 4 GiB that it counts to."""
    if not file.path.name.endswith(".gz"):
        return file.size
    return int.from_bytes(_end(file, 4), "little")


def _ended_s(file: SessionFile) -> float | None:
    """Unix seconds: the last time of arrival; of a compressed file when that began; else when it was written to."""
    if file.path.name.endswith(".gz"):
        packed_s = int.from_bytes(_begin(file, 8)[4:], "little")  # MTIME of RFC 1952
        return float(packed_s or file.mtime_ns // 10**9)
    times = _TAG_TIME.findall(_end(file, _TAIL))
    if not times:
        return file.mtime_ns / 1e9
    told = int(times[-1])
    return told / 1000 if len(times[-1]) == 13 else float(told)


def _end(file: SessionFile, count: int) -> bytes:
    try:
        with file.path.open("rb") as stream:
            stream.seek(max(0, file.size - count))
            return stream.read(count)
    except OSError:
        return b""


def _begin(file: SessionFile, count: int) -> bytes:
    try:
        with file.path.open("rb") as stream:
            return stream.read(count)
    except OSError:
        return b""

"""The user's lists of stations, kept read: what could be read and what not, and read again where a file has changed.

The book is looked at in a thread and hands its contents over whole. A list that is given by name comes before those of
the folder, so that of two that hold the same station the one that was asked for is believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from core.errors import InputError
from core.station_contents import EMPTY, Contents, Read
from core.station_lists.decoding import decoded
from core.station_lists.reading import ENDINGS, bytes_of, list_of

MOST_LISTS = 200
"""In one folder: beyond it, it is no folder of lists."""


_ESCAPED = frozenset({".gpx", ".json", ".geojson"})


class StationBook:
    """Keeps the lists read. For one thread at a time."""

    def __init__(self, folder: Path | None, named: Iterable[Path] = ()) -> None:
        """`folder`: may not be there; None for none. `named`: read before it. Nothing is read yet."""
        self._folder = folder
        self._named = tuple(named)
        self._kept: dict[Path, _Kept] = {}
        self._contents = EMPTY

    @property
    def contents(self) -> Contents:
        """As of the last look."""
        return self._contents

    def look(self, reading: Callable[[], AbstractContextManager[None]] = nullcontext) -> Contents:
        """Read what is new or has changed. The same object while nothing has.

        `reading` is entered while something is read, which may take seconds.
        """
        before = self._kept
        paths = dict.fromkeys((*self._named, *lists_in(self._folder)))
        if all(_is_as_before(path, before.get(path)) for path in paths) and paths.keys() == before.keys():
            return self._contents
        with reading():
            self._kept = {path: _again(path, before.get(path)) for path in paths}
            reads = tuple(kept.read for kept in self._kept.values())
            if [*map(id, reads)] != [*map(id, self._contents.lists)]:
                self._contents = Contents(reads)
        return self._contents


class _Kept(NamedTuple):
    read: Read
    signature: tuple[int, ...]
    digest: bytes
    is_settled: bool
    """Whether two looks found this signature: a file written twice within one tick of its clock looks unchanged."""


def _is_as_before(path: Path, kept: _Kept | None) -> bool:
    return kept is not None and kept.is_settled and kept.signature == _signature(path)


def _again(path: Path, kept: _Kept | None) -> _Kept:
    signature = _signature(path)
    same = kept is not None and kept.signature == signature
    if kept and same and kept.is_settled:
        return kept
    try:
        data = bytes_of(path)
    except InputError as error:
        return _Kept(_as_before(Read(path, None, str(error)), kept), signature, b"", same)
    digest = sha256(data).digest()
    if kept and kept.digest == digest:
        return kept._replace(signature=signature, is_settled=same)
    return _Kept(_read(data, path), signature, digest, same)


def _as_before(read: Read, kept: _Kept | None) -> Read:
    return kept.read if kept and kept.read == read else read


def lists_in(folder: Path | None) -> tuple[Path, ...]:
    """Files that may be lists, by name. None where there is no such folder."""
    if folder is None:
        return ()
    try:
        found = [path for path in folder.iterdir() if _may_be_list(path)]
    except OSError:
        return ()
    return tuple(sorted(found)[:MOST_LISTS])


def _may_be_list(path: Path) -> bool:
    """A pipe would keep us waiting; a link that leads nowhere is to be said."""
    named = path.suffix.lower() in ENDINGS and not path.name.startswith(".")
    return named and (path.is_file() or not path.exists())


def lists_holding(paths: Iterable[Path], text: str) -> Iterator[Path]:
    """Those that may hold a station of this call or name: reading a large list takes seconds, this a tenth of one.

    All its words must occur, quotes left out, since they are doubled in a file. Files in which a letter can be written
    in other ways than as itself (JSON, XML) always may.
    """
    words = text.casefold().replace('"', " ").split()
    for path in paths:
        if path.suffix.lower() in _ESCAPED or _has_all(_text(path).casefold(), words):
            yield path


def _has_all(text: str, words: list[str]) -> bool:
    return all(word in text for word in words)


def _text(path: Path) -> str:
    """What cannot be read is told by whoever reads it as a list."""
    try:
        return decoded(bytes_of(path)).text
    except InputError:
        return ""


def _read(data: bytes, path: Path) -> Read:
    try:
        return Read(path, list_of(data, path))
    except InputError as error:
        return Read(path, None, str(error))


def _signature(path: Path) -> tuple[int, ...]:
    """What changes when a file does, as far as the file system tells."""
    try:
        found = path.stat()
    except (OSError, ValueError) as error:
        return (getattr(error, "errno", None) or 0,)
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns

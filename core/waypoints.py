"""The user's named places, kept in a GPX 1.1 file that others may write to as well.

What others have put into the file stays in it as it is. Each change takes a lock, reads the file again if its bytes are
no longer those last seen, changes that one thing and replaces the file in one step. A file that is damaged is never
written over: the error says where. A file that has been deleted is an empty one; its backup is left.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple, TypeVar

from core.errors import InputError
from core.file_lock import locked
from core.formats.gpx_document import EMPTY, Document, Removed, read_document
from core.formats.gpx_waypoints import GPX, write_waypoint
from core.formats.safe_xml import BIGGEST_BYTES
from core.storage import create_file, replace_file, sweep
from core.waypoint import NAME_LIMIT, NOTE_LIMIT, Waypoint

__all__ = ["BIGGEST_BYTES", "GPX", "NAME_LIMIT", "NOTE_LIMIT", "Imported", "Removed", "Waypoint", "Waypoints"]

_T = TypeVar("_T")


class Imported(NamedTuple):
    """What became of the waypoints of another file."""

    added: int
    already_here: int
    """Equal in all that we read to one that is here."""
    unusable: int
    """Without a place on the globe."""


class Waypoints:
    """The waypoints of one file, in its order. For one thread; other objects and programs may have the same file.

    Every method that writes raises InputError where it cannot, and memory and file are then as before.
    """

    def __init__(self, path: Path, *, is_unread: bool = False) -> None:
        """Reads the file if there is one. Raises InputError where it is damaged.

        `is_unread`: begins without any, of a file that cannot be read; what is written waits until it is mended.
        """
        self.path = path
        self._seen = _signature(path)
        self._is_settled = False
        self._refused: object = None
        self._swept = False
        self._by_name: dict[str, Waypoint] | None = None
        raw = None if is_unread else _bytes(path)
        self._take(raw, read_document(EMPTY if raw is None else raw, str(path)))

    def all(self) -> tuple[Waypoint, ...]:
        """Those that have a place on the globe; others stay in the file untouched. The same object until a change."""
        return self._all

    def named(self, name: str) -> Waypoint | None:
        """The first of that name."""
        if self._by_name is None:
            self._by_name = {waypoint.name: waypoint for waypoint in reversed(self._all)}
        return self._by_name.get(name)

    def add(self, waypoint: Waypoint) -> Waypoint:
        """Add one. Returns it as it is kept: figures rounded, texts cut, what XML cannot write left out."""
        return self.add_all((waypoint,))[0]

    def add_all(self, waypoints: Iterable[Waypoint]) -> tuple[Waypoint, ...]:
        """Add some in one save. Returns them as they are kept."""
        wanted = tuple(waypoints)

        def change(document: Document) -> tuple[Document, tuple[Waypoint, ...]]:
            added = document.with_added(_written(document, one) for one in wanted) if wanted else document
            return added, added.waypoints()[len(added.waypoints()) - len(wanted) :]

        return self._write(change)

    def change(self, old: Waypoint, new: Waypoint) -> bool:
        """Make `old` what `new` says, where they differ. False: `old` had gone, and `new` was added."""

        def change(document: Document) -> tuple[Document, bool]:
            fresh = _written(document, new)  # says first whether that can be written at all
            index = _find(document, old)
            if index is None:
                return document.with_added((fresh,)), False
            element = document.entries[index].element
            changed = document.scope.changed(element, document.entries[index].waypoint or old, new)
            return document if changed == element else document.with_changed(index, changed), True

        return self._write(change)

    def remove(self, waypoint: Waypoint) -> Removed:
        """Take one out. What it returns puts it back. Raises InputError too where it has gone already."""

        def change(document: Document) -> tuple[Document, Removed]:
            index = _find(document, waypoint)
            if index is None:
                raise InputError(f"{waypoint.name} is not as it was in {self.path}: another program has changed it")
            return document.without(index)

        return self._write(change)

    def restore(self, removed: Removed) -> None:
        """Put back what was removed, where it was."""
        self._write(lambda document: (document.with_restored(removed), None))

    def refresh(self) -> bool:
        """Whether the file has changed since; what it holds now is then here.

        Raises InputError once where it is now damaged: what was read before stays, and nothing can be written until the
        file is mended. Cheap while nothing changes: one question to the file system.
        """
        seen = _signature(self.path)
        if seen == self._seen and self._is_settled:
            return False
        # A file written twice within one tick of its clock looks the same: what is new is looked at a second time.
        self._is_settled = seen == self._seen
        self._seen = seen
        raw, document = self._looked_at()
        if document is self._document:
            return False
        self._take(raw, document)
        return True

    def import_from(self, path: Path) -> Imported:
        """Copy those of another GPX file that are not here yet, with all that its program wrote about them.

        Raises InputError too where that file is damaged or not GPX 1.1.
        """
        data = _bytes(path)
        if data is None:
            raise InputError(f"{path} is not there: nothing was imported")
        theirs = read_document(data, str(path))

        def change(document: Document) -> tuple[Document, Imported]:
            here = set(document.waypoints())
            fresh = []
            for entry in theirs.entries:
                if entry.waypoint and entry.waypoint not in here:
                    here.add(entry.waypoint)
                    fresh.append(document.scope.carried(entry.element, theirs.scope))
            usable = len(theirs.waypoints())
            counts = Imported(len(fresh), usable - len(fresh), len(theirs.entries) - usable)
            return document.with_added(fresh) if fresh else document, counts

        return self._write(change)

    def export_to(self, path: Path, chosen: Sequence[Waypoint]) -> None:
        """Write a new GPX file of some waypoints, with all that is here about them.

        Raises InputError where there is a file of that name, or it cannot be written.
        """
        fresh = read_document(EMPTY, str(path))
        here = {entry.waypoint: entry.element for entry in reversed(self._document.entries)}
        elements = [
            fresh.scope.carried(here[one], self._document.scope) if one in here else _written(fresh, one)
            for one in chosen
        ]
        create_file(path, fresh.with_added(elements).data())

    def _write(self, change: Callable[[Document], tuple[Document, _T]]) -> _T:
        """`change` makes another document and an answer; the same document: there is nothing to write."""
        with locked(self.path) as is_alone:
            self._sweep(is_alone)
            raw = _bytes(self.path)
            document = self._parsed(raw)
            changed, answer = change(document)
            if changed is not document:
                raw = changed.data()
                if len(raw) > BIGGEST_BYTES:
                    raise InputError(f"{self.path} would be larger than {BIGGEST_BYTES // 1024**2} MB: export some")
                replace_file(self.path, raw)
            if changed is not self._document:
                self._take(raw, changed)
            self._seen, self._is_settled = _signature(self.path), False
        return answer

    def _sweep(self, is_alone: bool) -> None:
        if is_alone and not self._swept:
            sweep(self.path)
            self._swept = True

    def _parsed(self, raw: bytes | None) -> Document:
        """What the file's bytes say, read only where they are not those that are here."""
        if raw == self._raw:
            return self._document
        return read_document(EMPTY if raw is None else raw, str(self.path))

    def _looked_at(self) -> tuple[bytes | None, Document]:
        """The file as it is; as it was where it is damaged in the way that has been said already."""
        found: object = None
        try:
            found = raw = _bytes(self.path)
            if raw is None or raw != self._refused:
                document = self._parsed(raw)
                self._refused = None
                return raw, document
        except InputError as error:
            found = str(error) if found is None else found
            if found != self._refused:
                self._refused = found
                raise
        return self._raw, self._document

    def _take(self, raw: bytes | None, document: Document) -> None:
        self._raw = raw
        self._document = document
        self._all = document.waypoints()
        self._by_name = None
        self._refused = None


def _written(document: Document, waypoint: Waypoint) -> bytes:
    return write_waypoint(waypoint, document.scope.prefix)


def _find(document: Document, waypoint: Waypoint) -> int | None:
    """As it is kept, or as it was handed over to be kept."""
    index = document.index(waypoint)
    if index is not None:
        return index
    kept = document.scope.read(_written(document, waypoint))
    return document.index(kept) if kept else None


def _bytes(path: Path) -> bytes | None:
    """The content of a file, None where there is none. Raises InputError where it cannot be read."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe would keep us waiting
            raise InputError(f"{path} cannot be read: it is no file")
        with path.open("rb") as stream:
            return stream.read(BIGGEST_BYTES + 1)  # one more is refused by who parses it
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else error
        raise InputError(f"{path} cannot be read ({reason})") from error


def _signature(path: Path) -> tuple[int, ...]:
    """What changes when a file does, as far as the file system tells."""
    try:
        found = path.stat()
    except (OSError, ValueError) as error:
        return (getattr(error, "errno", None) or 0,)
    return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns

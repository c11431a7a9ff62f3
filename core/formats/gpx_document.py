"""A GPX 1.1 document cut into its waypoints and the bytes between them.

A change makes a new document that shares all other pieces, so that ten thousand waypoints cost no more than one, and
what others wrote (elements, attributes, comments, prefixes, white space, everything around the root) stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

from core.errors import InputError
from core.formats.gpx_scope import Scope
from core.formats.gpx_waypoints import GPX, WPT, read_waypoint
from core.formats.safe_xml import as_utf8, build
from core.formats.xml_outline import Node, outline
from core.waypoint import Waypoint

EMPTY = f"""<?xml version='1.0' encoding='UTF-8'?>
<gpx xmlns="{GPX}" version="1.1" creator="fixboard">
</gpx>
""".encode()
_INDENT = b"\n  "


class Entry(NamedTuple):
    """One `wpt` element."""

    before: bytes
    """What stands between it and the one before."""
    element: bytes
    waypoint: Waypoint | None
    """What it says; None where it has no place on the globe."""


class Removed(NamedTuple):
    """What `Document.without` took out, with all that puts it back. Of no use for anything else."""

    at: int
    kept: bytes
    """What stood before it and is no part of it, comments for example: it stayed."""
    entry: Entry
    scope: Scope


@dataclass(frozen=True, slots=True)
class Document:
    """Head, waypoints, tail: put together they are the file."""

    head: bytes
    entries: tuple[Entry, ...]
    tail: bytes
    scope: Scope

    def data(self) -> bytes:
        """The whole file."""
        pieces = [piece for entry in self.entries for piece in entry[:2]]
        return b"".join([self.head, *pieces, self.tail])

    def waypoints(self) -> tuple[Waypoint, ...]:
        """Those that have a place on the globe."""
        return tuple(entry.waypoint for entry in self.entries if entry.waypoint)

    def index(self, waypoint: Waypoint) -> int | None:
        """The first that says the same."""
        return next((n for n, entry in enumerate(self.entries) if entry.waypoint == waypoint), None)

    def with_added(self, elements: Iterable[bytes]) -> Document:
        """More at the end."""
        fresh = (Entry(_INDENT, element, self.scope.read(element)) for element in elements)
        return replace(self, entries=(*self.entries, *fresh))

    def with_changed(self, index: int, element: bytes) -> Document:
        """Another in the place of one."""
        changed = Entry(self.entries[index].before, element, self.scope.read(element))
        return replace(self, entries=(*self.entries[:index], changed, *self.entries[index + 1 :]))

    def without(self, index: int) -> tuple[Document, Removed]:
        """One less. Of what stood before it, the white space goes with it."""
        entry = self.entries[index]
        kept = entry.before.rstrip()
        rest = self._prefixed(index + 1, kept)
        removed = Removed(index, kept, entry._replace(before=entry.before[len(kept) :]), self.scope)
        return replace(rest, entries=(*rest.entries[:index], *rest.entries[index + 1 :])), removed

    def with_restored(self, removed: Removed) -> Document:
        """Where it was; at the end where there are fewer now."""
        index = min(removed.at, len(self.entries))
        element = self.scope.carried(removed.entry.element, removed.scope)
        entry = Entry(removed.entry.before, element, self.scope.read(element))
        kept, following = removed.kept, self._before(index)
        if not kept or not following.startswith(kept):
            return replace(self, entries=(*self.entries[:index], entry, *self.entries[index:]))
        rest = self._with_before(index, following[len(kept) :])
        entry = entry._replace(before=kept + entry.before)
        return replace(rest, entries=(*rest.entries[:index], entry, *rest.entries[index:]))

    def _prefixed(self, index: int, more: bytes) -> Document:
        return self._with_before(index, more + self._before(index)) if more else self

    def _before(self, index: int) -> bytes:
        """What stands before an entry, or after the last."""
        return self.entries[index].before if index < len(self.entries) else self.tail

    def _with_before(self, index: int, before: bytes) -> Document:
        if index == len(self.entries):
            return replace(self, tail=before)
        entry = self.entries[index]._replace(before=before)
        return replace(self, entries=(*self.entries[:index], entry, *self.entries[index + 1 :]))


def read_document(data: bytes, name: str) -> Document:
    """Cut a file into pieces. Raises InputError naming the file where it is damaged or not GPX 1.1."""
    data = as_utf8(data, name)
    found = outline(data, name, 2)
    if found.root.tag != f"{{{GPX}}}gpx":
        raise InputError(f"{name} is not GPX 1.1: take another file, or move this one away")
    if found.root.end == found.root.inside:
        data = _opened(data, found.root)
        found = outline(data, name, 2)
    said = [read_waypoint(element) for element in build(data, name).iterfind(WPT)]
    return _cut(data, found.root, said, Scope(found.root.prefix, found.bindings))


def _cut(data: bytes, root: Node, said: list[Waypoint | None], scope: Scope) -> Document:
    nodes = [node for node in root.children if node.tag == WPT]
    head = at = min([_first_place(root), *(node.start for node in nodes)])
    entries = []
    for node, waypoint in zip(nodes, said, strict=True):
        entries.append(Entry(data[at : node.start], data[node.start : node.end], waypoint))
        at = node.end
    return Document(data[:head], tuple(entries), data[at:], scope)


def _first_place(root: Node) -> int:
    """GPX 1.1 wants metadata, then waypoints, then routes, tracks and extensions."""
    return next((node.end for node in root.children if node.tag == f"{{{GPX}}}metadata"), root.inside)


def _opened(data: bytes, root: Node) -> bytes:
    """`<gpx/>` as `<gpx></gpx>`."""
    return b"%b></%b>%b" % (data[: root.inside - 2], root.label, data[root.end :])

"""Where the elements of an XML document stand in its bytes, so that one can be changed and all else stay as it is.

A tree that is built and written again loses what it has no place for: comments around the root, prefixes that only
values use (`xsi:type="a:b"`), entities, the order of attributes, every space. Bytes that are not touched lose nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from core.errors import InputError
from core.formats.safe_xml import Watcher, walk

MOST_NODES = 300_000
"""Elements that are kept, at two levels those of the root: waypoints nearly all of them. As many as a list of stations
may have rows; it bounds the memory."""
_START_TAG = re.compile(rb"""<([^\s/>]++)(?:[^"'>]++|"[^"]*+"|'[^']*+')*+>""")
_ATTRIBUTE = re.compile(rb"""([^\s=<>"']+)\s*=\s*("[^"]*"|'[^']*')""")


@dataclass(slots=True)
class Node:
    """One element: `data[start:end]`, its content `data[inside:outside]`."""

    tag: str
    """With its namespace, as ElementTree writes it: `{namespace}name`."""
    label: bytes
    """Its name as written, prefix included."""
    start: int
    inside: int
    outside: int = 0
    end: int = 0
    children: list[Node] = field(default_factory=list)

    @property
    def prefix(self) -> bytes:
        """As written, with its colon; empty where it has none."""
        return self.label[: self.label.find(b":") + 1]

    def descendants(self) -> Iterator[Node]:
        """Those below it, in the order of the document."""
        for child in self.children:
            yield child
            yield from child.descendants()


@dataclass(frozen=True, slots=True)
class Outline:
    """The elements of a document down to some depth."""

    root: Node
    bindings: dict[str, str]
    """What the root's start tag says prefixes stand for; the empty prefix is the default namespace."""


def outline(data: bytes, name: str, depth: int) -> Outline:
    """Find the elements of a UTF-8 document, `depth` levels of them. Raises InputError as `parse_xml` does."""
    finder = _Finder(data, name, depth)
    walk(data, name, finder, finder.parser)
    return Outline(finder.found[0], finder.bindings)


def attributes_of(start_tag: bytes) -> list[bytes]:
    """The names of its attributes as written."""
    return [found[1] for found in _ATTRIBUTE.finditer(start_tag)]


def with_attribute(start_tag: bytes, name: bytes, value: bytes) -> bytes:
    """The tag with another value for an attribute that it has. `value` needs no escapes."""
    return _ATTRIBUTE.sub(lambda found: name + b'="' + value + b'"' if found[1] == name else found[0], start_tag)


class _Finder(Watcher):
    def __init__(self, data: bytes, name: str, levels: int) -> None:
        super().__init__(name)
        self.parser = expat.ParserCreate(namespace_separator="}")  # as ElementTree does, so both refuse the same
        self.parser.StartNamespaceDeclHandler = self._bind
        self.found: list[Node] = []
        self.bindings: dict[str, str] = {}
        self._data = data
        self._levels = levels
        self._open: list[Node] = []
        self._kept = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        super().start(tag, attributes)
        if self.depth <= self._levels:
            self._kept += 1
            if self._kept > MOST_NODES:
                raise InputError(f"{self._name} holds more than {MOST_NODES:,} waypoints: split it")
            node = self._begun(tag, self.parser.CurrentByteIndex)
            (self._open[-1].children if self._open else self.found).append(node)
            self._open.append(node)

    def end(self, tag: str) -> None:
        if self.depth <= self._levels:
            node = self._open.pop()
            if self._data[node.inside - 2 : node.inside] == b"/>":
                node.outside = node.end = node.inside
            else:
                node.outside = self.parser.CurrentByteIndex
                node.end = self._data.index(b">", node.outside) + 1
        super().end(tag)

    def _begun(self, tag: str, at: int) -> Node:
        written = _START_TAG.match(self._data, at)
        if written is None:
            raise ValueError(f"no element at byte {at}")  # `walk` says it as damage; the parser rules it out
        return Node(f"{{{tag}" if "}" in tag else tag, written[1], at, written.end())

    def _bind(self, prefix: str | None, uri: str | None) -> None:
        if self.depth == 0:
            self.bindings[prefix or ""] = uri or ""

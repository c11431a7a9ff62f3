"""One `wpt` element by itself: read, changed, carried to another file, by what its root's prefixes mean."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.formats.gpx_waypoints import (
    CHILDREN,
    EXTENSIONS,
    ORDER,
    enclosed,
    is_ours,
    read_waypoint,
    write_child,
    written_position,
)
from core.formats.safe_xml import build, escaped
from core.formats.xml_outline import Node, attributes_of, outline, with_attribute
from core.waypoint import Waypoint

_NAME = "a waypoint"


@dataclass(frozen=True, slots=True)
class Scope:
    """The root element that waypoints stand in, as far as it matters to them."""

    prefix: bytes
    """Of GPX itself, with its colon; empty where GPX is the default namespace."""
    bindings: dict[str, str]
    """Prefix to namespace; the empty prefix is the default namespace."""
    _opening: bytes = field(init=False)
    _closing: bytes = field(init=False)

    def __post_init__(self) -> None:
        meanings = "".join(_written(prefix, uri) for prefix, uri in self.bindings.items())
        object.__setattr__(self, "_opening", b"<%bgpx%b>" % (self.prefix, meanings.encode()))
        object.__setattr__(self, "_closing", b"</%bgpx>" % self.prefix)

    def read(self, element: bytes) -> Waypoint | None:
        """What the element says."""
        return read_waypoint(build(self._whole(element), _NAME)[0])

    def changed(self, element: bytes, old: Waypoint, new: Waypoint) -> bytes:
        """The element with what differs between two readings, and nothing else, made as in `new`."""
        for child in CHILDREN:
            if child.of(old) != child.of(new):
                element = self._with_child(element, child.tag, child.text(child.of(new)))
        return element if old.position == new.position else self._moved(element, old, new)

    def carried(self, element: bytes, there: Scope) -> bytes:
        """The element of another file, saying itself what that file's root said for it and ours does not."""
        wanted = {prefix: uri for prefix, uri in ({"": ""} | there.bindings).items() if self._means(prefix) != uri}
        if not wanted:
            return element
        node = there.outlined(element)
        declared = attributes_of(element[: node.inside - node.start])
        more = b"".join(
            _written(prefix, uri).encode()
            for prefix, uri in wanted.items()
            if _declared(prefix).encode() not in declared and (not prefix or f"{prefix}:".encode() in element)
        )
        return b"<%b%b%b" % (node.label, more, element[1 + len(node.label) :])

    def outlined(self, element: bytes) -> Node:
        """Where its parts stand, counted from the start of `_opening`."""
        return outline(self._whole(element), _NAME, 4).root.children[0]

    def _means(self, prefix: str) -> str:
        return self.bindings.get(prefix, "")

    def _whole(self, element: bytes) -> bytes:
        return b"".join((self._opening, element, self._closing))

    def _moved(self, element: bytes, old: Waypoint, new: Waypoint) -> bytes:
        node = self.outlined(element)
        inside = node.inside - node.start
        tag, rest = element[:inside], element[inside:]
        places = zip((b"lat", b"lon"), old.position, new.position, written_position(new.position), strict=True)
        for name, before, after, text in places:
            tag = tag if before == after else with_attribute(tag, name, text)
        return tag + rest

    def _with_child(self, element: bytes, tag: str, text: str) -> bytes:
        """One child's text set, all else kept; without a text, the child taken away."""
        whole = self._whole(element)
        waypoint = outline(whole, _NAME, 4).root.children[0]
        found = [node for node in _places(waypoint, tag) if node.tag == tag]
        if text:
            whole = _retexted(whole, found[0], text) if found else _with_new(whole, waypoint, tag, text)
        else:
            for node in reversed(found):
                whole = whole[: node.start].rstrip() + whole[node.end :]
        return whole[len(self._opening) : -len(self._closing)]


def _declared(prefix: str) -> str:
    return f"xmlns:{prefix}" if prefix else "xmlns"


def _written(prefix: str, uri: str) -> str:
    return f' {_declared(prefix)}="{escaped(uri)}"'


def _places(waypoint: Node, tag: str) -> list[Node]:
    """Where such a child would stand: ours in `extensions`."""
    if not is_ours(tag):
        return waypoint.children
    return [inner for node in waypoint.children if node.tag == EXTENSIONS for inner in node.children]


def _retexted(whole: bytes, node: Node, text: str) -> bytes:
    """Its attributes stay."""
    return _with_content(whole, node, escaped(text).encode())


def _with_content(whole: bytes, node: Node, content: bytes) -> bytes:
    if node.end == node.inside:  # <name/>
        return b"%b>%b</%b>%b" % (whole[: node.inside - 2], content, node.label, whole[node.end :])
    return whole[: node.inside] + content + whole[node.outside :]


def _with_new(whole: bytes, waypoint: Node, tag: str, text: str) -> bytes:
    child = write_child(tag, text, waypoint.prefix)
    if not is_ours(tag):
        return _with_inserted(whole, waypoint, tag, child)
    extensions = next((node for node in waypoint.children if node.tag == EXTENSIONS), None)
    if extensions:
        return _with_content(whole, extensions, whole[extensions.inside : extensions.outside] + child)
    return _with_inserted(whole, waypoint, EXTENSIONS, enclosed(b"extensions", child, waypoint.prefix))


def _with_inserted(whole: bytes, waypoint: Node, tag: str, child: bytes) -> bytes:
    """Before the first that the schema wants after it; what is not of GPX 1.1 does not count."""
    after = ORDER[ORDER.index(tag) + 1 :]
    at = next((node.start for node in waypoint.children if node.tag in after), None)
    if at is None:
        return _with_content(whole, waypoint, whole[waypoint.inside : waypoint.outside] + child)
    return whole[:at] + child + whole[at:]

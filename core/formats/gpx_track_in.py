"""Tracks of GPX 1.0 and 1.1; where there is none, routes.

Read as the parser comes along, without a tree of elements: of a million points that would be ten million objects.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.parsers import expat

from core.errors import InputError
from core.formats.given_track import GivenPoint, height, joined, moment, number, position_of
from core.formats.safe_xml import DEEPEST, Watcher, called_utf8, walk

_POINTS = frozenset({"trkpt", "rtept"})
_TOLD = frozenset({"ele", "time"})
Points = list[GivenPoint | None]


def gpx_points(data: bytes, name: str) -> Iterator[GivenPoint | None]:
    """In the order of the file; None for a point without a place. Raises InputError."""
    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    reader = _Reader(name, parser)
    walk(called_utf8(data), name, reader, parser)
    segments = reader.found["trkseg"] or reader.found["rte"]
    if not segments and reader.has_waypoints:
        raise InputError(f"{name} holds waypoints, no track: F7 in the list of waypoints imports them")
    yield from joined(segments)


class _Reader(Watcher):
    """Collects the points that stand directly in a segment or route, by namespace of any kind or none.

    1.0 and 1.1 differ in nothing that matters here.
    """

    def __init__(self, name: str, parser: expat.XMLParserType) -> None:
        super().__init__(name)
        self.found: dict[str, list[Points]] = {"trkseg": [], "rte": []}
        """By kind, in the order in which they begin."""
        self.has_waypoints = False
        self._parser = parser
        self._open: list[tuple[int, Points]] = []
        """Depth and points of those that have not ended."""
        self._point = 0
        """Depth of the point that is open; 0: none is."""
        self._place: dict[str, str] = {}
        self._said: dict[str, str] = {}
        """Texts of its children; of two of the same name the first."""
        self._told = ""
        """Name of the child whose text is being told; empty: none is."""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        if self.depth >= DEEPEST:
            super().start(tag, attributes)
        self.depth += 1
        local = tag[tag.rfind("}") + 1 :]
        if self._point:
            self._start_in_point(local)
        elif local in _POINTS and self._open and self._open[-1][0] == self.depth - 1:
            self._point, self._place, self._said = self.depth, attributes, {}
        elif local in self.found:
            points: Points = []
            self.found[local].append(points)
            self._open.append((self.depth, points))
        elif local == "wpt":
            self.has_waypoints = True

    def end(self, tag: str) -> None:
        """It ends."""
        depth = self.depth
        self.depth = depth - 1
        if self._told:
            self._stop_telling()
        elif depth == self._point:
            self._point = 0
            self._open[-1][1].append(self._made())
        elif self._open and depth == self._open[-1][0]:
            self._open.pop()

    def _start_in_point(self, local: str) -> None:
        """Only what stands before the first element within is a child's text."""
        if self._told:
            self._stop_telling()
        elif local in _TOLD and local not in self._said and self.depth == self._point + 1:
            self._told, self._said[local] = local, ""
            self._parser.CharacterDataHandler = self._take

    def _take(self, text: str) -> None:
        self._said[self._told] += text

    def _stop_telling(self) -> None:
        self._told = ""
        self._parser.CharacterDataHandler = None

    def _made(self) -> GivenPoint | None:
        place, said = self._place, self._said
        position = position_of(number(place.get("lat")), number(place.get("lon")))
        if position is None:
            return None
        return GivenPoint(position, height(said.get("ele", "").strip()), moment(said.get("time")))

"""The trail on a map: north up, broken where the way is not known, each verdict in its own line."""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.fix import Position
from core.map_view import MapView, Plane, ruler_m, vector
from core.places.locator import locator
from core.report.figures import Frame, Key, Shape, framed
from core.report.graticule import graticule
from core.report.markup import Markup, tag
from core.report.model import Report
from core.report.svg import Box, Point, Words, clip, dot, drawing, label, path, straight
from core.report.tables import folded, table
from core.report.way import WayPlace
from core.report.words import length, many, ruler
from core.trust import Verdict

SIZE = (720.0, 480.0)
BOX = Box(120.0, 12.0, SIZE[0] - 12.0, SIZE[1] - 34.0)
MARGIN = 0.08
"""Of the map, round the trail."""
LEAST_M = 60.0
"""The map is at least so wide: at rest the wandering of fixes is no walk."""
WIDEST_M = 12_000_000.0
"""Beyond, no flat map of it is worth drawing."""
KINDS = {Verdict.FIRM: "way firm", Verdict.USABLE: "way usable", Verdict.DOUBTFUL: "way doubtful"}
ROWS = 30
BROKEN = "It breaks {}: nothing is known of the way there, and nothing is drawn."


def trail(report: Report) -> Markup | None:
    """None where there is no place of any satellite fix."""
    shown = report.trail.usable or report.trail.doubtful
    view = fitted([one.position for one in shown]) if shown else None
    if view is None:
        return None
    words = Words("trail", "Map of the trail", _says(report, view))
    ways = {verdict: path(_dots(view, _legs(report, verdict)), kind) for verdict, kind in KINDS.items()}
    drawn = drawing(
        words,
        SIZE,
        clip("trail-box", BOX),
        tag("rect", x=BOX.left, y=BOX.top, width=BOX.width, height=BOX.height, class_="map"),
        *filter(None, [graticule(view, BOX)]),
        tag("g", *(way for way in reversed(ways.values()) if way), clip_path="url(#trail-box)"),
        *_ends(shown, view),
        _scale_bar(view),
        _north(),
    )
    keys = [Key(kind, verdict.words) for verdict, kind in KINDS.items() if ways[verdict]]
    keys += [Key("mark start", "start", Shape.DOT), Key("mark end", "end", Shape.DOT)]
    return framed(
        Frame(
            words,
            keys,
            _table(shown),
        ),
        drawn,
    )


def fitted(positions: Sequence[Position]) -> MapView | None:
    """A map that holds all of them, its middle in the middle of the box; None where that is half the world."""
    origin = Plane(positions[0])
    middle, reach = _reach(origin, positions)
    if max(reach) > WIDEST_M:
        return None
    plane = Plane(origin.position(*middle))
    _, (wide, high) = _reach(plane, positions)
    room = 1 - 2 * MARGIN
    scale = max(max(wide, LEAST_M) / (BOX.width * room), max(high, LEAST_M) / (BOX.height * room))
    right, down = (BOX.left + BOX.right) / 2, (BOX.top + BOX.bottom) / 2
    size = (round(SIZE[0]), round(SIZE[1]))
    return MapView(plane, scale, size, (size[0] // 2 - right, size[1] // 2 - down))


def _reach(plane: Plane, positions: Sequence[Position]) -> tuple[Point, Point]:
    """Middle of the box round all, and how wide and high that is round the plane's own origin or its middle."""
    places = plane.all_east_north(map(vector, positions))
    (west, east), (south, north) = ((min(axis), max(axis)) for axis in zip(*places, strict=True))
    return ((west + east) / 2, (south + north) / 2), (east - west, north - south)


def _legs(report: Report, verdict: Verdict) -> list[list[WayPlace]]:
    """Pieces of one verdict; each begins where the piece before it ends, unless the way breaks there."""
    places = report.trail.doubtful if verdict is Verdict.DOUBTFUL else report.trail.usable
    found: list[list[WayPlace]] = []
    before: WayPlace | None = None
    for number, place in enumerate(places):
        alone = place.begins and (number + 1 == len(places) or places[number + 1].begins)
        if place.verdict is verdict and alone:
            found.append([place])
        elif place.verdict is verdict and not place.begins and before is not None:
            if found and found[-1][-1] is before:
                found[-1].append(place)
            else:
                found.append([before, place])
        before = place
    return found


def _dots(view: MapView, legs: list[list[WayPlace]]) -> list[list[Point]]:
    return [view.dots(vector(place.position) for place in leg) for leg in legs]


def _ends(shown: Sequence[WayPlace], view: MapView) -> list[Markup]:
    start, end = (view.dot(vector(place.position)) for place in (shown[0], shown[-1]))
    near = math.dist(start, end) < 24
    names = [_name(start, "start and end" if near else "start"), None if near else _name(end, "end")]
    return [dot(start, 6.0, "mark start"), dot(end, 4.0, "mark end"), *filter(None, names)]


def _name(at: Point, words: str) -> Markup:
    """Right of its mark; left of it where the map's edge is near."""
    left = at[0] > BOX.right - 100
    return label((at[0] - 9 if left else at[0] + 9, at[1] - 7), words, "name end" if left else "name")


def _scale_bar(view: MapView) -> Markup:
    metres = ruler_m(view.metres_per_dot, BOX.width / 4)
    wide = metres / view.metres_per_dot
    left, y = BOX.left + 14, BOX.bottom - 14
    ends = [straight((x, y - 4), (x, y + 4), "scale") for x in (left, left + wide)]
    return tag("g", straight((left, y), (left + wide, y), "scale"), *ends, label((left + 4, y - 7), ruler(metres)))


def _north() -> Markup:
    x, y = BOX.right - 20, BOX.top + 34
    arrow = tag("path", d=f"M{x:g} {y - 24:g}L{x + 6:g} {y:g} {x:g} {y - 6:g} {x - 6:g} {y:g}Z", class_="north")
    return tag("g", arrow, label((x, y + 4), "N", "mid-x under"))


def _says(report: Report, view: MapView) -> str:
    found = report.trail
    scale = length(view.metres_per_dot * BOX.width)
    breaks = found.pieces - 1 if found.pieces else 0
    parts = [f"True north is up; the map is {scale} wide."]
    if found.usable:
        squares = [locator(one.position, 6) for one in (found.usable[0], found.usable[-1])]
        parts.append(f"From locator {squares[0]} to {squares[1]}.")
        parts.append(BROKEN.format(many(breaks, "time")) if breaks else "The way is not broken.")
    else:
        parts.append("No fix was usable: only doubtful places are drawn.")
    if found.doubtful and found.usable:
        parts.append(_doubt(found.doubtful, view))
    return " ".join(parts)


def _doubt(places: Sequence[WayPlace], view: MapView) -> str:
    beyond = sum(not _inside(view.dot(vector(one.position))) for one in places)
    outside = f" {many(beyond, 'of them lies', 'of them lie')} beyond the map." if beyond else ""
    return f"Doubtful places are dotted and count for nothing.{outside}"


def _inside(at: Point) -> bool:
    return BOX.left <= at[0] <= BOX.right and BOX.top <= at[1] <= BOX.bottom


def _table(shown: Sequence[WayPlace]) -> Markup:
    every = max(1, math.ceil(len(shown) / ROWS))
    numbers = sorted({*range(0, len(shown), every), len(shown) - 1})
    rows = [
        (
            str(number + 1),
            f"{shown[number].position[0]:.5f}",
            f"{shown[number].position[1]:.5f}",
            shown[number].verdict.words,
            "begins here" if shown[number].begins else "",
        )
        for number in numbers
    ]
    heads = ("place", "latitude, degrees", "longitude, degrees", "verdict", "after a break")
    caption = f"{len(rows)} of the {len(shown)} places that are drawn"
    return folded("Some of the places", table(caption, heads, rows))

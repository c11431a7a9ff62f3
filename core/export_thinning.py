"""Fewer points of the same track, in constant memory. The ends of every segment stay."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from core.export_plan import Every
from core.export_points import ExportPoint, LeftOut
from core.simplify import Spot, corners

WINDOW = 512
"""Points that are simplified together. Each window's last point stays, so that none left out is farther from the line
than asked for; one point in 512 is the price of not holding a day in memory (our own choice)."""
SLACK_S = 0.05
"""Times are told to the hundredth at best: 9.99 s are the ten that were asked for."""


def spaced(given: Iterable[ExportPoint], every: Every, left_out: LeftOut) -> Iterator[ExportPoint]:
    """Each at least that far from the last in time, or in a straight line; and the last of each segment."""
    kept: ExportPoint | None = None
    held: ExportPoint | None = None
    for point in given:
        if kept is None or point.begins or _is_due(kept, point, every):
            if held is not None and point.begins:
                yield held
            elif held is not None:
                left_out[SPACED] += 1
            yield point
            kept, held = point, None
        else:
            left_out[SPACED] += held is not None
            held = point
    if held is not None:
        yield held


def _is_due(kept: ExportPoint, point: ExportPoint, every: Every) -> bool:
    if every.seconds is not None:
        return point.at_s - kept.at_s >= every.seconds - SLACK_S
    return math.dist(kept.xyz, point.xyz) >= (every.metres or 0.0)


SPACED = "nearer together than asked for"
ON_THE_LINE = "on the line through the others"


def simplified(given: Iterable[ExportPoint], tolerance_m: float, left_out: LeftOut) -> Iterator[ExportPoint]:
    """After Douglas and Peucker (1973), each window by itself, measured in space: the line is the chord."""
    window: list[ExportPoint] = []
    for point in given:
        if point.begins:
            yield from _once(window, tolerance_m, left_out)
            window = []
        window.append(point)
        if len(window) == WINDOW:
            *kept, last = _once(window, tolerance_m, left_out)
            yield from kept
            window = [last]
    yield from _once(window, tolerance_m, left_out)


def _once(window: Sequence[ExportPoint], tolerance_m: float, left_out: LeftOut) -> list[ExportPoint]:
    if len(window) < 3:
        return [*window]
    stay = corners([Spot(point.xyz, number) for number, point in enumerate(window)], tolerance_m)
    left_out[ON_THE_LINE] += len(window) - 2 - len(stay)
    return [window[0], *(window[number] for number in stay), window[-1]]

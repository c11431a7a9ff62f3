"""The direction of travel from the track itself: walk straight for a while, and the way walked says where to.

Standing, one antenna has no direction, and too slow a walk has no course from the receiver that could be relied on
(`core.course`). Positions do better: an error of 0.5 m an axis between the two ends of 20 m is 2 degrees one sigma, of
10 m 4 degrees (trade-facts.md b, computed there). What errors do by themselves must not look like a walk, so a course
takes a stretch that is long (longer the coarser the position), straight, made of steps, and still going on.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.places.geodesic import way
from core.samples import Sample, Xyz

LEAST_STRETCH_M, LONGEST_STRETCH_M = 20.0, 60.0
"""The shorter: "walk 20 m straight" (trade-facts.md b). The longer: nobody walks straight for more to learn a
direction (common practice, no source); where the error asks for more, no course is told."""
STRETCH_OVER_ERROR = 2.0
"""Two places an error apart may be one; twice that is a way (common practice, no source)."""
LEAST_BEND_M, BEND_PER_M = 3.0, 0.15
"""How far the track may leave its chord: what a good receiver strays by itself. It is also an arc of 67 degrees (calc),
whose end points 33 degrees off its chord: on a bend the course lags (common practice, no source)."""
GOING_S, GOING_M = 10.0, 3.0
"""Still going: this far, net, in this time. 0.3 m/s is slower than any walk, and net, not path, tells a walk from
jitter (trade-facts.md g)."""
SPACING_M = 2.0
"""Places kept of the track are this far apart: finer than any bend that is allowed."""
LONGEST_S = 200.0
"""The longest stretch at the slowest going."""
MOST_KEPT = 60
"""Twice the longest stretch at that spacing: bounded, whatever the track does."""


class Trail(NamedTuple):
    """What is remembered of an unbroken track."""

    recent: tuple[Sample, ...] = ()
    """Of the last seconds, for whether it still goes on."""
    kept: tuple[Sample, ...] = ()
    """Spaced out, for where it went."""


class Straight(NamedTuple):
    """What the track says of the direction."""

    course_deg: float | None
    """True, 0 to below 360, at the newest place; None: there is none."""
    straight_m: float
    """How far of what is needed has been walked straight."""
    needed_m: float | None
    """None where the position is too coarse."""


NO_TRAIL = Trail()


def walk_on(trail: Trail, newest: Sample) -> Trail:
    """The trail after one more sample."""
    recent = (*(one for one in trail.recent if newest.at_s - one.at_s <= GOING_S), newest)
    kept = trail.kept
    if not kept or math.dist(kept[-1].xyz, newest.xyz) >= SPACING_M:
        young = [one for one in kept[1 - MOST_KEPT :] if newest.at_s - one.at_s <= LONGEST_S]
        kept = (*young, newest)
    return Trail(recent, kept)


def needed_m(error_95_m: float | None) -> float | None:
    """How long the stretch must be with this error; None where that is too long to walk."""
    needed = max(LEAST_STRETCH_M, STRETCH_OVER_ERROR * (error_95_m or 0.0))
    return needed if needed <= LONGEST_STRETCH_M else None


def straight(trail: Trail) -> Straight:
    """What the trail says. An empty one says nothing."""
    needed = needed_m(trail.recent[-1].error_95_m if trail.recent else None)
    if len(trail.recent) < 2 or math.dist(trail.recent[0].xyz, trail.recent[-1].xyz) < GOING_M:
        return Straight(None, 0.0, needed)
    want_m = needed or LONGEST_STRETCH_M
    start, walked_m = _stretch(trail, want_m)
    if needed is None or walked_m < needed:
        return Straight(None, min(walked_m, want_m), needed)
    # The bearing at its end, which is where the walker is: only at a pole it differs from that at the start.
    return Straight(way(start.position, trail.recent[-1].position).final_bearing_deg, needed, needed)


def _stretch(trail: Trail, want_m: float) -> tuple[Sample, float]:
    """Backwards from the newest place as far as it is straight, and no farther than wanted: its start and length."""
    newest = trail.recent[-1]
    track = [newest]
    start, walked_m, longest_m = newest, 0.0, 0.0
    for one in _spaced(trail, want_m):
        longest_m = max(longest_m, math.dist(track[-1].xyz, one.xyz))
        track.append(one)
        if _bend_m(track) > max(LEAST_BEND_M, BEND_PER_M * want_m):
            break
        start, walked_m = one, _walked_m(math.dist(newest.xyz, one.xyz), longest_m)
        if walked_m >= want_m:
            break
    return start, walked_m


def _spaced(trail: Trail, want_m: float) -> tuple[Sample, ...]:
    """Places kept, newest first, without the newest of all: ten to twenty on a stretch, however long that is."""
    older = trail.kept[:-1] if trail.kept[-1] is trail.recent[-1] else trail.kept
    return older[:: -int(want_m / LEAST_STRETCH_M)]


def _walked_m(chord_m: float, longest_step_m: float) -> float:
    """Of a chord. A step longer than half of it was no walking, and does not count: a leap is no direction."""
    return chord_m if 2 * longest_step_m <= chord_m else chord_m - longest_step_m


def _bend_m(track: list[Sample]) -> float:
    """The farthest that the track gets from the chord between its ends; beyond an end, from that end."""
    a, b = track[0].xyz, track[-1].xyz
    return max((_off_chord_m(a, b, one.xyz) for one in track[1:-1]), default=0.0)


def _off_chord_m(a: Xyz, b: Xyz, p: Xyz) -> float:
    chord = (b[0] - a[0], b[1] - a[1], b[2] - a[2])
    to_p = (p[0] - a[0], p[1] - a[1], p[2] - a[2])
    squared = chord[0] ** 2 + chord[1] ** 2 + chord[2] ** 2
    along = chord[0] * to_p[0] + chord[1] * to_p[1] + chord[2] * to_p[2]
    share = min(1.0, max(0.0, along / squared)) if squared else 0.0
    return math.dist(to_p, (share * chord[0], share * chord[1], share * chord[2]))

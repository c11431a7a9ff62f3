"""The sky: where each satellite went, its signal as width and depth of the line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from core.report.figures import Frame, Key, framed
from core.report.markup import Markup, clean, tag
from core.report.model import Report
from core.report.svg import Point, Words, dot, drawing, label, path, straight
from core.report.tables import folded, table
from core.report.words import many
from core.sky_memory import TrackPlace

SIZE = (480.0, 480.0)
CENTRE, RADIUS = (240.0, 240.0), 205.0
LEAST_DEG = 2.0
"""Places of a track nearer than this on the sky are left out: receivers tell whole degrees."""
BANDS = ((45, "s4", "45 dB-Hz and more"), (35, "s3", "35 to 44"), (25, "s2", "25 to 34"), (1, "s1", "below 25"))
"""From the strongest; a normal signal in the open has 35 and more (trade-facts.md a)."""
UNHEARD = ("s0", "not heard")
MOST_NAMES = 64
"""Labels in the drawing: more would hide the tracks."""


def sky(report: Report) -> Markup | None:
    """None where no satellite had a direction."""
    tracks = report.sky.tracks
    if not tracks:
        return None
    systems = sorted({name[:1] for name in tracks})
    says = (
        f"{many(len(tracks), 'satellite')} of {many(len(systems), 'system')} ({', '.join(systems)}). The edge is the "
        "horizon, the middle is overhead; north is up, east to the right. The disc is where each was last."
    )
    words = Words("sky", "Sky tracks and signal", says)
    drawn = drawing(
        words, SIZE, _rings(), *(_track(name, places) for name, places in sorted(tracks.items())), _names(report)
    )
    keys = [Key(f"track {kind}", name) for _, kind, name in BANDS] + [Key(f"track {UNHEARD[0]}", UNHEARD[1])]
    return framed(Frame(words, keys, _table(report), kind="half"), drawn)


def at(azimuth_deg: float, elevation_deg: float) -> Point:
    """Where a direction is drawn: distance from the middle grows evenly with the angle from overhead."""
    out = RADIUS * (90.0 - elevation_deg) / 90.0
    turn = math.radians(azimuth_deg)
    return CENTRE[0] + out * math.sin(turn), CENTRE[1] - out * math.cos(turn)


def band(cno_dbhz: int | None) -> str:
    """The class of a signal."""
    return next((kind for least, kind, _ in BANDS if cno_dbhz is not None and cno_dbhz >= least), UNHEARD[0])


def _rings() -> Markup:
    x, y = CENTRE
    rings = [dot(CENTRE, RADIUS * (90 - elevation) / 90, "ring") for elevation in (0, 30, 60)]
    cross = [straight((x - RADIUS, y), (x + RADIUS, y), "rule"), straight((x, y - RADIUS), (x, y + RADIUS), "rule")]
    names = [
        label(at(azimuth, -8), name, "mid-x mid") for azimuth, name in ((0, "N"), (90, "E"), (180, "S"), (270, "W"))
    ]
    names += [
        label((x + 3, y - RADIUS * (90 - elevation) / 90 + 2), f"{elevation}°", "under quiet") for elevation in (30, 60)
    ]
    return tag("g", *rings, *cross, *names)


def _track(name: str, places: Sequence[TrackPlace]) -> Markup:
    """One path for each band of signal; a step belongs to the band that it ends in."""
    kept = _spaced(places)
    pieces: dict[str, list[list[Point]]] = {}
    newest = ""
    for before, now in pairwise(kept):
        kind = band(now.cno_dbhz)
        if now.begins:
            newest = ""
            continue
        if kind == newest:
            pieces[kind][-1].append(at(now.azimuth_deg, now.elevation_deg))
        else:
            ends = [at(one.azimuth_deg, one.elevation_deg) for one in (before, now)]
            pieces.setdefault(kind, []).append(ends)
        newest = kind
    drawn = [path(lines, f"track {kind}") for kind, lines in sorted(pieces.items())]
    end = kept[-1]
    disc = dot(at(end.azimuth_deg, end.elevation_deg), 3.0, f"disc {band(end.cno_dbhz)}")
    return tag("g", tag("title", clean(name)), *drawn, disc)


def _spaced(places: Sequence[TrackPlace]) -> list[TrackPlace]:
    kept = [places[0]]
    for place in places[1:-1]:
        if place.begins or _apart_deg(kept[-1], place) >= LEAST_DEG:
            kept.append(place)
    return [*kept, places[-1]] if len(places) > 1 else kept


def _apart_deg(a: TrackPlace, b: TrackPlace) -> float:
    """Near enough for its purpose: on the flat drawing."""
    return math.dist(at(*a[:2]), at(*b[:2])) * 90.0 / RADIUS


def _names(report: Report) -> Markup:
    """The longest tracks first, and none where another name stands."""
    taken: list[Point] = [at(azimuth, -8) for azimuth in (0, 90, 180, 270)]
    labels: list[Markup] = []
    for name, places in sorted(report.sky.tracks.items(), key=lambda one: (-len(one[1]), one[0])):
        x, y = at(places[-1].azimuth_deg, places[-1].elevation_deg)
        if all(abs(x - a) > 30 or abs(y - b) > 14 for a, b in taken) and len(labels) < MOST_NAMES:
            taken.append((x, y))
            labels.append(_name((x, y), clean(name)))
    return tag("g", *labels)


def _name(place: Point, name: str) -> Markup:
    """Right of its disc; left of it near the right edge, which it would leave on a narrow screen."""
    left = place[0] > SIZE[0] - 60
    return label((place[0] - 5 if left else place[0] + 5, place[1] - 4), name, "name end" if left else "name")


def _table(report: Report) -> Markup:
    rows = [
        (
            clean(name),
            f"{places[0].azimuth_deg}° / {places[0].elevation_deg}°",
            f"{places[-1].azimuth_deg}° / {places[-1].elevation_deg}°",
            f"{max(one.elevation_deg for one in places)}°",
            _heard(places),
        )
        for name, places in sorted(report.sky.tracks.items())
    ]
    heads = ("satellite", "first seen, azimuth / elevation", "last seen", "highest", "signal on the way, dB-Hz")
    return folded("Figures of the tracks", table("Tracks", heads, rows))


def _heard(places: Sequence[TrackPlace]) -> str:
    heard = [one.cno_dbhz for one in places if one.cno_dbhz]
    return f"{min(heard)} to {max(heard)}" if heard else "not heard"

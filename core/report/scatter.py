"""How the fixes scattered where one stood, and what their mean is worth, where that can be said."""

from __future__ import annotations

from core.averaging import DEFINITIONS
from core.places.locator import locator
from core.report.figures import Frame, Key, framed
from core.report.markup import Markup, clean, tag
from core.report.model import Report
from core.report.stops import LEAST_S, Stop
from core.report.svg import Words, dot, drawing, label, straight
from core.report.words import length, many, ruler, span
from core.units import in_use

INDEPENDENT = ("independent fix", "independent fixes")
SIZE, MIDDLE, REACH = (480.0, 480.0), (240.0, 240.0), 205.0


def scatters(report: Report) -> list[Markup]:
    """One for each of the longest stops."""
    return [_scatter(report, stop, number) for number, stop in enumerate(report.standing.longest, 1)]


def none_of_them() -> str:
    """Said where there is none."""
    return f"No stop of {span(LEAST_S)} or more with usable fixes: nothing can be said of their scatter."


def _scatter(report: Report, stop: Stop, number: int) -> Markup:
    title = f"Stop {number}: {span(stop.seconds)} from {report.times.label(stop.at_s, seconds=True)}"
    words = Words(f"stop-{number}", title, _says(stop))
    drawn = drawing(words, SIZE, _rings(stop), _dots(stop))
    keys = [Key("ring half", "half of the fixes lie within (CEP)"), Key("ring most", "95 % lie within (R95)")]
    return framed(Frame(words, keys if stop.average.spread else [], kind="half"), drawn)


def scale_of(stop: Stop) -> float:
    """Metres from the middle to the edge: a length, round in the user's unit, that holds 95 % and nearly all others."""
    spread = stop.average.spread
    wanted = max(1.4 * spread.r95_m if spread else 0.0, 0.05)
    unit_m = in_use().scale_unit(wanted).size
    steps = (figure * 10.0**power * unit_m for power in range(-2, 6) for figure in (1, 1.5, 2, 3, 5, 7))
    return next((step for step in steps if step >= wanted), 1e6)


def _dots(stop: Stop) -> Markup:
    share = REACH / scale_of(stop)
    inside = [
        (east * share, -north * share) for east, north in stop.dots if max(abs(east), abs(north)) * share <= REACH
    ]
    data = "".join(f"M{MIDDLE[0] + x:.1f} {MIDDLE[1] + y:.1f}h.1" for x, y in inside)
    return tag("g", tag("path", d=data, class_="fixes") if data else None, dot(MIDDLE, 4.0, "mark end"))


def _rings(stop: Stop) -> Markup:
    x, y = MIDDLE
    metres = scale_of(stop)
    frame = [straight((x - REACH, y), (x + REACH, y), "rule"), straight((x, y - REACH), (x, y + REACH), "rule")]
    names = [label((x, y - REACH - 8), "N", "mid-x mid"), label((x + REACH, y + 6), ruler(metres), "end under halo")]
    half = [label((x + REACH / 2, y + 6), ruler(metres / 2), "mid-x under halo")]
    ticks = [straight((x + REACH * part, y - 4), (x + REACH * part, y + 4), "scale") for part in (0.5, 1.0)]
    return tag("g", *frame, *ticks, *names, *half, *_circles(stop, REACH / metres))


def _circles(stop: Stop, share: float) -> list[Markup]:
    spread = stop.average.spread
    radii = ((spread.cep_m, "ring half"), (spread.r95_m, "ring most")) if spread else ()
    return [dot(MIDDLE, radius * share, kind) for radius, kind in radii]


def _says(stop: Stop) -> str:
    found = stop.average
    place = f"{stop.middle[0]:.5f}, {stop.middle[1]:.5f} (locator {locator(stop.middle, 6)})"
    parts = [f"Around {place}, {many(found.count, 'fix', 'fixes')}."]
    if found.spread:
        parts.append(
            f"CEP {length(found.spread.cep_m)}, DRMS {length(found.spread.drms_m)}, R95 {length(found.spread.r95_m)}."
        )
    parts.append(_worth(stop))
    if found.outliers:
        parts.append(f"{many(len(found.outliers), 'fix is', 'fixes are')} left out as outliers.")
    beyond = _beyond(stop)
    if beyond:
        parts.append(f"{beyond} lie beyond the drawing.")
    return " ".join(parts)


def _worth(stop: Stop) -> str:
    found = stop.average
    if found.horizontal_95_m is None:
        return f"What the mean is worth cannot be stated: {clean(found.declined)}."
    worth = f", worth about {many(round(found.effective_count), *INDEPENDENT)}" if found.effective_count else ""
    return f"The mean is within {length(found.horizontal_95_m)} of the truth with 95 %{worth}, as far as chance goes."


def _beyond(stop: Stop) -> int:
    share = REACH / scale_of(stop)
    return sum(max(abs(east), abs(north)) * share > REACH for east, north in stop.dots)


def definitions() -> list[tuple[str, str]]:
    """What the figures mean."""
    return [(name, meaning) for name, meaning in DEFINITIONS.items() if name != "2DRMS"]

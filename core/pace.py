"""How long a way on foot takes: a rule of 1892, its corrections, and the walker's own pace out.

Naismith (1892): an hour for 5 km, and an hour for 600 m of ascent. Langmuir: ten minutes less for each 300 m of descent
on slopes of 5 to 12 degrees, ten minutes more for each 300 m on steeper ones (both trade-facts.md f, S42, seen in an
article). Tobler (1993) stands beside them for comparison: 6 exp(-3.5 |slope + 0.05|) km/h (from memory).

Whatever is not known is taken for the slower: a descent of which only the sum is known earns nothing, and as much of it
is steep as a slope of 12 degrees over all of the way cannot hold. So a longer way never takes less time.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from core.descent import NO_DESCENT, Descent, least_steep
from core.errors import InputError
from core.units import in_use

KMH = 1 / 3.6
PATH_MPS = 5.0 * KMH
"""On paths, and off them (trade-facts.md f)."""
CLIMB_S_PER_M = 3600 / 600
DESCENT_S_PER_M = 600 / 300
SLOWEST_MPS, FASTEST_MPS = 1.0 * KMH, 8.0 * KMH
"""Between these a pace is one of walking; a runner is told the time of a fast walker, as nobody runs home in the dusk
(common practice, no source). Above 8.5 km/h a gentle descent would take less than no time (calc)."""
LEAST_OWN_M, LEAST_OWN_S = 1000.0, 900.0
"""Less than this out tells no pace: a quarter of an hour (common practice, no source)."""
MOST_M = 1e8
"""Twice round the Earth and more: beyond it a figure is none."""
MOST_CLIMB_SHARE = 0.5
"""Of the moving time. Where the rule takes more for the climb it is the rule that does not fit the walker."""
TOBLER_MPS, TOBLER_PER_SLOPE, TOBLER_BEST_SLOPE = 6.0 * KMH, 3.5, -0.05
STEEPEST_SLOPE = 1.0
"""Beyond 45 degrees nobody walks (common practice, no source)."""
BEST_OVER_FLAT = math.exp(TOBLER_PER_SLOPE * -TOBLER_BEST_SLOPE)
"""Downhill at its best is by so much faster than on the flat, 1.19: no correction may promise more."""


class Pace(NamedTuple):
    """Speed on the flat, and how it was got."""

    flat_mps: float
    how: str
    """Goes on after "5.0 km/h on the flat, "."""


NAISMITH = Pace(PATH_MPS, "by Naismith's rule for paths")


class Estimate(NamedTuple):
    """How long a way takes."""

    seconds: float
    basis: str
    """In a few words what it was made from."""
    assumptions: tuple[str, ...]
    """Plain sentences."""


def naismith_s(distance_m: float, ascent_m: float = 0.0, descent: Descent = NO_DESCENT, pace: Pace = NAISMITH) -> float:
    """The rule with Langmuir's corrections, as published; the figures must be finite and not negative."""
    on_the_flat_s = distance_m / pace.flat_mps
    return on_the_flat_s + CLIMB_S_PER_M * ascent_m + DESCENT_S_PER_M * (descent.steep_m - descent.gentle_m)


def tobler_mps(slope: float) -> float:
    """Speed on a path of this slope, a ratio, downhill negative; off a path it is 0.6 of that."""
    return TOBLER_MPS * math.exp(-TOBLER_PER_SLOPE * abs(slope - TOBLER_BEST_SLOPE))


def tobler_s(distance_m: float, ascent_m: float, descent_m: float) -> float:
    """The same way by Tobler's function, climbs and descents all at its mean slope."""
    if not distance_m:
        return 0.0
    rise_m = ascent_m + descent_m
    slope = min(rise_m / distance_m, STEEPEST_SLOPE)
    up = ascent_m / rise_m if rise_m else 0.0
    return distance_m * (up / tobler_mps(slope) + (1.0 - up) / tobler_mps(-slope))


def own_pace(distance_m: float, moving_s: float, ascent_m: float | None, descent_m: float | None) -> Pace | None:
    """The walker's own speed on the flat, from the way out: without stops, and without the time that the climb took.

    None where there is too little of it, or figures that are none.
    """
    if not (_is_figure(distance_m) and _is_figure(moving_s) and distance_m >= LEAST_OWN_M and moving_s >= LEAST_OWN_S):
        return None
    climb_s = naismith_s(0.0, _known(ascent_m), least_steep(distance_m, _known(descent_m)))
    flat_s = max(moving_s - climb_s, MOST_CLIMB_SHARE * moving_s)
    pace_mps = min(FASTEST_MPS, max(SLOWEST_MPS, distance_m / flat_s))
    climb = "" if ascent_m is None else ", the climb taken out by the rule"
    return Pace(pace_mps, f"your own over {in_use().long(distance_m)} in {in_hours(moving_s)} of moving{climb}")


def time_back(
    distance_m: float, ascent_m: float | None, descent_m: float | Descent | None, own: Pace | None = None
) -> Estimate:
    """How long the way back takes. Ascent and descent are those of the way BACK: what was climbed out goes down.

    None is unknown, and counted as nothing, saying so. `own`: as from `own_pace`; None goes by the rule alone. Raises
    InputError where the distance is no figure.
    """
    if not _is_figure(distance_m):
        raise InputError("how far it is back is not known: the trail has to be recorded from the start")
    pace = own or NAISMITH
    up_m = _known(ascent_m)
    descent = descent_m if isinstance(descent_m, Descent) else least_steep(distance_m, _known(descent_m))
    by_rule_s = naismith_s(distance_m, up_m, descent, pace)
    seconds = max(by_rule_s, distance_m / (pace.flat_mps * BEST_OVER_FLAT))
    units = in_use()
    basis = f"{units.long(distance_m)}, {units.high(up_m)} up, {units.high(descent.total_m)} down"
    return Estimate(
        seconds,
        f"{basis}, {'your own pace' if own else 'rule of 1892'}",
        (
            f"Pace: {units.rates(pace.flat_mps)[-1]} on the flat, {pace.how}; stops are not counted.",
            _climb_words(ascent_m, up_m),
            _descent_words(descent_m, descent),
            f"For comparison, Tobler's function on a path: {in_hours(tobler_s(distance_m, up_m, descent.total_m))}.",
        ),
    )


def _high(metres: float) -> str:
    return in_use().high(metres)


def _climb_words(ascent_m: float | None, up_m: float) -> str:
    if ascent_m is None:
        return "Climb: not known, so not counted; any climb on the way back takes longer."
    return f"Climb: 1 h for each {_high(600)} up (Naismith), {_high(up_m)} make {in_hours(CLIMB_S_PER_M * up_m)}."


def _descent_words(given: float | Descent | None, descent: Descent) -> str:
    if given is None:
        return "Descent: not known, so not counted."
    rule = f"10 min for each {_high(300)} (Langmuir)"
    if isinstance(given, Descent):
        gentle, steep = (
            f"less on {_high(descent.gentle_m)} at 5 to 12 degrees",
            f"more on {_high(descent.steep_m)} steeper",
        )
        return f"Descent: {rule} {gentle}, {steep}."
    if descent.steep_m:
        return f"Descent: {rule} more on the {_high(descent.steep_m)} at least that are steeper than 12 degrees."
    return f"Descent: how steep is not known, so the {rule} less on 5 to 12 degrees are not counted."


def _is_figure(number: float) -> bool:
    return 0.0 <= number <= MOST_M


def _known(metres: float | None) -> float:
    """What is no figure counts as nothing."""
    return metres if metres is not None and _is_figure(metres) else 0.0


def in_hours(seconds: float) -> str:
    """As `1 h 05 min`."""
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"

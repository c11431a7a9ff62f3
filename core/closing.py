"""How fast the goal comes nearer, and when one would be there.

From the distances at both ends of a window, not from speed and course: a walker stops, looks, goes round, and the
receiver's speed knows nothing of that. Figures: trade-facts.md f (averaged over 30 to 60 s; blank at 0.2 m/s and less),
common practice.
"""

from __future__ import annotations

from typing import NamedTuple

WINDOW_S = 60.0
LEAST_FOR_RATE_S = 10.0
LEAST_FOR_ETA_S = 30.0
SLOWEST_MPS = 0.2
"""Up to this it is as much the errors that close as the walker: slow ones of 3 m make 0.06 m/s over a minute, one sigma
(calc, correlated over a minute)."""


class Away(NamedTuple):
    """How far the goal was at one time."""

    at_s: float
    distance_m: float


Window = tuple[Away, ...]
"""Oldest first, at most `WINDOW_S` long, unbroken."""


def go_on(window: Window, newest: Away) -> Window:
    """The window after one more sample; samples come a second apart, so it stays small."""
    since_s = newest.at_s - WINDOW_S
    return (*(one for one in window if one.at_s >= since_s), newest)


def closing_mps(window: Window) -> float | None:
    """Mean rate of approach over the window; negative when receding, None when it is too short."""
    return _rate(window) if _length_s(window) >= LEAST_FOR_RATE_S else None


def eta_s(window: Window) -> float | None:
    """Seconds to the goal from the newest sample. None when the window is short, or it does not come nearer.

    That must hold for the newest ten seconds too: who has turned away is not on the way, whatever the mean says.
    """
    if _length_s(window) < LEAST_FOR_ETA_S:
        return None
    mean = _rate(window)
    if mean <= SLOWEST_MPS or _rate(_newest(window)) <= 0.0:
        return None
    return window[-1].distance_m / mean


def _newest(window: Window) -> Window:
    since_s = window[-1].at_s - LEAST_FOR_RATE_S
    inside = tuple(one for one in window if one.at_s >= since_s)
    return inside if len(inside) > 1 else window[-2:]


def _length_s(window: Window) -> float:
    return window[-1].at_s - window[0].at_s if window else 0.0


def _rate(window: Window) -> float:
    return (window[0].distance_m - window[-1].distance_m) / _length_s(window)

"""Standing receivers for the tests of averaging: invented, on open ocean (`tests.walks`)."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from core.fix import Fix, Position
from core.site import SiteAverager
from tests.walks import OCEAN, Noise, Step, fix_at, noisy, standing

ERROR_M = 7.0
"""The 95 % error that is stated for each fix."""
DAY = date(2031, 5, 4)
USUAL = Noise(2.0, 120.0, 0.3)


def stood(seconds: int, seed: int = 1, noise: Noise = USUAL, place: Position = OCEAN) -> list[Step]:
    """What a receiver says that stands still."""
    return noisy(standing(place, seconds - 1), noise, seed)


def heard(step: Step, **more: object) -> Fix:
    """The fix at a step, dated, with a height that goes up and down by a metre."""
    fix = fix_at(step)
    assert fix.utc
    height = {"altitude_m": 20.0 + (-1.0) ** int(step.at_s), "geoid_separation_m": 30.0, "dimensions": 3}
    return fix._replace(utc=fix.utc._replace(day=DAY))._replace(**height)._replace(**more)  # type: ignore[arg-type]


def fed(site: SiteAverager, steps: Iterable[Step], *, usable: bool = True, **more: object) -> SiteAverager:
    """An averager that has taken these."""
    for step in steps:
        site.take(heard(step, **more), step.at_s, usable=usable, error_95_m=ERROR_M)
    return site


def begun(*walks: Iterable[Step]) -> SiteAverager:
    """An averager, started, that has taken these."""
    site = SiteAverager()
    site.start()
    for walk in walks:
        fed(site, walk)
    return site

"""What the verdict is made from: one epoch's figures, beside what the epochs before it say about them.

Only what NMEA can know. A pure function takes the past and an epoch and gives the evidence and the new past, so that a
verdict can be worked out for an epoch that is not finished, without any trace.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from core.accuracy import Error95, ErrorModel, median
from core.dates import corrected_day, is_too_early
from core.fix import Fix, Position
from core.nmea.fields import whole
from core.places.geodesic import distance_m

HOLD_S = 10.0
"""How long an event (a jump, time going back) stays on record: long enough to be read, short enough to be over."""
JUMP_SLACK_M = 30.0
"""A step beyond what speed and error explain by this much is a jump: less happens under trees (common practice)."""
JUMP_SPEED_FACTOR = 1.5
WINDOW_S = 15.0
"""Over which signals that all fall together are looked for."""
SIGNALS_KEPT_S = 12.0
"""Signals are taken from the last sky for this long: some receivers send it every fifth or tenth second."""
STRONG_DBHZ = 35
"""A normal signal in the open (trade-facts.md a, C/N0 table)."""
TRACKED_DBHZ = 1
NULL_ISLAND_DEG = 0.01
"""Positions this near 0 N 0 E are a receiver without one, far more often than a ship in the Gulf of Guinea."""


class Signals(NamedTuple):
    """Strengths of one sky, dB-Hz; a satellite counts once, with its strongest signal."""

    at_s: float
    strengths: Mapping[tuple[str, str], int]

    @property
    def best_four(self) -> float | None:
        """Median of the four strongest: one strong satellite among weak ones makes no fix."""
        best = sorted(self.strengths.values(), reverse=True)[:4]
        return median([float(one) for one in best]) if len(best) == 4 else None


class Past(NamedTuple):
    """What is remembered from epoch to epoch."""

    position: Position | None = None
    position_at_s: float = 0.0
    speed_mps: float = 0.0
    same_place: int = 0
    """Epochs in a row with exactly this position."""
    time_ms: int | None = None
    day: date | None = None
    jump_at_s: float | None = None
    jump_m: float = 0.0
    back_at_s: float | None = None
    signals: Signals | None = None
    skies: tuple[Signals, ...] = ()
    """Those of the last seconds."""
    detail: Fix | None = None
    """The last epoch that told how good it is (count, DOP), for receivers that tell it every fifth second only."""
    detail_at_s: float = 0.0
    fell_at_s: float | None = None
    had_fix: bool = False


class Evidence(NamedTuple):
    """One epoch, ready to be judged."""

    fix: Fix
    at_s: float
    error: Error95
    heard: int | None
    """Satellites tracked; None where no sky is known."""
    strong: int
    """Of those, at `STRONG_DBHZ` and more."""
    best_four_dbhz: float | None
    signals_equal: bool
    signals_fell: bool
    jumped_m: float | None
    """How far beyond what speed explains, while a jump is on record."""
    went_back: bool
    same_place: int
    at_null_island: bool
    day_is_wrong: bool
    corrected_day: date | None
    """The date moved by whole rollovers, where that mends it."""
    had_fix: bool
    held: int
    """The verdict shown until now: thresholds give a little, so that the word does not flicker around one."""


class How(NamedTuple):
    """What an epoch is judged by."""

    model: ErrorModel
    reference: date | None
    """What the date roughly is; None where nobody knows."""
    held: int
    """The verdict shown until now."""


NO_PAST = Past()


def gather(past: Past, fix: Fix, at_s: float, model: ErrorModel) -> Past:
    """The past after this epoch."""
    sky = _signals(fix, at_s)
    skies = _skies(past, sky, at_s) if sky else past.skies
    tells = fix.position is not None and (fix.hdop is not None or fix.satellites_in_fix is not None)
    jump_m = _jump(past, fix, at_s, model)
    position = fix.position
    return Past(
        position=position or past.position,
        position_at_s=at_s if position else past.position_at_s,
        speed_mps=fix.speed_mps or 0.0,
        same_place=past.same_place + 1 if position is not None and position == past.position else 0,
        time_ms=fix.utc.time_ms if fix.utc else past.time_ms,
        day=(fix.utc.day if fix.utc else None) or past.day,
        jump_at_s=at_s if jump_m is not None else past.jump_at_s,
        jump_m=past.jump_m if jump_m is None else jump_m,
        back_at_s=at_s if _went_back(past, fix) else past.back_at_s,
        signals=sky or past.signals,
        skies=skies,
        detail=fix if tells else past.detail,
        detail_at_s=at_s if tells else past.detail_at_s,
        fell_at_s=at_s if sky and _fell(skies) else past.fell_at_s,
        had_fix=past.had_fix or fix.is_satellite_fix,
    )


def evidence(past: Past, fix: Fix, at_s: float, how: How) -> Evidence:
    """Evidence of an epoch; `past` is that after it."""
    model, reference, held = how
    fix = _filled(fix, past, at_s)
    signals = past.signals if past.signals and at_s - past.signals.at_s <= SIGNALS_KEPT_S else None
    strengths = list(signals.strengths.values()) if signals else []
    day = fix.utc.day if fix.utc else None
    wrong = day is not None and is_too_early(day, reference)
    return Evidence(
        fix,
        at_s,
        model.error_95(fix),
        len(strengths) if signals else None,
        sum(1 for one in strengths if one >= STRONG_DBHZ),
        signals.best_four if signals else None,
        len(strengths) >= 6 and min(strengths) == max(strengths),
        _recent(past.fell_at_s, at_s),
        past.jump_m if _recent(past.jump_at_s, at_s) else None,
        _recent(past.back_at_s, at_s),
        past.same_place,
        fix.position is not None and max(abs(fix.position[0]), abs(fix.position[1])) < NULL_ISLAND_DEG,
        wrong,
        corrected_day(day, reference) if wrong and day and reference else None,
        past.had_fix,
        held,
    )


def _filled(fix: Fix, past: Past, at_s: float) -> Fix:
    """The epoch with what was told of its quality lately, where it tells nothing itself and is of the same kind."""
    detail = past.detail
    if fix.position is None or detail is None or detail is fix or not 0.0 <= at_s - past.detail_at_s <= SIGNALS_KEPT_S:
        return fix
    if fix.mode is not detail.mode or fix.hdop is not None or fix.satellites_in_fix is not None:
        return fix
    return fix._replace(
        dimensions=fix.dimensions or detail.dimensions,
        used=detail.used,
        stated_in_fix=detail.stated_in_fix,
        pdop=detail.pdop,
        hdop=detail.hdop,
        vdop=detail.vdop,
        noise=fix.noise or detail.noise,
    )


def _recent(then_s: float | None, now_s: float) -> bool:
    return then_s is not None and 0.0 <= now_s - then_s < HOLD_S


def _signals(fix: Fix, at_s: float) -> Signals | None:
    if fix.heard is None:
        return None
    strengths: dict[tuple[str, str], int] = {}
    for page in fix.heard:
        x = page.groups.split(",")
        for number, cno in zip(x[::4], x[3::4], strict=False):
            strength = whole(cno) if number else None
            if strength and strength < 100:
                key = (page.system, number)
                strengths[key] = max(strength, strengths.get(key, 0))
    return Signals(at_s, strengths)


def _skies(past: Past, sky: Signals, at_s: float) -> tuple[Signals, ...]:
    return (*(one for one in past.skies if 0.0 <= at_s - one.at_s <= WINDOW_S), sky)


FALL_DB, FALL_EACH_DB = 8.0, 5.0
"""In the middle, and each: all together. One satellite behind a tree is not all (common practice, no source)."""
FEWEST_TO_FALL = 5


def _fell(skies: tuple[Signals, ...]) -> bool:
    """The satellites tracked now against the same ones earlier in the window."""
    now = skies[-1].strengths
    return any(_all_down(earlier.strengths, now) for earlier in skies[:-1])


def _all_down(before: Mapping[tuple[str, str], int], now: Mapping[tuple[str, str], int]) -> bool:
    falls = [strength - now[key] for key, strength in before.items() if key in now]
    if len(falls) < FEWEST_TO_FALL:
        return False
    return min(falls) >= FALL_EACH_DB and (median([float(fall) for fall in falls]) or 0.0) >= FALL_DB


def _jump(past: Past, fix: Fix, at_s: float, model: ErrorModel) -> float | None:
    """Metres beyond what speed, time and error explain; None if it is no jump."""
    if fix.position is None or past.position is None or fix.position == past.position:
        return None
    seconds = max(at_s - past.position_at_s, _clock_step_s(past, fix), 0.1)
    explained = JUMP_SPEED_FACTOR * max(past.speed_mps, fix.speed_mps or 0.0) * seconds
    error = model.error_95(fix).horizontal_m or 0.0
    beyond = distance_m(past.position, fix.position) - explained - 2 * error
    return beyond if beyond > JUMP_SLACK_M and seconds < 60.0 else None


def _clock_step_s(past: Past, fix: Fix) -> float:
    """By the receiver's own clock, which is the better one when a recording is read as fast as it goes."""
    if fix.utc is None or past.time_ms is None:
        return 0.0
    return ((fix.utc.time_ms - past.time_ms) % 86_400_000) / 1000 if fix.utc.time_ms >= past.time_ms else 0.0


def _went_back(past: Past, fix: Fix) -> bool:
    """Time of day back by more than a second and less than half a day; the date back by anything."""
    if fix.utc is None or past.time_ms is None:
        return False
    if fix.utc.day is not None and past.day is not None and fix.utc.day < past.day:
        return True
    return 1000 < past.time_ms - fix.utc.time_ms < 43_200_000

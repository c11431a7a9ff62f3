"""What the verdict is made from: one epoch's figures, beside what the epochs before it say about them.

Only what NMEA can know. A pure function takes the past and an epoch and gives the evidence and the new past, so that a
verdict can be worked out for an epoch that is not finished, without any trace.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from math import inf
from typing import Any, NamedTuple

from core.accuracy import Error95, ErrorModel, median
from core.dates import corrected_day, is_too_early
from core.fix import MS_PER_DAY, Fix, FixMode, Position, ms_to
from core.nmea.fields import whole
from core.nmea.readings import Gsv
from core.places.geodesic import distance_m

HOLD_S = 10.0
"""How long an event (a jump, time going back) stays on record: long enough to be read, short enough to be over."""
JUMP_SLACK_M = 30.0
"""A step beyond what speed and error explain by this much is a jump: less happens under trees (common practice)."""
JUMP_SPEED_FACTOR = 1.5
WINDOW_S, SKY_EVERY_S = 15.0, 1.0
"""Over which signals that all fall together are looked for, and how far apart the skies kept for it are."""
LONGEST_STEP_S, USUAL_STEP_S = 900.0, 1.0
"""A step of the receiver's clock up to the first is time that has passed; any other is a clock being set, and then,
or where no time is told, the usual second passes (as `core.sources.recording` has it)."""
DAY_S = 86_400.0
SIGNALS_KEPT_S = 12.0
"""Signals are taken from the last sky for this long: some receivers send it every fifth or tenth second."""
STRONG_DBHZ = 35
"""A normal signal in the open (trade-facts.md a, C/N0 table)."""
NULL_ISLAND_DEG = 0.01
"""Positions this near 0 N 0 E are a receiver without one, far more often than a ship in the Gulf of Guinea."""


class Signals(NamedTuple):
    """Strengths of one sky, dB-Hz; a satellite counts once, with its strongest signal."""

    at_s: float
    strengths: Mapping[tuple[str, str], int]
    mean: float = 0.0


class Page(NamedTuple):
    """The satellites of one GSV sentence, and when it came."""

    groups: str
    at_s: float


PageKey = tuple[str, str, int]
"""System, signal, number of the page."""
MOST_PAGES = 256
"""As many as one epoch may have: a stream that makes up more must not fill the memory."""


class Told(NamedTuple):
    """A figure of an epoch's quality, and when it was told."""

    value: Any
    at_s: float


class Past(NamedTuple):
    """What is remembered from epoch to epoch."""

    now_s: float = -inf
    """The clock that all times here are on, see `_clock`."""
    arrived_s: float = -inf
    """When the newest epoch arrived, on the source's clock."""
    position: Position | None = None
    position_at_s: float = 0.0
    speed_mps: float | None = None
    """The last one known with a position; worked out from the last two where the receiver tells none."""
    same_place: int = 0
    """Epochs in a row with exactly this position."""
    unmoved_m: float = 0.0
    """How far the speeds reported since then would have taken it."""
    time_ms: int | None = None
    day: date | None = None
    jump_at_s: float | None = None
    jump_m: float = 0.0
    back_at_s: float | None = None
    pages: Mapping[PageKey, Page] = {}
    """The sky, page by page: some receivers send one page a second."""
    signals: Signals | None = None
    skies: tuple[Signals, ...] = ()
    """Those of the last seconds."""
    mode: FixMode = FixMode.NONE
    told: Mapping[str, Told] = {}
    """What was last told of the quality of fixes, for receivers that tell it every fifth second only."""
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
    unmoved_m: float
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


def gather(past: Past, fix: Fix, arrived_s: float, model: ErrorModel) -> Past:
    """The past after this epoch. `arrived_s`: on the source's clock."""
    at_s = _clock(past, fix, arrived_s)
    pages = _pages(past, fix, at_s)
    sky = _signals(pages, at_s) if fix.heard else None
    skies = _skies(past, sky) if sky else past.skies
    jump_m = _jump(past, fix, at_s, model)
    stays = fix.position is not None and fix.position == past.position
    has = fix.position is not None
    return Past(  # in the order of its fields: naming all twenty takes as long again
        at_s,
        arrived_s,
        fix.position if has else past.position,
        at_s if has else past.position_at_s,
        _speed(past, fix, at_s, jump_m is not None),
        past.same_place + 1 if stays else 0,
        past.unmoved_m + (fix.speed_mps or 0.0) * _gap_s(past, fix, at_s) if stays else 0.0,
        fix.utc.time_ms if fix.utc else past.time_ms,
        (fix.utc.day if fix.utc else None) or past.day,
        at_s if jump_m is not None else past.jump_at_s,
        past.jump_m if jump_m is None else jump_m,
        at_s if _went_back(past, fix) else past.back_at_s,
        pages,
        sky or past.signals,
        skies,
        fix.mode,
        _told(past, fix, at_s),
        at_s if sky and _fell(past.skies, sky) else past.fell_at_s,
        past.had_fix or fix.is_satellite_fix,
    )


def evidence(past: Past, fix: Fix, how: How) -> Evidence:
    """Evidence of an epoch; `past` is that after it."""
    model, reference, held = how
    at_s = past.now_s
    fix = _filled(fix, past)
    signals = past.signals if past.signals and at_s - past.signals.at_s <= SIGNALS_KEPT_S else None
    strengths = sorted(signals.strengths.values(), reverse=True) if signals else []
    day = fix.utc.day if fix.utc else None
    wrong = day is not None and is_too_early(day, reference)
    return Evidence(
        fix,
        at_s,
        model.error_95(fix),
        len(strengths) if signals else None,
        sum([one >= STRONG_DBHZ for one in strengths]),
        _best_four(strengths),
        len(strengths) >= 6 and strengths[0] == strengths[-1],
        _recent(past.fell_at_s, at_s),
        past.jump_m if _recent(past.jump_at_s, at_s) else None,
        _recent(past.back_at_s, at_s),
        past.same_place,
        past.unmoved_m,
        fix.position is not None and max(abs(fix.position[0]), abs(fix.position[1])) < NULL_ISLAND_DEG,
        wrong,
        corrected_day(day, reference) if wrong and day and reference else None,
        past.had_fix,
        held,
    )


def _best_four(strongest_first: list[int]) -> float | None:
    """Median of the four strongest, dB-Hz: one strong satellite among weak ones makes no fix."""
    return (strongest_first[1] + strongest_first[2]) / 2 if len(strongest_first) >= 4 else None


def _clock(past: Past, fix: Fix, arrived_s: float) -> float:
    """Seconds that never run ahead of the source's clock for long, and do not stand still while it does.

    Epochs that arrive together (a burst, or a whole file read at once, as a digest does) are told apart by the
    receiver's own clock; once time has passed at the source, its clock leads again.
    """
    if arrived_s > past.arrived_s:
        return max(arrived_s, past.now_s)
    return arrived_s if arrived_s < past.arrived_s else past.now_s + _step_s(past, fix)


def _step_s(past: Past, fix: Fix) -> float:
    stepped_s = _stepped_s(past, fix)
    return USUAL_STEP_S if stepped_s is None or stepped_s > LONGEST_STEP_S else stepped_s


def _stepped_s(past: Past, fix: Fix) -> float | None:
    """How far the receiver's clock went on since the epoch before, over midnight too; back is nearly a day."""
    return None if fix.utc is None or past.time_ms is None else ms_to(past.time_ms, fix.utc.time_ms) / 1000


def _gap_s(past: Past, fix: Fix, at_s: float) -> float:
    """Since the last position. By either clock: after a pause the first sentences may still carry the time before."""
    stepped_s = _stepped_s(past, fix) or 0.0
    return max(at_s - past.position_at_s, stepped_s if stepped_s < DAY_S / 2 else 0.0)


_KEPT = ("dimensions", "pdop", "hdop", "vdop", "noise")


def _told(past: Past, fix: Fix, at_s: float) -> Mapping[str, Told]:
    """The newest of each; nothing outlives the fix it was told of, and error statistics not its mode."""
    if fix.position is None:
        return {}
    before = past.told
    if fix.mode is not past.mode and "noise" in before:
        before = {name: told for name, told in before.items() if name != "noise"}
    now = {name: Told(value, at_s) for name in _KEPT if (value := getattr(fix, name)) is not None}
    if fix.satellites_in_fix is not None:
        now["count"] = Told((fix.used, fix.stated_in_fix), at_s)
    return {**before, **now} if now else before


def _filled(fix: Fix, past: Past) -> Fix:
    """The epoch with what was told of its quality lately, where it does not tell it itself."""
    if fix.position is None:
        return fix
    kept = {name: told.value for name, told in past.told.items() if past.now_s - told.at_s <= SIGNALS_KEPT_S}
    used, stated = kept.pop("count", (None, None))
    missing = {name: value for name, value in kept.items() if getattr(fix, name) is None}
    if fix.satellites_in_fix is None:
        missing |= {"used": used, "stated_in_fix": stated}
    return fix._replace(**missing) if missing else fix


def _recent(then_s: float | None, now_s: float) -> bool:
    return then_s is not None and 0.0 <= now_s - then_s < HOLD_S


def _pages(past: Past, fix: Fix, at_s: float) -> Mapping[PageKey, Page]:
    """Each page replaces the one before of its number; those that are not renewed go after a while."""
    if not fix.heard:
        return past.pages
    new = [page for page in fix.heard if isinstance(page, Gsv)]
    last = {(page.system, page.signal): page.pages for page in new}
    pages = {
        key: page
        for key, page in past.pages.items()
        if 0.0 <= at_s - page.at_s <= SIGNALS_KEPT_S and key[2] <= last.get(key[:2], key[2])
    }
    if len(pages) > MOST_PAGES:
        pages = {}
    pages.update({(page.system, page.signal, page.page): Page(page.groups, at_s) for page in new})
    return pages


def _signals(pages: Mapping[PageKey, Page], at_s: float) -> Signals:
    strengths: dict[tuple[str, str], int] = {}
    for (system, _, _), page in pages.items():
        of_page = _strengths(system, page.groups)
        if strengths.keys().isdisjoint(of_page):
            strengths.update(of_page)
        else:  # on several signals
            strengths.update({key: max(one, strengths.get(key, 0)) for key, one in of_page.items()})
    return Signals(at_s, strengths, sum(strengths.values()) / len(strengths) if strengths else 0.0)


@lru_cache(maxsize=256)
def _strengths(system: str, groups: str) -> Mapping[tuple[str, str], int]:
    """Of one page's tracked satellites, dB-Hz. Cached: pages that are not renewed are looked at again every epoch."""
    x = groups.split(",")
    found: dict[tuple[str, str], int] = {}
    for number, cno in zip(x[::4], x[3::4], strict=False):
        strength = whole(cno) if number else None
        if strength and strength < 100:
            found[(system, number)] = max(strength, found.get((system, number), 0))
    return found


def _skies(past: Past, sky: Signals) -> tuple[Signals, ...]:
    """Those of the window and this one, unless the last is newer than a second: bounded at any rate."""
    kept = tuple(one for one in past.skies if 0.0 <= sky.at_s - one.at_s <= WINDOW_S)
    return kept if kept and sky.at_s - kept[-1].at_s < SKY_EVERY_S else (*kept, sky)


FALL_DB, FALL_EACH_DB = 8.0, 5.0
"""In the middle, and each: all together. One satellite behind a tree is not all (common practice, no source)."""
FEWEST_TO_FALL = 5
LEAST_FALL_DB = 2.5
"""Of the mean: below what all together can fall by, even if satellites came or went meanwhile."""


def _fell(skies: tuple[Signals, ...], sky: Signals) -> bool:
    """The satellites tracked now against the same ones earlier in the window.

    Where all fell, their sum over the number did: that is asked first, since it spares nearly all comparisons.
    """
    recent = (one for one in skies if 0.0 <= sky.at_s - one.at_s <= WINDOW_S and one.mean - sky.mean >= LEAST_FALL_DB)
    return any(_all_down(earlier.strengths, sky.strengths) for earlier in recent)


def _all_down(before: Mapping[tuple[str, str], int], now: Mapping[tuple[str, str], int]) -> bool:
    falls: list[float] = []
    for key, strength in before.items():
        fall = strength - now.get(key, strength)
        if key in now and fall < FALL_EACH_DB:
            return False  # nearly always, and at the first look: this is asked of every sky
        if key in now:
            falls.append(fall)
    return len(falls) >= FEWEST_TO_FALL and (median(falls) or 0.0) >= FALL_DB


FASTEST_BY_GUESS_MPS = 250.0
"""Explained where no speed is known at all, as at the second position of a receiver that tells none: an airliner's
(common practice, no source)."""
LONGEST_JUMP_S = 60.0
"""After a longer gap the position may be anywhere, and that is no jump (common practice, no source)."""


def _jump(past: Past, fix: Fix, at_s: float, model: ErrorModel) -> float | None:
    """Metres beyond what speed, time and error explain; None if it is no jump."""
    if fix.position is None or past.position is None or fix.position == past.position:
        return None
    seconds = max(_gap_s(past, fix, at_s), 0.1)
    known = [speed for speed in (past.speed_mps, fix.speed_mps) if speed is not None]
    explained = JUMP_SPEED_FACTOR * max(known, default=FASTEST_BY_GUESS_MPS) * seconds
    beyond = distance_m(past.position, fix.position) - explained
    if beyond <= JUMP_SLACK_M or seconds >= LONGEST_JUMP_S:
        return None
    beyond -= 2 * (model.error_95(fix).horizontal_m or 0.0)
    return beyond if beyond > JUMP_SLACK_M else None


def _speed(past: Past, fix: Fix, at_s: float, jumped: bool) -> float | None:
    """As reported, else from the last two positions; an epoch without a position leaves it, a jump is none."""
    if fix.position is None or fix.speed_mps is not None:
        return past.speed_mps if fix.position is None else fix.speed_mps
    seconds = _gap_s(past, fix, at_s)
    if jumped or past.position is None or not 0.0 < seconds < LONGEST_JUMP_S:
        return past.speed_mps
    return distance_m(past.position, fix.position) / seconds


def _went_back(past: Past, fix: Fix) -> bool:
    """Time of day back by more than a second and less than half a day on the same day; the date back by anything.

    A date that goes forward is a receiver learning it, whatever the time of day does.
    """
    if fix.utc is None or past.time_ms is None:
        return False
    if fix.utc.day is not None and past.day is not None and fix.utc.day != past.day:
        return fix.utc.day < past.day
    return 1000 < past.time_ms - fix.utc.time_ms < MS_PER_DAY // 2

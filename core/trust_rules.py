"""The rules of the verdict: one readable table, each threshold with its source.

The Why page shows each source beside its threshold, so it is told in words that a reader can follow.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from core.aged import Freshness
from core.dates import BUILT_ON
from core.evidence import Evidence
from core.fix import FixMode
from core.trust import Look, Rule, Verdict
from core.units import in_use

FIRM, USABLE, DOUBTFUL, NO_FIX = Verdict.FIRM, Verdict.USABLE, Verdict.DOUBTFUL, Verdict.NO_FIX
NOTHING = "-"
OPEN = "go where more of the sky is open"
STAND = "stand still in the open"


_UNTOLD, _YES, _NO = Look(NOTHING, FIRM), Look("yes", FIRM), Look("no", FIRM)


class Steps(NamedTuple):
    """Where a figure stops being good enough for a verdict. Below the firm one larger figures are worse, or better."""

    firm: float
    usable: float
    give: float = 0.0
    """How far beyond a threshold the verdict already shown still stands: no flicker around it."""

    def allows(self, value: float, held: int) -> Verdict:
        """The best verdict at this value; a value on the threshold is still good."""
        sign = 1.0 if self.usable > self.firm else -1.0
        for verdict, threshold in ((FIRM, self.firm), (USABLE, self.usable)):
            if sign * (value - threshold) <= (self.give if held >= verdict else 0.0):
                return verdict
        return DOUBTFUL

    def words(self, unit: str) -> str:
        """As on the page that explains the verdict."""
        side = "up to" if self.usable > self.firm else "from"
        return f"firm {side} {self.firm:g}{unit}, usable {side} {self.usable:g}{unit}"


def _length(metres: float) -> str:
    return in_use().plain(metres)


def _figure(
    pick: Callable[[Evidence], float | None], steps: Steps, form: str | Callable[[float], str], why: tuple[str, str]
) -> Callable[[Evidence], Look]:
    """A look at one figure. Where it is not reported it holds nothing down by itself."""
    reason, advice = why

    @lru_cache(maxsize=256)  # a DOP or a count stays the same for many epochs: most looks are one taken already
    def look_at(value: float, held: int, unit: str) -> Look:
        del unit  # one that was taken in another unit must not be shown
        allowed = steps.allows(value, held)
        shown = form.format(value) if isinstance(form, str) else form(value)
        return Look(shown, allowed) if allowed is FIRM else Look(shown, allowed, reason.format(shown), advice)

    def look(evidence: Evidence) -> Look:
        value = pick(evidence) if evidence.fix.position is not None else None
        return _UNTOLD if value is None else look_at(value, evidence.held, in_use().short)

    return look


def _fact(test: Callable[[Evidence], bool], allows: Verdict, why: tuple[str, str]) -> Callable[[Evidence], Look]:
    """A look at something that is so or not."""
    found = Look("yes", allows, *why)

    def look(evidence: Evidence) -> Look:
        return found if test(evidence) else _NO

    return look


def _fix(evidence: Evidence) -> Look:
    """Without a position: why, as far as NMEA can know. A cold start is inferred, and said to be."""
    if evidence.fix.position is not None:
        return _YES
    if evidence.heard is None:
        return Look("no", NO_FIX, "the receiver reports no fix, and no satellites", STAND)
    if evidence.heard == 0:
        return Look("no", NO_FIX, "no satellite is heard", "check the antenna and its view of the sky")
    if evidence.strong < 4:
        return Look("no", NO_FIX, f"{_satellites(evidence.heard)} heard, {evidence.strong} strongly", OPEN)
    heard = f"{_satellites(evidence.strong)} heard strongly but not in the fix"
    if evidence.had_fix:
        return Look("no", NO_FIX, heard, STAND)
    return Look("no", NO_FIX, f"{heard}: probably a cold start", f"{STAND}: orbit data take 30 s of unbroken signal")


def _satellites(count: float) -> str:
    return f"{count:g} satellite" if count == 1 else f"{count:g} satellites"


def _count(evidence: Evidence) -> Look:
    """Fixes that satellites did not make have no count to judge."""
    fix = evidence.fix
    if not fix.is_satellite_fix or fix.satellites_in_fix is None:
        return _UNTOLD
    return _count_of(fix.satellites_in_fix, evidence.held)


@lru_cache(maxsize=256)
def _count_of(count: int, held: int) -> Look:
    allowed = _COUNT.allows(count, held)
    return Look(str(count), allowed) if allowed is FIRM else Look(str(count), allowed, _only(count), OPEN)


def _only(count: int) -> str:
    return f"only {_satellites(count)} in the fix" if count else "no satellite in the fix"


_MODES: dict[FixMode, Look] = {
    FixMode.ESTIMATED: Look("estimated", DOUBTFUL, "dead reckoning: no satellites in the fix", OPEN),
    FixMode.MANUAL: Look("manual", DOUBTFUL, "typed in by hand, not measured", "switch the receiver to automatic"),
    FixMode.SIMULATED: Look("simulated", DOUBTFUL, "simulated, not real", "switch the simulator off"),
}


_ALL_MODES = {mode: Look(str(mode), FIRM) for mode in FixMode} | _MODES


def _mode(evidence: Evidence) -> Look:
    return _ALL_MODES[evidence.fix.mode]


_3D = Look("3D", FIRM)


def _dimensions(evidence: Evidence) -> Look:
    if evidence.fix.position is None or evidence.fix.dimensions is None:
        return _UNTOLD
    if evidence.fix.dimensions == 2:
        return Look("2D", DOUBTFUL, "2D: the height is assumed, and its error shifts the place", OPEN)
    return _3D


def _correction(evidence: Evidence) -> float | None:
    return evidence.fix.correction_age_s if evidence.fix.mode is not FixMode.AUTONOMOUS else None


def _date(evidence: Evidence) -> Look:
    utc = evidence.fix.utc
    if utc is None:
        return Look("no time", USABLE, "no time from the receiver") if evidence.fix.position else Look("no time", FIRM)
    if utc.day is None:
        return Look("no date", USABLE, "the receiver tells no date") if evidence.fix.position else Look("no date", FIRM)
    if not evidence.day_is_wrong:
        return _date_of(utc.day)
    if evidence.corrected_day:
        return Look(utc.day.isoformat(), USABLE, f"date 1024 weeks off: taken for {evidence.corrected_day.isoformat()}")
    shown = utc.day.isoformat()
    if utc.day >= BUILT_ON:  # then it may as well be this computer that is wrong
        return Look(shown, USABLE, f"the date {shown} is not this computer's", "set the one that is wrong")
    return Look(shown, USABLE, f"the date {shown} cannot be right", "wait: it may not know it yet")


@lru_cache(maxsize=4)
def _date_of(day: date) -> Look:
    return Look(day.isoformat(), FIRM)


def _navigational_status(evidence: Evidence) -> Look:
    return _STATUSES.get(evidence.fix.navigational_status or "", _NO)


_STATUSES = {
    "C": Look("caution", USABLE, "the receiver itself says caution", OPEN),
    "U": Look("unsafe", DOUBTFUL, "the receiver itself says unsafe", OPEN),
}


_CARRIER_PHASE = frozenset({FixMode.RTK_FIXED, FixMode.RTK_FLOAT})


def _dilution(pick: Callable[[Evidence], float | None]) -> Callable[[Evidence], float | None]:
    """Geometry matters as far as it makes errors large; with carrier-phase corrections the error is the judge."""

    def dilution(evidence: Evidence) -> float | None:
        return None if evidence.fix.mode in _CARRIER_PHASE else pick(evidence)

    return dilution


def _told(evidence: Evidence) -> Look:
    """A receiver that gives a bare position says nothing that would make it firm."""
    fix = evidence.fix
    if not fix.is_satellite_fix:
        return _UNTOLD
    if fix.satellites_in_fix is None and fix.hdop is None and evidence.error.horizontal_m is None:
        return Look("no", USABLE, "the receiver tells nothing of its quality", "let it send GGA and GSA too")
    return _YES


_COUNT = Steps(6, 4)
_HDOP = Steps(2.0, 4.0, give=0.3)
_PDOP = Steps(4.0, 6.0, give=0.5)
_ERROR = Steps(15.0, 50.0, give=3.0)
_BEST = Steps(37, 28, give=2.5)
_AGE = Steps(30.0, 60.0, give=5.0)
_FROZEN, _FROZEN_M = 10, 20.0
"""Coarse sentences have two decimals of a minute, steps of 18.5 m: a walker stays on one for a dozen seconds."""

RULES: tuple[Rule, ...] = (
    Rule("fix", "position", "no fix without one", "NMEA 0183: a status of V, or quality 0, is no position", _fix),
    Rule("mode", "mode", "estimated, manual, simulated are doubtful", "NMEA 0183 quality 6 to 8, modes E M S", _mode),
    Rule(
        "dimensions", "2D or 3D", "2D is doubtful", "three satellites leave the height assumed (textbooks)", _dimensions
    ),
    Rule("told", "quality told", "usable at best without count, DOP or error", "common practice, no source", _told),
    Rule(
        "count",
        "in the fix",
        _COUNT.words(" satellites"),
        "four unknowns; a fifth satellite checks, a sixth names the faulty one (RAIM literature, from memory)",
        _count,
    ),
    Rule(
        "hdop",
        "HDOP",
        _HDOP.words(""),
        "below 4 usable: rule taught for hand-held receivers; 1 to 2 excellent: encyclopaedic DOP scale",
        _figure(_dilution(lambda e: e.fix.hdop), _HDOP, "{:.1f}", ("HDOP {}: satellites stand close together", OPEN)),
    ),
    Rule(
        "pdop",
        "PDOP",
        _PDOP.words(""),
        "6 is the design threshold of the GPS SPS Performance Standard (from memory)",
        _figure(_dilution(lambda e: e.fix.pdop), _PDOP, "{:.1f}", ("PDOP {}: satellites stand close together", OPEN)),
    ),
    Rule(
        "error",
        "95 % error",
        _ERROR.words(" m"),
        "common practice, no source",
        _figure(lambda e: e.error.horizontal_m, _ERROR, _length, ("95 % error about {}", OPEN)),
    ),
    Rule(
        "signal",
        "best four signals",
        _BEST.words(" dB-Hz"),
        "35 to 45 a normal signal: a GNSS glossary on C/N0; below 25 to 28 orbit data no longer decode (textbooks)",
        _figure(
            lambda e: e.best_four_dbhz,
            _BEST,
            "{:.0f} dB-Hz",
            ("weak signals: best four at {}", "lift the antenna, leave trees and walls"),
        ),
    ),
    Rule(
        "correction",
        "correction age",
        _AGE.words(" s"),
        "10 s ideal, beyond 30 to 60 suspect (common practice, no source)",
        _figure(_correction, _AGE, "{:.0f} s", ("corrections are {} old", "check the link to the reference station")),
    ),
    Rule(
        "agreement",
        "contradiction",
        "differing positions are doubtful",
        "common practice, no source",
        _fact(
            lambda e: e.fix.position is not None and bool(e.fix.contradictions),
            DOUBTFUL,
            ("sentences of one epoch contradict each other", "look at the wire page"),
        ),
    ),
    Rule(
        "caution",
        "receiver cautions",
        "caution is usable at best, unsafe is doubtful",
        "NMEA 0183 v4.10, last field of RMC and GNS",
        _navigational_status,
    ),
    Rule(
        "jump",
        "jump",
        "beyond what speed and error explain, by 30 m: doubtful for 10 s",
        "common practice, no source",
        _fact(
            lambda e: e.jumped_m is not None, DOUBTFUL, ("the position jumped", f"{STAND} and watch whether it settles")
        ),
    ),
    Rule(
        "back",
        "time goes back",
        "time going back is doubtful for 10 s",
        "common practice, no source",
        _fact(lambda e: e.went_back, DOUBTFUL, ("the receiver's time went back", "wait: it may have restarted")),
    ),
    Rule("date", "date", "a missing or impossible date is usable at best", "GPS week rollover, 1024 weeks", _date),
    Rule(
        "frozen",
        "frozen position",
        "the same to the last digit for 10 epochs, 20 m by the speed: doubtful",
        "common practice, no source",
        _fact(
            lambda e: e.same_place >= _FROZEN and e.unmoved_m >= _FROZEN_M,
            DOUBTFUL,
            ("the position stands still while the speed does not", "restart the receiver: it may hold an old position"),
        ),
    ),
    Rule(
        "null",
        "0 N 0 E",
        "within 0.01 degrees is doubtful",
        "what receivers without a position are known to send (common practice, no source)",
        _fact(lambda e: e.at_null_island, DOUBTFUL, ("0 N 0 E: receivers without a position show this", STAND)),
    ),
    Rule(
        "equal",
        "signals equal",
        "six and more all equal: doubtful",
        "jamming and spoofing bulletins (from memory)",
        _fact(
            lambda e: e.signals_equal,
            DOUBTFUL,
            ("all signals equally strong: simulated, or interference?", "compare with another receiver"),
        ),
    ),
    Rule(
        "fall",
        "signals falling",
        "all down by 8 dB within 15 s: usable at best for 10 s",
        "the same",
        _fact(
            lambda e: e.signals_fell,
            USABLE,
            ("all signals fell together: shade, or interference?", "move away from transmitters, into the open"),
        ),
    ),
)
"""Read from the top: what decides first stands first."""

AGE = Rule(
    "age",
    "age of the position",
    "two missed is doubtful, 10 s or three missed no fix",
    "2 to 3 reporting intervals are stale (common practice, no source)",
    lambda _: Look("0 s", FIRM),
)
"""Beside the table, because it alone depends on the moment of looking, not on the epoch."""


def look_at_age(age_s: float, freshness: Freshness) -> Look:
    """What AGE finds at this moment."""
    shown = f"{age_s:.0f} s"
    if freshness is Freshness.FRESH:
        return Look(shown, FIRM)
    allows = DOUBTFUL if freshness is Freshness.STALE else NO_FIX
    return Look(shown, allows, f"nothing new for {shown}", "check receiver, cable and source")

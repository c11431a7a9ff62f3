"""What a proposed chapter says: short words that an audience understands, with the figures that were found.

A figure that nobody knows is left out, with the words around it.
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from core.epochs import Epoch
from core.fix import FixMode
from core.trust import Verdict


class Kind(Enum):
    """Moments that are looked for: what they weigh, 0 to 100, and the page that shows them."""

    FIRST_FIX = 95, "fix"
    SIGNALS_FELL = 90, "signals"
    DATE = 85, "why"
    BACKWARDS = 80, "events"
    LOST = 70, "signals"
    JUMP = 65, "trail"
    MERIDIAN = 62, "position"
    MODE = 60, "fix"
    GAP = 55, "events"
    SWITCHED_ON = 50, "sky"
    WORST = 48, "sky"
    SET_OUT = 45, "compass"
    BACK = 44, "fix"
    DOUBT = 42, "why"
    STANDING = 35, "charts"
    BEST = 30, "sky"

    def __init__(self, weight: int, page: str) -> None:
        self.weight = weight
        self.page = page


class Found(NamedTuple):
    """A moment."""

    at_s: float
    kind: Kind
    title: str
    words: str
    more: float = 0.0
    """What it weighs more than others of its kind, 0 to 30."""

    @property
    def weight(self) -> float:
        """All of it."""
        return self.kind.weight + self.more


MODES = {
    FixMode.AUTONOMOUS: "satellites alone",
    FixMode.DIFFERENTIAL: "with corrections",
    FixMode.PRECISE: "precise service",
    FixMode.RTK_FIXED: "RTK fixed",
    FixMode.RTK_FLOAT: "RTK float",
    FixMode.ESTIMATED: "dead reckoning",
    FixMode.MANUAL: "typed in by hand",
    FixMode.SIMULATED: "simulated",
    FixMode.NONE: "no fix",
}
MOST_MORE = 25.0
"""Beyond this much more nothing makes a moment weightier: a very long loss is still one loss."""


def lasting(seconds: float) -> str:
    """A length of time."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    return f"{minutes} min {rest:02d} s" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


def length(metres: float) -> str:
    """An error or a jump: two figures."""
    if metres < 0.995:
        return f"{metres * 100:.0f} cm"
    if metres < 9.95:
        return f"{metres:.1f} m"
    return f"{metres:.0f} m" if metres < 9_950 else f"{metres / 1000:.0f} km"


def switched_on(epoch: Epoch) -> Found:
    """Without a fix at the begin."""
    known = f" The receiver expects {_count(epoch.in_view)} in view." if epoch.in_view else ""
    return Found(epoch.at_s, Kind.SWITCHED_ON, "Switched on", f"No fix yet: {heard(epoch)}.{known}")


def first_fix(epoch: Epoch, after_s: float) -> Found:
    """`after_s`: since the recording began."""
    return Found(epoch.at_s, Kind.FIRST_FIX, "First fix", f"After {lasting(after_s)}: {_how(epoch)}.")


def lost(at: Epoch, before: Epoch | None, for_s: float, *, ends: bool) -> Found:
    """`before`: the last epoch with a fix. `ends`: whether it comes back."""
    title = f"Fix lost for {lasting(for_s)}" if ends else "Fix lost for good"
    used = None if before is None else before.fix.satellites_in_fix
    last = f" Just before, {_count(used)} {'was' if used == 1 else 'were'} in the fix." if used else ""
    instead = "" if at.fix.mode is FixMode.NONE else f" What is shown is {MODES[at.fix.mode]}."
    return Found(at.at_s, Kind.LOST, title, f"At that moment {heard(at)}.{last}{instead}", _more(for_s / 6))


def back(epoch: Epoch, after_s: float) -> Found:
    """`after_s`: since it was lost."""
    return Found(epoch.at_s, Kind.BACK, "Fix back", f"After {lasting(after_s)}: {_how(epoch)}.", _more(after_s / 6))


def mode(epoch: Epoch, before: Epoch, after: Epoch) -> Found:
    """One kind of satellite fix after another; `after`: a little later, when the errors have followed."""
    old_m, new_m = (one.trust.error.horizontal_m for one in (before, after))
    told = ""
    if old_m is not None and new_m is not None and length(old_m) != length(new_m):
        told = f" The 95 % error goes from {length(old_m)} to {length(new_m)}."
    rtk = {FixMode.RTK_FIXED, FixMode.RTK_FLOAT} & {epoch.fix.mode, before.fix.mode}
    words = f"Until now: {MODES[before.fix.mode]}.{told}"
    return Found(epoch.at_s, Kind.MODE, _capital(MODES[epoch.fix.mode]), words, 10.0 if rtk else 0.0)


def jump(epoch: Epoch, metres: float) -> Found:
    """`metres`: beyond what the speed explains."""
    words = f"The position moves {length(metres)} farther than the speed explains. Nobody walked that."
    return Found(epoch.at_s, Kind.JUMP, f"A jump of {length(metres)}", words, _more(metres / 10))


def signals_fell(epoch: Epoch) -> Found:
    """All together."""
    evidence = epoch.trust.evidence
    best = evidence.best_four_dbhz if evidence else None
    now = "" if best is None else f" The strongest are down to {best:.0f} dB-Hz."
    words = f"Every satellite weakens together, wherever it stands: dense shade above, or interference.{now}"
    return Found(epoch.at_s, Kind.SIGNALS_FELL, "All signals fall at once", words)


def wrong_date(epoch: Epoch) -> Found:
    """Before any date that a receiver can rightly show."""
    day = epoch.fix.utc.day if epoch.fix.utc else None
    words = (
        f"The receiver says {day}. Its week count goes round every 1024 weeks; the time of day is right all the same."
    )
    return Found(epoch.at_s, Kind.DATE, "A date that cannot be right", words)


def backwards(epoch: Epoch) -> Found:
    """The receiver's clock."""
    return Found(epoch.at_s, Kind.BACKWARDS, "Time goes back", "The receiver's clock is set to an earlier time.")


def meridian(epoch: Epoch, *, eastwards: bool) -> Found:
    """180 degrees."""
    words = "East longitude becomes west" if eastwards else "West longitude becomes east"
    rest = "at 180 degrees. Distance, course and trail must not notice."
    return Found(epoch.at_s, Kind.MERIDIAN, "Across the antimeridian", f"{words} {rest}")


def gap(at_s: float, for_s: float) -> Found:
    """No epoch in all that time."""
    words = "What happened in between nobody knows: nothing is drawn or summed across it."
    return Found(at_s, Kind.GAP, f"Nothing for {lasting(for_s)}", words, _more(for_s / 60))


def worst(epoch: Epoch, hdop: float) -> Found:
    """Of the whole recording."""
    words = f"With {_count(epoch.fix.satellites_in_fix)} in the fix, an error in range counts {hdop:.1f} times."
    return Found(epoch.at_s, Kind.WORST, f"Worst geometry: HDOP {hdop:.1f}", words, _more(hdop))


def best(epoch: Epoch, hdop: float) -> Found:
    """Of the whole recording."""
    words = f"{_count(epoch.fix.satellites_in_fix)} in the fix, well spread over the sky."
    return Found(epoch.at_s, Kind.BEST, f"Best geometry: HDOP {hdop:.1f}", _capital(words))


def set_out(at_s: float, rested_s: float) -> Found:
    """`rested_s`: how long it stood before."""
    words = f"After {lasting(rested_s)} at one spot. From about 1 m/s on the course means something."
    return Found(at_s, Kind.SET_OUT, "Setting out", words)


def standing(at_s: float, for_s: float) -> Found:
    """Until it moves again, or the recording ends."""
    words = "The position goes on wandering by itself; the distance must not grow by that, and there is no course."
    return Found(at_s, Kind.STANDING, f"Standing still for {lasting(for_s)}", words, _more(for_s / 60))


def doubt(epoch: Epoch, for_s: float) -> Found:
    """A fix that is not to be trusted."""
    why = f" {_capital(epoch.trust.reasons[0])}." if epoch.trust.reasons else ""
    title = f"{Verdict.DOUBTFUL.words.capitalize()} for {lasting(for_s)}"
    return Found(epoch.at_s, Kind.DOUBT, title, f"There is a fix, but not one to rely on.{why}", _more(for_s / 10))


def heard(epoch: Epoch) -> str:
    """How many satellites are tracked."""
    evidence = epoch.trust.evidence
    if evidence is None or evidence.heard is None:
        return "nothing is known of the satellites"
    if not evidence.heard:
        return "no satellite is heard"
    verb = "is" if evidence.heard == 1 else "are"
    return f"{_count(evidence.heard)} {verb} heard, {evidence.strong or 'none'} of them strongly"


def _how(epoch: Epoch) -> str:
    fix = epoch.fix
    dimensions = f"{fix.dimensions}D" if fix.dimensions else ""
    used = f"{_count(fix.satellites_in_fix)} in the fix" if fix.satellites_in_fix else ""
    hdop = f"HDOP {fix.hdop:.1f}" if fix.hdop is not None else ""
    return ", ".join(part for part in (MODES[fix.mode], dimensions, used, hdop) if part)


def _count(number: int | None) -> str:
    if number is None:
        return "an unknown number of satellites"
    return f"{number} satellite" if number == 1 else f"{number} satellites"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _more(value: float) -> float:
    return max(0.0, min(MOST_MORE, value))

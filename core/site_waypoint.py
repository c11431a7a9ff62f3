"""The mean as a waypoint, with how it came about in its note.

Its 95 % error is the random part alone. What averaging never removes has no figure that could be put beside it (a
datum mistaken is hundreds of metres, a reflection anything), and one made up would look measured; so the note says
what is not in it. Where no interval can be stated, the error of a single fix is kept: that is not too small.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from core.errors import InputError
from core.waypoint import NOTE_LIMIT, Waypoint

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.averaging import SiteAverage
    from core.site import SiteReport

NOT_IN_IT = "wrong datum, constant reflections, antenna offset, wrong point"
"""What averaging never removes (trade-facts.md c); the geoid's error concerns the height alone."""
SLOWER = "errors slower than a third of the time covered"
"""Nor can the interval know of them: after an hour with errors of two time scales, one and twenty minutes, an interval
that says 95 % held 6 or 7 times in 10 (simulated; core/averaging.py)."""


def site_waypoint(report: SiteReport, taken: Collection[str], remark: str = "") -> Waypoint:
    """The mean under a name that is not among `taken`; `remark` ends the note. Raises InputError without a mean."""
    from core.marks import free_name

    found = report.average
    if found is None or report.position is None:
        raise InputError("there is no mean yet: nothing can be saved until some fixes have counted")
    clock = f"{report.last.clock()[:5]} UTC" if report.last else "no time"
    honest_m = found.horizontal_95_m
    return Waypoint(
        f"{free_name('Average', taken)} {clock}",
        report.position,
        report.altitude_m,
        report.last.datetime() if report.last else None,
        note="; ".join(part for part in (method(report, found), remark) if part)[:NOTE_LIMIT],
        kind="mark",
        error_95_m=report.error_95_m if honest_m is None else honest_m,
        mode=report.modes[0][0].value if report.modes else "",
    )


def method(report: SiteReport, found: SiteAverage) -> str:
    """How the mean was made, in one sentence."""
    parts = [f"mean of {found.count - len(found.outliers)} fixes in {span(report.covered_s)}"]
    if found.correlation_s is not None:
        parts.append(f"correlation {found.correlation_s:.0f} s")
    if found.effective_count is not None:
        parts.append(f"effective {found.effective_count:.0f}")
    if found.outliers:
        parts.append(f"{len(found.outliers)} outliers out")
    if len(report.modes) > 1:
        parts.append(" and ".join(f"{count} {mode.value}" for mode, count in report.modes))
    if report.datum is not None:
        parts.append(f"datum {report.datum}")
    return f"{', '.join(parts)}; {_uncertainty(report, found)}"


def _uncertainty(report: SiteReport, found: SiteAverage) -> str:
    if found.horizontal_95_m is not None:
        return f"uncertainty {found.horizontal_95_m:.2f} m, 95 %, random part: not in it {NOT_IN_IT}, {SLOWER}"
    single = "unknown" if report.error_95_m is None else f"that of a single fix, {report.error_95_m:.1f} m"
    return f"no uncertainty of the mean stated ({found.declined}), the error given is {single}"


def span(seconds: float) -> str:
    """A length of time in words: 45 s, 12 min, 1 h 0 min."""
    minutes = int(seconds) // 60
    if minutes < 1:
        return f"{int(seconds)} s"
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"

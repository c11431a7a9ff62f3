"""An averaging in words, block by block: what a mean is worth, what it is made of, how it stands to a mark."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from core.averaging import DEFINITIONS, SiteAverage
from core.benchmark import CAUTIONS, Comparison, MeanPlace, compare
from core.places.forms import digits_for
from core.places.notation import Form, write
from core.site import SiteReport
from core.site_waypoint import NOT_IN_IT, SLOWER, span
from core.units import in_use
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import PUSH, Row
from tui.panes.position import labelled
from tui.state import BoardState

INDENT = 9
"""Of what goes on below a label."""
NEVER = f"Never removed: {NOT_IN_IT}, the geoid table's error. Nor in it: {SLOWER}."


def sentence(text: str, width: int, ink: Ink = Ink.MUTED, label: str = "") -> Iterator[Row]:
    """Wrapped to the width, under a label or without one; at no `tight` blank."""
    indent = INDENT if label else 0
    for number, line in enumerate(wrap(text, max(16, width - 2 - indent))):
        yield labelled(label if number == 0 else "", Span(line, ink)) if label else (Span(line, ink),)


def tight(text: str) -> str:
    """With blanks that no line is broken at: a figure stays with its unit."""
    return text.replace(" ", "\u00a0")


def state_rows(report: SiteReport, width: int) -> Iterator[Row]:
    """How far it is: first of all, and loud where it waits."""
    gaps = f"{report.gaps} gap{'s' * (report.gaps != 1)}, {span(report.gap_s)}" if report.gaps else ""
    count = f"{report.samples.count:,} fixes"
    loud = Ink.WARN if report.why else Ink.GOOD if report.is_under_way else Ink.TEXT
    words = (Span(report.state.value, loud, bold=True), Span(f"  {span(report.covered_s)}  {count}"))
    yield (*words, PUSH, Span(gaps, Ink.WARN))
    if report.why:
        yield from sentence(f"{wording.as_sentence(report.why)}.", width, Ink.WARN)
    if report.samples.count < 2 and report.waiting:
        yield from sentence(f"{report.waiting} fixes wait 20 s, lest the receiver is moved", width)


def mean_rows(state: BoardState, report: SiteReport, found: SiteAverage, width: int) -> Iterator[Row]:
    """The mean with as many figures as it is worth, and how well it is known."""
    if report.position is None:
        return
    error_m = report.error_95_m if found.horizontal_95_m is None else found.horizontal_95_m
    written = write(report.position, state.notation, digits_for(error_m, Form[state.notation.name]))
    if len(written.latitude) + len(written.longitude) + 2 + INDENT <= width - 2:
        yield labelled("mean", Span(f"{written.latitude}  {written.longitude}", bold=True))
    else:
        yield labelled("mean", Span(written.latitude, bold=True))
        yield labelled("", Span(written.longitude, bold=True))
    yield from _honest(found, width)
    yield from _height(report, found, width)


def _honest(found: SiteAverage, width: int) -> Iterator[Row]:
    if found.horizontal_95_m is None:
        yield from sentence(f"none stated: {found.declined}", width, Ink.WARN, "95 %")
    else:
        words = f"+-{tight(wording.metres(found.horizontal_95_m))}, random part alone"
        yield from sentence(words, width, Ink.GOOD, "95 %")
    if found.naive_95_m is not None:
        claimed = tight(wording.metres(found.naive_95_m))
        told = f"sigma/sqrt(N) claims {claimed}: it takes neighbours for independent"
        yield from sentence(told, width, Ink.MUTED, "not so")


def _height(report: SiteReport, found: SiteAverage, width: int) -> Iterator[Row]:
    if report.altitude_m is None:
        yield labelled("height", Span(wording.UNKNOWN, Ink.MUTED))
        return
    known = "" if found.vertical_95_m is None else f" +-{wording.metres(found.vertical_95_m)}"
    ellipsoid = "" if report.height_m is None else f"{tight(wording.height(report.height_m, 1))} above ellipsoid"
    sea = f"{tight(f'{wording.height(report.altitude_m, 1)}{known}')} above sea level"
    joined = f"{sea}, {ellipsoid}" if ellipsoid else sea
    yield from sentence(joined, width, Ink.TEXT, "height")


def memory_rows(report: SiteReport, found: SiteAverage, width: int) -> Iterator[Row]:
    """How slowly the errors wander, and what that makes of the count; what did not count at all."""
    if found.correlation_s is not None:
        words = f"wander within {tight(wording.age(found.correlation_s))}"
        if found.effective_count is not None:
            worth = round(found.effective_count)
            words += f": worth {worth:,} independent fix{'es' * (worth != 1)}"
        yield from sentence(words, width, Ink.TEXT, "memory")
    if found.outliers:
        words = f"{len(found.outliers):,} jumped away from those around them: left out"
        yield from sentence(words, width, Ink.WARN, "outliers")
    if report.skipped:
        yield from sentence(f"{report.skipped:,} epochs had no usable fix", width, Ink.MUTED, "no fix")
    gains = [tight(f"+{_wait(gain.more_s)} {wording.metres(gain.horizontal_95_m)}") for gain in found.waiting]
    if gains:
        yield from sentence(f"{', '.join(gains)}", width, Ink.TEXT, "waiting")


def _wait(seconds: float) -> str:
    """10 min, 24 h."""
    return f"{seconds / 60:.0f} min" if seconds < 3600 else f"{seconds / 3600:g} h"


def spread_rows(found: SiteAverage, width: int) -> Iterator[Row]:
    """How the single fixes lie around the mean."""
    spread, vertical = found.spread, found.vertical
    if spread is None:
        return
    radii = {"CEP": spread.cep_m, "DRMS": spread.drms_m, "R95": spread.r95_m, "2DRMS": spread.two_drms_m}
    shown = "  ".join(tight(f"{name} {wording.metres(radius_m)}") for name, radius_m in radii.items())
    yield from sentence(shown, width, Ink.TEXT, "scatter")
    if vertical is not None:
        up = tight(f"50 % {wording.metres(vertical.p50_m)}"), tight(f"95 % {wording.metres(vertical.p95_m)}")
        yield from sentence(f"of height {'  '.join(up)}", width, Ink.TEXT, " ")


def mark_rows(report: SiteReport, width: int) -> Iterator[Row]:
    """The mean seen from the mark."""
    found = comparison(report)
    if found is None or report.mark is None:
        return
    yield labelled("mark", Span(report.mark.name, Ink.TARGET, bold=True))
    side = f"{_length(abs(found.east_m))} {'east' if found.east_m >= 0 else 'west'}"
    along = f"{_length(abs(found.north_m))} {'north' if found.north_m >= 0 else 'south'}"
    toward = (
        "" if found.bearing_deg is None else f", {_length(found.distance_m)} at {wording.bearing(found.bearing_deg)}"
    )
    yield from sentence(f"the mean lies {side} and {along} of it{toward}", width, Ink.TEXT, "dE dN")
    yield from sentence(_up_words(found), width, Ink.MUTED if found.up_m is None else Ink.TEXT, "dH")
    yield from sentence(_chance_words(report, found), width, Ink.WARN if found.is_beyond_chance else Ink.TEXT, "chance")


def comparison(report: SiteReport) -> Comparison | None:
    """With the mark that was set; None without one, or without a mean."""
    found = report.average
    if report.mark is None or report.position is None or found is None:
        return None
    mean = MeanPlace(report.position, found.horizontal_95_m, found.vertical_95_m, report.altitude_m, report.height_m)
    return compare(report.mark, mean)


def _up_words(found: Comparison) -> str:
    if found.up_m is None:
        return f"none: {found.no_height}"
    return f"the mean is {_length(abs(found.up_m))} {'above' if found.up_m >= 0 else 'below'} it"


def _chance_words(report: SiteReport, found: Comparison) -> str:
    mark = report.mark
    if found.chance_m is None or mark is None:
        return "the mean has no stated uncertainty yet: nothing can be made of the difference"
    known = f"the mark's {_length(mark.reach_m)} and the mean's together allow {_length(found.chance_m)}"
    if found.is_beyond_chance:
        return f"{known}: the difference is more than chance; the cautions below say what it may be"
    return f"{known}: the difference is no more than chance"


def _length(metres: float) -> str:
    """As `wording.metres`, but a benchmark is known to the centimetre, and nothing is nothing."""
    if metres < 9.995:
        return wording.exact(metres, 2)
    return wording.distance(metres) if metres >= in_use().short_to_m else wording.exact(metres, 1)


def caution_rows(report: SiteReport, width: int) -> Iterator[Row]:
    """What averaging cannot do, and what to look at where there is a mark."""
    yield from sentence(NEVER, width, Ink.WARN)
    if report.mark is not None:
        for caution in CAUTIONS:
            yield from sentence(caution.words, width)


def definition_rows(width: int) -> Iterator[Row]:
    """What the words of the scatter mean."""
    for name, words in DEFINITIONS.items():
        yield from sentence(words, width, Ink.MUTED, name)

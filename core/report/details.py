"""The lower half of the page: totals, events, quality, cautions."""

from __future__ import annotations

from collections import Counter

from core.fix import FixMode
from core.nmea.framing import Reason
from core.report.markup import Content, Markup, foreign, tag
from core.report.model import Report
from core.report.summary import facts
from core.report.tables import folded, table, wide
from core.report.words import UNKNOWN, climb, length, many, number, span, speed
from core.trip import Totals
from core.units import in_use

WIDE_DATUM = "W84"
OTHER_DATUM = " Not WGS 84 throughout: on another map positions may be off by hundreds of metres."
MODES = {
    FixMode.NONE: "no fix",
    FixMode.AUTONOMOUS: "autonomous",
    FixMode.DIFFERENTIAL: "differential",
    FixMode.PRECISE: "precise service",
    FixMode.RTK_FIXED: "RTK fixed",
    FixMode.RTK_FLOAT: "RTK float",
    FixMode.ESTIMATED: "estimated: dead reckoning, no satellites",
    FixMode.MANUAL: "typed in by hand, not measured",
    FixMode.SIMULATED: "simulated, not real",
}
CAUTIONS = (
    "Not for primary navigation, and not for safety of life. In an emergency phone the local emergency number first.",
    "The 95 % error is an estimate, from the receiver's own statistics or from dilution of precision and an assumed "
    "ranging error. Reflections, a wrong datum and interference are not in it.",
    "Heights are above mean sea level as the receiver works them out, and worse than places. Not for aviation.",
    "Ascent and descent are ranges, since noise climbs too. What was gone in gaps is not known, and not counted.",
    "A trail that somebody walked is no promise that the way is safe, open or allowed.",
)


def totals(report: Report) -> Markup:
    """What the trip comes to; nothing where it never began."""
    found = report.totals
    if found is None:
        return tag("p", "No fix was good enough to count by: how far it went is not known.")
    return facts(_totals(found))


def _totals(found: Totals) -> list[tuple[str, Content]]:
    average, fastest = found.average_mps, found.fastest_mps
    return [
        ("Distance", f"{length(found.distance_m)}; standing adds nothing, gaps are not bridged"),
        ("Moving", span(found.moving_s)),
        ("Stopped", span(found.stopped_s)),
        ("Without a usable fix", f"{span(found.gap_s)}, {many(found.gaps, 'gap')}, {many(found.jumps, 'jump')}"),
        ("Average while moving", speed(average)),
        ("Fastest held over three fixes", speed(fastest)),
        ("Ascent, from low to high", climb(found.ascent_m) if found.climb_known else UNKNOWN),
        ("Descent, from low to high", climb(found.descent_m) if found.climb_known else UNKNOWN),
    ]


def events(report: Report) -> Markup:
    """What happened; where there was too much, what weighs least is left out and counted."""
    shown, left_out = report.happened
    if not shown:
        return tag("p", "Nothing happened that would be an event.")
    rows = [
        (report.times.label(one.at_s, seconds=True), one.kind.value, foreign(one.text) if one.text else "")
        for one in shown
    ]
    rest = f"; {many(left_out, 'more is', 'more are')} not listed" if left_out else ""
    caption = f"{many(len(shown), 'event')}{rest}; {report.times.words}"
    return wide(caption, ("time", "event", "what"), rows)


def quality(report: Report) -> list[Markup]:
    """Sentences, modes, contradictions, dates, datums, the receiver's own words."""
    parts = [facts(_counts(report)), _types(report), _contradictions(report), _messages(report)]
    return [part for part in parts if part is not None]


def _counts(report: Report) -> list[tuple[str, Content]]:
    counts = report.counts
    modes = report.digest["modes"].items()
    rejected = [(str(reason), count) for reason, count in sorted(counts.rejected.items()) if count]
    return [
        ("Sentences with a right checksum", number(counts.verified)),
        ("Taken without a checksum", number(counts.unverified)),
        ("Rejected", "; ".join(f"{_why(why)}: {number(count)}" for why, count in rejected) or "none"),
        ("Epochs", f"{number(counts.epochs)}, with a satellite fix {number(counts.epochs_with_fix)}"),
        ("Modes", "; ".join(f"{MODES[FixMode(mode)]}: {number(count)}" for mode, count in modes) or UNKNOWN),
        ("Error estimated from", _bases(report)),
        ("Datum", _datums(report)),
        ("Dates", _dates(report)),
    ]


def _why(reason: str) -> str:
    """A malformed sentence is counted among the good ones too: its framing was right."""
    return "malformed though well framed (also counted above)" if reason == Reason.MALFORMED else reason


def _bases(report: Report) -> str:
    found = report.quality.bases.most_common()
    return "; ".join(f"{in_use().own_lengths(basis)} ({many(count, 'epoch')})" for basis, count in found) or "never"


def _datums(report: Report) -> Content:
    found = report.quality.datums
    if not found:
        return "not told; WGS 84 is assumed"
    words = [foreign(f"{datum} ({many(count, 'epoch')})") for datum, count in found.most_common()]
    other = any(datum != WIDE_DATUM for datum in found)
    return [*words, OTHER_DATUM if other else None]


def _dates(report: Report) -> str:
    wrong = report.quality.wrong_days
    if not wrong:
        return "no sign that they are wrong"
    return f"{many(wrong, 'epoch')} with a date that cannot be right: do not rely on the dates on this page"


def _types(report: Report) -> Markup:
    rows = [(foreign(kind), number(count)) for kind, count in sorted(report.counts.types.items())]
    return folded("Sentences by type", table("Accepted sentences", ("type", "count"), rows))


def _contradictions(report: Report) -> Markup | None:
    rows = [(foreign(words), number(count)) for words, count in report.quality.contradictions.most_common()]
    caption = "Epochs whose sentences disagreed; the safer reading was taken"
    return table(caption, ("contradiction", "epochs"), rows) if rows else None


def _messages(report: Report) -> Markup | None:
    if not report.texts:
        return None
    said = Counter(report.texts).items()
    heard = (tag("li", foreign(one), f" ({count} times)" if count > 1 else None) for one, count in said)
    return tag("div", tag("h3", "The receiver's own messages, the newest"), tag("ul", *heard))


def cautions() -> Markup:
    """What no figure here can say."""
    return tag("ul", *(tag("li", one) for one in CAUTIONS))

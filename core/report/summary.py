"""The top of the page: what it is, in figures, and where."""

from __future__ import annotations

from core.places.forms import all_forms, ellipsoidal_height_m
from core.report.markup import Content, Markup, clean, tag
from core.report.model import End, Report
from core.report.tables import pairs, wide
from core.report.verdicts import MEANINGS, shares
from core.report.words import UNKNOWN, height, length, many, rounded, share, span

FORMS = {
    "decimal": "degrees",
    "degrees_minutes": "degrees, minutes",
    "degrees_minutes_seconds": "degrees, minutes, seconds",
    "locator": "locator",
    "utm": "UTM or UPS",
    "mgrs": "MGRS",
    "iso6709": "ISO 6709",
    "geo_uri": "geo: URI",
}


def banner(report: Report) -> Markup | None:
    """Big, where the recording is simulated."""
    if not report.subject.rehearsal:
        return None
    words = "Simulated by fixboard, not received. Nobody was there."
    return tag("p", tag("strong", "REHEARSAL"), words, class_="banner", role="note")


def privacy() -> Markup:
    """Whoever passes the page on passes this on."""
    return tag("p", "This page shows where you were, and when. Think before you pass it on.", class_="note")


def title(report: Report) -> str:
    """Of the page."""
    label = "REHEARSAL: " if report.subject.rehearsal else ""
    return f"{label}Session report: {clean(report.subject.name)}"


def when(report: Report) -> str:
    """First to last satellite fix."""
    ends = [report.digest[key] for key in ("first_fix", "last_fix")]
    if not all(ends):
        return "No satellite fix in this recording."
    first, last = (_moment(one["utc"]) for one in ends)
    return f"Satellite fixes from {first} to {last}"


def _moment(iso: str | None) -> str:
    if iso is None:
        return "an unknown time"
    day, clock = iso.rstrip("Z").split("T")
    return f"{day} {clock[:8]} UTC".strip() if day else f"{clock[:8]} UTC (date not told)"


def tiles(report: Report) -> Markup:
    """The figures that somebody looks for first."""
    totals, errors = report.totals, report.quality.errors
    usable = sum(count for verdict, count, _ in shares(report) if verdict.words in {"usable", "firm"})
    whole = sum(count for _, count, _ in shares(report))
    rows: list[tuple[str, Content]] = [
        ("Duration", span(report.digest["duration_s"])),
        ("Distance", length(totals.distance_m) if totals else UNKNOWN),
        ("Usable or firm", share(usable, whole)),
        ("Error, median (estimate)", length(errors.median)),
        ("Error, 95th of 100", length(errors.at_share(0.95))),
        ("Satellites in view, most", rounded(report.digest["satellites_in_view_max"], "")),
    ]
    return tag("dl", *(tag("div", tag("dt", name), tag("dd", words)) for name, words in rows), class_="tiles")


def verdict_table(report: Report) -> Markup:
    """Shares with bars and in words."""
    whole = sum(count for _, count, _ in shares(report))
    rows = [
        (verdict.words, MEANINGS[verdict], percent, f"{count}", _bar(count, whole))
        for verdict, count, percent in shares(report)
    ]
    caption = f"Verdicts on {many(whole, 'epoch')}"
    return wide(caption, ("verdict", "means", "share", "epochs", ""), rows)


def _bar(count: int, whole: int) -> Markup:
    width = 100 * count / whole if whole else 0.0
    return tag("span", tag("span", style=f"width:{width:.1f}%"), class_="bar", aria_hidden="true")


def where(report: Report) -> Markup:
    """Start and end in every form."""
    if report.start is None or report.end is None:
        return tag("p", "No satellite fix: where it was is not known.")
    start, end = _forms(report.start), _forms(report.end)
    rows = [(name, start.get(key, UNKNOWN), end.get(key, UNKNOWN)) for key, name in _names(start)]
    kind = "usable" if report.totals else "doubtful"
    caption = f"First and last {kind} fix, with as many figures as their errors are worth; WGS 84 unless said below"
    return wide(caption, ("", "start", "end"), rows)


def _names(forms: dict[str, str]) -> list[tuple[str, str]]:
    return [*FORMS.items(), *((key, key) for key in forms if key not in FORMS)]


def _forms(end: End) -> dict[str, str]:
    fix, error_m = end
    if fix.position is None:
        return {}
    height_m = ellipsoidal_height_m(fix.altitude_m, fix.geoid_separation_m)
    return {
        **all_forms(fix.position, fix.altitude_m, fix.geoid_separation_m, error_m),
        "time": _moment(fix.utc.iso() if fix.utc else None),
        "estimated 95 % error": length(error_m),
        "height above mean sea level": height(fix.altitude_m),
        "height above the ellipsoid": height(height_m),
    }


def facts(rows: list[tuple[str, Content]]) -> Markup:
    """A list of names and what they are."""
    return tag("div", pairs(rows), class_="facts")

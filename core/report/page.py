"""The whole page: self-contained, without a script, in the order somebody reads it."""

from __future__ import annotations

from core.report import details, summary
from core.report.dops import dops
from core.report.markup import Content, Markup, tag
from core.report.model import Report
from core.report.profile import profile
from core.report.satellites import satellites
from core.report.scatter import definitions, none_of_them, scatters
from core.report.signals import signals
from core.report.sky import sky
from core.report.speed import speed
from core.report.style import style
from core.report.tables import pairs
from core.report.timeline import timeline
from core.report.trail import trail
from core.report.words import many

POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
"""Nothing is fetched and nothing runs, whatever a recording may have smuggled in."""
GENERATOR = "fixboard report"
"""By which a page is known for one of ours: only such a one may give way to a newer."""
_SECTIONS = (
    ("summary", "Summary"),
    ("where", "Where"),
    ("trail-part", "Trail"),
    ("over-time", "Over time"),
    ("sky-part", "Sky"),
    ("stops", "Stops"),
    ("totals", "Totals"),
    ("events", "Events"),
    ("quality", "Data quality"),
    ("cautions", "Cautions"),
)


def page(report: Report, version: str) -> str:
    """One HTML file. The same report and version give the same text."""
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="generator", content=GENERATOR),
        tag("meta", http_equiv="Content-Security-Policy", content=POLICY),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("title", summary.title(report)),
        tag("style", Markup(style())),
    )
    body = tag(
        "body",
        tag("a", "Skip to the report", href="#summary", class_="skip"),
        _header(report),
        _main(report),
        _foot(version),
    )
    return f"<!DOCTYPE html>\n{tag('html', head, body, lang='en')}\n"


def _header(report: Report) -> Markup:
    links = (tag("li", tag("a", name, href=f"#{anchor}")) for anchor, name in _SECTIONS)
    return tag(
        "header",
        summary.banner(report),
        tag("h1", summary.title(report).removeprefix("REHEARSAL: ")),
        tag("p", summary.when(report), class_="sub"),
        tag("nav", tag("ul", *links), aria_label="Parts of this report"),
    )


def _main(report: Report) -> Markup:
    parts: tuple[Content, ...] = (
        [summary.tiles(report), _dates(report), summary.verdict_table(report), summary.privacy()],
        summary.where(report),
        trail(report)
        or tag("p", "No trail: there is no place of a satellite fix, or they are too far apart for a map."),
        _over_time(report),
        _sky(report),
        _stops(report),
        details.totals(report),
        details.events(report),
        details.quality(report),
        details.cautions(),
    )
    return tag("main", *(_section(*names, part) for names, part in zip(_SECTIONS, parts, strict=True)))


def _section(anchor: str, name: str, part: Content) -> Markup:
    return tag("section", tag("h2", name, id=f"{anchor}-name"), part, id=anchor, aria_labelledby=f"{anchor}-name")


def _dates(report: Report) -> Markup | None:
    wrong = report.quality.wrong_days
    return tag("p", f"The receiver's date cannot be right in {many(wrong, 'epoch')}.", class_="note") if wrong else None


def _over_time(report: Report) -> Content:
    drawn = [one(report) for one in (timeline, profile, speed, satellites, dops)]
    found = [one for one in drawn if one is not None]
    return found or tag("p", "Nothing was told over time.")


def _sky(report: Report) -> Markup:
    drawn = [one for one in (sky(report), signals(report)) if one is not None]
    return tag("div", *drawn, class_="pair") if drawn else tag("p", "No satellite was told with its direction.")


def _stops(report: Report) -> Content:
    drawn = scatters(report)
    if not drawn:
        return tag("p", none_of_them())
    left_out = report.standing.count - len(drawn)
    more = (
        tag("p", f"The longest {len(drawn)}; {many(left_out, 'shorter one is', 'shorter ones are')} left out.")
        if left_out
        else None
    )
    return [more, tag("div", *drawn, class_="pair"), tag("div", pairs(definitions()), class_="facts")]


def _foot(version: str) -> Markup:
    return tag(
        "footer",
        f"Made by fixboard {version} from a recording of NMEA 0183. Nothing on this page is fetched from anywhere.",
    )

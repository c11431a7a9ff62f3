"""The pages without a place on the board, made when they are first visited.

Each maker imports its own panes: a board that is opened waits for none of them, and most sessions visit few. A visit
costs its imports once; while a page is being put up Textual draws nothing, so that no empty page is seen.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from textual.containers import Container
from textual.widget import Widget


class Piece(NamedTuple):
    """A widget of a page and where it stands."""

    widget: Widget
    inside: str = ""
    """The id of the container it is in; empty: the page itself, among the panes."""


def _alone(pane: Widget) -> tuple[Piece, ...]:
    return (Piece(pane.add_class("page-only")),)


def _why() -> tuple[Piece, ...]:
    from tui.panes.why import WhyPane

    return _alone(WhyPane(id="why"))


def _signals() -> tuple[Piece, ...]:
    from tui.panes.signals import SignalsPane

    return _alone(SignalsPane(id="signals"))


def _charts() -> tuple[Piece, ...]:
    from tui.panes.charts import ChartsPane

    return _alone(ChartsPane(id="charts"))


def _events() -> tuple[Piece, ...]:
    from tui.panes.timeline import TimelinePane

    return _alone(TimelinePane(id="events"))


def _trip() -> tuple[Piece, ...]:
    from tui.panes.trip import TripPane

    return _alone(TripPane(id="trip"))


def _clock() -> tuple[Piece, ...]:
    from tui.panes.clock import ClockPane

    return _alone(ClockPane(id="clock"))


def _large() -> tuple[Piece, ...]:
    from tui.panes.large_view import BoardLarge

    return _alone(BoardLarge(id="large"))


def _sky() -> tuple[Piece, ...]:
    from tui.panes.sky_plot import SkyPage, SkyPlotPane
    from tui.panes.what_if import WhatIfPane

    page = SkyPage(id="sky-page", classes="page-only")
    return (Piece(page), Piece(SkyPlotPane(id="sky-plot"), "sky-page"), Piece(WhatIfPane(id="what-if"), "sky-page"))


def _trail() -> tuple[Piece, ...]:
    from tui.panes.board_trail import BoardProfile, BoardTrail

    page = Container(id="trail-page", classes="page-only")
    return (Piece(page), Piece(BoardTrail(id="trail"), "trail-page"), Piece(BoardProfile(id="profile"), "trail-page"))


def _averaging() -> tuple[Piece, ...]:
    from tui.panes.averaging import AveragingPane
    from tui.panes.scatter import ScatterPane

    page, name = Container(id="averaging-page", classes="page-only"), "averaging-page"
    return (Piece(page), Piece(AveragingPane(id="averaging"), name), Piece(ScatterPane(id="scatter"), name))


def _ab() -> tuple[Piece, ...]:
    from tui.panes.ab import PairPane
    from tui.panes.ab_sky import PairSky
    from tui.panes.ab_strip import PairStrip

    return (
        Piece(Container(id="ab-page", classes="page-only")),
        Piece(Container(id="ab-skies"), "ab-page"),
        Piece(PairSky("A", id="ab-sky-a"), "ab-skies"),
        Piece(PairSky("B", id="ab-sky-b"), "ab-skies"),
        Piece(PairPane(id="ab"), "ab-page"),
        Piece(PairStrip(id="ab-strip"), "ab-page"),
    )


class Late(NamedTuple):
    """How a page is made."""

    top: str
    """The id of its outermost widget."""
    pieces: Callable[[], tuple[Piece, ...]]
    """All of it, containers before what is in them."""


LATE_PAGES = {
    "why": Late("why", _why),
    "signals": Late("signals", _signals),
    "charts": Late("charts", _charts),
    "events": Late("events", _events),
    "trip": Late("trip", _trip),
    "clock": Late("clock", _clock),
    "sky": Late("sky-page", _sky),
    "trail": Late("trail-page", _trail),
    "averaging": Late("averaging-page", _averaging),
    "ab": Late("ab-page", _ab),
    "large": Late("large", _large),
}
"""By the name of the page, in the order in which they stand among the panes, whichever is visited first."""


def tops_after(page: str) -> tuple[str, ...]:
    """The outermost widgets of the pages that stand after it."""
    names = list(LATE_PAGES)
    return tuple(LATE_PAGES[name].top for name in names[names.index(page) + 1 :])

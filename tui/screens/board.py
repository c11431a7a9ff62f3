"""The board: all panes that fit, or one of them alone."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Container
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer

from tui.canvas.glyphs import BRAILLE, GlyphSet
from tui.canvas.palettes import Depth, Palette, palette_for
from tui.canvas.widget import CanvasPane
from tui.panes.averaging import AveragingPane
from tui.panes.banner import BannerLine
from tui.panes.board_trail import BoardProfile, BoardTrail
from tui.panes.bound import BoardCompass, BoardSky
from tui.panes.charts import ChartsPane
from tui.panes.clock import ClockPane
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.panes.large_view import BoardLarge
from tui.panes.place_form import PlaceForm
from tui.panes.position import PositionPane
from tui.panes.scatter import ScatterPane
from tui.panes.signals import SignalsPane
from tui.panes.sky_plot import SkyPage, SkyPlotPane
from tui.panes.source_line import SourceLine
from tui.panes.timeline import TimelinePane
from tui.panes.trip import TripPane
from tui.panes.verdict_line import VerdictLine
from tui.panes.what_if import WhatIfPane
from tui.panes.why import WhyPane
from tui.panes.wire import WirePane
from tui.state import BoardState

PAGES = (
    "board",
    "position",
    "fix",
    "sky",
    "compass",
    "goto",
    "wire",
    "why",
    "signals",
    "charts",
    "events",
    "large",
    "trail",
    "trip",
    "averaging",
    "clock",
)


class BoardScreen(Screen[None]):
    """Takes the state, hands it down; the stylesheet decides where panes stand and which are seen."""

    # Textual declares these as instance variables, so ClassVar, which ruff would have, is an error to mypy.
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (70, "-mid"), (110, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (20, "-low"), (34, "-high")]  # noqa: RUF012

    AUTO_FOCUS = ""
    """Nothing: letters are commands here, unless a form is open."""

    # None of them repaints the screen itself: that would send every row of it, changed or not.
    state: reactive[BoardState] = reactive(BoardState(), init=False, repaint=False)
    palette: reactive[Palette] = reactive(palette_for("dark", Depth.TRUECOLOR), init=False, repaint=False)
    glyphs: reactive[GlyphSet] = reactive(BRAILLE, init=False, repaint=False)
    page: reactive[str] = reactive("board", init=False, repaint=False)

    def compose(self) -> ComposeResult:
        """Every pane once; pages show and hide them."""
        yield self._bound(SourceLine(id="source"))
        yield self._bound(VerdictLine(id="verdict"))
        yield self._bound(BannerLine(id="banner"))
        with Container(id="panes"):
            with Container(id="words"):
                yield self._bound(PositionPane(id="position"))
                yield self._bound(FixPane(id="fix"))
                yield self._bound(GoToPane(id="goto"))
            with Container(id="pictures"):
                yield self._bound(BoardSky(id="sky"))
                yield self._bound(BoardCompass(id="compass"))
            yield self._bound(WirePane(id="wire"))
            # These have pages of their own and no place on the board.
            yield self._bound(WhyPane(id="why", classes="page-only"))
            yield self._bound(SignalsPane(id="signals", classes="page-only"))
            yield self._bound(ChartsPane(id="charts", classes="page-only"))
            yield self._bound(TimelinePane(id="events", classes="page-only"))
            yield self._bound(TripPane(id="trip", classes="page-only"))
            yield self._bound(ClockPane(id="clock", classes="page-only"))
            with SkyPage(id="sky-page", classes="page-only").data_bind(BoardScreen.state):
                yield self._bound(SkyPlotPane(id="sky-plot"))
                yield self._bound(WhatIfPane(id="what-if"))
            with Container(id="trail-page", classes="page-only"):
                yield self._bound(BoardTrail(id="trail"))
                yield self._bound(BoardProfile(id="profile"))
            with Container(id="averaging-page", classes="page-only"):
                yield self._bound(AveragingPane(id="averaging"))
                yield self._bound(ScatterPane(id="scatter"))
            yield self._bound(BoardLarge(id="large", classes="page-only"))
        yield PlaceForm()
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Begin on the board."""
        self.watch_page("board", self.page)

    def watch_page(self, before: str, page: str) -> None:
        """One class names the page, another says that it is a single pane; hidden panes do not draw."""
        self.remove_class(f"-page-{before}")
        self.add_class(f"-page-{page}")
        self.set_class(page != "board", "-alone")

    def _bound(self, pane: CanvasPane) -> CanvasPane:
        return pane.data_bind(BoardScreen.state, BoardScreen.palette, BoardScreen.glyphs)

"""The board: all panes that fit, or one of them alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import ComposeResult
from textual.containers import Container
from textual.geometry import Size
from textual.reactive import Reactive, reactive
from textual.screen import Screen
from textual.widget import AwaitMount, Widget
from textual.widgets import Footer

from core.board_panes import PANES
from tui.canvas.glyphs import BRAILLE, GlyphSet
from tui.canvas.palettes import Depth, Palette, palette_for
from tui.first_layout import BY_HEIGHT, BY_WIDTH, size_classes
from tui.panes.banner import BannerLine
from tui.panes.bound import BoardCompass, BoardSky
from tui.panes.caption import CaptionLines
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.panes.position import PositionPane
from tui.panes.source_line import SourceLine
from tui.panes.time_bar import SHOWN, TimeBar
from tui.panes.verdict_line import VerdictLine
from tui.panes.wire import WirePane
from tui.screens.board_footer import BoardFooter
from tui.screens.late_pages import LATE_PAGES, Piece, tops_after
from tui.state import BoardState

if TYPE_CHECKING:
    from tui.panes.place_form import PlaceForm

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
    "ab",
)


class BoardScreen(Screen[None]):
    """Takes the state, hands it down; the stylesheet decides where panes stand and which are seen."""

    # Textual declares these as instance variables, so ClassVar, which ruff would have, is an error to mypy.
    HORIZONTAL_BREAKPOINTS = list(BY_WIDTH)  # noqa: RUF012
    VERTICAL_BREAKPOINTS = list(BY_HEIGHT)  # noqa: RUF012

    AUTO_FOCUS = ""
    """Nothing: letters are commands here, unless a form is open."""

    # None of them repaints the screen itself: that would send every row of it, changed or not.
    state: reactive[BoardState] = reactive(BoardState(), init=False, repaint=False)
    palette: reactive[Palette] = reactive(palette_for("dark", Depth.TRUECOLOR), init=False, repaint=False)
    glyphs: reactive[GlyphSet] = reactive(BRAILLE, init=False, repaint=False)
    page: reactive[str] = reactive("board", init=False, repaint=False)

    def __init__(self) -> None:
        """Begins on the board."""
        super().__init__(classes="-page-board")

    def fit(self, size: Size) -> None:
        """Before it is put up: what changes once its panes are there has the rules applied to all of them again."""
        self.update_classes(dict.fromkeys(size_classes(*size), True), update=False)

    def choose_panes(self, panes: tuple[str, ...]) -> None:
        """Only these are on the board where there is room: the stylesheet closes up (panes.tcss)."""
        pictures = [one for one in ("sky", "compass") if one in panes]
        classes = {f"-no-{one}": one not in panes for one in PANES}
        classes["-no-words"] = not {"position", "fix", "goto"} & set(panes)
        classes |= {
            "-no-pictures": not pictures,
            "-one-picture": len(pictures) == 1,
            "-two-pictures": len(pictures) == 2,
        }
        # As in `fit`: once its panes are there the rules are applied to all of them again.
        self.update_classes(classes, update=bool(self.children))

    def compose(self) -> ComposeResult:
        """Every pane that the board has a place for, once; the pages of the others come when they are visited."""
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
        yield self._bound(CaptionLines(id="caption"))
        yield self._bound(TimeBar(id="time-bar"))
        yield self._bound(BoardFooter(plays=self.state.status.kind.is_recorded))

    def furnish(self) -> AwaitMount:
        """The form to name a place in: no first picture shows it, and with its lines it is six widgets."""
        from tui.panes.place_form import PlaceForm

        return self.mount(PlaceForm(), before=self.query_one(Footer))

    @property
    def form(self) -> PlaceForm:
        """That form, open or not."""
        from tui.panes.place_form import PlaceForm

        return self.query_one(PlaceForm)

    def watch_page(self, before: str, page: str) -> None:
        """One class names the page, another says that it is a single pane; hidden panes do not draw."""
        self._put_up(page)
        # All at once: each change of a class has the rules applied to everything on the screen.
        self.update_classes({f"-page-{before}": False, f"-page-{page}": True, "-alone": page != "board"})
        if self.state.is_stage:
            self._stage()

    def watch_state(self) -> None:
        """Stage mode is a matter of the stylesheet, but its panes are not there before it is asked for."""
        if self.state.is_stage != self.has_class("-stage"):
            self._stage()
        if not self.children:  # as in `fit`; afterwards the bar itself sees to it
            self.set_class(TimeBar.shows(self.state), SHOWN, update=False)

    def _put_up(self, page: str) -> None:
        """At the first visit; from then on the page is there, hidden or not, as the board's own panes are."""
        late = LATE_PAGES.get(page)
        if late is None or self.query(f"#{late.top}"):
            return
        tops = tops_after(page)
        for piece in late.pieces():
            # The screen waits for each: a page that is only half there is not drawn.
            self.call_next(self._put_in(piece, tops))

    def _put_in(self, piece: Piece, tops: tuple[str, ...]) -> AwaitMount:
        inside = self.query_one(f"#{piece.inside or 'panes'}")
        following = next((one for one in inside.children if one.id in tops), None)
        widget = self._bound(piece.widget)
        for one in self._wanted(widget):
            # What is bound arrives a message later, and a frame may be drawn before.
            widget.set_reactive(getattr(type(widget), one.name), getattr(self, one.name))
        return inside.mount(widget, before=following)

    def _stage(self) -> None:
        # Most sessions never see a stage: a board that is opened does not wait for it.
        from tui.panes.stage import STAGED, stage_panes

        if not self.query("#stage-body"):
            head, body, foot = stage_panes()
            self.mount(self._bound(head), before=0)
            self.mount(self._bound(body).data_bind(BoardScreen.page), after="#panes")
            self.mount(self._bound(foot), before=self.query_one(Footer))
        self.set_class(self.state.is_stage, "-stage")
        self.set_class(self.page in STAGED, "-staged")

    def _bound(self, widget: Widget) -> Widget:
        """Given what it has a place for: a container may want the state, a pane wants all three."""
        return widget.data_bind(*self._wanted(widget))

    @staticmethod
    def _wanted(widget: Widget) -> list[Reactive[Any]]:
        all_three: tuple[Reactive[Any], ...] = (BoardScreen.state, BoardScreen.palette, BoardScreen.glyphs)
        return [one for one in all_three if hasattr(type(widget), one.name)]

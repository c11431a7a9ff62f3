"""One of two skies side by side: lettered, named, turned alike."""

from __future__ import annotations

from textual.reactive import reactive

from tui.canvas.cells import fitted, one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.panes.ab_state import absence, b_state
from tui.panes.bound import sky_view
from tui.panes.sky import SkyPane, SkyView
from tui.panes.verdict_line import INKS, MARKS
from tui.state import BoardState

NO_OTHER = "No second recording: D asks for one"


class PairSky(SkyPane):
    """A's sky, or B's."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, letter: str, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name
        """`letter`: A or B."""
        super().__init__(id=id)
        self._letter = letter

    def watch_state(self) -> None:
        """Draw the new state."""
        shown = self._one()
        self.caption = self._title_of(shown)
        self.show(self._view_of(shown))
        if shown is not None:  # after `show`, which names the turn there
            mark = "" if self.content_size.width < 44 else f"{MARKS[shown.verdict]} "
            self.aside = Span(f"{mark}{shown.verdict.words}", INKS[shown.verdict], bold=True)
        else:
            self.aside = Span("", Ink.MUTED)
        self.repaint()

    def _one(self) -> BoardState | None:
        if self._letter == "A":
            return self.state
        return b_state(self.state, self.state.other) if self.state.other else None

    def _title_of(self, shown: BoardState | None) -> str:
        room = max(8, self.content_size.width - 16)
        return f"{self._letter}  {fitted(one_cell_each(shown.status.name), room)}" if shown else f"{self._letter}"

    def _view_of(self, shown: BoardState | None) -> SkyView:
        other, up = self.state.other, round(self.state.up_deg)
        if shown is None or other is None:
            return sky_view(shown) if shown else SkyView((), up, note=NO_OTHER)
        view = sky_view(shown)._replace(up_deg=up)
        absent = absence(self.state, other) if self._letter == "B" else ""
        return view._replace(note=absent) if absent and not view.satellites else view

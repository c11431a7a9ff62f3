"""What is being watched: on every page, in one line, and loud."""

from __future__ import annotations

from textual.reactive import reactive

from core.sources.source import SourceKind, SourceState, SourceStatus
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.state import BoardState

_BANNERS = {
    SourceKind.REPLAY: Paper.BANNER_REPLAY,
    SourceKind.LIVE: Paper.BANNER_LIVE,
    SourceKind.HELD: Paper.BANNER_HELD,
}
_LOUD = {SourceState.FAILED: Paper.BANNER_ALERT}


class SourceLine(CanvasPane):
    """Kind, name, state, pace, how far."""

    DEFAULT_CSS = "SourceLine { height: 1; width: 1fr; }"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.repaint()

    def paint(self, grid: Grid) -> None:
        """Banner and name on the left, progress on the right."""
        status = self.state.status
        grid.paper(0, 0, grid.width, Paper.PANEL)
        banner = Span(
            f" {status.kind.value} ", Ink.BANNER, bold=True, paper=_LOUD.get(status.state, _BANNERS[status.kind])
        )
        right = _progress(status)
        room = grid.width - len(banner.text) - len(right) - 6
        left = f" {status.name}  {_doing(status)}"
        put_row(grid, 0, (banner, Span(fitted(left, max(0, room))), PUSH, Span(right, Ink.MUTED)), margin=0)


def _doing(status: SourceStatus) -> str:
    words = [status.state.value]
    if status.pace is not None and status.state in {SourceState.PLAYING, SourceState.PAUSED}:
        words.append(wording.pace(status.pace))
    return "  ".join([*words, *(note for note in (status.detail, status.warning) if note)])


def _progress(status: SourceStatus) -> str:
    done = "" if status.fraction is None else f"  {status.fraction * 100:3.0f} %"
    return f"{wording.clock(status.elapsed_s)}{done} "

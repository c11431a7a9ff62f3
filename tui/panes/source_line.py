"""What is being watched: on every page, in one line, and loud."""

from __future__ import annotations

from textual.reactive import reactive

from core.logbook import RecorderState, RecorderStatus
from core.site import SiteReport
from core.site_waypoint import span
from core.sources.source import SourceKind, SourceState, SourceStatus
from tui import wording
from tui.canvas.cells import fitted
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink, Paper
from tui.canvas.rows import PUSH, put_row
from tui.canvas.widget import CanvasPane
from tui.state import BoardState

_BANNERS = {
    SourceKind.NOTHING: Paper.BANNER_HELD,
    SourceKind.REPLAY: Paper.BANNER_REPLAY,
    SourceKind.REHEARSAL: Paper.BANNER_HELD,
    SourceKind.TRACK: Paper.BANNER_HELD,
    SourceKind.LIVE: Paper.BANNER_LIVE,
    SourceKind.HELD: Paper.BANNER_HELD,
}
_LOUD = {SourceState.FAILED, SourceState.LOST}

NAME_LEAST = 8
"""Cells of the name that progress gives way to."""
NOTES_LEAST = 20
"""Cells of the notes that a longer name gives way to."""


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
        loud = self.state.recorder.state is RecorderState.FAILED or status.state in _LOUD
        paper = Paper.BANNER_ALERT if loud else _BANNERS[status.kind]
        banner = Span(f" {status.kind.value} ", Ink.BANNER, bold=True, paper=paper)
        room = grid.width - len(banner.text) - 2
        busy = f"{_averaging(self.state.snapshot.site)}{_recording(self.state.recorder)}"
        right = f"{busy}{_progress(status)}"
        if len(right) + NAME_LEAST + len(_doing(status)) > room:
            right = busy
        left = _left(status, room - len(right))
        put_row(grid, 0, (banner, Span(left), PUSH, Span(right, Ink.MUTED)), margin=0)


def _left(status: SourceStatus, room: int) -> str:
    """Name, state and notes in `room` cells. A long name and long notes are cut; the state stays whole."""
    doing, notes = _doing(status), _notes(status)
    beside = room - len(doing) - 1
    for_name = min(beside, max(NAME_LEAST, beside - min(len(notes), NOTES_LEAST)))
    name = f" {fitted(status.name, for_name)}" if for_name >= NAME_LEAST // 2 else ""
    return fitted(f"{name}{doing}{notes}", max(0, room))


def _doing(status: SourceStatus) -> str:
    paced = status.pace is not None and status.state in {SourceState.PLAYING, SourceState.PAUSED}
    return f"  {status.state.value}" + (f"  {wording.pace(status.pace)}" if paced and status.pace else "")


def _notes(status: SourceStatus) -> str:
    return "".join(f"  {note}" for note in (status.detail, status.warning) if note)


def _recording(recorder: RecorderStatus) -> str:
    """What is said of the recorder; a failure until another recording begins."""
    if recorder.state is RecorderState.RECORDING:
        return f"recording {recorder.bytes_written / 1e6:.1f} MB  "
    return "RECORDING STOPPED  " if recorder.state is RecorderState.FAILED else ""


def _averaging(site: SiteReport) -> str:
    """What goes on when its page is left; where it halts, that first."""
    if not site.is_under_way:
        return ""
    word = "averaging" if not site.why else "AVERAGING WAITS"
    return f"{word} {span(site.covered_s)}  "


def _progress(status: SourceStatus) -> str:
    done = "" if status.fraction is None else f"  {status.fraction * 100:3.0f} %"
    return f"{wording.clock(status.elapsed_s)}{done} "

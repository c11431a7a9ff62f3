"""What is being watched: on every page, in one line, and loud."""

from __future__ import annotations

from textual.reactive import reactive

from core.feed_status import FeedState, FeedStatus
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
        banner = Span(f" {status.kind.value} ", Ink.BANNER, bold=True, paper=banner_paper(self.state))
        room = grid.width - len(banner.text) - 2
        busy = f"{_averaging(self.state.snapshot.site)}{_recording(self.state.recorder)}"
        left_over = room - len(busy) - len(_doing(status))
        handing = next((words for words in _handing_on(self.state) if len(words) <= left_over), "")
        progress = _progress(status)
        if len(busy) + len(handing) + len(progress) + NAME_LEAST + len(_doing(status)) > room:
            progress = ""
        left = _left(status, room - len(busy) - len(handing) - len(progress))
        feed = Span(handing, Ink.WARN if _is_worth_a_look(self.state) else Ink.MUTED)
        put_row(grid, 0, (banner, Span(left), PUSH, Span(busy, Ink.MUTED), feed, Span(progress, Ink.MUTED)), margin=0)


def banner_paper(state: BoardState) -> Paper:
    """What the kind of source is written on; the loudest where it failed, or the recorder did."""
    loud = state.recorder.state is RecorderState.FAILED or state.status.state in _LOUD
    return Paper.BANNER_ALERT if loud else _BANNERS[state.status.kind]


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


def _handing_on(state: BoardState) -> tuple[str, ...]:
    """Texts, feed and saving, the longest words first: they give way to what is watched and how it goes."""
    feed, percent = state.feeding, state.power.percent
    left = "" if percent is None else f" {percent} %"
    saving = ("saving  ", f"saving{left}  ") if state.is_saving else ("", "")
    texts = f"{state.sending}  " if state.sending else ""
    short = f"{texts}{_feeding(feed, short=True)}"
    return f"{texts}{_feeding(feed)}{saving[1]}", f"{short}{saving[0]}", short


def _is_worth_a_look(state: BoardState) -> bool:
    feed = state.feeding
    return state.sending.isupper() or feed.state is FeedState.FAILED or (feed.state is FeedState.ON and feed.is_open)


def _feeding(feed: FeedStatus, *, short: bool = False) -> str:
    """How many read along, where that can be known; louder where other computers can."""
    if feed.state is FeedState.OFF:
        return ""
    if feed.state is FeedState.FAILED:
        return "FEED STOPPED  "
    word = "OPEN FEED" if feed.is_open else "feed"
    if feed.clients is None:
        return f"{word}  "
    clients = "" if short else " client" if feed.clients == 1 else " clients"
    return f"{word} {feed.clients}{clients}  "


def _averaging(site: SiteReport) -> str:
    """What goes on when its page is left; where it halts, that first."""
    if not site.is_under_way:
        return ""
    word = "averaging" if not site.why else "AVERAGING WAITS"
    return f"{word} {span(site.covered_s)}  "


def _progress(status: SourceStatus) -> str:
    done = "" if status.fraction is None else f"  {status.fraction * 100:3.0f} %"
    return f"{wording.clock(status.elapsed_s)}{done} "

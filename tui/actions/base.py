"""The base of the application: state, feed, and how things are drawn and said. Actions are layered on top of it."""

from __future__ import annotations

from textual.notifications import SeverityLevel

from core.sources.feed import Feed
from core.timeline import Timeline
from tui.canvas.cells import one_cell_each
from tui.canvas.frame import frame
from tui.canvas.palettes import Depth
from tui.own_keys import own_words
from tui.program import Program
from tui.recorder_desk import RecorderDesk
from tui.screens.board import BoardScreen
from tui.session import Session
from tui.state import BoardState

NOTICE_S = 3.0
NO_TIMELINE = Timeline()


class BoardApp(Program):
    """What every group of actions needs."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        """`depth`: None asks the terminal. One that has shown its first frame (tui/starting.py) is dressed by then."""
        if not self.is_dressed:
            super().__init__(session, depth)
        self.board = BoardScreen()
        self._feed: Feed | None = None
        self._recorder = RecorderDesk(session.recordings, self._keep, session.settings.recorder)

    @property
    def state(self) -> BoardState:
        """What the board shows now."""
        return self.board.state

    def _show(self, **changes: object) -> None:
        """Draw a new state, everything in one write to the terminal."""
        if self._feed:
            recorder = self._recorder.status
            timeline = self._feed.timeline()
            if timeline and timeline.jumps != (self.state.timeline or NO_TIMELINE).jumps:
                changes["snapshot"] = self._feed.take()  # the old picture must not be seen beside the new time
            now = {"status": self._feed.status(), "now_s": self._feed.source.now_s(), "recorder": recorder}
            changes = {**now, "timeline": timeline, "survey": self._feed.survey(), **changes}
        with frame(self), self.batch_update():
            self.board.state = self.state.changed(**changes)

    def _keep(self, **choices: str) -> None:
        trouble = self.session.keep(**choices)
        if trouble:
            self._say(trouble, "warning")

    def _say(self, text: str, severity: SeverityLevel = "information") -> None:
        self.notify(one_cell_each(own_words(text)), severity=severity, markup=False, timeout=NOTICE_S)

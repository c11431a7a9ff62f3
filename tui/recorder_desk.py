"""Starting and stopping the recorder for the feed that is open, and remembering that it runs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from core.logbook import Recorder, RecorderOptions, RecorderState, RecorderStatus
from core.settings import RecorderChoices
from core.sources.feed import Feed
from core.sources.source import SourceKind

Keep = Callable[..., object]
AS_USUAL = RecorderChoices()
_NOT_RECORDED = {
    SourceKind.REPLAY: "This is a recording already: only live sources are recorded.",
    SourceKind.REHEARSAL: "This is a rehearsal, and a recording already: only live sources are recorded.",
    SourceKind.TRACK: "This is a track from a file: only live sources are recorded.",
    SourceKind.HELD: "A held place sends nothing that could be recorded: k goes back to the receiver.",
}


class RecorderDesk:
    """At most one recorder at a time."""

    def __init__(self, folder: Path, keep: Keep, choices: RecorderChoices = AS_USUAL) -> None:
        """`keep`: remembers `recording`, the name of what is recorded, empty when nothing is."""
        self._folder = folder
        self._keep = keep
        self._choices = choices
        self._recorder: Recorder | None = None

    def set_up(self, folder: Path, choices: RecorderChoices) -> None:
        """Where to record, and how, from the next recording on."""
        self._folder, self._choices = folder, choices

    @property
    def status(self) -> RecorderStatus:
        """Of the running recorder, or of the last one."""
        return self._recorder.status if self._recorder else RecorderStatus()

    @property
    def is_running(self) -> bool:
        """Whether anything is being written."""
        return self.status.state is RecorderState.RECORDING

    def start(self, feed: Feed) -> str:
        """Record what the feed receives; what to tell the user."""
        from core.sources.wall import anchor_now

        status = feed.status()
        if status.kind is not SourceKind.LIVE:
            return _NOT_RECORDED.get(status.kind, "Nothing is open: there is nothing to record.")
        label = status.name.split(" ", maxsplit=1)[0].rsplit("/", maxsplit=1)[-1]
        choices = self._choices
        options = RecorderOptions(self._folder, label, exact=choices.exact, compress=choices.compress)
        self._recorder = Recorder(options, anchor_now())
        self._recorder.start()
        feed.tap = self._recorder.offer
        self._keep(recording=status.name)
        return f"Recording into {self._folder}."

    def stop(self, feed: Feed | None) -> str:
        """Stop; what to tell the user."""
        if feed:
            feed.tap = None
        if not self._recorder:
            return "Nothing is being recorded."
        ended = self._recorder.stop()
        self._keep(recording="")
        if ended.state is RecorderState.FAILED:
            return f"Recording stopped: {ended.reason}"
        return f"Recorded: {ended.path.name}" if ended.path else "Nothing had come: no file was written."

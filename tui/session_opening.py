"""A session of the logbook to play: one file or several."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from core.session_files import Session
from core.session_reading import open_session
from core.sources.player import Playable
from tui.opening import Opening


@dataclass(frozen=True, slots=True)
class SessionOpening(Opening):
    """Plays its files one after another, as they were recorded. `path` is the first."""

    parts: tuple[Path, ...] = ()

    def recording(self) -> Playable:
        """All parts as one."""
        return open_session(self.parts)


def session_opening(session: Session) -> Opening:
    """A session of one file is a recording like any other."""
    if len(session.files) == 1:
        return Opening(session.paths[0])
    return SessionOpening(session.paths[0], parts=session.paths)

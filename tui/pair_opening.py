"""Two recordings to watch together: A leads, B is laid beside it."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from core.errors import InputError
from core.formats.given_track import is_track, read_track
from core.pair_axis import SAME, Alike, Axis, line_up
from core.pair_follower import Follower
from core.sources.feed import Feed
from core.sources.given_recording import GivenRecording
from core.sources.player import Playable, Player
from tui.opening import Opening


@dataclass(frozen=True, slots=True)
class BesideOpening(Opening):
    """The other one, played by the clock of A's player."""

    leader: Player | None = None
    axis: Axis = SAME

    def player(self, recording: Playable, warning: str) -> Player:
        """One that follows; without a leader, one like any other."""
        if self.leader is None:
            return Player(recording, self.pace, time.monotonic, warning)
        return Follower(recording, self.leader, self.axis.offset_s, warning)


@dataclass(frozen=True, slots=True)
class LinedUp:
    """B, ready to play beside A."""

    feed: Feed
    follower: Follower
    axis: Axis


def lined_up(a: Opening, b: BesideOpening, on_news: Callable[[], None]) -> LinedUp:
    """Find the common axis, which may take reading far into both files, and open B. Raises InputError."""
    axis = line_up(_alike(a), _alike(b))
    feed = replace(b, axis=axis).feed(on_news)
    if not isinstance(feed.source, Follower):
        feed.source.close()
        raise InputError("there is nothing for it to follow: open a recording first")
    return LinedUp(feed, feed.source, axis)


def _alike(opening: Opening) -> Alike:
    if is_track(opening.path):
        return Alike(lambda: GivenRecording(opening.path, read_track(opening.path)), required=True, is_track=True)
    return Alike(opening.recording, opening.needs_checksums())

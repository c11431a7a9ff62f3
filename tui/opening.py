"""From a path to a running feed: everything that can fail before a board is on the screen."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.model import FixModel
from core.sources.feed import Feed
from core.sources.player import Player
from core.sources.recording import has_checksums, open_recording

NO_CHECKSUMS = "no checksums in this file: damage goes unnoticed"


@dataclass(frozen=True, slots=True)
class Opening:
    """A recording to play, and how."""

    path: Path
    pace: float = 1.0
    checksums: str | None = None
    """`require`, `allow`, or None: by what the file's first sentences do."""
    remark: str = ""
    """Beside its name, where the user picks one of several."""

    def needs_checksums(self) -> bool:
        """contract.md, Checksums. Raises InputError where the file cannot be read."""
        if self.checksums is not None:
            return self.checksums == "require"
        return has_checksums(self.path)

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Open the file and make a feed of it, not started. Raises InputError where it cannot be read."""
        required = self.needs_checksums()
        player = Player(open_recording(self.path), self.pace, time.monotonic, "" if required else NO_CHECKSUMS)
        return Feed(player, FixModel(required), on_news)

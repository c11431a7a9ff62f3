"""Actions on a recording that is played."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable

from core.sources.player import Player
from tui.actions.base import BoardApp

PACES = (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, float("inf"))


class ReplayActions(BoardApp):
    """Pause and pace."""

    def action_toggle_pause(self) -> None:
        """Stand still, or play on."""
        if self._player:
            self._player.toggle_pause()
            self._show()

    def action_faster(self) -> None:
        """The next faster pace."""
        self._set_pace(lambda now: bisect_right(PACES, now))

    def action_slower(self) -> None:
        """The next slower pace."""
        self._set_pace(lambda now: bisect_left(PACES, now) - 1)

    def _set_pace(self, following: Callable[[float], int]) -> None:
        player = self._player
        if player:
            number = following(player.status().pace or 1.0)
            player.set_pace(PACES[min(max(number, 0), len(PACES) - 1)])
            self._show()

    @property
    def _player(self) -> Player | None:
        return self._feed.source if self._feed and isinstance(self._feed.source, Player) else None

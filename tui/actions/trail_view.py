"""The trail's pane for the actions that move it, without importing it: it is made when its page is first visited."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, cast

from tui.actions.base import BoardApp

if TYPE_CHECKING:
    from tui.panes.board_trail import BoardTrail


class TrailViewActions(BoardApp):
    """What looks and trip share."""

    @property
    def _trails(self) -> Iterable[BoardTrail]:
        """None before its page has been visited, nor while the screen is being put up or taken down."""
        return cast("Iterable[BoardTrail]", self.board.query("#trail"))

    def _pan(self, right: int, down: int) -> None:
        """Steps of an arrow key."""
        for trail in self._trails:
            trail.step(right, down)

"""Keys of pages with more rows than fit: up and down by a row. On other pages they do what they do there."""

from __future__ import annotations

from tui.actions.sky import SkyActions
from tui.panes.scrolling import Scrolls

LONG_PAGES = frozenset({"why", "signals", "trip", "clock", "averaging"})
"""Each a pane of that name."""


class ScrollActions(SkyActions):
    """Before those of the sky, the wire and the trail."""

    def action_trail_up(self) -> None:
        """The row above, or the map north."""
        if self._is_long:
            self._scroll(-1)
        else:
            super().action_trail_up()

    def action_trail_down(self) -> None:
        """The row below, or the map south."""
        if self._is_long:
            self._scroll(1)
        else:
            super().action_trail_down()

    def begin_at_the_top(self) -> None:
        """Another page is open."""
        if self.state.first_row:
            self._show(first_row=0)

    @property
    def _is_long(self) -> bool:
        return self.board.page in LONG_PAGES

    def _scroll(self, by: int) -> None:
        """From what is seen: a page may have become shorter since it was moved last."""
        for pane in self.board.query(f"#{self.board.page}"):
            if isinstance(pane, Scrolls):
                stands = min(self.state.first_row, pane.furthest)
                self._show(first_row=max(0, min(stands + by, pane.furthest)))

"""The footer of the board: what can be done with what is watched."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.reactive import reactive
from textual.widgets import Footer
from textual.widgets._footer import FooterKey

from tui.state import BoardState

ONLY_PLAYED = frozenset({"toggle_pause"})
"""Actions that a live source or a held place has no use for. Their keys still say why, to whom presses them."""


class BoardFooter(Footer):
    """The usual one without a pause where nothing is played."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def __init__(self, *, plays: bool) -> None:
        """`plays`: whether a recording is watched, so that it need not be told at once."""
        super().__init__(show_command_palette=False)
        self._plays = plays

    def watch_state(self, state: BoardState) -> None:
        """Shown or hidden when a recording takes the place of something else, or the other way round."""
        if state.status.kind.is_recorded != self._plays:
            self._plays = state.status.kind.is_recorded
            for item in self.query(FooterKey):
                self._set(item)

    def compose(self) -> ComposeResult:
        """The usual items, those hidden that have no use."""
        for item in super().compose():
            if isinstance(item, FooterKey):
                self._set(item)
            yield item

    def _set(self, item: FooterKey) -> None:
        """Hidden, not left out: a footer that is made anew stands some rounds later than the rest of the picture."""
        if item.action in ONLY_PLAYED:
            item.display = self._plays

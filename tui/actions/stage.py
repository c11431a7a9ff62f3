"""Stage mode on and off."""

from __future__ import annotations

from tui.actions.base import BoardApp

ON_STAGE = "On stage: page keys as usual, V leaves."


class StageActions(BoardApp):
    """For a room: large letters, a caption, a line for the presenter."""

    def action_toggle_stage(self) -> None:
        """The open page for the back of a room, or as usual again."""
        self._show(is_stage=not self.state.is_stage)
        if self.state.is_stage:
            self._say(ON_STAGE)

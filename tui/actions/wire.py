"""Keys of the wire: hold it still, choose a sentence, open it. On other pages they do what they do there."""

from __future__ import annotations

from tui.actions.holding import HoldingActions
from tui.actions.looks import LookActions

HOLD_FIRST = "w holds the sentences still; then Up and Down choose one, H opens it."


class WireActions(LookActions, HoldingActions):
    """Before those of the trail."""

    @property
    def _on_wire(self) -> bool:
        return self.board.page == "wire"

    def action_pause_wire(self) -> None:
        """Hold the raw sentences still, the newest chosen; or let them run."""
        held = () if self.state.wire_paused else self.state.snapshot.wire
        self._show(wire_paused=not self.state.wire_paused, wire_held=held, wire_at=max(0, len(held) - 1))

    def action_trail_up(self) -> None:
        """The sentence above, or the map north."""
        if self._on_wire:
            self._choose(-1)
        else:
            super().action_trail_up()

    def action_trail_down(self) -> None:
        """The sentence below, or the map south."""
        if self._on_wire:
            self._choose(1)
        else:
            super().action_trail_down()

    def action_zoom_in(self) -> None:
        """As many sentences up as are seen, or the map nearer."""
        if self._on_wire:
            self._choose(-self._seen())
        else:
            super().action_zoom_in()

    def action_zoom_out(self) -> None:
        """As many sentences down, or the map farther."""
        if self._on_wire:
            self._choose(self._seen())
        else:
            super().action_zoom_out()

    def action_open_sentence(self) -> None:
        """The chosen sentence field by field; one that still runs is held first, at the newest."""
        from tui.screens.sentence import SentenceScreen  # not needed for the first picture

        if not self.state.wire_paused:
            self.action_pause_wire()
        if not self.state.wire_held:
            self.action_pause_wire()
            self._say("No sentence has come yet.", "warning")
            return
        self.push_screen(SentenceScreen(self.board, self.state.wire_held, self.state.wire_at), self._left_sentence)

    def _left_sentence(self, at: int | None) -> None:
        if at is not None and self.state.wire_held:
            self._point(at)

    def _choose(self, by: int) -> None:
        if self.state.wire_paused:
            self._point(self.state.wire_at + by)
        else:
            self._say(HOLD_FIRST)

    def _point(self, at: int) -> None:
        from tui.panes.wire import WirePane  # only where it is drawn at once

        self._show(wire_at=max(0, min(at, len(self.state.wire_held) - 1)))
        self.board.query_one(WirePane).catch_up()

    def _seen(self) -> int:
        from tui.panes.wire import WirePane

        return max(1, self.board.query_one(WirePane).content_size.height - 1)

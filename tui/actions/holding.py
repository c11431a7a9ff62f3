"""Actions on held places: run the board from one, go back to the receiver."""

from __future__ import annotations

from core.waypoint import Waypoint
from tui.actions.watching import SourceActions
from tui.opening import HeldOpening, LiveOpening
from tui.own_keys import key_of


class HoldingActions(SourceActions):
    """A saved place instead of a receiver."""

    def action_hold_place(self) -> None:
        """Back to the receiver from a held place; otherwise hold one, which the user picks from the list."""
        if self.state.is_held:
            self.open(self._before_hold or LiveOpening())
        else:
            self.action_list_places()
            self._say(f"Choose a waypoint: {key_of('hold_chosen')} holds it, and closes the port.")

    def _hold(self, waypoint: Waypoint) -> None:
        """The port is closed, which saves its power; the place is on the board under its own name."""
        from core.held import HeldPlace

        place = HeldPlace(waypoint.name, waypoint.position, waypoint.altitude_m, waypoint.error_95_m)
        was_recording = self._recorder.is_running
        self.open(HeldOpening(place))
        if self._list:
            self._list.dismiss(None)
        stopped = " Recording has stopped." if was_recording else ""
        self._say(f"Held: no receiver is in use.{stopped} k goes back to it.")

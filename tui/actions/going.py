"""Actions on places: mark, go to, pick, drop."""

from __future__ import annotations

from core.errors import FixboardError
from core.waypoints import Waypoint
from tui.actions.base import BoardApp
from tui.screens.pick import Choice, PickScreen


class GoingActions(BoardApp):
    """Marks and the target."""

    def action_mark_here(self) -> None:
        """Save a waypoint where we are."""
        if not self.state.is_current:
            self._say("No current position: nothing can be marked until there is one.", "warning")
            return
        try:
            waypoint = self.session.mark(self.state.snapshot.fix)
        except FixboardError as error:
            self._say(str(error), "error")
        else:
            self._say(f"Marked: {waypoint.name}. g goes to it.")

    def action_go_to_mark(self) -> None:
        """The newest mark becomes the target."""
        waypoints = self.session.waypoints
        if waypoints:
            self._go_to(waypoints[-1])
        else:
            self._say("No waypoint yet: m marks here.", "warning")

    def action_pick_target(self) -> None:
        """Choose a waypoint."""
        waypoints = self.session.waypoints
        choices = [Choice(place.name, f"{place.time:%Y-%m-%d}" if place.time else "") for place in waypoints]

        def picked(number: int | None) -> None:
            if number is not None:
                self._go_to(waypoints[number])

        self.push_screen(PickScreen("Go to", choices, "No waypoint yet: m marks here."), picked)

    def action_drop_target(self) -> None:
        """No target any more."""
        self._show(target=None)
        self._keep(target="")

    def _go_to(self, waypoint: Waypoint) -> None:
        self._show(target=waypoint)
        self._keep(target=waypoint.name)

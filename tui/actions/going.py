"""Actions on the way: mark, name, go to, routes, drop."""

from __future__ import annotations

from textual.css.query import NoMatches

from core.errors import FixboardError
from core.marks import refusal
from core.navigator import Goal, Route
from core.trust import Verdict
from core.waypoints import Waypoint
from tui import wording
from tui.actions.base import BoardApp
from tui.alert import GoingWatch
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.panes.place_form import PlaceForm
from tui.screens.pick import Choice, PickScreen
from tui.session import Session


class GoingActions(BoardApp):
    """Marks, the target and the route to it."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        super().__init__(session, depth)
        self._going = GoingWatch()

    def action_mark_here(self) -> None:
        """Save a waypoint where we are, after asking where the fix is doubtful."""
        refusal = self._no_mark()
        if refusal:
            self._say(refusal, "warning")
        elif self.state.verdict is Verdict.DOUBTFUL:
            self._ask_to_mark()
        else:
            self._mark()

    def _no_mark(self) -> str:
        """Why nothing can be marked; empty where something can."""
        state = self.state
        if state.is_held:
            return "This is a held place, not a fix: it is saved already. k goes back to the receiver."
        if not state.is_current:
            why = f" ({state.reasons[0]})" if state.reasons else ""
            return f"No current fix{why}: nothing can be marked until there is one."
        return refusal(state.snapshot.fix).capitalize()

    def _ask_to_mark(self) -> None:
        """With the reasons; what is marked is where we are when the answer comes."""
        why = "; ".join(self.state.reasons) or "for a moment only"
        title = one_cell_each(f"The fix is doubtful: {why}. Mark here all the same?")
        choices = [Choice("Do not mark", self.state.advice), Choice("Mark here", "its 95 % error is kept with it")]

        def answered(number: int | None) -> None:
            if number == 1:
                self._mark()

        self.push_screen(PickScreen(title, choices, ""), answered)

    def _mark(self) -> None:
        """Saved first; naming it comes after, and leaving that out loses nothing."""
        refusal = self._no_mark()
        if refusal:
            self._say(refusal, "warning")
            return
        error_m = self.state.snapshot.trust.error.horizontal_m
        try:
            waypoint = self.session.mark(self.state.snapshot.fix, error_m)
        except FixboardError as error:
            self._say(str(error), "error")
            return
        exactly = "" if error_m is None else f" to about {wording.metres(error_m)}"
        self._say(f"Marked{exactly}: {waypoint.name}.")
        self.board.query_one(PlaceForm).edit(
            waypoint, "Saved. Name it and Enter, or Esc: the mark stays. g goes to it."
        )

    def action_go_to_mark(self) -> None:
        """The newest mark becomes the target."""
        waypoints = self.session.waypoints
        if waypoints:
            self._go_to((waypoints[-1],))
        else:
            self._say("No waypoint yet: m marks here.", "warning")

    def action_next_leg(self) -> None:
        """The next waypoint of the route, without having arrived."""
        if self.state.then:
            self._go_to(self.state.then)
        else:
            self._say("There is no further leg: F6 in the list of waypoints (t) appends one.", "warning")

    def action_drop_target(self) -> None:
        """No target any more."""
        self._go_to(())

    def _append(self, waypoint: Waypoint) -> None:
        """One more leg; the leg that is gone now goes on."""
        legs = (self.state.target, *self.state.then) if self.state.target else ()
        if legs and legs[-1] == waypoint:
            self._say("It is the end of the route already.", "warning")
            return
        self._go_to((*legs, waypoint), keep_leg=True)
        self._say(f"Leg {len(legs) + 1}: to {waypoint.name}.")

    def _go_to(self, legs: tuple[Waypoint, ...], *, keep_leg: bool = False) -> None:
        """Guide along these from here on; nowhere if there are none."""
        start = self.state.going.leg_start if keep_leg else None
        route = Route(tuple(map(_goal, legs)), start) if legs else None
        self._going = GoingWatch()
        self._steer(route)
        self._show(target=legs[0] if legs else None, then=legs[1:], route=route)
        self.session.keep_route(legs)

    def _steer(self, route: Route | None) -> None:
        if self._feed:
            self._feed.steer(route)

    def _route_again(self) -> Route | None:
        """The same way for another source: what has been passed is not gone to again."""
        legs = (self.state.target, *self.state.then) if self.state.target else ()
        return Route(tuple(map(_goal, legs)), self.state.going.leg_start) if legs else None

    def _watch_going(self) -> None:
        """Take up what the guidance has come to: the next leg, an arrival."""
        going = self.state.going
        said = self._going.update(going)
        if said.legs_done and self.state.then:
            legs = (self.state.target, *self.state.then)[min(said.legs_done, len(self.state.then)) :]
            self._show(target=legs[0], then=legs[1:])
            self.session.keep_route(tuple(leg for leg in legs if leg))
        if said.words:
            self.bell()
            self.notify(one_cell_each(said.words), severity="information", markup=False, timeout=20)

    def _refresh_places(self) -> None:
        """Edits by other programs: the list, and the target by its name."""
        try:
            changed = self.session.refresh()
        except FixboardError as error:
            self.notify(one_cell_each(str(error)), title="Waypoints", severity="error", timeout=20, markup=False)
            return
        if changed:
            self._say("The waypoints were changed by another program: read again.")
            self._places_changed()

    def _places_changed(self, choose: Waypoint | None = None) -> None:
        """Overridden where there is a list."""
        del choose

    def _form(self) -> PlaceForm | None:
        try:
            return self.screen.query_one(PlaceForm)
        except NoMatches:
            return None


def _goal(waypoint: Waypoint) -> Goal:
    return Goal(waypoint.name, waypoint.position, waypoint.error_95_m)

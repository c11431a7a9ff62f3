"""Actions on the way: mark, name, go to, routes, drop."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from textual.css.query import NoMatches

from core.errors import FixboardError
from core.fix import Position
from core.navigator import Goal, Route
from core.route_memory import follow
from core.sources.source import SourceKind
from core.trust import Verdict
from core.waypoint import Waypoint
from tui import wording
from tui.actions.base import BoardApp
from tui.alert import GoingWatch
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.own_keys import with_keys
from tui.screens.pick import Choice, PickScreen
from tui.session import Session

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from tui.panes.place_form import PlaceForm


class GoingActions(BoardApp):
    """Marks, the target and the route to it."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        super().__init__(session, depth)
        self._going = GoingWatch()
        self._leg_start: Position | None = None
        """Where the leg began in life: a held place or a recording in between does not change it."""

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
        from core.marks import refusal

        state = self.state
        if self.board.form.is_open:
            return "The last mark is being named: Enter saves, Esc leaves it as it is."
        if state.is_held:
            return "This is a held place, not a fix: it is saved already. k goes back to the receiver."
        if not state.is_current:
            why = f" ({state.reasons[0]})" if state.reasons else ""
            return f"No current fix{why}: nothing can be marked until there is one."
        return wording.as_sentence(refusal(state.snapshot.fix))

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
        status, fix = self.state.status, self.state.snapshot.fix
        note = f"marked in the {status.kind.value.lower()} {status.name}" if status.kind.is_recorded else ""
        try:
            waypoint = self.session.mark(fix._replace(utc=self.state.corrected_utc or fix.utc), error_m, note)
        except FixboardError as error:
            self._say(str(error), "error")
            return
        exactly = "" if error_m is None else f" to about {wording.metres(error_m)}"
        self._say(f"Marked{exactly}: {waypoint.name}.")
        self.board.form.edit(waypoint, "Saved. Name it and Enter, or Esc: the mark stays.")

    def action_go_to_mark(self) -> None:
        """The newest mark becomes the target: the newest by its time, among those that were marked."""
        marks = [one for one in self.session.waypoints if one.mode]
        if marks:
            newest = max(reversed(marks), key=lambda one: one.time or _LONG_AGO)
            self._go_to((newest,))
            self._say(f"To {newest.name}.")
        else:
            self._say("No mark yet: m marks here.", "warning")

    def action_next_leg(self) -> None:
        """The next waypoint of the route, without having arrived."""
        if self.state.then:
            self._go_to(self.state.then)
        else:
            hint = with_keys("{route_chosen} in the list of waypoints ({list_places}) appends one")
            self._say(f"There is no further leg: {hint}.", "warning")

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
        start = self.state.going.leg_start if keep_leg else self._here()
        self._leg_start = start if self.state.status.kind is SourceKind.LIVE else None
        route = Route(tuple(map(_goal, legs)), start) if legs else None
        self._going = GoingWatch()
        self._steer(route)
        self._show(target=legs[0] if legs else None, then=legs[1:], route=route, is_by_trail=False)
        self._keep_route(legs)

    def _here(self) -> Position | None:
        """Where the leg begins: here, as asked for, not where the next epoch or a jump in a recording finds us.

        Without a current fix it is the first one that comes.
        """
        fix = self.state.snapshot.fix
        return fix.position if self.state.is_current and fix.is_satellite_fix else None

    def _keep_route(self, legs: tuple[Waypoint, ...], trail: str = "") -> None:
        trouble = self.session.keep_route(legs, trail)
        if trouble:
            self._say(trouble, "warning")

    def _steer_back(self, start: Waypoint, route: Route, trail: str = "") -> None:
        """Guide along the trail: the way has many goals, the user one target. `trail`: what is remembered of it."""
        self._going = GoingWatch()
        self._steer(route)
        self._show(target=start, then=(), route=route, is_by_trail=True)
        self._keep_route((), trail)  # after a crash nobody is to be led outwards again

    def _steer(self, route: Route | None) -> None:
        if self._feed:
            self._feed.steer(route)

    def _route_again(self) -> Route | None:
        """The same way for another source: what has been passed is not gone to again."""
        if self.state.is_by_trail:  # the trail belongs to the source that it was walked with
            self._show(target=None, then=(), route=None, is_by_trail=False)
            self._keep_route(())
            return None
        legs = (self.state.target, *self.state.then) if self.state.target else ()
        return Route(tuple(map(_goal, legs)), self._leg_start) if legs else None

    def _watch_going(self) -> None:
        """Take up what the guidance has come to: the next leg, an arrival."""
        going = self.state.going
        if going.leg_start is not None and self.state.status.kind is SourceKind.LIVE:
            self._leg_start = going.leg_start
        said = self._going.update(going)
        if said.legs_done and self.state.then:
            legs = (self.state.target, *self.state.then)[min(said.legs_done, len(self.state.then)) :]
            self._show(target=legs[0], then=legs[1:])
            if self.state.status.kind is SourceKind.LIVE:  # what a recording passes is not passed in life
                self._keep_route(tuple(leg for leg in legs if leg))
        if said.words and (going.arrived or not self.state.is_by_trail):
            if self._rings("arrival"):
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
            self._follow_edits()

    def _follow_edits(self) -> None:
        """The way leads to where its waypoints are now; one that has gone is still led to, and said to have gone."""
        legs = (self.state.target, *self.state.then) if self.state.target and not self.state.is_by_trail else ()
        known = self.session.waypoints
        now = [follow(leg, known) for leg in legs]
        for leg, found in zip(legs, now, strict=True):
            if found is None:
                self._say(f"{leg.name} has gone from the waypoints: still led to where it was.", "warning")
        kept = tuple(found or leg for leg, found in zip(legs, now, strict=True))
        if kept != legs:
            self._go_to(kept, keep_leg=True)
            self._say("The way follows the edited waypoints.")

    def _rings(self, event: str = "") -> bool:
        """Whether the bell may ring; overridden where that is known."""
        return True

    def _places_changed(self, choose: Waypoint | None = None) -> None:
        """Overridden where there is a list."""
        del choose

    def _form(self) -> PlaceForm | None:
        from tui.panes.place_form import PlaceForm

        try:
            return self.screen.query_one(PlaceForm)
        except NoMatches:
            return None


_LONG_AGO = datetime(1, 1, 1, tzinfo=UTC)


def _goal(waypoint: Waypoint) -> Goal:
    return Goal(waypoint.name, waypoint.position, waypoint.error_95_m)

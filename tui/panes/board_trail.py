"""The trail and its profile, bound to the board's state."""

from __future__ import annotations

from textual.reactive import reactive

from core.waypoint import Waypoint
from tui.panes.profile import ProfilePane, ProfileView
from tui.panes.trail import TrailPane
from tui.panes.trail_view import NamedPlace, TrailView
from tui.state import BoardState

STEP_DOTS = 12
"""How far an arrow key moves the view: about a tenth of a wide one."""


class BoardTrail(TrailPane):
    """The trail as the state has it."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)
    _waypoints: tuple[Waypoint, ...] = ()
    _places: tuple[NamedPlace, ...] = ()
    """The same as the drawing wants them: made once a change, since ten thousand a frame would be too many."""

    def tell(self, waypoints: tuple[Waypoint, ...]) -> None:
        """The user's places; the same tuple again costs nothing."""
        if waypoints is not self._waypoints:
            self._waypoints = waypoints
            self._places = tuple((one.name, one.position) for one in waypoints)
            self.watch_state()

    def step(self, right: int, down: int) -> None:
        """Move the view by as many steps of an arrow key."""
        self.pan(right * STEP_DOTS, down * STEP_DOTS)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.show(trail_view(self.state, self._places))


class BoardProfile(ProfilePane):
    """The profile as the state has it."""

    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.show(ProfileView(self.state.trip.track, self.state.position))


def trail_view(state: BoardState, places: tuple[NamedPlace, ...]) -> TrailView:
    """Track, position, target, places, and the way back while one is led along it."""
    back = state.route.goals[state.going.leg :] if state.is_by_trail and state.route else ()
    held = (state.status.name, state.position) if state.is_held and state.position else None
    return TrailView(
        track=state.trip.track,
        here=None if state.is_held else state.position,
        here_stale=not state.is_current,
        course_deg=state.course_deg,
        target=(state.target.name, state.target.position) if state.target else None,
        waypoints=places,
        held=held,
        back=tuple(goal.position for goal in back),
    )

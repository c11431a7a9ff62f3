"""Actions on the trip: legs, reset and undo, the way back, the trail's view."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from core.outing import Outing
from core.sources.feed import Feed
from core.sources.source import SourceKind
from core.track import TrackPoint
from core.trip_file import TripFile
from core.trip_keeper import TripKeeper
from core.waypoint import Waypoint
from tui import wording
from tui.actions.keeping import KeepingActions
from tui.actions.trail_view import TrailViewActions
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.own_keys import key_of
from tui.screens.pick import Choice, PickScreen
from tui.session import Session

START = "Start of the trail"
LEAST_POINTS = 2


SAME_TRIP = timedelta(hours=12)
"""A trip that ended longer ago is not taken up without asking (common practice, no source)."""


class TripActions(KeepingActions, TrailViewActions):
    """The trip under way."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        super().__init__(session, depth)
        self._keeper = TripKeeper(TripFile(session.data))
        self._trip_trouble = ""

    def action_new_leg(self) -> None:
        """One leg ends, the next begins."""
        outing = self._feed.outing if self._feed else None
        if outing is None:
            self._say("No trip is under way: there is no receiver or recording.", "warning")
            return
        outing.new_leg()
        self._say(f"Leg {len(outing.report().legs) + 1} begins.")

    def action_reset_trip(self) -> None:
        """A new trip; F9 brings the old one back."""
        feed = self._feed
        if feed is None or feed.outing is None:
            self._say("No trip is under way: there is nothing to begin anew.", "warning")
            return
        done = self._keeper.reset() if self._is_kept(feed) else feed.outing.reset()
        new = f"A new trip begins here. {key_of('undo_reset')} brings the old one back."
        self._say(new if done else "The trip has hardly begun: there is nothing to end.")

    def action_undo_reset(self) -> None:
        """The trip as it was before the reset, and what came since."""
        feed = self._feed
        if feed is None or feed.outing is None:
            self._say("No trip is under way.", "warning")
            return
        done = self._keeper.undo_reset() if self._is_kept(feed) else feed.outing.undo_reset()
        self._say("The trip is as it was, with what came since." if done else "No trip was reset.")

    def action_back_by_trail(self) -> None:
        """Along the track, the newest end first."""
        from core.return_trail import route_back
        from core.route_memory import trail_written

        track = self.state.trip.track
        if track.count < LEAST_POINTS:
            self._say("No trail yet: it grows as you go, from a usable fix on.", "warning")
            return
        start = Waypoint(START, track.points[0].position)
        is_live = self._feed is not None and self._is_kept(self._feed)
        self._steer_back(start, route_back(track), trail_written(track) if is_live else "")
        self._say("Back along the trail. x ends it. Watch the way: it may have changed since.")

    def action_back_to_start(self) -> None:
        """Straight to where the trip began."""
        track = self.state.trip.track
        if not track.count:
            self._say("No trail yet: there is no start to go back to.", "warning")
            return
        self._go_to((Waypoint(START, track.points[0].position),))
        self._say("Straight to the start of the trail. f goes back along it.")

    def action_trail_up(self) -> None:
        """The view, north."""
        self._pan(0, -1)

    def action_trail_down(self) -> None:
        """The view, south."""
        self._pan(0, 1)

    def action_zoom_in(self) -> None:
        """Nearer."""
        for trail in self._trails:
            trail.zoom_in()

    def action_zoom_out(self) -> None:
        """Farther."""
        for trail in self._trails:
            trail.zoom_out()

    def action_trail_follow(self) -> None:
        """With the position in the middle again."""
        for trail in self._trails:
            trail.follow()

    def action_trail_fit(self) -> None:
        """All of it."""
        for trail in self._trails:
            trail.fit()

    def _begin_trip(self, feed: Feed) -> None:
        """A live trip goes on where the last run left it, whether that was ended or killed."""
        if feed.outing is None or not self._is_kept(feed):
            return
        points, told = self._keeper.begin(feed.outing)
        if told:
            self.notify(one_cell_each(told), title="Trip", severity="warning", timeout=20, markup=False)
        if points:
            self._go_on(feed.outing, points[-1])

    def _go_on(self, outing: Outing, last: TrackPoint) -> None:
        """At once after a crash or a pause; a trip of another day by the user's leave."""
        distance = wording.distance(outing.report().totals.distance_m)
        then = last.utc.datetime() if last.utc else None
        if then is not None and datetime.now(tz=UTC) - then < SAME_TRIP:
            self._say(f"The trip goes on: {distance} so far. {key_of('reset_trip')} begins a new one.")
            self._go_on_back(outing)
            return
        when = f"{then:%Y-%m-%d %H:%M} UTC" if then else "an unknown time"

        def answered(number: int | None) -> None:
            if number == 1:
                self._go_on_back(outing)
            else:
                self._keeper.reset()

        choices = [
            Choice("A new trip", f"the old one is kept; {key_of('undo_reset')} brings it back"),
            Choice("Go on", f"{distance} so far"),
        ]
        self.push_screen(PickScreen(f"The last trip ended at {when}", choices, ""), answered)

    def _go_on_back(self, outing: Outing) -> None:
        """Along the trail as before this start, if that is the trail of this trip."""
        from core.return_trail import route_resumed
        from core.route_memory import trail_recalled

        track, kept = outing.report().track, self.session.memory.trail
        count = trail_recalled(kept, track) if kept else 0
        if count >= LEAST_POINTS:
            self._steer_back(Waypoint(START, track.points[0].position), route_resumed(track, count), kept)
            self._say("Still back along the trail. x ends it.")

    def _keep_trip(self) -> None:
        self._tell_trail()
        self._keeper.look()
        trouble = self._keeper.trouble
        if trouble and trouble != self._trip_trouble:
            self._say(f"The trip is not being saved: {trouble}", "error")
        self._trip_trouble = trouble

    def _tell_trail(self) -> None:
        """The user's places, at the first visit of its page and whenever they may have changed."""
        for trail in self._trails:
            trail.tell(self.session.waypoints)

    def _end_trip(self) -> None:
        self._keeper.end()

    def _is_kept(self, feed: Feed) -> bool:
        """What a recording shows is over, and kept in the recording."""
        return feed.status().kind is SourceKind.LIVE

"""Actions on what is watched: open, record, ring."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from time import monotonic

from core.errors import FixboardError
from core.logbook import RecorderState
from core.sources.feed import Feed
from core.sources.source import SourceKind
from tui.actions.averaging import AveragingActions
from tui.actions.chapters import ChapterActions
from tui.alert import EVENT_OF, FixAlert, GoingWatch, HeadingWatch, TurnWatch
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.dark import overdue_words
from tui.messages import News
from tui.opening import HeldOpening, LiveOpening, Openable, Opening, opening_of
from tui.screens.pick import Choice, PickScreen
from tui.session import EDITION, Session
from tui.state import Orientation

JUST_NOW_S = 0.75
"""News as young as this have been drawn with their ages: the second that ends now has nothing to add."""


class SourceActions(ChapterActions, AveragingActions):
    """The feed, its recorder and its bell."""

    owes_notice = False
    """Whether the cautions are shown before anything but a demo is watched; the command line knows."""

    def __init__(self, session: Session, openings: tuple[Openable, ...], depth: Depth | None) -> None:
        """`openings`: offered besides what there is at the moment."""
        super().__init__(session, depth)
        self._openings = openings
        self._ours_first = False
        """Whether what was asked for on the command line heads the list of what to watch."""
        self._before_hold: Openable | None = None
        """What k goes back to from a held place."""
        self._watched: Openable | None = None
        self._is_ready = False
        self._interrupted = session.memory.recording
        self._told_of_failure = False
        self._alert = FixAlert()
        self._jumps = 0
        """Of the replay, as of the last look."""
        self._heading = HeadingWatch()
        self._turn = TurnWatch()
        self._news_s = -JUST_NOW_S
        """When there were any last, by the room's clock."""
        self._has_just_drawn = False

    def open(self, opening: Openable) -> None:
        """Watch this from now on. What cannot be opened is said, and the board stays as it was."""
        settings = self.session.settings
        if isinstance(opening, Opening | LiveOpening):
            opening = replace(opening, errors=settings.errors, rule=settings.track)
        try:
            feed = opening.feed(self._tell)
        except FixboardError as error:
            self.notify(one_cell_each(str(error)), title="Cannot open", severity="error", timeout=20, markup=False)
            return
        self._leave()
        self._feed, self._watched = feed, opening
        self._alert, self._jumps = FixAlert(), 0
        if not isinstance(opening, HeldOpening):
            self._before_hold = opening
        route = self._route_again()
        self._going = GoingWatch()
        self._steer(route)
        self._show(route=route, sky=self.state.sky.as_received, wire_paused=False, wire_held=())
        self._begin_trip(feed)
        self._open_chapters(opening)
        if isinstance(opening, LiveOpening):
            self._begin_recording(feed)
        self._begin_feeding(opening)
        feed.start()  # last: what comes before a recorder or a client is there would be missing
        # When the picture stands: to be sure that it is on the disk may take longer than to draw it.
        self.call_after_refresh(self._remember, opening)
        if self._is_ready:
            self._give_notice(opening)

    def be_ready(self) -> None:
        """From now on there is a board that obeys keys: what was opened before it may have cautions of its own."""
        self._is_ready = True
        if self._watched:
            self._give_notice(self._watched)

    def _give_notice(self, opening: Openable) -> None:
        """Once, over the board that goes on: not of a demo, which is nowhere, and has an audience at times."""
        if not self.owes_notice:
            return
        from tui.offers import DEMO
        from tui.screens.notice import NoticeScreen

        if isinstance(opening, Opening) and opening.remark == DEMO:
            return
        self.owes_notice = False
        self.push_screen(NoticeScreen(), lambda _: self._keep(notice=EDITION))

    def _remember(self, opening: Openable) -> None:
        from tui.offers import remembered_as

        self._keep(source=remembered_as(opening, self.session.memory.source))

    def _begin_feeding(self, opening: Openable) -> None:
        """Overridden where other programs are fed."""

    def _begin_recording(self, feed: Feed) -> None:
        """At once where the user wants that; where the last run ended in a crash while it recorded, by their leave."""
        interrupted, self._interrupted = self._interrupted, ""
        if self.session.records:
            self._recorder.start(feed)
        elif interrupted:
            self._offer_to_go_on(feed, interrupted)

    def _offer_to_go_on(self, feed: Feed, interrupted: str) -> None:
        def answered(number: int | None) -> None:
            if number == 0:
                self._say(self._recorder.start(feed))
            else:
                self._keep(recording="")

        choices = [Choice("Go on recording", "into a new file"), Choice("Do not record", "what was recorded stays")]
        title = f"The last run ended while it recorded {one_cell_each(interrupted)}"
        self.push_screen(PickScreen(title, choices, ""), answered)

    def _leave(self) -> None:
        self._end_trip()
        self._recorder.stop(self._feed)
        if self._feed:
            self._feed.stop()

    def _tell(self) -> None:
        self.post_message(News())

    def on_news(self, message: News) -> None:
        """Take the newest snapshot and draw it."""
        message.stop()
        self._news_s = monotonic()
        if self._feed:
            self._show(snapshot=self._feed.take())
            self._watch_jumps()
            self._watch_fix()
            self._watch_going()
            self._watch_chapters()

    def _beat(self) -> None:
        """Each second."""
        self._has_just_drawn = monotonic() - self._news_s < JUST_NOW_S
        self._tick()
        self._has_just_drawn = False

    def _tick(self) -> None:
        self._refresh_places()
        self._keep_trip()
        if self._feed and not self._has_just_drawn:
            self._show()
            self._watch_jumps()
            self._watch_fix()
            self._watch_chapters()
        self._watch_turn()

    def _watch_jumps(self) -> None:
        """After a seek no bell rings for what lies between, nor for what was so before."""
        jumps = self.state.timeline.jumps if self.state.timeline else 0
        if jumps != self._jumps:
            self._jumps = jumps
            self._alert, self._going = FixAlert(), GoingWatch.at(self.state.going)

    def _watch_fix(self) -> None:
        said = self._alert.update(self.state.is_current, self.state.verdict, self.state.now_s)
        if said and self._rings(EVENT_OF.get(said, "doubtful")):
            self.bell()
            self._say(said, "warning")
        head_up = self.state.orientation is Orientation.HEAD_UP
        turned = self._heading.update(head_up=head_up, has_heading=self.state.heading_deg is not None)
        if turned:
            self._say(turned, "warning")
        self._watch_recorder()

    def _watch_recorder(self) -> None:
        failed = self.state.recorder.state is RecorderState.FAILED
        if failed and not self._told_of_failure:
            why = one_cell_each(self.state.recorder.reason)
            self.notify(why, title="Recording stopped", severity="error", timeout=30, markup=False)
        self._told_of_failure = failed

    def _watch_turn(self) -> None:
        """The latest turn is past: the banner says it all the time, the bell once."""
        said = self._turn.update(overdue_words(self.state))
        if said and self._rings("turn_back"):
            self.bell()
            self._say(said, "warning")

    def _rings(self, event: str = "") -> bool:
        """Live unless switched off; a recording only if switched on: a club meeting wants no bell.

        `event`: one of `ALERT_EVENTS`, of which the settings may leave some out.
        """
        if event and event not in self.session.settings.alerts.events:
            return False
        bell = self.session.bell
        return bell == "on" or (bell == "live" and self.state.status.kind is SourceKind.LIVE)

    def action_toggle_alert(self) -> None:
        """The bell on or off."""
        rings = not self._rings()
        self._keep(alert="on" if rings else "off")
        self._say("The bell rings when the fix is lost or comes back." if rings else "The bell is silent.")

    def action_toggle_recording(self) -> None:
        """Record, or stop."""
        if not self._feed:
            self._say("No source is open: there is nothing to record. o opens one.", "warning")
        else:
            desk = self._recorder
            self._say(desk.stop(self._feed) if desk.is_running else desk.start(self._feed))
            self._show()

    def action_open_other(self) -> None:
        """Choose another source."""
        self._ask_what_to_open()

    def _ask_what_to_open(self) -> None:
        """The list is made anew: ports come and go."""
        from core.sources.names import source_name
        from tui.offers import live_offers, recording_offers
        from tui.screens.chooser import ChooserScreen

        session = self.session
        others = [*live_offers(session.memory.source), *recording_offers(Path(), session.recordings)]
        offers = [*self._openings, *others] if self._ours_first else [*others, *self._openings]
        openings = {opening.label: opening for opening in offers}

        def picked(name: str | None) -> None:
            if name is not None:
                self.open(openings.get(name) or opening_of(source_name(name)))
            elif not self._feed:
                self.exit()

        self.push_screen(ChooserScreen([Choice(label, opening.remark) for label, opening in openings.items()]), picked)

"""Actions on the feed to other programs: on, off, and on from one source to the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.notifications import SeverityLevel

from core.errors import FixboardError
from tui.actions.watching import SourceActions
from tui.canvas.cells import one_cell_each
from tui.feed_desk import FeedDesk
from tui.opening import Openable

if TYPE_CHECKING:
    from core.feeding.plan import FeedPlan

LONG_NOTICE_S = 12.0


class FeedActions(SourceActions):
    """One feed."""

    wanted_feed: FeedPlan | None = None
    """What the command line asks for: it begins with the first source."""
    _feeding: FeedDesk | None = None
    _has_begun = False
    """Whether it was ever on, or was to be: who turned it off does not get it again with the next source."""
    _fed_from: Openable | None = None
    """What the open source was opened from."""
    _told_of_feed = ""
    _told_of_home = False

    def _begin_feeding(self, opening: Openable) -> None:
        """Clients stay, and get what there is to be had from what is watched from now on."""
        self._fed_from = opening
        if self._desk.is_running:
            self._try_to_move()
        elif self.wanted_feed and not self._has_begun:
            self._start_feed(self.wanted_feed)

    def action_toggle_feed(self) -> None:
        """Feed other programs, or stop."""
        if self._feed is None:
            self._say("No source is open: there is nothing to feed other programs with.", "warning")
        elif self._desk.is_running:
            self._say(self._desk.stop(self._feed))
        else:
            self._start_feed(self.wanted_feed or self._plan_of_settings())
        self._show()

    @property
    def _desk(self) -> FeedDesk:
        self._feeding = self._feeding or FeedDesk()
        return self._feeding

    def _plan_of_settings(self) -> FeedPlan:
        """They have been checked when they were read."""
        from core.feeding.plan import feed_plan

        return feed_plan(self.session.settings.feed)

    def _start_feed(self, plan: FeedPlan) -> None:
        if self._feed is None:
            return
        self._has_begun = True
        try:
            told = self._desk.start(plan, self._feed, self._fed_from)
        except FixboardError as error:
            self._say_long(str(error), "error")
            return
        self._told_of_feed = ""
        self._say_long(told, "warning" if plan.is_open else "information")

    def _try_to_move(self) -> None:
        if self._feed is None:
            return
        try:
            self._desk.move(self._feed, self._fed_from)
        except FixboardError as error:
            self._say_long(f"The feed has ended: {error}", "error")

    def _show(self, **changes: object) -> None:
        """With what other programs get."""
        if self._feeding:
            changes = {"feeding": self._feeding.status, **changes}
        super()._show(**changes)

    def _tick(self) -> None:
        super()._tick()
        self._watch_home()
        reason = self._feeding.status.reason if self._feeding else ""
        if reason != self._told_of_feed:
            self._told_of_feed = reason
            self._say_long(f"Feed: {reason}", "error")

    def _watch_home(self) -> None:
        """Once for each time that a feed which others can read comes near home."""
        position, home = self.state.position, self.session.settings.home
        if home is None or not (self._feeding and self._feeding.is_running and self._feeding.status.is_open):
            return
        from core.blur import EXACT, leaving  # few boards are open to a network

        warning = leaving(position, EXACT, home) if position else None
        if warning and not self._told_of_home:
            self._say_long(f"The feed is open to the network: {warning}", "warning")
        self._told_of_home = bool(warning)

    def _say_long(self, text: str, severity: SeverityLevel) -> None:
        """Addresses have to be read twice."""
        self.notify(one_cell_each(text), severity=severity, markup=False, timeout=LONG_NOTICE_S)

    def end_feed(self) -> None:
        """The program ends."""
        if self._feeding:
            self._feeding.stop(self._feed)

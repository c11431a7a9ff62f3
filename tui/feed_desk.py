"""Starting and stopping the feed to other programs, and keeping it going from one source to the next."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from core.errors import FixboardError, InputError
from core.feed_status import NO_FEED, FeedState, FeedStatus
from core.sources.feed import Feed
from core.sources.source import SourceKind
from core.sources.wall import anchor_now
from tui.opening import HeldOpening, LiveOpening, Openable, Opening

if TYPE_CHECKING:
    from core.feed import Feeder
    from core.feeding.plan import FeedPlan, Origin

OPEN = "OPEN TO THE NETWORK: anybody who can reach this computer can read where you are."
ALONE = "This computer alone can read it."


class FeedDesk:
    """At most one feed at a time."""

    def __init__(self) -> None:
        self._feeder: Feeder | None = None

    @property
    def status(self) -> FeedStatus:
        """Of the running feed, or of the last one."""
        return self._feeder.status if self._feeder else NO_FEED

    @property
    def is_running(self) -> bool:
        """Whether other programs can read anything."""
        return self.status.state is FeedState.ON

    def start(self, plan: FeedPlan, feed: Feed, opening: Openable | None) -> str:
        """Feed from this source; what to tell the user. Raises InputError saying what to do."""
        # A board that feeds nobody never imports any of it.
        from core.feed import Feeder

        _refuse_echo(plan, feed)
        feeder = Feeder(plan, origin_of(feed, opening), anchor_now(), time.monotonic)
        feeder.start()
        self._feeder = feeder
        feed.outlet = feeder.offer
        status = feeder.status
        what = "raw sentences" if status.is_raw else "sentences, rebuilt,"
        return f"Feeding {what} to {', '.join(status.where)}. {OPEN if status.is_open else ALONE}"

    def move(self, feed: Feed, opening: Openable | None) -> None:
        """Go on from another source. Raises InputError, and ends the feed, where it would come back to that."""
        if not self._feeder or not self.is_running:
            return
        try:
            _refuse_echo(self._feeder.plan, feed)
        except InputError:
            self.stop(None)
            raise
        self._feeder.feed_from(origin_of(feed, opening))
        feed.outlet = self._feeder.offer

    def stop(self, feed: Feed | None) -> str:
        """Hang up; what to tell the user."""
        if feed:
            feed.outlet = None
        if not self._feeder:
            return "Nothing is fed to other programs."
        self._feeder.stop()
        return "The feed has ended."


def origin_of(feed: Feed, opening: Openable | None) -> Origin:
    """What the feed has to know of its source."""
    from core.feeding.plan import Origin

    status = feed.status()
    held = opening.place if isinstance(opening, HeldOpening) else None
    return Origin(status.kind, status.name, _needs_checksums(opening), held)


def _needs_checksums(opening: Openable | None) -> bool:
    """As the board itself reads it (contract.md, Checksums)."""
    if isinstance(opening, LiveOpening):
        return opening.checksums != "allow"
    try:
        return not isinstance(opening, Opening) or opening.needs_checksums()
    except FixboardError:  # it was there a moment ago
        return True


def _refuse_echo(plan: FeedPlan, feed: Feed) -> None:
    from core.feeding.echo import comes_back

    status = feed.status()
    back = [one.text for one in plan.addresses if status.kind is SourceKind.LIVE and comes_back(one, status)]
    if back:
        raise InputError(f"{back[0]} is where the board itself listens: choose another address for the feed")

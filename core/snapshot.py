"""All that is known at one moment: what the model hands to screens and commands, never to change again."""

from __future__ import annotations

from dataclasses import dataclass, field

from core.aged import Aged
from core.clock_report import NO_CLOCK, ClockReport
from core.course import CourseTrust
from core.events import Event as SessionEvent
from core.fix import NO_FIX, Fix, Satellite
from core.history import NO_VALUES, Moment, Values
from core.navigator import NOT_GOING, Going
from core.nmea.framing import Reason, Rejected
from core.outing import NO_REPORT, TripReport
from core.series import Sample
from core.site import NO_SITE, SiteReport
from core.sky_memory import NO_HISTORY, SkyHistory
from core.trust import NO_TRUST, Trust

WireLine = str | Rejected
"""An accepted sentence as its text alone: its fields would keep a hundred times the memory in use."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What has come so far."""

    verified: int = 0
    """Sentences with the right checksum."""
    unverified: int = 0
    """Sentences without a checksum that were accepted, because this source is allowed to."""
    rejected: dict[Reason, int] = field(default_factory=dict)
    """By reason. MALFORMED ones are also counted as verified (or unverified): their framing was right."""
    types: dict[str, int] = field(default_factory=dict)
    """Accepted sentences by address."""
    epochs: int = 0
    epochs_with_fix: int = 0
    """Epochs with a satellite fix."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """All that a screen or a command needs to know, at one moment."""

    fix: Fix = NO_FIX
    """The newest epoch, perhaps not complete yet."""
    at_s: float = 0.0
    """When the newest byte arrived, on the source's clock."""
    values: Values = NO_VALUES
    course_trust: CourseTrust = CourseTrust.NONE
    sky: Aged[tuple[Satellite, ...]] | None = None
    """None until the receiver has said what is in view."""
    last_fix: Moment | None = None
    """The newest satellite fix, however old."""
    counts: Counts = field(default_factory=Counts)
    wire: tuple[WireLine, ...] = ()
    """The newest sentences and rejections, oldest first."""
    texts: tuple[str, ...] = ()
    """The receiver's own messages (TXT), oldest first, unfiltered: clean before showing."""
    trust: Trust = NO_TRUST
    """The verdict on the newest epoch."""
    events: tuple[SessionEvent, ...] = ()
    """What happened so far in this session, oldest first; with a judgement only."""
    samples: tuple[Sample, ...] = ()
    """The last hour's figures, oldest first; with a judgement only."""
    going: Going = NOT_GOING
    """How the way to the target goes."""
    trip: TripReport = NO_REPORT
    """Track and totals, as of the newest finished epoch."""
    site: SiteReport = NO_SITE
    """The averaging of one spot, if the user has begun one."""
    sky_history: SkyHistory = NO_HISTORY
    """What the sky has shown in this session, where that is kept."""
    clock: ClockReport = NO_CLOCK
    """The computer's clock against the satellites', as of the newest finished epoch."""
    open_epochs: tuple[Moment, ...] = ()
    """Those that are not finished yet, as far as they have come, oldest first: two at most."""

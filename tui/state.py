"""What the board shows, as one immutable record: every pane is drawn from this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum
from functools import lru_cache
from typing import TYPE_CHECKING

from core.aged import Freshness
from core.before_dark import RESERVE, Reserve
from core.chapters import NO_CHAPTERS, Chapters
from core.course import CourseTrust
from core.feed_status import NO_FEED, FeedStatus
from core.fix import Position, Utc
from core.logbook import NOT_RECORDING, RecorderStatus
from core.model import Snapshot, WireLine
from core.navigator import NOT_GOING, Going, Route
from core.outing import TripReport
from core.places.notation import Notation
from core.power import UNKNOWN_POWER, Power
from core.sources.source import SourceKind, SourceState, SourceStatus
from core.timeline import NO_SURVEY, Survey, Timeline
from core.trust import Judged, Verdict
from core.trust_rules import AGE, look_at_age
from core.units import METRIC, Units
from core.waypoint import Waypoint
from tui.bearings import Reference, bearing_words
from tui.sky_choice import NO_CHOICE, SkyChoice

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.guidance import Guidance
    from core.pair_other import Other


class Orientation(Enum):
    """What is at the top of sky and compass."""

    NORTH_UP = "north-up"
    COURSE_UP = "course-up"
    HEAD_UP = "head-up"
    """Only where a heading sentence exists: a receiver with one antenna knows its course, not where it points."""


AHEAD_M = 20.0
"""How far along the trail the kite points at least, so that it does not twitch from bend to bend (common practice)."""
POSITIONS_ONLY = "positions from a file: nobody knows how good they are"
NO_SOURCE = SourceStatus(SourceKind.NOTHING, "nothing open yet", SourceState.STARTING)


@dataclass(frozen=True, slots=True)
class BoardState:
    """Snapshot, source and choices at one moment.

    Longer than a class should be: it is the one thing that panes may ask, a few lines for each question, none twice.
    """

    snapshot: Snapshot = field(default_factory=Snapshot)
    status: SourceStatus = NO_SOURCE
    now_s: float = 0.0
    """The source's clock: what ages are measured against."""
    notation: Notation = Notation.DECIMAL
    orientation: Orientation = Orientation.NORTH_UP
    target: Waypoint | None = None
    then: tuple[Waypoint, ...] = ()
    """Where the route goes on to after the target."""
    route: Route | None = None
    """What the model guides along at the moment."""
    is_by_trail: bool = False
    """Whether that is the way back along the track: its goals are the track's bends, the target is its start."""
    wire_paused: bool = False
    wire_held: tuple[WireLine, ...] = ()
    """The sentences that are held still, while they are."""
    wire_at: int = 0
    """Which of them is chosen."""
    recorder: RecorderStatus = NOT_RECORDING
    feeding: FeedStatus = NO_FEED
    """What is handed on to other programs."""
    sending: str = ""
    """How the writing of position texts goes, in two words; empty while none are written."""
    is_saving: bool = False
    """Whether power is saved: one repaint a second, no turning in steps, no charts."""
    power: Power = UNKNOWN_POWER
    """What runs this computer, where anybody has looked."""
    reference: Reference = Reference.TRUE
    """Which north bearings are counted from, in words; the rose is always true."""
    reserve: Reserve = RESERVE
    """What is kept in hand before dark."""
    units: Units = METRIC
    """What lengths, speeds and heights are written in; here so that all is drawn anew when they change."""
    pins_digits: bool = False
    """Whether a position is always written to about a metre, whatever its error."""
    chart_span: int = 1
    """Which length of the charts' time axis."""
    chart_back_s: float = 0.0
    """How far back from now the charts end."""
    sky: SkyChoice = NO_CHOICE
    """Layer and what-if of the sky's page."""
    timeline: Timeline | None = None
    """Where the replay stands; None for whatever is no recording."""
    survey: Survey = NO_SURVEY
    """What there is along it, the future included."""
    chapters: Chapters = NO_CHAPTERS
    """Its named moments."""
    first_row: int = 0
    """The row that a page of more rows than fit begins with."""
    is_stage: bool = False
    """Whether pages are drawn for the back of a room."""
    other: Other | None = None
    """The recording that plays beside this one; None where there is none."""

    def changed(self, **changes: object) -> BoardState:
        """A copy with some fields replaced."""
        return replace(self, **changes)  # type: ignore[arg-type]  # checked by dataclasses.replace at run time

    @property
    def is_held(self) -> bool:
        """Whether this is a saved place, and no receiver."""
        return self.status.kind is SourceKind.HELD

    @property
    def is_positions_only(self) -> bool:
        """Whether this is somebody's track, of unknown quality."""
        return self.status.kind is SourceKind.TRACK

    @property
    def position_freshness(self) -> Freshness:
        """A position is no longer current the moment the receiver says void, however young it is."""
        aged = self.snapshot.values.position
        if aged is None:
            return Freshness.GONE
        freshness = aged.freshness(self.now_s)
        if freshness is Freshness.FRESH and self.snapshot.fix.position is None:
            return Freshness.STALE
        return freshness

    @property
    def position(self) -> Position | None:
        """Where the receiver is, while that may be shown at all."""
        aged = self.snapshot.values.position
        return aged.value if aged and self.position_freshness is not Freshness.GONE else None

    @property
    def is_current(self) -> bool:
        """Whether the position may be taken for the present one."""
        return self.position_freshness is Freshness.FRESH

    @property
    def digits_error_m(self) -> float | None:
        """The 95 % error that a position's digits follow; None: the usual digits."""
        return None if self.pins_digits else self.snapshot.trust.error.horizontal_m

    def bearing(self, true_deg: float) -> str:
        """A bearing in the user's reference, named."""
        utc = self.utc
        return bearing_words(true_deg, self.reference, self.position, utc.day if utc else None)

    @property
    def utc(self) -> Utc | None:
        """The time, its date moved by whole rollovers where that is what is wrong: light and north go by this."""
        aged = self.snapshot.values.utc
        return self.corrected_utc or (aged.value if aged else None)

    @property
    def corrected_utc(self) -> Utc | None:
        """The time with its date corrected; None where nothing had to be."""
        aged, evidence = self.snapshot.values.utc, self.snapshot.trust.evidence
        if aged is None or evidence is None or evidence.corrected_day is None:
            return None
        return Utc(aged.value.time_ms, evidence.corrected_day)

    @property
    def verdict(self) -> Verdict:
        """The verdict, brought down by age: what was firm is doubtful once nothing new has come, then no fix."""
        if self.position_freshness is Freshness.GONE:
            return Verdict.NO_FIX
        found = self.snapshot.trust.verdict
        if self.position_freshness is Freshness.STALE:
            return Verdict.NO_FIX if self.snapshot.fix.position is None else min(found, Verdict.DOUBTFUL)
        return found

    @property
    def judged(self) -> tuple[Judged, ...]:
        """Every rule and what it found, age first."""
        aged = self.snapshot.values.position
        if aged is None or self.snapshot.fix.position is None or self.is_held:
            return self.snapshot.trust.judged
        look = look_at_age(aged.age_s(self.now_s), aged.freshness(self.now_s))
        return (Judged(AGE, look), *self.snapshot.trust.judged)

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is no better, the weightiest first; age before all else."""
        if self.is_positions_only and self.snapshot.fix.position is not None:
            return (POSITIONS_ONLY,)
        age = self.judged[0].look.reason if self.judged and self.judged[0].rule is AGE else ""
        return (age, *self.snapshot.trust.reasons) if age else self.snapshot.trust.reasons

    @property
    def advice(self) -> str:
        """What to do about it."""
        if self.is_positions_only:
            return ""
        return self.snapshot.trust.advice

    @property
    def course_trust(self) -> CourseTrust:
        """NONE unless course and speed are both fresh."""
        values = self.snapshot.values
        fresh = all(
            aged is not None and aged.freshness(self.now_s) is Freshness.FRESH
            for aged in (values.course_deg, values.speed_mps)
        )
        return self.snapshot.course_trust if fresh and self.is_current else CourseTrust.NONE

    @property
    def course_deg(self) -> float | None:
        """Course over ground, true, where it means something; unsure ones included.

        Reported by the receiver, or, where that is not sure, walked: taken from a straight stretch of the track.
        """
        if self.walked_course_deg is not None:
            return self.walked_course_deg
        aged = self.snapshot.values.course_deg
        return aged.value if aged and self.course_trust is not CourseTrust.NONE else None

    @property
    def trip(self) -> TripReport:
        """Track and totals."""
        return self.snapshot.trip

    @property
    def going(self) -> Going:
        """How the way to the target goes; nothing while the model has not heard of this route yet."""
        going = self.snapshot.going
        return going if self.route is not None and going.route is self.route else NOT_GOING

    @property
    def walked_course_deg(self) -> float | None:
        """The course from the last straight stretch of the track, where the receiver's own is not sure."""
        if not self.is_current or self.course_trust is CourseTrust.SURE:
            return None
        return self.going.track_course_deg

    @property
    def is_course_sure(self) -> bool:
        """Whether the course can be relied on to turn by."""
        return self.course_trust is CourseTrust.SURE or self.walked_course_deg is not None

    @property
    def heading_deg(self) -> float | None:
        """True heading, where a receiver or compass gives one, and while it is fresh."""
        aged = self.snapshot.values.heading_deg
        return aged.value if aged and aged.freshness(self.now_s) is Freshness.FRESH else None

    @property
    def up_deg(self) -> float:
        """True bearing at the top of sky and compass. Without a sure course, or a heading, it is north-up."""
        if self.orientation is Orientation.HEAD_UP:
            return self.heading_deg or 0.0
        turns = self.orientation is Orientation.COURSE_UP and self.is_course_sure
        return (self.course_deg or 0.0) if turns else 0.0

    @property
    def turned_by(self) -> Orientation:
        """What is at the top at this moment, whatever was asked for."""
        if self.orientation is Orientation.HEAD_UP and self.heading_deg is not None:
            return Orientation.HEAD_UP
        if self.orientation is Orientation.COURSE_UP and self.is_course_sure:
            return Orientation.COURSE_UP
        return Orientation.NORTH_UP

    @property
    def next_orientation(self) -> Orientation:
        """The one after this, of those there are: head-up only with a heading."""
        offered = [one for one in Orientation if one is not Orientation.HEAD_UP or self.heading_deg is not None]
        if self.orientation not in offered:
            return Orientation.NORTH_UP
        return offered[(offered.index(self.orientation) + 1) % len(offered)]

    @property
    def guidance(self) -> Guidance | None:
        """Which way to the target from the last position that may be shown."""
        here, goal = self.position, self.goal
        if here is None or goal is None:
            return None
        return _guidance(here, goal, self.course_deg if self.is_course_sure else None)

    @property
    def goal(self) -> Position | None:
        """What the kite points to: the target, or by trail a bend a little ahead."""
        from core.return_trail import lookahead

        if self.target is None:
            return None
        if self.is_by_trail and self.route is not None and self.position is not None:
            return lookahead(self.route, self.going.leg, self.position, AHEAD_M).position
        return self.target.position

    @property
    def trail_left_m(self) -> float | None:
        """How far it still is along the trail; None where that is not the way."""
        from core.return_trail import left_m

        if not self.is_by_trail or self.route is None or self.position is None:
            return None
        return left_m(self.route, self.going, self.position)


@lru_cache(maxsize=4)
def _guidance(here: Position, goal: Position, course_deg: float | None) -> Guidance:
    """Several panes ask for the same of each state."""
    from core.guidance import guide

    return guide(here, goal, course_deg)

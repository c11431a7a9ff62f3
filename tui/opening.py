"""From a name to a feed, not started: everything that can fail before there is something to show."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from core.accuracy import ErrorModel
from core.clock import ClockMeter, ClockSetup
from core.errors import UsageError
from core.judgement import Judgement
from core.latency import Latency, Learned, nothing_learned
from core.model import FixModel
from core.outing import Outing
from core.sky_memory import SkyMemory
from core.sources.feed import Feed
from core.sources.names import Sort, SourceName
from core.sources.player import Playable, Player
from core.sources.recording import has_checksums, open_recording
from core.sources.rehearsal_label import is_rehearsal
from core.sources.source import Source, SourceKind
from core.track_rule import USUAL_RULE, TrackRule

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.held import HeldPlace
    from core.sources.serial_source import SerialHost

NO_CHECKSUMS = "no checksums in this file: damage goes unnoticed"


class Openable(Protocol):
    """Something that the board can be opened on."""

    @property
    def label(self) -> str:
        """What to call it in a list."""

    @property
    def remark(self) -> str:
        """What else is known of it."""

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """A feed of it, not started. Raises InputError where it cannot be opened."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A recording to play, and how."""

    path: Path
    pace: float = 1.0
    checksums: str | None = None
    """`require`, `allow`, or None: by what the file's first sentences do."""
    remark: str = ""
    errors: ErrorModel = field(default_factory=ErrorModel)
    """What the 95 % error is estimated with."""
    rule: TrackRule = USUAL_RULE
    """When a point of the track is kept."""

    @property
    def label(self) -> str:
        """The file's name."""
        return self.path.name

    def needs_checksums(self) -> bool:
        """contract.md, Checksums. Raises InputError where the file cannot be read."""
        if self.checksums is not None:
            return self.checksums == "require"
        return has_checksums(self.path)

    def recording(self) -> Playable:
        """What is played. Raises InputError where it cannot be read."""
        return open_recording(self.path)

    def player(self, recording: Playable, warning: str) -> Player:
        """What plays it."""
        return Player(recording, self.pace, time.monotonic, warning)

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Open the file and make a feed of it, not started. Raises InputError where it cannot be read."""
        from core.formats.given_track import is_track

        if is_track(self.path):
            return self._feed_of_track(on_news)
        required = self.needs_checksums()
        player = self.player(self.recording(), "" if required else NO_CHECKSUMS)
        if is_rehearsal(self.path):
            player.kind = SourceKind.REHEARSAL
        model = FixModel(required, judgement=Judgement(self.errors), outing=Outing(self.rule))
        model.clock = ClockMeter(ClockSetup(require_checksum=required))
        model.sky_memory = SkyMemory()
        return Feed(player, model, on_news)

    def _feed_of_track(self, on_news: Callable[[], None]) -> Feed:
        """A track of a map program: the same board, labelled; nothing in it was measured as far as we know."""
        from core.formats.given_track import read_track
        from core.sources.given_recording import GivenRecording

        recording = GivenRecording(self.path, read_track(self.path))
        player = self.player(recording, recording.warning)
        player.kind = SourceKind.TRACK
        model = FixModel(judgement=Judgement(self.errors), outing=Outing(self.rule))
        model.positions_only = True
        return Feed(player, model, on_news)


@dataclass(frozen=True, slots=True)
class PairOpening(Opening):
    """A recording that is opened with another beside it (`tui.pair_opening`)."""

    beside: Path | None = None
    """The file of B."""


@dataclass(frozen=True, slots=True)
class LiveOpening:
    """A receiver on a port or on the network."""

    name: SourceName | None = None
    """None: whatever receiver is found on a serial port."""
    baud: int | None = None
    checksums: str | None = None
    remark: str = ""
    errors: ErrorModel = field(default_factory=ErrorModel)
    """What the 95 % error is estimated with."""
    rule: TrackRule = USUAL_RULE
    """When a point of the track is kept."""
    learned: Learned = nothing_learned
    """What latency was learned with a receiver."""

    @property
    def label(self) -> str:
        """The name as one would type it."""
        return self.name.text if self.name else "the receiver, wherever it is"

    def source(self, host: SerialHost | None = None) -> Source:
        """The source itself. Raises InputError or UsageError."""
        from core.sources.network import TcpSource, UdpSource
        from core.sources.serial_source import RealHost, SerialSource, Wanted

        name = self.name
        if name is None or name.sort is Sort.SERIAL:
            return SerialSource(Wanted(name.text if name else None, self.baud), host or RealHost(), time.monotonic)
        if name.sort is Sort.TCP:
            return TcpSource(name.host, name.port, time.monotonic)
        if name.sort is Sort.UDP:
            return UdpSource(name.host, name.port, time.monotonic)
        raise UsageError(f"{name.text} is no live source: fixboard replay opens recordings")

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """contract.md, Checksums: live sources require them unless told otherwise."""
        model = FixModel(self.checksums != "allow", judgement=live_judgement(self.errors), outing=Outing(self.rule))
        source = self.source()
        model.clock = live_meter(source, self.learned, require_checksum=self.checksums != "allow")
        model.sky_memory = SkyMemory()
        return Feed(source, model, on_news)


@dataclass(frozen=True, slots=True)
class HeldOpening:
    """A saved place to run the board from, without a receiver."""

    place: HeldPlace
    remark: str = "held place"

    @property
    def label(self) -> str:
        """The place's name."""
        return self.place.name

    def feed(self, on_news: Callable[[], None]) -> Feed:
        """Nothing can fail: there is nothing to open."""
        from core.held import HeldModel
        from core.sources.held import HeldSource
        from core.sources.wall import anchor_now

        return Feed(HeldSource(self.place.name, time.monotonic), HeldModel(self.place, anchor_now()), on_news)


def live_meter(
    source: Source, learned: Learned, stated: Latency | None = None, *, require_checksum: bool = True
) -> ClockMeter:
    """Compares this computer's clock with what a live source says."""
    from core.sources.clocks import read_clocks
    from core.sources.line_identity import LineIdentity

    return ClockMeter(ClockSetup(read_clocks, LineIdentity(source.status), stated, learned, require_checksum))


def live_judgement(errors: ErrorModel, *, steady: bool = True) -> Judgement:
    """For what is received now: the date is this computer's, or that of the program if the computer's is older."""
    from core.dates import BUILT_ON

    return Judgement(errors, max(datetime.now(tz=UTC).date(), BUILT_ON), steady=steady)


def opening_of(name: SourceName) -> Openable:
    """What to open for a name that the user has chosen or typed."""
    return Opening(Path(name.text)) if name.sort is Sort.FILE else LiveOpening(name)

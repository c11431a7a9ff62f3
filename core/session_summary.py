"""What a session holds, in a line of the logbook: worked out in one pass and in constant memory."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.accuracy import ErrorModel
from core.epochs import Epoch, EpochReader
from core.errors import InputError
from core.fix import Position
from core.nmea.framing import Framer, Sentence
from core.places.locator import locator
from core.session_clock import Anchor, Dates, SessionClock, in_calendar, moment
from core.session_files import Session
from core.session_reading import needs_checksums, open_session
from core.trip import TripMeter
from core.trip_state import MOST
from core.trust import Verdict

LOOKED_AT = 4_000_000
"""Bytes without a sentence after which a file is taken for none of ours: an hour of the busiest receiver."""


@dataclass(frozen=True, slots=True)
class Summary:
    """Of one session; what is not known is None."""

    begins_ms: int | None = None
    """Unix milliseconds of the first epoch that has a time (`core.session_clock`)."""
    ends_ms: int | None = None
    dates: Dates = Dates.NONE
    duration_s: float | None = None
    """From the first to the last epoch, on the recording's own clock."""
    distance_m: float | None = None
    """The honest distance of the trip; None where no fix was good enough to count by."""
    first: Position | None = None
    """Of the first satellite fix."""
    last: Position | None = None
    """Of the last satellite fix."""
    epochs: int = 0
    epochs_with_fix: int = 0
    verdicts: tuple[int, ...] = (0,) * len(Verdict)
    """Epochs by verdict, worst first."""
    problem: str = ""
    """Why it could not be read, or not to its end."""
    anchor: Anchor | None = None
    """Ties the recording's own clock to the receiver's, for `core.whereabouts`."""

    @property
    def locator(self) -> str | None:
        """Of the first fix, six characters."""
        return None if self.first is None else locator(self.first, 6)

    @property
    def last_locator(self) -> str | None:
        """Of the last fix, six characters."""
        return None if self.last is None else locator(self.last, 6)

    def as_json(self) -> dict[str, Any]:
        """For the cache."""
        return {
            "begins_ms": self.begins_ms,
            "ends_ms": self.ends_ms,
            "dates": self.dates.value,
            "duration_s": self.duration_s,
            "distance_m": self.distance_m,
            "first": self.first,
            "last": self.last,
            "epochs": self.epochs,
            "epochs_with_fix": self.epochs_with_fix,
            "verdicts": self.verdicts,
            "problem": self.problem,
            "anchor": self.anchor,
        }


def from_json(found: Mapping[str, Any]) -> Summary:
    """What `as_json` gave. Raises KeyError, TypeError, ValueError or OverflowError where it cannot have given that."""
    anchor = found["anchor"]
    summary = Summary(
        begins_ms=_unix_ms(found["begins_ms"]),
        ends_ms=_unix_ms(found["ends_ms"]),
        dates=Dates(found["dates"]),
        duration_s=_figure(found["duration_s"]),
        distance_m=_figure(found["distance_m"]),
        first=_position(found["first"]),
        last=_position(found["last"]),
        epochs=_count(found["epochs"]),
        epochs_with_fix=_count(found["epochs_with_fix"]),
        verdicts=tuple(_count(one) for one in found["verdicts"]),
        problem=str(found["problem"]),
        anchor=None if anchor is None else Anchor(float(_figure(anchor[0]) or 0.0), _unix_ms(anchor[1]) or 0),
    )
    if len(summary.verdicts) != len(Verdict):
        raise ValueError("another number of verdicts")
    return summary


def summarise(
    session: Session, errors: ErrorModel | None = None, progress: Callable[[float], None] = lambda _: None
) -> Summary:
    """Read all of a session. Damage ends the reading, and is said in `problem`; what came before it counts.

    `progress`: called now and then with the part that has been read, 0 to 1; what it raises ends the reading.
    """
    known = unusable(session)
    if known is not None:
        return known
    summing = _Summing(session)
    try:
        return summing.read(errors, progress)
    except InputError as error:
        return summing.summary(_said(error, session))


def unusable(session: Session) -> Summary | None:
    """What needs no reading: of files that cannot be recordings, and of empty ones. None for all others."""
    problem = next((file.problem for file in session.files if file.problem), "")
    if not problem and session.size == 0:
        problem = "is empty: nothing has come yet" if session.growing else "is empty: nothing had come when it ended"
    return Summary(problem=problem) if problem else None


def _said(error: InputError, session: Session) -> str:
    """Without the path, which stands beside it anyway."""
    return str(error).replace(f"{session.paths[0]} ", "", 1)


class _Summing:
    """Epoch by epoch."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._clock = SessionClock(session.began)
        self._trip = TripMeter()
        self._verdicts: Counter[Verdict] = Counter()
        self._first: Position | None = None
        self._last: Position | None = None
        self._with_fix = 0
        self._earliest: Anchor | None = None
        self._latest: Anchor | None = None

    def read(self, errors: ErrorModel | None, progress: Callable[[float], None]) -> Summary:
        paths = self._session.paths
        if not _holds_sentences(paths):
            return Summary(problem="holds no sentence of NMEA 0183")
        required = needs_checksums(paths)
        recording = open_session(paths)
        try:
            reader = EpochReader(recording, required, errors)
            for epoch in reader.epochs(lambda: progress(recording.fraction)):
                self._take(epoch)
            return self.summary()
        finally:
            recording.close()

    def _take(self, epoch: Epoch) -> None:
        self._verdicts[epoch.trust.verdict] += 1
        self._trip.take(epoch.fix, epoch.at_s, epoch.usable)
        self._take_time(epoch)
        if epoch.fix.is_satellite_fix:
            self._with_fix += 1
            self._first = self._first or epoch.fix.position
            self._last = epoch.fix.position

    def _take_time(self, epoch: Epoch) -> None:
        before = self._clock.anchor
        unix_ms = self._clock.unix_ms(epoch)
        if unix_ms is None:
            return
        self._latest = Anchor(epoch.at_s, unix_ms)
        self._earliest = self._earliest or self._latest
        if before is None and self._clock.anchor is not None:  # what was only guessed so far can now be counted back
            back_s = self._latest.at_s - self._earliest.at_s
            begins_ms = self._latest.unix_ms - round(back_s * 1000)
            if not in_calendar(begins_ms):  # by times of a host that leapt by millennia
                begins_ms = self._latest.unix_ms
            self._earliest = Anchor(self._earliest.at_s, begins_ms)

    def summary(self, problem: str = "") -> Summary:
        """As of now."""
        self._trip.finish()
        early, late = self._earliest, self._latest
        return Summary(
            begins_ms=early.unix_ms if early else None,
            ends_ms=late.unix_ms if late else None,
            dates=self._clock.dates,
            duration_s=round(late.at_s - early.at_s, 3) if early and late else None,
            distance_m=round(self._trip.totals().distance_m, 2) if self._trip.begun else None,
            first=self._first,
            last=self._last,
            epochs=sum(self._verdicts.values()),
            epochs_with_fix=self._with_fix,
            verdicts=tuple(self._verdicts[verdict] for verdict in sorted(Verdict)),
            problem=problem,
            anchor=self._clock.anchor,
        )


def _holds_sentences(paths: Sequence[Path]) -> bool:
    """Whether the first megabytes do: a film in the folder, or a few kB that unpack to one, must not be read whole."""
    framer, looked_at = Framer(require_checksum=False), 0
    with closing(open_session(paths)) as recording:
        for block in recording.blocks():
            looked_at += len(block)
            if any(isinstance(event, Sentence) for event in framer.feed(block)):
                return True
            if looked_at > LOOKED_AT:
                return False
    return any(isinstance(event, Sentence) for event in framer.finish())


def _position(found: Any) -> Position | None:
    return None if found is None else Position(_within(found[0], -90.0, 90.0), _within(found[1], -180.0, 180.0))


def _unix_ms(found: Any) -> int | None:
    """A moment that the calendar has."""
    if found is not None:
        moment(int(found))
    return None if found is None else int(found)


def _figure(found: Any) -> float | None:
    """Metres or seconds."""
    return None if found is None else _within(found, 0.0, MOST)


def _count(found: Any) -> int:
    return int(_within(found, 0, MOST))


def _within(found: Any, low: float, high: float) -> float:
    """NaN is in no range: it compares false."""
    if isinstance(found, bool) or not isinstance(found, int | float) or not low <= found <= high:
        raise ValueError("a figure out of its range")
    return float(found)

"""What a recording holds, worked out in one pass and in constant memory."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

from core.accuracy import ErrorModel, RunningMedian
from core.fix import Fix, FixMode, Position, Utc
from core.judgement import Judgement
from core.model import Counts, Finished, FixModel
from core.nmea.framing import Reason
from core.places.geodesic import distance_m
from core.steps import clock_step_s
from core.trip import TripMeter
from core.trust import Trust, Verdict


class Digest:
    """Collects Fixes: `add` is a model's observer; then ask for `as_json`."""

    def __init__(self) -> None:
        self._modes: Counter[FixMode] = Counter()
        self._verdicts: Counter[Verdict] = Counter()
        self._errors = RunningMedian()
        self._first: Fix | None = None
        self._last: Fix | None = None
        self._in_view: int | None = None
        self._fastest: float | None = None
        self._distance_m = 0.0
        self._trip = TripMeter()
        self._position: Position | None = None
        self._utc: Utc | None = None
        self._duration_s = 0.0

    def add(self, finished: Finished) -> None:
        """Take the next epoch."""
        fix, in_view = finished.fix, finished.in_view
        verdict = finished.trust.verdict
        self._verdicts[verdict] += 1
        error = finished.trust.error.horizontal_m
        if error is not None:
            self._errors.add(error)
        self._modes[fix.mode] += 1
        if in_view is not None and in_view > (self._in_view or -1):
            self._in_view = in_view
        if fix.speed_mps is not None and fix.speed_mps > (-1.0 if self._fastest is None else self._fastest):
            self._fastest = fix.speed_mps
        self._add_position(fix)
        self._add_time(fix.utc)
        self._trip.take(fix, _clock_s(finished.trust), fix.is_satellite_fix and verdict >= Verdict.USABLE)

    def as_json(self, counts: Counts) -> dict[str, Any]:
        """The object of contract.md's `digest`; unknown is None."""
        return {
            "sentences": _sentences(counts),
            "types": dict(sorted(counts.types.items())),
            "epochs": counts.epochs,
            "epochs_with_fix": counts.epochs_with_fix,
            "first_fix": _place_and_time(self._first),
            "last_fix": _place_and_time(self._last),
            "modes": {str(mode): self._modes[mode] for mode in FixMode if self._modes[mode]},
            "satellites_in_view_max": self._in_view,
            "max_speed_mps": None if self._fastest is None else round(self._fastest, 3),
            "distance_raw_m": None if self._position is None else round(self._distance_m, 2),
            "distance_m": self._honest_m(),
            "verdicts": {verdict.words: self._verdicts[verdict] for verdict in Verdict},
            "error_95_m": {"median": _rounded(self._errors.median), "max": _rounded(self._errors.largest)},
            "duration_s": None if self._utc is None else round(self._duration_s, 3),
        }

    def _honest_m(self) -> float | None:
        """None where no fix was good enough to count by: how far it went is not known then, and not 0."""
        if not self._trip.begun:
            return None
        self._trip.finish()
        return round(self._trip.totals().distance_m, 2)

    def _add_position(self, fix: Fix) -> None:
        if fix.position is None:
            return
        if self._position is not None:
            self._distance_m += distance_m(self._position, fix.position)
        self._position = fix.position
        if fix.is_satellite_fix:
            self._first = self._first or fix
            self._last = fix

    def _add_time(self, utc: Utc | None) -> None:
        if utc is None:
            return
        if self._utc is not None:
            self._duration_s += clock_step_s(self._utc, utc)
        self._utc = utc


def digest(
    blocks: Iterable[bytes], require_checksum: bool, progress: Callable[[], None], errors: ErrorModel | None = None
) -> dict[str, Any]:
    """Run all of a recording through a model; `progress` is called after every block."""
    result = Digest()
    model = FixModel(require_checksum, result.add, Judgement(errors or ErrorModel()))
    for block in blocks:
        model.feed(block, 0.0)
        progress()
    model.finish()
    return result.as_json(model.snapshot().counts)


def _clock_s(trust: Trust) -> float:
    """A file read at once arrives at one moment; the judgement's clock goes on all the same, with the receiver's."""
    return trust.evidence.at_s if trust.evidence else 0.0


def _rounded(metres: float | None) -> float | None:
    return None if metres is None else round(metres, 2)


def _sentences(counts: Counts) -> dict[str, int]:
    """By what their checksum said. A sentence without one is counted as such whether it was accepted or not."""
    other = {Reason.TOO_LONG, Reason.ILLEGAL_CHARACTER}
    return {
        "good": counts.verified,
        "bad_checksum": counts.rejected.get(Reason.BAD_CHECKSUM, 0),
        "no_checksum": counts.rejected.get(Reason.NO_CHECKSUM, 0) + counts.unverified,
        "other_rejected": sum(counts.rejected.get(reason, 0) for reason in other),
        "malformed": counts.rejected.get(Reason.MALFORMED, 0),
    }


def _place_and_time(fix: Fix | None) -> dict[str, Any] | None:
    if fix is None or fix.position is None:
        return None
    return {
        "utc": fix.utc.iso() if fix.utc else None,
        "latitude": round(fix.position.latitude_deg, 9),
        "longitude": round(fix.position.longitude_deg, 9),
    }

"""A recording for other programs: read once, written as it is read, in constant memory; whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from itertools import chain
from typing import NamedTuple, TypeVar

from core.accuracy import ErrorModel
from core.epochs import Epoch, EpochReader
from core.errors import InputError
from core.export_plan import EVERYTHING, Format, Plan
from core.export_points import OUTSIDE, ExportPoint, LeftOut, no_sentences, points
from core.export_thinning import simplified, spaced
from core.export_trim import ends, trimmed, trimmed_places
from core.export_window import Window
from core.formats.plain_nmea import END, Rounds, accepted
from core.formats.track_csv import write_csv
from core.formats.track_geojson import write_geojson
from core.formats.track_gpx import write_gpx
from core.formats.track_kml import write_kml
from core.formats.track_text import About
from core.nmea.whole_lines import checksum
from core.samples import Xyz
from core.sources.recording import Recording
from core.sources.rehearsal_label import WORD

WRITERS: dict[Format, Callable[[Iterable[ExportPoint], About], Iterator[bytes]]] = {
    Format.GPX: write_gpx,
    Format.KML: write_kml,
    Format.GEOJSON: write_geojson,
    Format.CSV: write_csv,
}
"""Those that write points; NMEA is sentences."""
STAMP_EVERY_S = 60.0


class Source(NamedTuple):
    """A recording, and how it is to be read."""

    open: Callable[[], Recording]
    """From its beginning each time: trimmed ends take two passes."""
    required: bool
    """Refuse sentences without a checksum."""
    errors: ErrorModel
    is_rehearsal: bool = False
    progress: Callable[[float], None] = lambda fraction: None
    """Told how much of all passes is done, 0 to 1."""


@dataclass
class Outcome:
    """What became of an export; filled while it is written."""

    points: int = 0
    segments: int = 0
    sentences: int = 0
    left_out: LeftOut = field(default_factory=LeftOut)

    def words(self) -> str:
        """One line."""
        counted = ((self.points, "point"), (self.segments, "segment"))
        what = ", ".join(many(*one) for one in (counted if self.points else ((self.sentences, "sentence"),)))
        reasons = (f"{many(count, 'fix')} left out: {why}" for why, count in self.left_out.most_common() if count)
        return "; ".join([what, *reasons])


def many(count: int, word: str) -> str:
    """`1 fix`, `2 fixes`."""
    return f"{count} {word}" if count == 1 else f"{count} {word}{'es' if word.endswith('x') else 's'}"


def export(source: Source, plan: Plan, about: About, outcome: Outcome) -> Iterator[bytes]:
    """The bytes of an export, as they come; nothing is done before the first is asked for.

    `outcome` is right when the last has been given. Raises InputError, before the first byte, where nothing would be in
    it, and anywhere where the recording cannot be read on.
    """
    passes = 2 if plan.trim_m is not None else 1
    centres = _centres(source, plan, passes) if plan.trim_m is not None else ()
    with closing(source.open()) as recording:

        def tick() -> None:
            source.progress((passes - 1 + recording.fraction) / passes)

        now = _Pass(source, recording, plan, centres, outcome, tick)
        if plan.to is Format.NMEA:
            yield from _labelled(not_empty(_sentences(now), outcome), source)
        else:
            reader = EpochReader(recording, source.required, source.errors)
            found = not_empty(watched(_thinned(now, reader.epochs(tick)), outcome), outcome)
            yield from WRITERS[plan.to](found, about_of(about, now))


class _Pass(NamedTuple):
    """The pass that writes."""

    source: Source
    recording: Recording
    plan: Plan
    centres: tuple[Xyz, ...]
    outcome: Outcome
    tick: Callable[[], None]


def about_of(about: About, now: _Pass) -> About:
    """With the label of a rehearsal; where ends are trimmed, without what else may tell of them.

    That is the name, since recordings are called by the time they began, and places of the user's within the circles.
    Where a distance between points was asked for, each has its time.
    """
    plan = now.plan
    if plan.trim_m is not None:
        outside = trimmed_places(about.waypoints, now.centres, plan.trim_m)
        about = about._replace(title="Track", note="", waypoints=outside)
    title = f"{WORD}: {about.title}" if now.source.is_rehearsal else about.title
    return about._replace(title=title, stamp_every_s=STAMP_EVERY_S if plan.every == EVERYTHING else 0.0)


def _centres(source: Source, plan: Plan, passes: int) -> tuple[Xyz, ...]:
    with closing(source.open()) as recording:
        reader = EpochReader(recording, source.required, source.errors)
        return ends(reader.epochs(lambda: source.progress(recording.fraction / passes)), plan)


def _thinned(
    now: _Pass, epochs: Iterable[Epoch], sentences: Callable[[], bytes] = no_sentences
) -> Iterator[ExportPoint]:
    plan, left_out = now.plan, now.outcome.left_out
    found = points(epochs, plan, left_out, sentences)
    if plan.trim_m is not None:
        found = trimmed(found, now.centres, plan.trim_m, left_out)
    if plan.every != EVERYTHING:
        found = spaced(found, plan.every, left_out)
    if plan.simplify_m is not None:
        found = simplified(found, plan.simplify_m, left_out)
    return found


def watched(found: Iterable[ExportPoint], outcome: Outcome) -> Iterator[ExportPoint]:
    """The same points, counted."""
    for point in found:
        outcome.segments += point.begins or outcome.points == 0
        outcome.points += 1
        yield point


_T = TypeVar("_T")


def not_empty(found: Iterator[_T], outcome: Outcome) -> Iterator[_T]:
    """Asked for its first one before anything is written. Raises InputError where there is none."""
    first = next(found, None)
    if first is None:
        raise nothing(outcome)
    return chain((first,), found)


def nothing(outcome: Outcome) -> InputError:
    """Why an export would be empty."""
    reasons = "; ".join(f"{count} are {why}" for why, count in outcome.left_out.most_common() if count)
    return InputError(f"nothing to export: {reasons or 'there is no satellite fix in it'}")


def _sentences(now: _Pass) -> Iterator[bytes]:
    for data in _whole(now) if now.plan.is_whole else _rounds(now):
        if data:
            now.outcome.sentences += data.count(END)
            yield data


def _whole(now: _Pass) -> Iterator[bytes]:
    for data in accepted(now.recording.pieces(), now.source.required):
        now.tick()
        yield data


def _rounds(now: _Pass) -> Iterator[bytes]:
    """Of the epochs that are wanted."""
    rounds = Rounds(now.recording, now.source.required)
    epochs = EpochReader(rounds, now.source.required, now.source.errors).epochs(now.tick)
    private = now.plan.trim_m is not None

    def sentences() -> bytes:
        return rounds.finished.popleft().data(private=private)

    if now.plan.picks_fixes:
        for point in _thinned(now, epochs, sentences):
            yield point.sentences
        return
    window = Window(now.plan.since, now.plan.until)
    for epoch in epochs:
        data = sentences()
        if window.holds(epoch.fix):
            yield data
        else:
            now.outcome.left_out[OUTSIDE] += epoch.fix.position is not None


def _labelled(sentences: Iterator[bytes], source: Source) -> Iterator[bytes]:
    """A rehearsal's TAG blocks are gone, and the sentence that says what it is may be: it is said anew."""
    if source.is_rehearsal:
        body = f"GNTXT,01,01,02,{WORD}: simulated".encode()
        yield b"$%b*%02X\r\n" % (body, checksum(body))
    yield from sentences

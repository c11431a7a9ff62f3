"""What the board shows, written for other programs: the recording that is played, or the trip so far."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from textual.worker import get_current_worker

from core.sources.source import SourceKind
from tui.actions.files import go_on
from tui.actions.holding import HoldingActions
from tui.opening import Opening
from tui.screens.pick import Choice, PickScreen

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.export_plan import Format
    from core.exporting import Outcome

GROUP = "board-exporting"
# By the words of `core.export_plan.Format`, which is not needed before somebody exports.
TITLES = {
    "gpx": Choice("GPX 1.1", "tracks, for most programs"),
    "kml": Choice("KML 2.2", "for maps and globes"),
    "geojson": Choice("GeoJSON", "RFC 7946, for maps on the web"),
    "csv": Choice("CSV", "one row a fix, for spreadsheets"),
    "nmea": Choice("NMEA 0183", "the sentences alone, without times of arrival"),
}
QUARTER = 0.25


class _Job(NamedTuple):
    what: str
    formats: tuple[Format, ...]
    pieces: Callable[[Format, Outcome, Callable[[float], None]], Iterator[bytes]]


class ExportActions(HoldingActions):
    """Export from the board."""

    def action_export(self) -> None:
        """Ask for format and file, then write in a thread."""
        job = self._recording_job() or self._trip_job()
        if not self.state.snapshot.trip.track.count and job.what != "the recording":
            self._say("There is no track to export yet.", "warning")
            return

        def picked(number: int | None) -> None:
            if number is not None:
                to = job.formats[number]
                self._ask_for_export_file(to, lambda out: self._export_in_thread(job, to, out))

        self.push_screen(PickScreen(f"Export {job.what} as", [TITLES[one] for one in job.formats], ""), picked)

    def _recording_job(self) -> _Job | None:
        """Where a receiver's recording is played: all of it, however far it has been played."""
        from core.export_plan import Format, Plan
        from core.exporting import Source, export
        from core.formats.track_text import About
        from core.session_reading import open_session
        from core.sources.rehearsal_label import is_rehearsal
        from tui.session_opening import SessionOpening

        opening = self._before_hold
        if not isinstance(opening, Opening) or self.state.status.kind not in {SourceKind.REPLAY, SourceKind.REHEARSAL}:
            return None
        parts = opening.parts if isinstance(opening, SessionOpening) else (opening.path,)
        errors = self.session.settings.errors

        def pieces(to: Format, outcome: Outcome, progress: Callable[[float], None]) -> Iterator[bytes]:
            required, rehearsed = opening.needs_checksums(), is_rehearsal(opening.path)
            source = Source(partial(open_session, parts), required, errors, rehearsed, progress)
            return export(source, Plan(to), About(opening.path.name), outcome)

        return _Job("the recording", tuple(Format), pieces)

    def _trip_job(self) -> _Job:
        from core.export_plan import Format
        from core.export_trip import export_trip
        from core.formats.track_text import About

        track = self.state.snapshot.trip.track

        def pieces(to: Format, outcome: Outcome, _: Callable[[float], None]) -> Iterator[bytes]:
            return export_trip(track, to, About("Trip"), outcome)

        return _Job(
            f"the trip so far, {track.count} points,", tuple(one for one in Format if one is not Format.NMEA), pieces
        )

    def _export_in_thread(self, job: _Job, to: Format, out: Path) -> None:
        self.run_worker(partial(self._export_job, job, to, out), thread=True, group=GROUP)

    def _export_job(self, job: _Job, to: Format, out: Path) -> None:
        """In a thread, which says how far it is; the end of the program ends it."""
        told = [0.0]

        def progress(fraction: float) -> None:
            go_on(get_current_worker())
            if fraction >= told[0] + QUARTER and fraction < 1.0:
                told[0] = fraction
                self.call_from_thread(self._say, f"Exporting: {fraction:.0%} read.")

        self._write_export(out, lambda outcome: job.pieces(to, outcome, progress))

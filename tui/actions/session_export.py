"""A recorded session, written for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.worker import get_current_worker

from tui.actions.exporting import TITLES
from tui.actions.session_listing import SessionListActions, go_on_gently
from tui.screens.pick import PickScreen

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.export_plan import Format
    from core.exporting import Outcome
    from core.sessions import Entry

EXPORTING = "logbook-exporting"
_TO, _FORMATS = tuple(TITLES), tuple(TITLES.values())
"""Words of `core.export_plan.Format`, and the choices as the board's own export names them."""


class SessionExportActions(SessionListActions):
    """Export from the list."""

    def _ask_for_format(self, entry: Entry) -> None:
        from core.export_plan import Format

        def picked(number: int | None) -> None:
            if number is not None:
                to = Format(_TO[number])
                self._ask_for_export_file(to, lambda out: self._export_session(entry, to, out))

        self.push_screen(PickScreen("Export as", _FORMATS, ""), picked)

    def _export_session(self, entry: Entry, to: Format, out: Path) -> None:
        """The end of the program ends it, and leaves nothing half written."""
        pieces = partial(self._session_pieces, entry, to)
        self.run_worker(partial(self._write_export, out, pieces), thread=True, group=EXPORTING)
        self._say("Exporting; the list goes on working.")

    def _session_pieces(self, entry: Entry, to: Format, outcome: Outcome) -> Iterator[bytes]:
        """Called in the thread: it is that one's worker which is asked whether to go on."""
        from core.export_plan import Plan
        from core.exporting import Source, export
        from core.formats.track_text import About
        from core.session_reading import needs_checksums, open_session
        from core.sources.rehearsal_label import is_rehearsal

        paths = entry.session.paths
        source = Source(
            partial(open_session, paths),
            needs_checksums(paths),
            self.session.settings.errors,
            is_rehearsal(paths[0]),
            partial(go_on_gently, get_current_worker()),
        )
        return export(source, Plan(to), About(entry.name, entry.words.note), outcome)

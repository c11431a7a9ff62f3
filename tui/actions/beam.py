"""Actions on the beam sheet: from here to the target, or to a place that is typed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.worker import get_current_worker

from core.errors import FixboardError
from core.storage import create_file
from tui.actions.base import BoardApp
from tui.reading_aside import undisturbed
from tui.screens.prompt import PromptScreen

if TYPE_CHECKING:
    from core.beam import End
    from tui.screens.beam import BeamSaveAsked

NOWHERE = "No position yet, so there is no beam from here: wait for a fix, or hold a saved place."
WHERE_TO = "Beam from here to where? A locator, any notation, or a waypoint's name"
WHERE_IN = "Save the beam sheet as"


class BeamActions(BoardApp):
    """The key, and what its screen asks for."""

    def action_beam_sheet(self, end: End | None = None) -> None:
        """To `end`, else to the target, else to what the user types."""
        target = self.state.target
        if self.state.position is None:
            self._say(NOWHERE, "warning")
        elif end is not None:
            self._beam_to(end)
        elif target is not None:
            from core.beam import End  # start-up time: few sessions need it

            self._beam_to(End(target.name, target.position, target.error_95_m))
        else:
            self._ask_end()

    def _ask_end(self, before: str = "") -> None:
        self.push_screen(PromptScreen(WHERE_TO, "RN95ma", before), self._beam_to_typed)

    def _beam_to_typed(self, typed: str | None) -> None:
        if typed is not None:
            self.run_worker(partial(self._find_end, typed), thread=True, group="beam", exclusive=True)

    def _find_end(self, typed: str) -> None:
        """In a thread: a name may be that of a station, and reading a large list takes seconds."""
        from core.beam import End  # start-up time: few sessions need it
        from tui.cli_places import resolve  # the same

        worker = get_current_worker()
        try:
            with undisturbed():
                found = resolve(typed)
        except FixboardError as error:
            self.call_from_thread(self._not_understood, str(error), typed)
            return
        known = found.waypoint
        end = End(known.name if known else typed, found.position, known.error_95_m if known else found.radius_m)
        if not worker.is_cancelled:  # another place has been typed meanwhile
            self.call_from_thread(self._beam_to, end)

    def _not_understood(self, why: str, typed: str) -> None:
        self._say(why, "warning")
        if self.screen is self.board:  # else something else has been opened meanwhile
            self._ask_end(typed)

    def _beam_to(self, end: End) -> None:
        from core.beam import End, beam_sheet  # start-up time: few sessions need it
        from tui.screens.beam import BeamScreen  # the same

        state = self.state
        here = state.position
        if here is None:
            self._say(NOWHERE, "warning")
            return
        error = state.snapshot.trust.error.horizontal_m if state.is_current else None
        name = state.status.name if state.is_held else "here" if state.is_current else "here, last known"
        self.push_screen(BeamScreen(beam_sheet(End(name, here, error), end, self._moment())))

    def _moment(self) -> datetime:
        """The receiver's time where it knows it: a replay's sun is that of the recording."""
        utc = self.state.utc
        if utc is None or utc.day is None:
            return datetime.now(tz=UTC)
        return datetime.combine(_day(utc.day), datetime.min.time(), UTC) + timedelta(milliseconds=utc.time_ms)

    def on_beam_save_asked(self, message: BeamSaveAsked) -> None:
        """Ask for a name; a file that is there is not replaced."""
        message.stop()
        text = message.text

        def named(typed: str | None) -> None:
            if typed is None:
                return
            try:
                create_file(Path(typed).expanduser(), text.encode("utf-8", "backslashreplace"))
            except (FixboardError, ValueError) as error:
                self._say(str(error), "warning")
            else:
                self._say(f"Saved: {typed}")

        self.push_screen(PromptScreen(WHERE_IN, "beam.txt"), named)


def _day(day: date) -> date:
    """Within the years that the sun's series holds for: an impossible date of a receiver must not end the board.

    The nearest of them that has a 29 February, since the date may be one.
    """
    return day.replace(year=min(max(day.year, 1904), 2096))

"""Actions on the state in words: its screen, its copy, its file."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import FixboardError
from tui.actions.base import BoardApp
from tui.canvas.cells import one_cell_each
from tui.screens.pick import Choice, PickScreen
from tui.screens.prompt import PromptScreen

if TYPE_CHECKING:
    # Start-up time: few sessions need it.
    from tui.screens.in_words import WordsIntent

GROUP = "words-writing"
_CHOICES = (
    Choice("Leave it as it is", "nothing is written"),
    Choice("Replace it", "the file before stays beside it, ended by .bak"),
)


class InWordsActions(BoardApp):
    """One key of the board; what its screen asks for."""

    def action_in_words(self) -> None:
        """All that the board knows at this moment, as lines."""
        from tui.in_words import Asked, state_lines  # start-up time: few sessions need it
        from tui.screens.in_words import InWordsScreen  # the same

        self.push_screen(InWordsScreen(lambda: state_lines(self.state, Asked(datetime.now(tz=UTC)))))

    def on_words_intent(self, message: WordsIntent) -> None:
        """Copy, or ask for a file."""
        message.stop()
        text = "\n".join(message.lines) + "\n"
        if message.intent == "copy":
            self.copy_to_clipboard(text)
            self._say(f"Copied, if the terminal allows it: {len(message.lines)} lines.{self._near_home()}")
        else:
            self.push_screen(
                PromptScreen("Write these lines to which file?", "a path, as state.txt"),
                lambda typed: self._words_to(typed, text),
            )

    def _near_home(self) -> str:
        """A warning, where the position in the lines gives home away."""
        from core.blur import EXACT, leaving  # start-up time: few sessions need it

        position, home = self.state.position, self.session.settings.home
        found = leaving(position, EXACT, home, self.state.snapshot.trust.error.horizontal_m) if position else None
        return f" {found}" if found else ""

    def _words_to(self, typed: str | None, text: str) -> None:
        if typed is None:
            return
        try:
            path = Path(typed).expanduser()
        except RuntimeError:  # the way Path says that it knows no such user
            self._words_not_written(f"{typed}: there is no such home folder")
            return
        if not os.path.lexists(path):
            self._write_words(path, text, replace=False)
        elif path.is_file():
            self._ask_to_replace_words(path, text)
        else:
            self._words_not_written(f"{path} is no file: choose another name")

    def _ask_to_replace_words(self, path: Path, text: str) -> None:
        def picked(number: int | None) -> None:
            if number == 1:
                self._write_words(path, text, replace=True)

        self.push_screen(PickScreen(f"There is a file {path} already", _CHOICES, ""), picked)

    def _write_words(self, path: Path, text: str, *, replace: bool) -> None:
        """In a thread: a disk may take its time."""
        self.run_worker(partial(self._save_words, path, text.encode(), replace), thread=True, group=GROUP)

    def _save_words(self, path: Path, content: bytes, replace: bool) -> None:
        from core.storage import create_file, replace_file  # start-up time: few sessions need it

        try:
            (replace_file if replace else create_file)(path, content)
        except FixboardError as error:
            self.call_from_thread(self._words_not_written, str(error))
        else:
            self.call_from_thread(self._say, f"Written: {path}.{self._near_home()}")

    def _words_not_written(self, why: str) -> None:
        self.notify(one_cell_each(why), title="Not written", severity="error", timeout=20, markup=False)

"""Files that the user names: their paths, and new ones written for other programs in a thread."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from textual.worker import Worker

from core.errors import FixboardError
from tui.actions.base import BoardApp
from tui.canvas.cells import one_cell_each
from tui.screens.prompt import PromptScreen

if TYPE_CHECKING:
    # Start-up time: what the first picture does not need is imported where it is used.
    from core.export_plan import Format
    from core.exporting import Outcome


class Left(Exception):
    """Nobody waits for the thread any more."""


def go_on(worker: Worker[object]) -> None:
    """Raises Left once the thread is no longer wanted."""
    if worker.is_cancelled:
        raise Left


class FileActions(BoardApp):
    """What those have in common that ask for a file."""

    def _typed_path(self, text: str) -> Path | None:
        """None, once that is said, where there is no such place."""
        try:
            return Path(text).expanduser()
        except RuntimeError:  # the way Path says that it knows no such user
            self._say(f"{text}: there is no such home folder.", "error")
            return None

    def _ask_for_export_file(self, to: Format, export: Callable[[Path], None]) -> None:
        """`export`: what is done with a path at which there is nothing yet."""

        def typed(text: str | None) -> None:
            out = self._typed_path(text) if text else None
            if out is None:
                return
            if os.path.lexists(out):  # Path.exists raises for a name that is too long
                self._not_exported(f"{out} exists already: choose another name, or move it away")
            else:
                export(out)

        self.push_screen(PromptScreen("Export to which file?", f"a path, as walk.{to.value}"), typed)

    def _write_export(self, out: Path, pieces: Callable[[Outcome], Iterator[bytes]]) -> None:
        """In a thread. It never takes the place of a file that is there; where `pieces` raise Left, it leaves none."""
        from core.exporting import Outcome
        from core.rehearsal.writer import save

        outcome = Outcome()
        try:
            save(out, pieces(outcome))
        except Left:
            return
        except FixboardError as error:
            self.call_from_thread(self._not_exported, str(error))
            return
        self.call_from_thread(self._say, f"Exported to {out}: {outcome.words()}.")

    def _not_exported(self, why: str) -> None:
        self.notify(one_cell_each(why), title="Not exported", severity="error", timeout=20, markup=False)

"""The beam sheet on the screen: scrolled, copied, saved, for one beamwidth after another."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from core.beam import BeamSheet
from core.beam_text import USUAL_BEAMWIDTH_DEG, WIDTH, BeamPaper, beam_lines
from tui.canvas.cells import one_cell_each
from tui.commands import BEAM_COMMANDS, bindings
from tui.own_keys import with_keys

BEAMWIDTHS_DEG = (1.0, 1.5, 2.0, 3.4, 5.0, 8.0, 12.0, 20.0, 30.0, 45.0, 60.0, 90.0, 180.0)
KEYS = "{narrower_beam} {wider_beam} beamwidth, Up Down scroll, {save_beam} saves, {copy_beam} copies, Esc back"
"""With the commands' ids in the place of their keys."""
FRAMED = 4
"""Rows of frame and padding, on terminals that have room for all of it."""


class BeamSaveAsked(Message):
    """The user wants the sheet in a file."""

    def __init__(self, text: str) -> None:
        """`text`: the whole sheet."""
        super().__init__()
        self.text = text


class BeamScreen(ModalScreen[None]):
    """Holds one sheet; nothing in it is worked out here."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        *bindings(BEAM_COMMANDS, is_first=True),
    ]

    def __init__(self, sheet: BeamSheet) -> None:
        """`sheet`: as of the moment the user asked."""
        super().__init__()
        self._sheet = sheet
        self._beamwidth_deg = USUAL_BEAMWIDTH_DEG

    @property
    def text(self) -> str:
        """The sheet as it stands."""
        return "\n".join(beam_lines(self._sheet, BeamPaper(self._beamwidth_deg)))

    def compose(self) -> ComposeResult:
        """The lines, then the keys."""
        with Vertical(classes="sheet", id="beam-sheet"):
            with VerticalScroll(id="beam-scroll"):
                yield Static("", id="beam-lines", markup=False)
            yield Static(with_keys(KEYS), markup=False)

    def on_mount(self) -> None:
        """Write it; the arrows scroll at once."""
        self._write()
        self.query_one("#beam-scroll").focus()

    def action_narrower_beam(self) -> None:
        """The next narrower beam."""
        self._turn(bisect_left(BEAMWIDTHS_DEG, self._beamwidth_deg) - 1)

    def action_wider_beam(self) -> None:
        """The next wider beam."""
        self._turn(bisect_right(BEAMWIDTHS_DEG, self._beamwidth_deg))

    def action_copy_beam(self) -> None:
        """Into the clipboard, as far as the terminal allows that."""
        self.app.copy_to_clipboard(self.text)
        self.notify("Copied: the beam sheet.", markup=False)

    def action_save_beam(self) -> None:
        """Where to, the application asks."""
        self.post_message(BeamSaveAsked(self.text + "\n"))

    def _turn(self, number: int) -> None:
        self._beamwidth_deg = BEAMWIDTHS_DEG[min(max(number, 0), len(BEAMWIDTHS_DEG) - 1)]
        self._write()

    def _write(self) -> None:
        lines = self.text.split("\n")
        self.query_one("#beam-lines", Static).update("\n".join(one_cell_each(line) for line in lines))
        # What scrolls takes what is left, so that the sheet cannot take its height from it: no row below stays blank.
        self.query_one("#beam-sheet").styles.height = len(lines) + len(wrap(with_keys(KEYS), WIDTH)) + FRAMED

"""The position handed on: a QR code for a phone, the APRS text, ISO 6709 and geo: beside it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar, NamedTuple

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.geometry import Size
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from core.aprs.ambiguity import LEVELS
from core.aprs.symbols import name_of
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.commands import HAND_ON_COMMANDS, bindings
from tui.handed_on import NO_ISO, Choices, Handed, Stamp
from tui.own_keys import with_keys
from tui.panes.qr_code import BLOCKS, Halves, QrCode
from tui.plain_terminal import can_show
from tui.screens.prompt import PromptScreen

LOOK_S = 1.0
"""How often the position is looked at."""
WORDS_WIDTH = 42
"""Columns that the texts need beside the code."""
KEYS = (
    "{finer_text} {coarser_text} ambiguity  {symbol_before} {symbol_after} symbol  {text_comment} comment  "
    "{text_form} form  {text_time} time  Esc back",
    "{copy_text} copies the text  {copy_geo} geo:  {copy_iso} ISO 6709  {write_texts} writes at an interval, or stops",
)
"""With the commands' ids in the place of their keys, as all texts of the sheets (`tui.own_keys.with_keys`)."""
LICENCE = "Transmitting needs a licence and your call sign. Nothing is sent without a key."
ASK_COMMENT = "Comment behind the position, at most 43 characters; - for none"
REVEAL = "{reveal_code} shows the code all the same."
NEAR_HOME = "Near home: look at the warning, {reveal_code} goes on."
NO_ROOM = "No room for the QR code: it needs 33 columns and 17 rows beside these words."
NO_HALVES = "No QR code: without half blocks, which this terminal has not, it needs 109 columns and 36 rows."
DIM = "Dim red for the night: where a phone cannot read it, {cycle_theme} on the board takes another theme."
HALVES = "Drawn with half blocks: a font without them needs a screen of 109 columns and 36 rows."


class Moment(NamedTuple):
    """What the screen shows at one time."""

    handed: Handed
    source: str
    """What is watched, and whether it is now."""
    sending: str
    """How the writing goes."""


class ChoicesChanged(Message):
    """The user chose otherwise."""

    def __init__(self, choices: Choices) -> None:
        """`choices`: all of them."""
        super().__init__()
        self.choices = choices


class SendAsked(Message):
    """The user wants texts to be written at an interval, or no longer."""


class QrScreen(ModalScreen[None]):
    """Draws one moment after the other; nothing in it is worked out here."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        *bindings(HAND_ON_COMMANDS, is_first=True),
    ]

    def __init__(self, look: Callable[[Choices], Moment], choices: Choices, code: QrCode) -> None:
        """`look`: the present moment with these choices."""
        super().__init__()
        self._look = look
        self._choices = choices
        self._code = code
        self._revealed = False
        self._moment = look(choices)

    @property
    def choices(self) -> Choices:
        """As they stand."""
        return self._choices

    def compose(self) -> ComposeResult:
        """Source, code and texts, keys."""
        with Vertical(id="qr-sheet"):
            yield Static("", id="qr-head", markup=False)
            with Horizontal(id="qr-body"):
                yield self._code
                with VerticalScroll(id="qr-scroll", can_focus=False):
                    yield Static("", id="qr-words", markup=False)
            yield Static("\n".join(map(with_keys, KEYS)), id="qr-keys", markup=False)

    def on_mount(self) -> None:
        """Look at once, then every second."""
        self.set_interval(LOOK_S, self.look_again)

    def on_resize(self, event: events.Resize) -> None:
        """A larger screen, a larger code."""
        del event
        self.call_after_refresh(self.look_again)

    def look_again(self) -> None:
        """Draw the present moment."""
        if not self.is_mounted:
            return
        self._moment = self._look(self._choices)
        room = self.query_one("#qr-body").size
        self._code.show(self._coded, Size(max(0, room.width - WORDS_WIDTH - 1), room.height))
        self.query_one("#qr-head", Static).update(one_cell_each(self._moment.source))
        self.query_one("#qr-words", Static).update("\n".join(map(one_cell_each, self._lines())))

    @property
    def _is_barred(self) -> bool:
        return bool(self._moment.handed.home) and not self._revealed

    @property
    def _coded(self) -> str:
        return "" if self._is_barred else self._moment.handed.geo

    def _lines(self) -> list[str]:
        handed = self._moment.handed
        sending = ["", self._moment.sending, LICENCE]
        if handed.why_not:
            return [f"Nothing to hand on: {handed.why_not}.", *sending]
        warning = [handed.home, *([with_keys(REVEAL)] if self._is_barred else []), ""] if handed.home else []
        return [*warning, *self._aprs(handed), "", *self._others(handed), *self._drawn(), *sending]

    def _aprs(self, handed: Handed) -> list[str]:
        chosen = self._choices
        form = "compressed" if chosen.is_compressed else f"ambiguity {chosen.ambiguity}"
        text = handed.aprs.text or f"No APRS text: {handed.refused}."
        facts = f"{name_of(chosen.symbol)}, {form}, {chosen.stamp.value}; {handed.box}"
        return ["APRS position text", text, facts, *handed.aprs.remarks]

    def _others(self, handed: Handed) -> list[str]:
        return [f"ISO 6709  {handed.iso or f'none: {NO_ISO}'}", f"In the code: {handed.geo}"]

    def _drawn(self) -> list[str]:
        drawing = self._code.drawing
        if drawing is None:
            return [NO_HALVES if self._code.halves is Halves.NO else NO_ROOM] if self._coded else []
        halves = [HALVES] if self._code.halves is Halves.UNSURE and not drawing.is_whole else []
        return [*halves, *([with_keys(DIM)] if drawing.is_dim else [])]

    def action_ambiguity(self, step: int) -> None:
        """More digits blank, or fewer."""
        level = min(max(self._choices.ambiguity + step, LEVELS[0]), LEVELS[-1])
        self._choose(replace(self._choices, ambiguity=level))

    def action_symbol(self, step: int) -> None:
        """The next of the named symbols."""
        self._choose(replace(self._choices, symbol=self._choices.next_symbol(step)))

    def action_text_form(self) -> None:
        """Plain or compressed."""
        self._choose(replace(self._choices, is_compressed=not self._choices.is_compressed))

    def action_text_time(self) -> None:
        """The next kind of time."""
        kinds = list(Stamp)
        self._choose(replace(self._choices, stamp=kinds[(kinds.index(self._choices.stamp) + 1) % len(kinds)]))

    def action_text_comment(self) -> None:
        """Ask for it."""

        def typed(comment: str | None) -> None:
            if comment is not None:
                self._choose(replace(self._choices, comment="" if comment == "-" else comment))

        self.app.push_screen(PromptScreen(ASK_COMMENT, self._choices.comment or "QQ1QQX on the ridge"), typed)

    def action_reveal_code(self) -> None:
        """Near home: knowingly."""
        self._revealed = True
        self.look_again()

    def action_copy(self, which: str) -> None:
        """Into the clipboard, as far as the terminal allows that."""
        self.look_again()
        handed = self._moment.handed
        text = {"aprs": handed.aprs.text, "geo": handed.geo, "iso": handed.iso}[which]
        if self._is_barred:
            self.notify(with_keys(NEAR_HOME), severity="warning", markup=False)
        elif not text:
            why = handed.why_not or (handed.refused if which == "aprs" else NO_ISO)
            self.notify(f"Not copied: {why}.", severity="warning", markup=False)
        else:
            self.app.copy_to_clipboard(text)
            self.notify(f"Copied: {text}", markup=False)

    def action_write_texts(self) -> None:
        """The application does it."""
        self.post_message(SendAsked())

    def _choose(self, choices: Choices) -> None:
        self._choices, self._revealed = choices, False
        self.post_message(ChoicesChanged(choices))
        self.look_again()


def code_for(depth: Depth | None, glyphs: str) -> QrCode:
    """The code's widget for this terminal."""
    halves = Halves.UNSURE if glyphs == "plain" else Halves.YES
    if not can_show(BLOCKS, sys.__stderr__):  # on which Textual draws
        halves = Halves.NO
    return QrCode(depth if depth is not None else Depth.NONE, halves)

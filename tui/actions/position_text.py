"""Actions on the position handed on: the screen with the code, and texts written at an interval."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.timer import Timer

from core.errors import FixboardError
from core.fix import SATELLITE_FIX_MODES, FixMode
from core.sources.source import SourceKind
from core.trust import Verdict
from tui.actions.base import BoardApp
from tui.screens.prompt import PromptScreen
from tui.state import BoardState

if TYPE_CHECKING:
    from tui.handed_on import Choices
    from tui.screens.qr import ChoicesChanged, Moment, SendAsked
    from tui.text_sender import Outlet, TextSender

WHERE_TO = (
    "Write position texts to? A file, a serial port (with @1200 behind it for its speed) or tcp://host:port. "
    "What transmits them needs a licence and your call sign"
)
HOW_OFTEN = "How many seconds between two texts? 10 to 3600; nothing but a current fix of this receiver is written"
_NO_SATELLITES = frozenset(FixMode) - SATELLITE_FIX_MODES - {FixMode.NONE}
NOT_SENDING = "No texts are being written."


class PositionTextActions(BoardApp):
    """The key, and what its screen asks for."""

    _handing: Choices | None = None
    _sender: TextSender | None = None
    _send_timer: Timer | None = None
    _send_to = ""
    _send_every_s = 0
    _not_sent = ""
    """Why the last text was held back; empty where it was not."""

    def action_position_text(self) -> None:
        """The position as a code, a text, a URI."""
        from tui.handed_on import Choices  # start-up time: few sessions need it
        from tui.screens.qr import QrScreen, code_for  # the same

        choices = self._handing or Choices()
        self._handing = choices
        self.push_screen(QrScreen(self._moment_of, choices, code_for(self._depth, self.session.look.glyphs)))

    def on_choices_changed(self, message: ChoicesChanged) -> None:
        """Texts that are being written follow."""
        message.stop()
        self._handing = message.choices

    def on_send_asked(self, message: SendAsked) -> None:
        """Stop, or ask where to."""
        message.stop()
        if self._sender:
            self._stop_sending()
            self._say("Stopped: no more position texts are written.")
        else:
            self._ask_outlet()

    def _ask_outlet(self, before: str = "") -> None:
        self.push_screen(PromptScreen(WHERE_TO, "positions.txt", before), self._send_to_typed)

    def on_unmount(self) -> None:
        """The program ends: so does the writing."""
        self._stop_sending()

    def _send_to_typed(self, typed: str | None) -> None:
        if typed is None:
            return
        from tui.text_sender import outlet  # start-up time: few sessions need it

        try:
            found = outlet(typed)
        except FixboardError as error:
            self._say(str(error), "warning")
            self._ask_outlet(typed)
            return
        self._ask_interval(found, typed)

    def _ask_interval(self, found: Outlet, named: str, before: str = "") -> None:
        from tui.text_sender import USUAL_S  # start-up time: few sessions need it

        def answered(seconds: str | None) -> None:
            if seconds is not None:
                self._send_every(found, named, seconds)

        self.push_screen(PromptScreen(HOW_OFTEN, str(USUAL_S), before), answered)

    def _send_every(self, found: Outlet, named: str, typed: str) -> None:
        from tui.text_sender import TextSender, interval  # start-up time: few sessions need it

        try:
            self._send_every_s = interval(typed)
        except FixboardError as error:
            self._say(str(error), "warning")
            self._ask_interval(found, named, typed)
            return
        self._stop_sending()
        self._send_to, self._not_sent = named, ""
        self._sender = TextSender(found, lambda: self.call_later(self._sending_told))
        self._send_timer = self.set_interval(self._send_every_s, self._send_one)
        self._send_one()

    def _send_one(self) -> None:
        """One text where the position may go on the air by itself; else nothing, said once."""
        from tui.handed_on import Choices, Stamp, handed  # start-up time: few sessions need it

        choices = self._handing or Choices()
        if choices.stamp is Stamp.NONE:
            # Whoever finds the text later must see how old it is.
            choices = replace(choices, stamp=Stamp.DAY)
        found = handed(self.state, choices, self.session.settings.home)
        if found.held_back and found.held_back != self._not_sent:
            self._say(f"No position text is written: {found.held_back}.", "warning")
        self._not_sent = found.held_back
        if self._sender and not found.held_back:
            self._sender.offer(found.aprs.text)

    def _sending_told(self) -> None:
        """A text was written, or was not."""
        if self._sender and self._sender.status.trouble:
            self._say(f"{self._send_to}: {self._sender.status.trouble}.", "warning")

    def _stop_sending(self) -> None:
        sender, timer = self._sender, self._send_timer
        self._sender = self._send_timer = None
        if timer:
            timer.stop()
        if sender:
            sender.close()

    def _show(self, **changes: object) -> None:
        """With how the writing goes: it must be seen on every page."""
        if self._sender or self.state.sending:
            changes = {"sending": self._sending_short, **changes}
        super()._show(**changes)

    @property
    def _sending_short(self) -> str:
        if self._sender is None:
            return ""
        status = self._sender.status
        return "TEXTS WAIT" if self._not_sent or status.trouble else f"texts {status.written}"

    @property
    def sending_words(self) -> str:
        """How the writing goes."""
        if self._sender is None:
            return NOT_SENDING
        status = self._sender.status
        now = f"held back: {self._not_sent}" if self._not_sent else status.trouble or f"{status.written} written"
        return f"Every {self._send_every_s} s to {self._send_to}: {now}."

    def _moment_of(self, choices: Choices) -> Moment:
        from tui.handed_on import handed  # start-up time: few sessions need it
        from tui.screens.qr import Moment  # the same

        found = handed(self.state, choices, self.session.settings.home)
        return Moment(found, _label(self.state), self.sending_words)


def _label(state: BoardState) -> str:
    """What is watched, and all that keeps the position from being a good fix of now."""
    kind, mode = state.status.kind, state.snapshot.fix.mode
    remarks = [
        "a saved place, no fix" if kind is SourceKind.HELD else "",
        "not a position of now" if kind.is_recorded else "",
        f"{mode} position, no satellite fix" if mode in _NO_SATELLITES and kind is not SourceKind.HELD else "",
        "doubtful" if state.verdict is Verdict.DOUBTFUL else "",
    ]
    return "  ".join((kind.value, state.status.name, *(remark for remark in remarks if remark)))

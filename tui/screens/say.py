"""Give the position: the script in large letters; the read-back checked; a doubtful position resolved."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from core.blur import EXACT, Blur, BlurKind, Home, leaving
from core.errors import FixboardError
from core.fix import Position
from core.heard_position import resolve_heard
from core.position_report import CAUTIONS, Audience, Manner, Report, Situation, report
from core.read_back import check
from core.units import in_use
from tui.canvas.cells import one_cell_each
from tui.cli_say import check_lines, heard_lines
from tui.commands import GIVE_COMMANDS, bindings
from tui.own_keys import with_keys
from tui.panes.say import SayPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.listing import LookingOn

KEYS = (
    "{audience_before} {audience_after} audience, {renew_script} now, {other_line} read-back/heard, {next_blur} blur, "
    "{copy_script} copy, Esc back"
)
"""With the commands' ids in the place of their keys."""
BLURS = (
    (EXACT, "exact"),
    (Blur(BlurKind.DIGITS, 100.0), "to 100 m"),
    (Blur(BlurKind.DIGITS, 1000.0), "to 1 km"),
    (Blur(BlurKind.LOCATOR), "4-character locator"),
)
"""Metric in any units: what they leave of a position is a grid square of 100 m or 1 km. Beside them stands how much
that is in the user's (`_blur_words`)."""
READ_BACK = "what was read back, in words or figures; Enter checks it"
HEARD = "somebody else's position as you heard it; Enter shows every plausible reading"
NOTHING_SAID = "Nothing in that is a figure or a letter: type what was read back."


class SayContext(NamedTuple):
    """What the screen needs of the board."""

    now: Callable[[], Situation | None]
    """The position of this moment."""
    trail: Callable[[], Sequence[Position]]
    """Where one has been, for positions that were heard."""
    home: Home | None = None
    leading_zeros: bool | None = None


class SayScreen(LookingOn, ModalScreen[None]):
    """The position stands still while it is read out: what is said must be what is checked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        *bindings(GIVE_COMMANDS, is_first=True),
        Binding("up", "scroll(-1)", show=False),
        Binding("down", "scroll(1)", show=False),
    ]

    def __init__(self, board: BoardScreen, situation: Situation, context: SayContext) -> None:
        """`board`: whose state and colours this screen shares; `situation`: as of the moment the user asked."""
        super().__init__(board)
        self._situation = situation
        self._means = context
        self._audience = Audience.LAND
        self._blur = 0
        self._is_heard = False
        self._found: list[str] = []

    @property
    def report(self) -> Report:
        """As it stands."""
        manner = Manner(self._audience, self._means.leading_zeros, BLURS[self._blur][0])
        return report(self._situation, manner)

    @property
    def warning(self) -> str | None:
        """Of home, where the position would give it away."""
        return leaving(self._situation.position, BLURS[self._blur][0], self._means.home, self._situation.error_m)

    def compose(self) -> ComposeResult:
        """What is watched above, as on the board; the emergency number before all else."""
        yield SourceLine(id="say-source")
        yield VerdictLine(id="say-verdict")
        yield Static(CAUTIONS[0], id="say-caution", markup=False)
        yield Static("", id="say-title", markup=False)
        yield SayPane(id="say-letters")
        with VerticalScroll(id="say-scroll", can_focus=False):
            yield Static("", id="say-lines", markup=False)
        yield Input(placeholder=READ_BACK, id="say-typed", compact=True)
        yield Static(with_keys(KEYS), id="say-keys", markup=False)

    def on_mount(self) -> None:
        """Write it; what is typed is a read-back."""
        self._watch_board()
        self._write()
        self.query_one("#say-typed", Input).focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Once something is typed, left and right move in it."""
        del parameters
        return action != "audience" or not self.is_mounted or not self.query_one("#say-typed", Input).value

    def action_audience(self, by: int) -> None:
        """The next of land, sea, air, or the one before."""
        every = list(Audience)
        self._audience = every[(every.index(self._audience) + by) % len(every)]
        self._write()

    def action_renew_script(self) -> None:
        """The position of now in the place of that of before."""
        found = self._means.now()
        if found is None:
            self.notify("No position now: this one stays.", severity="warning", markup=False)
            return
        self._situation = found
        self._write()

    def action_other_line(self) -> None:
        """What is typed is somebody else's position, or a read-back again."""
        self._is_heard = not self._is_heard
        typed = self.query_one("#say-typed", Input)
        typed.placeholder = HEARD if self._is_heard else READ_BACK
        self._write()

    def action_next_blur(self) -> None:
        """Give less, or again all."""
        self._blur = (self._blur + 1) % len(BLURS)
        self._write()

    def action_scroll(self, by: int) -> None:
        """What does not fit."""
        self.query_one("#say-scroll").scroll_relative(y=by, animate=False)

    def action_copy_script(self) -> None:
        """The script into the clipboard, as far as the terminal allows that."""
        warning = self.warning
        self.app.copy_to_clipboard(self.report.script)
        self.notify(warning or "Copied: the script.", severity="warning" if warning else "information", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter: check it, or resolve it."""
        event.stop()
        text = event.value.strip()
        if text:
            self._found = self._resolved(text) if self._is_heard else self._checked(text)
            self._write(keep=True)

    def _checked(self, text: str) -> list[str]:
        read = check(self.report.forms, text)
        return [NOTHING_SAID] if read is None else check_lines(read)

    def _resolved(self, text: str) -> list[str]:
        near = self._means.trail() or [self._situation.position]
        try:
            return heard_lines(resolve_heard(text, near))
        except FixboardError as error:
            return [str(error)]

    def _write(self, *, keep: bool = False) -> None:
        """`keep`: what was found stays; else the rest of the script stands there."""
        said = self.report
        if not keep:
            self._found = []
        title = f"{said.audience.title()}: {said.forms[0].title}; {_blur_words(BLURS[self._blur][1])}"
        self.query_one("#say-title", Static).update(one_cell_each(title))
        self.query_one(SayPane).show(said.forms[0])
        lines = self._found or _rest(said, self.warning)
        self.query_one("#say-lines", Static).update("\n".join(one_cell_each(line) for line in lines))
        self.query_one("#say-scroll").scroll_home(animate=False)


def _blur_words(words: str) -> str:
    own = in_use().own_lengths(words).removeprefix("to ")
    return words if own in words else f"{words} ({own})"


def _rest(said: Report, warning: str | None) -> list[str]:
    """What is warned of, then what is said beside the large letters."""
    lines = [*([warning] if warning else []), *said.warnings]
    for other in said.forms[1:]:
        lines += [f"As a check, {other.title}: {other.written}", *other.sentences]
    return [*lines, *said.lines, CAUTIONS[1]]

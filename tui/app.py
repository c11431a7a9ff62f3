"""The application: wiring only. State goes down to the screen, what the user wants comes up as actions."""

from __future__ import annotations

import gc
from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import SystemCommand
from textual.binding import BindingType
from textual.screen import Screen
from textual.widget import AwaitMount

from tui.actions.beam import BeamActions
from tui.actions.clock import ClockActions
from tui.actions.explaining import ExplainActions
from tui.actions.exporting import ExportActions
from tui.actions.feeding import FeedActions
from tui.actions.holding import HoldingActions
from tui.actions.in_words import InWordsActions
from tui.actions.logbook import LogbookActions
from tui.actions.pairing import PairActions
from tui.actions.position_text import PositionTextActions
from tui.actions.power import PowerActions
from tui.actions.replaying import ReplayActions
from tui.actions.saying import SayActions
from tui.actions.scrolling import ScrollActions
from tui.actions.setting_screen import SettingScreenActions
from tui.actions.settings import as_set
from tui.actions.stage import StageActions
from tui.actions.stations import StationActions
from tui.canvas.cells import one_cell_each
from tui.canvas.palettes import Depth
from tui.commands import COMMANDS, bindings, key_names
from tui.opening import Openable
from tui.session import Session
from tui.sheets import FIRST, LATER, add_sheet
from tui.state import BoardState

if TYPE_CHECKING:
    from tui.starting import StartingApp

SETTLED_S = 1.0
"""When the collector of garbage is started: the board stands by then, and nobody waits for the next frame."""
FIND_COMMAND = "type to find a command; Enter does it, Esc goes back"
TICK_S = 1.0
"""How often ages are looked at when nothing new comes."""


class FixboardApp(
    InWordsActions,
    SettingScreenActions,
    PowerActions,
    FeedActions,
    SayActions,
    PositionTextActions,
    StationActions,
    BeamActions,
    StageActions,
    ExplainActions,
    PairActions,
    ClockActions,
    ScrollActions,
    ExportActions,
    LogbookActions,
    ReplayActions,
):
    """The board."""

    BINDINGS: ClassVar[list[BindingType]] = list(bindings())

    def __init__(
        self, session: Session, openings: tuple[Openable, ...], depth: Depth | None = None, *, ask: bool = False
    ) -> None:
        """`openings`: one is opened unless `ask`, of several the user picks. `depth`: None asks the terminal."""
        HoldingActions.__init__(self, session, openings, depth)
        self._ask = ask
        self._ours_first = not ask and len(openings) > 1

    async def on_event(self, event: events.Event) -> None:
        """A key typed right behind one that opened a screen is for that screen, and no command of the board."""
        if isinstance(event, events.Key) and self.screen is not self.board and self.pressed_on.get(event) is self.board:
            await super().on_event(events.Key(event.key, event.character))
        else:
            await super().on_event(event)

    async def on_mount(self) -> None:
        """Without a first frame before it (tui/starting.py) the board is the first that is seen."""
        await self.begin()
        await self.furnish()

    def begin(self) -> AwaitMount:
        """Dress, show the board, open what is to be watched. To wait for what it returns is to wait for the panes."""
        add_sheet(self.stylesheet, FIRST)
        self._dress()
        way = self.session.route
        for trouble in self.session.troubles:
            self.notify(one_cell_each(trouble), title="Damaged file", severity="error", markup=False, timeout=60)
        for trouble in way.trouble:
            self._say(f"No longer on the way: {trouble}", "warning")
        self._begin_as_set()
        self.board.state = BoardState(target=next(iter(way.legs), None), then=way.legs[1:]).changed(
            **as_set(self.session.settings, self.session)
        )
        self.board.fit(self.size)
        shown = self.push_screen(self.board)
        self.watch(self.board, "page", self._tell_trail, init=False)
        self.watch(self.board, "page", self.begin_at_the_top, init=False)
        self.set_interval(TICK_S, self._beat)
        if len(self._openings) == 1 and not self._ask:
            self.open(self._openings[0])
        self.set_timer(SETTLED_S, self._settle)
        return shown

    async def furnish(self) -> None:
        """What the first picture does without and keys may need: further rules, the form; then the early keys."""
        for name in LATER:
            add_sheet(self.stylesheet, name)
        await self.board.furnish()
        if self._ask or len(self._openings) > 1:
            self.call_after_refresh(self._ask_what_to_open)
        self.call_later(self._obey)
        self.call_later(self.be_ready)

    @staticmethod
    def _settle() -> None:
        """Nothing that exists by now will ever be garbage: keeping the collector off it halves the worst frame.

        Not before the board stands: the one look that it takes is as long as half a dozen frames.
        """
        gc.collect()
        gc.freeze()
        gc.enable()

    def on_unmount(self) -> None:
        """Let go of source, recorder and feed."""
        self._leave()
        self.end_feed()
        self._end_as_set()

    def action_help(self) -> None:
        """Keys, words and cautions."""
        from tui.screens.help import HelpScreen

        self.push_screen(HelpScreen())

    def action_guide(self, name: str) -> None:
        """What to press in which order, for one job."""
        from tui.guides import GUIDES
        from tui.screens.guide import GuideScreen

        self.push_screen(GuideScreen(next(guide for guide in GUIDES if guide.name == name)))

    def action_command_palette(self) -> None:
        """Ctrl+P: every command by its words, in ours."""
        from textual.command import CommandPalette

        if not self.screen.has_class("--textual-command-palette"):
            self.push_screen(CommandPalette(placeholder=FIND_COMMAND, id="--command-palette"))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything in the table of commands, each with the user's keys, and the guides, for the palette."""
        from tui.guides import GUIDES

        del screen
        for command in COMMANDS:
            title = f"{command.label}: {key_names(command)}"
            yield SystemCommand(title, command.help, lambda action=command.action: self._run(action))
        for guide in GUIDES:
            title, action = f"Guide: {guide.title.lower()}", f"guide('{guide.name}')"
            yield SystemCommand(title, "What to press in which order", lambda action=action: self._run(action))

    def _run(self, action: str) -> None:
        self.call_later(self.run_action, action)


def grown(app: StartingApp) -> FixboardApp:
    """The application after its first frame: the same object, with the same screen and keys, now the board."""
    beginning = app.beginning
    # An object may change its class for another of the same making: both are plain subclasses of one. The other ways
    # would be two applications in a row, between which the terminal falls back to what it showed before, or to have
    # all actions imported before there is anything to see.
    app.__class__ = FixboardApp  # type: ignore[assignment]
    board: FixboardApp = app  # type: ignore[assignment]
    FixboardApp.__init__(board, app.session, beginning.openings(), app.depth, ask=beginning.ask)
    board.wanted_feed = beginning.feed
    board.owes_notice = beginning.notice
    return board

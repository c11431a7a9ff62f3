"""The application: wiring only. State goes down to the screen, what the user wants comes up as actions."""

from __future__ import annotations

import gc
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from typing import ClassVar

from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.notifications import SeverityLevel
from textual.screen import Screen

from core.errors import FixboardError
from core.places.notation import Notation
from core.sources.feed import Feed
from core.sources.player import Player
from core.waypoints import Waypoint
from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import glyphs_for
from tui.canvas.palettes import Depth, depth_of, palette_for
from tui.commands import COMMANDS, bindings
from tui.messages import News
from tui.opening import Opening
from tui.screens.board import BoardScreen
from tui.screens.help import HelpScreen
from tui.screens.pick import Choice, PickScreen
from tui.session import Session
from tui.state import BoardState, Orientation
from tui.themes import palette_name, theme_name, themes_for

PACES = (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, float("inf"))
THEME_ORDER = ("dark", "daylight", "night")
NOTICE_S = 3.0
TICK_S = 1.0
"""How often ages are looked at when nothing new comes."""


class FixboardApp(App[None]):
    """The board."""

    TITLE = "fixboard"
    CSS_PATH = "board.tcss"
    BINDINGS: ClassVar[list[BindingType]] = list(bindings())

    def __init__(
        self, session: Session, openings: tuple[Opening, ...], depth: Depth | None = None, *, ask: bool = False
    ) -> None:
        """`openings`: one is played at once unless `ask`, of several the user picks. `depth`: None asks the terminal."""
        super().__init__(ansi_color=True if depth in {Depth.NONE, Depth.COLOURS_16} else None)
        self.session = session
        self.board = BoardScreen()
        self._openings = openings
        self._ask = ask
        self._feed: Feed | None = None
        self._depth = depth

    @property
    def state(self) -> BoardState:
        """What the board shows now."""
        return self.board.state

    def on_mount(self) -> None:
        """Dress, show the board, begin."""
        self._dress()
        self.board.state = BoardState(notation=self.session.notation, target=self.session.target)
        self.push_screen(self.board)
        self.set_interval(TICK_S, self._tick)
        if len(self._openings) == 1 and not self._ask:
            self.open(self._openings[0])
        elif self._openings:
            self.call_after_refresh(self._ask_what_to_open)

    def on_ready(self) -> None:
        """Nothing that exists by now will ever be garbage: keeping the collector off it halves the worst frame."""
        gc.collect()
        gc.freeze()

    def on_unmount(self) -> None:
        """Let go of the source."""
        if self._feed:
            self._feed.stop()

    def open(self, opening: Opening) -> None:
        """Play something else from now on. What cannot be opened is said, and the board stays as it was."""
        try:
            feed = opening.feed(self._tell)
        except FixboardError as error:
            self.notify(str(error), title="Cannot open", severity="error", timeout=20, markup=False)
            return
        if self._feed:
            self._feed.stop()
        self._feed = feed
        feed.start()

    def _tell(self) -> None:
        self.post_message(News())

    def on_news(self, message: News) -> None:
        """Take the newest snapshot and draw it."""
        message.stop()
        if self._feed:
            self._show(snapshot=self._feed.take())

    def _tick(self) -> None:
        if self._feed:
            self._show()

    def _show(self, **changes: object) -> None:
        """Draw a new state, everything in one write to the terminal."""
        if self._feed:
            source = self._feed.source
            changes = {"status": source.status(), "now_s": source.now_s(), **changes}
        with self.batch_update():
            self.board.state = self.state.changed(**changes)

    # Looks

    def _dress(self) -> None:
        depth = depth_of(self.console.color_system, no_color=self.no_color) if self._depth is None else self._depth
        self._depth = depth
        for theme in themes_for(depth):
            self.register_theme(theme)
        self.theme_changed_signal.subscribe(self, lambda _: self._recolour())
        self.board.glyphs = glyphs_for(self.session.look.glyphs)
        self.theme = theme_name(self.session.theme)
        self._recolour()

    def _recolour(self) -> None:
        self.board.palette = palette_for(palette_name(self.theme), self._depth or Depth.NONE)

    def action_cycle_theme(self) -> None:
        """The next of dark, daylight, night."""
        now = palette_name(self.theme)
        following = THEME_ORDER[(THEME_ORDER.index(now) + 1) % len(THEME_ORDER)] if now in THEME_ORDER else "dark"
        self.theme = theme_name(following)
        self._keep(theme=following)

    # The board

    def action_page(self, page: str) -> None:
        """Show one pane alone, or the board."""
        self.board.page = page

    def action_cycle_notation(self) -> None:
        """The next way of writing the position."""
        forms = list(Notation)
        following = forms[(forms.index(self.state.notation) + 1) % len(forms)]
        self._show(notation=following)
        self._keep(notation=following.name)

    def action_turn_compass(self) -> None:
        """North-up or course-up."""
        turned = self.state.orientation is Orientation.NORTH_UP
        self._show(orientation=Orientation.COURSE_UP if turned else Orientation.NORTH_UP)

    def action_pause_wire(self) -> None:
        """Hold the raw sentences still."""
        self._show(wire_paused=not self.state.wire_paused)

    # Going to

    def action_mark_here(self) -> None:
        """Save a waypoint where we are."""
        if not self.state.is_current:
            self._say("No current position: nothing can be marked until there is one.", "warning")
            return
        try:
            waypoint = self.session.mark(self.state.snapshot.fix)
        except FixboardError as error:
            self._say(str(error), "error")
        else:
            self._say(f"Marked: {waypoint.name}. g goes to it.")

    def action_go_to_mark(self) -> None:
        """The newest mark becomes the target."""
        waypoints = self.session.waypoints
        if waypoints:
            self._go_to(waypoints[-1])
        else:
            self._say("No waypoint yet: m marks here.", "warning")

    def action_pick_target(self) -> None:
        """Choose a waypoint."""
        waypoints = self.session.waypoints
        choices = [Choice(place.name, f"{place.time:%Y-%m-%d}" if place.time else "") for place in waypoints]

        def picked(number: int | None) -> None:
            if number is not None:
                self._go_to(waypoints[number])

        self.push_screen(PickScreen("Go to", choices, "No waypoint yet: m marks here."), picked)

    def action_drop_target(self) -> None:
        """No target any more."""
        self._show(target=None)
        self._keep(target="")

    def _go_to(self, waypoint: Waypoint) -> None:
        self._show(target=waypoint)
        self._keep(target=waypoint.name)

    # The recording

    def action_toggle_pause(self) -> None:
        """Stand still, or play on."""
        if self._player:
            self._player.toggle_pause()
            self._show()

    def action_faster(self) -> None:
        """The next faster pace."""
        self._set_pace(lambda now: bisect_right(PACES, now))

    def action_slower(self) -> None:
        """The next slower pace."""
        self._set_pace(lambda now: bisect_left(PACES, now) - 1)

    def _set_pace(self, following: Callable[[float], int]) -> None:
        player = self._player
        if player:
            number = following(player.status().pace or 1.0)
            player.set_pace(PACES[min(max(number, 0), len(PACES) - 1)])
            self._show()

    @property
    def _player(self) -> Player | None:
        return self._feed.source if self._feed and isinstance(self._feed.source, Player) else None

    # The program

    def action_help(self) -> None:
        """Keys, words and cautions."""
        self.push_screen(HelpScreen())

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything in the table of commands, for the palette."""
        del screen
        for command in COMMANDS:
            yield SystemCommand(command.label, command.help, lambda action=command.action: self._run(action))

    def _run(self, action: str) -> None:
        self.call_later(self.run_action, action)

    def _ask_what_to_open(self) -> None:
        choices = [Choice(opening.path.name, opening.remark) for opening in self._openings]

        def picked(number: int | None) -> None:
            if number is None:
                self.exit()
            else:
                self.open(self._openings[number])

        self.push_screen(PickScreen("Open a recording", choices, "Nothing to open."), picked)

    def _keep(self, **choices: str) -> None:
        trouble = self.session.keep(**choices)
        if trouble:
            self._say(trouble, "warning")

    def _say(self, text: str, severity: SeverityLevel = "information") -> None:
        self.notify(one_cell_each(text), severity=severity, markup=False, timeout=NOTICE_S)

"""The application: wiring only. State goes down to the screen, what the user wants comes up as actions."""

from __future__ import annotations

import gc
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import ClassVar

from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.notifications import SeverityLevel
from textual.screen import Screen

from core.errors import FixboardError
from core.logbook import RecorderState
from core.places.notation import Notation
from core.sources.feed import Feed
from core.sources.names import source_name
from core.sources.player import Player
from core.sources.source import SourceKind
from core.waypoints import Waypoint
from tui.alert import FixAlert
from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import glyphs_for
from tui.canvas.palettes import Depth, depth_of, palette_for
from tui.commands import COMMANDS, bindings
from tui.messages import News
from tui.offers import live_offers, recording_offers, remembered_as
from tui.opening import LiveOpening, Openable, opening_of
from tui.recorder_desk import RecorderDesk
from tui.screens.board import BoardScreen
from tui.screens.chooser import ChooserScreen
from tui.screens.help import HelpScreen
from tui.screens.pick import Choice, PickScreen
from tui.session import Session
from tui.state import BoardState
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
        self, session: Session, openings: tuple[Openable, ...], depth: Depth | None = None, *, ask: bool = False
    ) -> None:
        """`openings`: one is opened unless `ask`, of several the user picks. `depth`: None asks the terminal."""
        super().__init__(ansi_color=True if depth in {Depth.NONE, Depth.COLOURS_16} else None)
        self.session = session
        self.board = BoardScreen()
        self._openings = openings
        self._ask = ask
        self._feed: Feed | None = None
        self._recorder = RecorderDesk(session.recordings, self._keep)
        self._interrupted = session.memory.recording
        self._told_of_failure = False
        self._alert = FixAlert()
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
        elif self._ask or self._openings:
            self.call_after_refresh(self._ask_what_to_open)

    def on_ready(self) -> None:
        """Nothing that exists by now will ever be garbage: keeping the collector off it halves the worst frame."""
        gc.collect()
        gc.freeze()

    def on_unmount(self) -> None:
        """Let go of source and recorder."""
        self._leave()

    def open(self, opening: Openable) -> None:
        """Watch this from now on. What cannot be opened is said, and the board stays as it was."""
        try:
            feed = opening.feed(self._tell)
        except FixboardError as error:
            self.notify(one_cell_each(str(error)), title="Cannot open", severity="error", timeout=20, markup=False)
            return
        self._leave()
        self._feed = feed
        self._alert = FixAlert()
        feed.start()
        self._keep(source=remembered_as(opening, self.session.memory.source))
        if isinstance(opening, LiveOpening):
            self._begin_recording(feed)

    def _begin_recording(self, feed: Feed) -> None:
        """At once where the user wants that; where the last run ended in a crash while it recorded, by their leave."""
        interrupted, self._interrupted = self._interrupted, ""
        if self.session.records:
            self._recorder.start(feed)
        elif interrupted:
            self._offer_to_go_on(feed, interrupted)

    def _offer_to_go_on(self, feed: Feed, interrupted: str) -> None:
        def answered(number: int | None) -> None:
            if number == 0:
                self._say(self._recorder.start(feed))
            else:
                self._keep(recording="")

        choices = [Choice("Go on recording", "into a new file"), Choice("Do not record", "what was recorded stays")]
        self.push_screen(PickScreen(f"The last run ended while it recorded {interrupted}", choices, ""), answered)

    def _leave(self) -> None:
        self._recorder.stop(self._feed)
        if self._feed:
            self._feed.stop()

    def _tell(self) -> None:
        self.post_message(News())

    def on_news(self, message: News) -> None:
        """Take the newest snapshot and draw it."""
        message.stop()
        if self._feed:
            self._show(snapshot=self._feed.take())
            self._watch_fix()

    def _tick(self) -> None:
        if self._feed:
            self._show()
            self._watch_fix()

    def _watch_fix(self) -> None:
        said = self._alert.update(self.state.is_current, self.state.now_s)
        if said and self._rings():
            self.bell()
            self._say(said, "warning")
        failed = self.state.recorder.state is RecorderState.FAILED
        if failed and not self._told_of_failure:
            why = one_cell_each(self.state.recorder.reason)
            self.notify(why, title="Recording stopped", severity="error", timeout=30, markup=False)
        self._told_of_failure = failed

    def _rings(self) -> bool:
        """Live unless switched off; a recording only if switched on: a club meeting wants no bell."""
        return self.session.memory.alert == "on" or (
            self.session.memory.alert != "off" and self.state.status.kind is SourceKind.LIVE
        )

    def _show(self, **changes: object) -> None:
        """Draw a new state, everything in one write to the terminal."""
        if self._feed:
            recorder = self._recorder.status
            now = {"status": self._feed.status(), "now_s": self._feed.source.now_s(), "recorder": recorder}
            changes = {**now, **changes}
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
        # By way of the palettes: what is remembered may have been edited to anything.
        self.theme = theme_name(palette_name(theme_name(self.session.theme)))
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
        """North-up, course-up, and head-up where there is a heading."""
        self._show(orientation=self.state.next_orientation)

    def action_pause_wire(self) -> None:
        """Hold the raw sentences still."""
        self._show(wire_paused=not self.state.wire_paused)

    def action_toggle_alert(self) -> None:
        """The bell on or off."""
        rings = not self._rings()
        self._keep(alert="on" if rings else "off")
        self._say("The bell rings when the fix is lost or comes back." if rings else "The bell is silent.")

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

    def action_toggle_recording(self) -> None:
        """Record, or stop."""
        if self._feed:
            desk = self._recorder
            self._say(desk.stop(self._feed) if desk.is_running else desk.start(self._feed))
            self._show()

    def action_open_other(self) -> None:
        """Choose another source."""
        self._ask_what_to_open()

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
        """The list is made anew: ports come and go."""
        session = self.session
        offers = [*live_offers(session.memory.source), *recording_offers(Path(), session.recordings), *self._openings]
        openings = {opening.label: opening for opening in offers}

        def picked(name: str | None) -> None:
            if name is not None:
                self.open(openings.get(name) or opening_of(source_name(name)))
            elif not self._feed:
                self.exit()

        self.push_screen(ChooserScreen([Choice(label, opening.remark) for label, opening in openings.items()]), picked)

    def _keep(self, **choices: str) -> None:
        trouble = self.session.keep(**choices)
        if trouble:
            self._say(trouble, "warning")

    def _say(self, text: str, severity: SeverityLevel = "information") -> None:
        self.notify(one_cell_each(text), severity=severity, markup=False, timeout=NOTICE_S)

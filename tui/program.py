"""What the application is from its first frame to its end: one title, one theme."""

from __future__ import annotations

import os
from weakref import WeakKeyDictionary

from rich.console import Console
from textual import events
from textual.constants import COLOR_SYSTEM
from textual.driver import Driver
from textual.screen import Screen

from tui.canvas.palettes import Depth, Palette, depth_of, palette_for
from tui.pasting import PastingApp
from tui.session import Session
from tui.themes import palette_name, theme_for, theme_name

SOON_S = 0.02
"""Until it is looked again whether a screen stands."""


def asked_depth() -> Depth:
    """How many colours the terminal says that it has, as Textual will find it: it must be known before there is one."""
    asked = Console(color_system=COLOR_SYSTEM, force_terminal=True, legacy_windows=False)  # type: ignore[arg-type]  # as Textual
    return depth_of(asked.color_system, no_color="NO_COLOR" in os.environ)


class Program(PastingApp):
    """Dressed before there is a screen; what it shows and does is the business of those that build on it."""

    TITLE = "fixboard"

    is_dressed = False
    """Whether it has been made."""
    _early: list[events.Event] | None = None
    """Keys that came before there was a board, or a screen, to obey them; None while there is."""

    def __init__(self, session: Session, depth: Depth | None) -> None:
        """`depth`: None asks the terminal."""
        depth = asked_depth() if depth is None else depth
        # From the beginning: else names of colours are taken for Textual's own shades of them, a red for magenta, and
        # the filter that does so fails at a dim one.
        super().__init__(ansi_color=True if depth in {Depth.NONE, Depth.COLOURS_16} else None)
        self.session = session
        self.pressed_on: WeakKeyDictionary[events.Key, Screen[object]] = WeakKeyDictionary()
        """The screen that was shown when a key was pressed, as long as that key is on its way."""
        self._depth = depth
        # Before there is a stylesheet: to change the theme of a running application has all of it read twice more.
        # By way of the palettes: what is remembered may have been edited to anything.
        self.set_reactive(Program.theme, self._known(palette_name(theme_name(session.theme))))
        self._watch_ansi_color(self.ansi_color)  # nobody watches the theme yet, and one of names keeps its names
        self.stylesheet.set_variables(self.get_css_variables())
        self.is_dressed = True

    def get_driver_class(self) -> type[Driver]:
        """Textual's choice, but for its driver of Unix terminals."""
        found = super().get_driver_class()
        if found.__name__ != "LinuxDriver":  # by name, since elsewhere there is no such module
            return found
        from tui.keyboard import PatientDriver

        return PatientDriver

    async def on_event(self, event: events.Event) -> None:
        """Keys wait until there is a board, or whatever screen the key before them opens."""
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded:
            await super().on_event(event)
            return
        if self._early is None and self._is_opening:
            self._early = []
            self.call_later(self._obey)
        if self._early is not None:
            self._early.append(event)
            return
        if isinstance(event, events.Key):
            self.pressed_on[event] = self.screen
        await super().on_event(event)

    @property
    def _is_opening(self) -> bool:
        """Whether a screen has been asked for that has no widgets yet: nothing in it could take a key."""
        return bool(self.screen_stack) and not self.screen.is_mounted

    async def _obey(self) -> None:
        """What was pressed early, in its order. A message like any key: what is pressed meanwhile comes after it."""
        if self._is_opening:
            self.set_timer(SOON_S, self._obey)
            return
        early, self._early = self._early or [], None
        for event in early:
            await self.on_event(event)

    @property
    def palette(self) -> Palette:
        """The colours of the theme as panes draw with them."""
        return palette_for(palette_name(self.theme), self._depth)

    def _wear(self, palette: str) -> None:
        self.theme = self._known(palette)

    def _known(self, palette: str) -> str:
        """Textual's name of a theme, once Textual has it. Not all at once: the shades of one take as long as a pane."""
        name = theme_name(palette)
        if name not in self.available_themes:
            self.register_theme(theme_for(palette, self._depth))
        return name

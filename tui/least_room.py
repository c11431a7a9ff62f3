"""A terminal with too few cells says so: half a position would be worse than none."""

from __future__ import annotations

from textwrap import wrap
from typing import Any

from rich.console import Console, RenderableType
from textual import events
from textual._compositor import CompositorUpdate
from textual.app import App
from textual.geometry import Size
from textual.screen import Screen

LEAST = Size(30, 8)
"""Latitude, longitude, the verdict and a list's first rows fit from here on (tests/faults/test_screen_sizes.py)."""
WORDS = (
    "Too small: {size.width}x{size.height}. Enlarge to {least.width}x{least.height} or more, or make the letters "
    "smaller. One fix: fixboard now"
)
_CLEAR = "\x1b[0m\x1b[2J"


def has_room(size: Size) -> bool:
    """Whether anything can be shown there."""
    return size.width >= LEAST.width and size.height >= LEAST.height


def roomy(size: Size) -> Size:
    """The size, or as much more as the least is."""
    return Size(max(size.width, LEAST.width), max(size.height, LEAST.height))


def notice(size: Size) -> list[str]:
    """As many lines as there are rows at most, none longer than a row."""
    return wrap(WORDS.format(size=size, least=LEAST), max(1, size.width))[: size.height]


class TooSmall(CompositorUpdate):
    """Stands for what the compositor would have drawn."""

    def __init__(self, size: Size) -> None:
        self.size = size

    def render_segments(self, console: Console) -> str:
        """Nothing but the notice, in the terminal's own style."""
        del console
        return _CLEAR + "".join(f"\x1b[{y};1H{line}" for y, line in enumerate(notice(self.size), 1))


class RoomyApp(App[None]):
    """Draws nothing where there is no room for it. All that is drawn passes here, whichever screen is on top.

    Screens are laid out for the least room then, unseen: in a column or two the toolkit's own lists cannot be.
    """

    # Textual declares it as an instance variable, so ClassVar, which ruff would have, is an error to mypy.
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (20, "-low"), (34, "-high")]  # noqa: RUF012
    """For lists and sheets, as `BoardScreen` has them for the board."""

    _terminal: Size | None = None
    """Its true size, as it was told last."""
    _told: Size | None = None
    """The size that the notice was written for, while it stands."""

    @property
    def size(self) -> Size:
        """What screens are laid out for."""
        return roomy(super().size)

    @property
    def terminal_size(self) -> Size:
        """Columns and rows that there are."""
        return self._terminal or super().size

    async def on_event(self, event: events.Event) -> None:
        """A new size; everything else as it is."""
        if not isinstance(event, events.Resize):
            await super().on_event(event)
            return
        self._terminal = event.size
        size = roomy(event.size)
        await super().on_event(events.Resize(size, size, event.container_size, event.pixel_size))
        # The screens may have had that size before, and then nobody draws.
        if self.screen_stack and (not has_room(event.size) or self._told):
            self._display(self.screen, self.screen._compositor.render_update(full=True))

    def _display(self, screen: Screen[Any], renderable: RenderableType | None) -> None:
        size = self.terminal_size
        if has_room(size):
            self._told = None
            super()._display(screen, renderable)
        elif self._told != size and renderable is not None and not self._batch_count:
            self._told = size
            super()._display(screen, TooSmall(size))  # type: ignore[arg-type]  # an update, as the compositor's own are

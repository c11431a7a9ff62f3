"""The short way of a change to the terminal: only the cells that changed, in one write, at once.

Textual's own way takes two messages a pane and the next beat of a timer, then asks every widget on the screen for all
of its rows and writes whole rows. Ten times a second that is most of what the board costs. Within a `frame`, panes
whose every cell is in sight write their changed cells themselves; whatever is covered, clipped, being laid out anew or
has a border goes Textual's way, which stays right at any time: it never relies on what was written here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from rich.console import COLOR_SYSTEMS, Console
from textual._compositor import Compositor, CompositorUpdate
from textual._styles_cache import StylesCache
from textual.app import App
from textual.color import TRANSPARENT, Color
from textual.filter import LineFilter
from textual.geometry import Offset, Region
from textual.widget import Widget

from tui.canvas.palettes import Palette
from tui.canvas.pen import PLAIN, RESET, Pen

if TYPE_CHECKING:
    from tui.canvas.widget import CanvasPane

AnyApp = App[Any]
Map = dict[Widget, tuple[Region, Region]]
"""Widgets in sight, those in front first, with their regions and what these are clipped to."""
Look = tuple[str | None, tuple[LineFilter, ...], Color]
"""What a style's codes depend on beside the style: the terminal's colours, Textual's filters, what those blend with."""

IS_KNOWN = all(
    hasattr(owner, name)
    for owner, name in ((Compositor, "visible_widgets"), (StylesCache, "set_dirty"), (App, "_display"))
)
"""What of Textual is used here alone and not public; a release without it gets the long way, as for any widget."""


class Stretch(NamedTuple):
    """Cells of one row that changed, counted in the content from 0."""

    y: int
    start: int
    end: int
    """The column after the last."""


def regions_of(stretches: Iterable[Stretch]) -> list[Region]:
    """One region a row, from the first cell that changed to the last: Textual writes a region as one piece."""
    ends: dict[int, tuple[int, int]] = {}
    for y, start, end in stretches:
        first, last = ends.get(y, (start, end))
        ends[y] = min(first, start), max(last, end)
    return [Region(start, y, end - start, 1) for y, (start, end) in ends.items()]


class Frame:
    """What has changed so far, by pane."""

    open: ClassVar[Frame | None] = None

    def __init__(self, app: AnyApp) -> None:
        self._app = app
        self._changed: dict[CanvasPane, list[Stretch]] = {}
        self._way = _way_of(app)
        if self._way:
            self._way.look(app)

    def shows(self, pane: CanvasPane) -> bool:
        """Whether a pane is known to be in sight, without asking Textual for the whole way up; False: ask it."""
        return self._way is not None and self._way.place(pane) is not None

    def add(self, pane: CanvasPane, stretches: Sequence[Stretch]) -> None:
        """To be written when the frame ends."""
        self._changed.setdefault(pane, []).extend(stretches)

    def write(self) -> None:
        """What can be, in one write; the rest as Textual does."""
        if not self._changed:
            return
        way = self._way if not self._app._batch_count else None  # somebody else still holds the screen back
        if way:
            way.look(self._app)  # again, since anything may have happened meanwhile
        texts = []
        for pane, stretches in self._changed.items():
            text = way.text(pane, stretches) if way else None
            if text is None:
                pane.refresh(*regions_of(stretches))
            else:
                texts.append(text)
        if texts:
            self._app._display(self._app.screen, Written("".join(texts)))


@contextmanager
def frame(app: AnyApp) -> Iterator[None]:
    """Panes that are repainted in it are written together when it ends; one inside another is part of it."""
    if Frame.open is not None:
        yield
        return
    mine = Frame.open = Frame(app)
    try:
        yield
    finally:
        Frame.open = None
        mine.write()


class Written(CompositorUpdate):
    """Stands for what the compositor would have made."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __rich__(self) -> str:
        return self.text

    def render_segments(self, console: Console) -> str:
        """As it is."""
        del console
        return self.text


class ShortWay:
    """Knows which panes can be written to, and the pens to do it with. One for each application."""

    def __init__(self) -> None:
        self._map: Map = {}
        self._places: dict[Widget, Offset | None] = {}
        self._look: Look = (None, (), TRANSPARENT)
        self._pens: dict[Palette, Pen] = {}

    def look(self, app: AnyApp) -> None:
        """See what there is now: a layout is a map of its own, and other filters need other pens."""
        screen = app.screen
        known = screen._compositor.visible_widgets
        if known is not self._map:
            self._map = known
            self._places.clear()
        look = app.console.color_system, tuple(app.get_line_filters()), screen.background_colors[1]
        if look != self._look:
            self._look = look
            self._pens.clear()

    def place(self, pane: CanvasPane) -> Offset | None:
        """Where its first cell is, while all of it is in sight as it was drawn; None otherwise."""
        if pane not in self._places:
            self._places[pane] = _uncovered(pane, self._map)
        place = self._places[pane]
        return place if place is not None and self._map[pane][0].size == pane.drawn_size else None

    def text(self, pane: CanvasPane, stretches: Sequence[Stretch]) -> str | None:
        """What to write for these cells as they are drawn now; None where that is not for us to do."""
        place = self.place(pane)
        if place is None:
            return None
        # Textual keeps rows that it has written: these are no longer so.
        pane._styles_cache.set_dirty(*(Region(0, y, 1, 1) for y, _, _ in stretches))
        return _written(pane, place, stretches, self._pen(pane.palette))

    def _pen(self, palette: Palette) -> Pen:
        pen = self._pens.get(palette)
        if pen is None:
            name, filters, ground = self._look
            pen = self._pens[palette] = Pen(palette, COLOR_SYSTEMS[name or "truecolor"], filters, ground)
        return pen


def _way_of(app: AnyApp) -> ShortWay | None:
    """None before there is a screen, and where Textual is not as it is known."""
    if not IS_KNOWN or app.is_inline or not app.screen_stack:
        return None
    # Kept by the application itself: the way knows its widgets, so in a table of ours both would live for ever.
    way: ShortWay = vars(app).setdefault("_short_way", ShortWay())
    return way


def _uncovered(pane: CanvasPane, known: Map) -> Offset | None:
    """The upper left cell of a pane without border or padding that nothing cuts off and nothing lies upon."""
    if pane not in known or pane.styles.gutter:
        return None
    region, clip = known[pane]
    if not clip.contains_region(region):
        return None
    for other, (its_region, its_clip) in known.items():
        if other is pane:
            return region.offset
        if region.overlaps(its_region.intersection(its_clip)):
            return None
    return None


def _written(pane: CanvasPane, place: Offset, stretches: Sequence[Stretch], pen: Pen) -> str:
    """Cursor movements, changes of style and characters; ends in the terminal's own style."""
    parts: list[str] = []
    style, row, column = PLAIN, -1, -1
    for y, start, end in sorted(stretches):
        if y == row and start >= column:
            if start > column:
                parts.append(f"\x1b[{start - column}C")
        else:
            parts.append(f"\x1b[{place.y + y + 1};{place.x + start + 1}H")
        for text, key in pane.look(y).runs(start, end):
            parts += (pen.change(style, key), text)
            style = key
        row, column = y, end
    parts.append(RESET)
    return "".join(parts)

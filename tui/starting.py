"""From the first import to the first frame, and from there to the board.

A board takes hundreds of modules, and a user sees nothing meanwhile. So the application begins as little more than a
screen with one widget (`FirstFrame`), which says what is so by then. When that stands in the terminal all the rest is
imported, and the same application goes on as the board. Keys that are pressed in between are kept and then obeyed in
their order.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import BindingType

from tui.canvas.palettes import Depth
from tui.commands import bindings
from tui.first_words import FirstWords
from tui.panes.first_frame import FirstFrame
from tui.program import Program
from tui.session import Session

if TYPE_CHECKING:
    from core.feeding.plan import FeedPlan
    from tui.opening import Openable


class Beginning(NamedTuple):
    """What the command line has come to."""

    words: FirstWords
    openings: Callable[[], tuple[Openable, ...]]
    """What to open, or choose from; made when the first frame stands."""
    ask: bool = False
    feed: FeedPlan | None = None
    """What `--feed` wants."""
    notice: bool = False
    """Whether the cautions are to be read before anything but a demo is watched."""


class StartingApp(Program):
    """The application until its first frame stands in the terminal."""

    BINDINGS: ClassVar[list[BindingType]] = list(bindings())
    """Those of the board, since an application keeps the keys that it was made with."""

    def __init__(self, session: Session, depth: Depth | None, beginning: Beginning) -> None:
        """`depth`: None asks the terminal."""
        super().__init__(session, depth)
        self.depth = depth
        self.beginning = beginning
        self._early = []

    def compose(self) -> ComposeResult:
        """Nothing but the first frame."""
        first = FirstFrame(self.beginning.words, has_all_panes=self.session.has_all_panes)
        first.set_reactive(FirstFrame.palette, self.palette)
        yield first

    def on_mount(self) -> None:
        """Go on when it is seen."""
        self.call_after_refresh(self._go_on)

    def _go_on(self) -> None:
        from tui.app import grown

        board = grown(self)
        board.begin()
        # When its first picture is seen. Not waited for here: a screen that waits cannot be left.
        board.board.call_after_refresh(board.furnish)

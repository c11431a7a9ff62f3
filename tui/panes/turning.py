"""A rose that turns instead of jumping: from the bearing at its top to a new one, in a third of a second."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import NamedTuple

from textual.timer import Timer

from tui.canvas.frame import frame
from tui.canvas.widget import CanvasPane

TURN_S = 0.3
"""Long enough to be followed by the eye, over before the next fix of a receiver that reports every second (ours)."""
FRAMES_PER_S = 15
"""Every frame is written to the terminal, perhaps through a slow line; more would not look smoother in cells (ours)."""
JUMP_DEG = 1.0
"""Up to this much the rose jumps: one frame in between would show nothing, it is drawn to whole degrees."""
OFTEN_S = 2 * TURN_S
"""Three bearings within it make a turn by themselves: frames between them would be drawn over before they are seen."""


def eased(shown_deg: float, wanted_deg: float, fraction: float) -> float:
    """The bearing at a fraction (0 to 1) of the short way from one to another, 0 to below 360."""
    # Twice: a tiny negative remainder rounds to 360 itself.
    return (shown_deg + short_way(shown_deg, wanted_deg) * fraction) % 360.0 % 360.0


def short_way(from_deg: float, to_deg: float) -> float:
    """Degrees to turn from one bearing to another, -180 to below 180, clockwise positive."""
    return (to_deg - from_deg + 180.0) % 360.0 - 180.0


class Turn(NamedTuple):
    """From one bearing to another, fast at first."""

    from_deg: float
    to_deg: float
    begun_s: float
    """By the clock that is passed to the methods."""

    def at(self, now_s: float) -> float:
        """The bearing at a moment; exactly `to_deg` once the turn is over."""
        if self.is_over(now_s):
            return self.to_deg
        left = 1.0 - max(0.0, now_s - self.begun_s) / TURN_S
        return eased(self.from_deg, self.to_deg, 1.0 - left * left)

    def is_over(self, now_s: float) -> bool:
        """Whether nothing moves any more."""
        return self.from_deg == self.to_deg or now_s - self.begun_s >= TURN_S


class TurningPane(CanvasPane):
    """Call `turn_to` before `repaint`; `paint` asks `shown_deg`.

    Nothing runs while nothing turns. A new bearing takes over from what is shown at that moment, so the rose is never
    more than one turn behind.
    """

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id, classes=classes)
        self.clock: Callable[[], float] = monotonic
        self._turn = Turn(0.0, 0.0, 0.0)
        self._frames: Timer | None = None
        self._asked_s: tuple[float, ...] = ()

    @property
    def shown_deg(self) -> float:
        """The bearing at the top at this moment."""
        return self._turn.at(self.clock())

    def turn_to(self, wanted_deg: float) -> None:
        """Have this at the top: after a turn if that can be seen and is wanted, else at once."""
        if wanted_deg == self._turn.to_deg:
            return
        now_s = self.clock()
        shown = self._turn.at(now_s)
        often = self._is_often(now_s)
        if abs(short_way(shown, wanted_deg)) > JUMP_DEG and not often and self._may_turn():
            self._turn = Turn(shown, wanted_deg, now_s)
            self._frames = self._frames or self.set_interval(1 / FRAMES_PER_S, self._next_frame)
        else:
            self._rest(wanted_deg)

    def _is_often(self, now_s: float) -> bool:
        """Whether this is the third bearing in a short while."""
        before, self._asked_s = self._asked_s, (*self._asked_s[-1:], now_s)
        return len(before) == 2 and 0 <= now_s - before[0] < OFTEN_S

    def _may_turn(self) -> bool:
        return self._showing() and self.app.animation_level != "none"

    def _next_frame(self) -> None:
        if self._turn.is_over(self.clock()) or not self._may_turn():
            self._rest(self._turn.to_deg)
        with frame(self.app):
            self.repaint()

    def _rest(self, at_deg: float) -> None:
        self._turn = Turn(at_deg, at_deg, 0.0)
        if self._frames is not None:
            self._frames.stop()
            self._frames = None

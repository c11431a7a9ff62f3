"""Where the board's panes will stand on a screen of some size, known before there is a board.

The stylesheet decides that (board.tcss), and tests/tui/test_first_frame.py holds both together, size by size. It is
worked out here once more because reading the stylesheet and laying out twenty widgets takes longer than all the rest
of a first frame.
"""

from __future__ import annotations

from typing import NamedTuple

MID, WIDE = 70, 110
"""Columns from which a screen is no longer narrow, and from which it is wide."""
LOW, HIGH = 20, 34
"""Rows from which it is no longer flat, and from which it is high."""
BY_WIDTH = ((0, "-narrow"), (MID, "-mid"), (WIDE, "-wide"))
BY_HEIGHT = ((0, "-flat"), (LOW, "-low"), (HIGH, "-high"))
"""What the stylesheet calls a screen of so many columns or rows at least."""
TOP = 2
"""Rows above the panes: what is watched, and the verdict."""
MID_WIRE, MID_GOTO = 9, 7
"""Rows of these two on a middling screen that is high."""


class Head(NamedTuple):
    """The first row of a pane, which its caption stands in."""

    caption: str
    x: int
    y: int
    width: int


class Room(NamedTuple):
    """A screen, in cells."""

    width: int
    height: int
    bar: int
    """Rows of the time bar above the footer; 0 where there is no recording."""

    @property
    def rows(self) -> int:
        """Of the panes."""
        return max(0, self.height - TOP - 1 - self.bar)

    @property
    def is_mid(self) -> bool:
        """Whether there is room for words beside pictures, but not for three columns."""
        return MID <= self.width < WIDE

    @property
    def is_high(self) -> bool:
        """Whether there is room for sky, compass and wire."""
        return self.height >= HIGH


def size_classes(width: int, height: int) -> tuple[str, str]:
    """What the stylesheet calls a screen of that size."""
    wide = [name for least, name in BY_WIDTH if width >= least]
    high = [name for least, name in BY_HEIGHT if height >= least]
    return wide[-1], high[-1]


def room(width: int, height: int, *, is_recording: bool) -> Room:
    """A screen, with the time bar that a recording gets at that height."""
    bar = 0 if height < LOW else 1 if height < HIGH else 2
    return Room(width, height, bar if is_recording else 0)


def heads(screen: Room) -> tuple[Head, ...]:
    """All that are in sight."""
    end = TOP + screen.rows
    # A pane that ends with the screen has no caption before it has a second row.
    return tuple(head for head in (*_words(screen), *_pictures(screen)) if head.y < end - (head.caption == "Go-to"))


def _words(screen: Room) -> tuple[Head, ...]:
    """Position, fix and go-to, one under the other."""
    width = screen.width if screen.width < MID else 37 if screen.is_mid else 38
    position, fix = _heights(screen)
    goto = TOP + position + fix
    if screen.is_mid and screen.is_high:
        goto = TOP + screen.rows - MID_WIRE - MID_GOTO
    return Head("Position", 0, TOP, width), Head("Fix", 0, TOP + position, width), Head("Go-to", 0, goto, width)


def _heights(screen: Room) -> tuple[int, int]:
    """Rows of position and fix."""
    if screen.height < LOW:
        return 4, 4
    if not screen.is_high:
        return 8 if screen.width < MID else 9, 5
    return (10, 0) if screen.is_mid else (14, 10)


def _pictures(screen: Room) -> tuple[Head, ...]:
    """Sky and compass, and the wire below them."""
    if screen.width < MID or screen.height < LOW:
        return ()
    return _mid_pictures(screen) if screen.is_mid else _wide_pictures(screen)


def _mid_pictures(screen: Room) -> tuple[Head, ...]:
    """One above the other, where there is height for it; the wire across the screen."""
    width = screen.width - 38
    if not screen.is_high:
        return (Head("Compass", 38, TOP, width),)
    rows = screen.rows - MID_WIRE
    return (
        Head("Sky", 38, TOP, width),
        Head("Compass", 38, TOP + rows // 2, width),
        Head("Wire", 0, TOP + rows, screen.width),
    )


def _wide_pictures(screen: Room) -> tuple[Head, ...]:
    """Side by side, ten to nine; the wire has a quarter of the rows."""
    width = screen.width - 39
    sky = (width - 1) * 10 // 19
    found = (Head("Sky", 39, TOP, sky), Head("Compass", 40 + sky, TOP, width - sky - 1))
    return (*found, Head("Wire", 39, TOP + screen.rows * 3 // 4, width)) if screen.is_high else found

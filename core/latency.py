"""How long after a second a receiver begins to say so: assumed, stated by the user, or learned at home.

No receiver tells it, and without it a computer's clock can only be bounded from one side. It belongs to a receiver, the
speed of its line and the sentences it sends: change one, and it is another.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import Enum
from math import isfinite
from typing import NamedTuple

from core.errors import InputError
from core.shown import shown

LONGEST_S = 2.0
"""Beyond it, it is no latency but a line that cannot keep up, or a receiver that names another second."""
STATED_MARGIN_S = 0.05
"""Either side of what the user states (no source; trade-facts h: +-20 ms was left of a constant 250 ms)."""
NETWORK_MARGIN_S = 0.05
"""How well a computer is kept by network time (common practice, no source)."""
WANDER_S = 0.05
"""How far a receiver's latency strays from one day to another, by its load (the same fact, with room)."""
STANDARD_INPUT = "standard input"
"""The name of that source."""
_NAME = re.compile(r"(.*) (\d{3,7}) baud")
"""How a serial source names itself while its line is open at a known speed."""


class Basis(Enum):
    """Where a latency comes from."""

    ASSUMED = "assumed"
    STATED = "stated"
    LEARNED = "learned"


class Latency(NamedTuple):
    """From a second to the first byte that answers for it, between two bounds."""

    low_s: float
    high_s: float
    basis: Basis
    learned_on: str = ""
    """Day of learning, ISO 8601."""

    @property
    def middle_s(self) -> float:
        """Half way between the bounds."""
        return (self.low_s + self.high_s) / 2

    @property
    def words(self) -> str:
        """The bounds, and how good they are."""
        bounds = f"{self.low_s:.2f} to {self.high_s:.2f} s"
        if self.basis is Basis.ASSUMED:
            return f"{bounds}, assumed (common practice), not measured"
        if self.basis is Basis.STATED:
            return f"{bounds}, as you stated it"
        return f"{bounds}, learned with this receiver on {self.learned_on}"


ASSUMED = Latency(0.05, 0.60, Basis.ASSUMED)
"""Common practice (trade-facts, section h): most receivers answer within it. One that does not breaks the bounds."""


RELAYED = Latency(0.05, 1.10, Basis.ASSUMED)
"""Over a network or a pipe another program may hold a burst back until it is whole: 500 characters take 521 ms at 9600
baud (trade-facts, section h)."""


class ReceiverKey(NamedTuple):
    """What a learned latency belongs to."""

    receiver: str
    """USB numbers, or the name of the port or the address."""
    baud: int | None
    sentences: str
    """Kinds, in the order of the alphabet."""

    @property
    def text(self) -> str:
        """As it is kept and shown."""
        speed = f" at {self.baud} baud" if self.baud else ""
        return f"{self.receiver}{speed}: {self.sentences}"


Learned = Callable[[ReceiverKey], "Latency | None"]
"""What was learned with a receiver; None where nothing was."""


def nothing_learned(key: ReceiverKey) -> Latency | None:
    """As where there is no file of latencies."""
    del key
    return None


class LineName(NamedTuple):
    """A source by its name: the port or address, and the speed where it is a serial line that is open."""

    where: str
    baud: int | None

    @property
    def relayed(self) -> bool:
        """Whether another program hands the bytes on."""
        return "://" in self.where or self.where == STANDARD_INPUT


def line_name(source_name: str) -> LineName:
    """Take the name of a source apart."""
    found = _NAME.fullmatch(source_name)
    return LineName(found[1], int(found[2])) if found else LineName(source_name, None)


def stated(text: str) -> Latency:
    """`0.2` (seconds, give or take the margin) or `0.1-0.3`. Raises InputError saying what is wanted."""
    parts = text.split("-") if "-" in text.strip().lstrip("-") else [text]
    try:
        figures = [float(part) for part in parts]
    except ValueError:
        figures = []
    if not 1 <= len(figures) <= 2 or not all(isfinite(one) and 0.0 <= one <= LONGEST_S for one in figures):
        raise InputError(
            f"a latency is seconds from 0 to {LONGEST_S:g}, as 0.2, or a range, as 0.1-0.3; not {shown(text)}"
        )
    if len(figures) == 2 and figures[0] >= figures[1]:
        raise InputError(f"a range of latencies begins with the smaller one; {shown(text)} does not")
    margin_s = STATED_MARGIN_S if len(figures) == 1 else 0.0
    return Latency(max(0.0, figures[0] - margin_s), figures[-1] + margin_s, Basis.STATED)


def learned(smallest_delay_s: float, day: str) -> Latency:
    """From the smallest delay seen while the computer's clock was right. Raises InputError where that cannot be one."""
    margin_s = NETWORK_MARGIN_S + WANDER_S
    if smallest_delay_s < -NETWORK_MARGIN_S:
        raise InputError(
            f"the receiver named a second {-smallest_delay_s:.2f} s before this computer's clock came to it: one of "
            "them is wrong, nothing is learned. Is the clock kept by network time, has the receiver had 13 minutes?"
        )
    if smallest_delay_s > LONGEST_S:
        raise InputError(
            f"{smallest_delay_s:.2f} s is too long for a latency: a line that cannot keep up, a receiver that names "
            "another second, or a clock that is wrong; nothing is learned"
        )
    return Latency(max(0.0, smallest_delay_s - margin_s), smallest_delay_s + margin_s, Basis.LEARNED, day)

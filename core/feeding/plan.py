"""What a feed sends, as the user wants it, and where that comes from."""

from __future__ import annotations

import math
import re
from enum import Enum
from typing import NamedTuple

from core.errors import UsageError
from core.feeding.address import USUAL, FeedAddress, feed_address
from core.feeding.wish import FeedWish
from core.held import HeldPlace
from core.nmea.write import DEFAULT_TALKER, TYPES
from core.shown import shown
from core.sources.source import SourceKind

SLOWEST_HZ, FASTEST_HZ = 0.01, 50.0
_TYPE = re.compile(r"[A-Z][A-Z0-9]{2,9}")
_TALKER = re.compile(r"[A-OQ-Z][A-Z]")
"""P begins a maker's address."""


class Form(Enum):
    """What is sent."""

    AUTO = "auto"
    """A receiver's own sentences while there is a receiver; else rebuilt."""
    RAW = "raw"
    REBUILT = "rebuilt"


class FeedPlan(NamedTuple):
    """All that the user may choose."""

    addresses: tuple[FeedAddress, ...]
    form: Form = Form.AUTO
    types: tuple[str, ...] = ()
    """Formatters (`RMC`) or whole addresses (`PUBX`); empty: all there are, or the usual ones."""
    rate_hz: float | None = None
    """Epochs a second at most; None: as they come."""
    talker: str = DEFAULT_TALKER
    """Of rebuilt sentences; GSV keeps that of its system."""

    @property
    def is_open(self) -> bool:
        """Whether other computers can read it."""
        return any(address.is_open for address in self.addresses)


class Origin(NamedTuple):
    """What is fed from."""

    kind: SourceKind
    name: str = ""
    """The source's, as the screen has it."""
    require_checksum: bool = True
    held: HeldPlace | None = None

    def is_raw(self, form: Form) -> bool:
        """Whether sentences go on as they came.

        A recording is rebuilt unless asked otherwise: programs heed a mode, few look at a TXT. A held place sends
        nothing that could go on.
        """
        if self.held is not None or self.kind is SourceKind.HELD:
            return False
        return form is Form.RAW or (form is Form.AUTO and self.kind is SourceKind.LIVE)

    @property
    def caution(self) -> str:
        """What a TXT says again and again of whatever is not live; empty for a receiver."""
        return _CAUTIONS.get(self.kind, "")


_CAUTIONS = {
    SourceKind.REPLAY: "REPLAY OF A RECORDING: NOT WHERE ANYBODY IS NOW",
    SourceKind.REHEARSAL: "REPLAY OF A REHEARSAL: SIMULATED - NEVER RECEIVED",
    SourceKind.TRACK: "REPLAY OF A TRACK: POSITIONS OF UNKNOWN QUALITY",
    SourceKind.HELD: "HELD PLACE: PUT IN BY HAND - NO RECEIVER IN USE",
    SourceKind.NOTHING: "NO SOURCE",
}


def feed_plan(wish: FeedWish) -> FeedPlan:
    """Check everything. Raises UsageError saying what would be right."""
    if wish.form not in {one.value for one in Form}:
        raise UsageError(f"{shown(wish.form)} is no form of a feed: write raw, rebuilt or auto")
    rate_hz, form = wish.rate_hz, Form(wish.form)
    if rate_hz is not None and not (math.isfinite(rate_hz) and SLOWEST_HZ <= rate_hz <= FASTEST_HZ):
        raise UsageError(f"a feed's rate is {SLOWEST_HZ:g} to {FASTEST_HZ:g} epochs a second, not {rate_hz:g}")
    addresses = tuple(feed_address(one) for one in wish.to or (USUAL,))
    if len(set(addresses)) < len(addresses):
        raise UsageError("the same address stands twice in the feed: leave one out")
    return FeedPlan(addresses, form, _types(wish.types, form), rate_hz, _talker(wish.talker, form))


def _types(text: str, form: Form) -> tuple[str, ...]:
    types = tuple(dict.fromkeys(text.upper().replace(",", " ").split()))
    for name in types:
        if not _TYPE.fullmatch(name):
            raise UsageError(f"{shown(name)} is no type of sentence: write RMC,GGA or a maker's address as PUBX")
        if form is Form.REBUILT and name not in TYPES:
            raise UsageError(f"{name} cannot be rebuilt: {', '.join(TYPES)} can; --feed-as raw passes on what comes")
    return types


def _talker(text: str, form: Form) -> str:
    if not text:
        return DEFAULT_TALKER
    if form is Form.RAW:
        raise UsageError("raw sentences keep their talker: leave it out, or write --feed-as rebuilt")
    if not _TALKER.fullmatch(text.upper()):
        raise UsageError(f"{shown(text)} is no talker: two letters, as GP or GN; P begins a maker's own sentences")
    return text.upper()

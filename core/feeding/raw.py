"""A source's own sentences, passed on: each that the board accepts, as it was, on a line ended by CR LF.

TAG blocks, host times, binary, damaged and malformed sentences stay behind, so that nobody downstream has to trust what
the board itself does not. When the source is silent, so is this: a void sentence in between would not be the source's.
"""

from __future__ import annotations

from collections.abc import Iterator

from core.feeding.plan import FeedPlan
from core.feeding.thinning import Thinner
from core.fix import FixMode
from core.nmea.decode import Malformed, decode
from core.nmea.framing import Framer, Rejected, Sentence
from core.nmea.merge import CLAIMING
from core.nmea.readings import Datum, Reading


class RawWriter:
    """Takes what arrives, gives what goes out."""

    waits = False
    """Nothing is held back."""

    def __init__(self, plan: FeedPlan, *, require_checksum: bool) -> None:
        self._types = frozenset(plan.types)
        self._framer = Framer(require_checksum)
        self._thinner = Thinner(plan.rate_hz)
        self._void: dict[str, bool] = {}
        """Whether each type that can say so said last that there is no fix: a change is told at once at any rate."""

    def take(self, data: bytes, at_s: float) -> list[bytes]:
        """The lines that `data` completes."""
        return [*self._passed(data, at_s)]

    def tick(self, at_s: float) -> list[bytes]:
        """Nothing comes of time alone."""
        del at_s
        return []

    def _passed(self, data: bytes, at_s: float) -> Iterator[bytes]:
        for event in self._framer.feed(data):
            if not isinstance(event, Rejected) and self._is_wanted(event, at_s):
                yield event.text.encode("latin-1") + b"\r\n"

    def _is_wanted(self, one: Sentence, at_s: float) -> bool:
        address, reading = one.address, decode(one)
        chosen = not self._types or address in self._types or address[2:] in self._types
        # On which datum the positions are is said whatever was chosen: without it they are taken to be on WGS 84.
        if not (chosen or isinstance(reading, Datum)) or isinstance(reading, Malformed):
            return False
        passes = self._thinner.passes(address, one.body, at_s)
        return self._turns(address, reading) or passes

    def _turns(self, address: str, reading: Reading | None) -> bool:
        """Whether this is the sentence in which a fix is lost or found."""
        if not isinstance(reading, CLAIMING):
            return False
        is_void = reading.mode is FixMode.NONE
        before, self._void[address] = self._void.get(address), is_void
        return before is not None and before is not is_void

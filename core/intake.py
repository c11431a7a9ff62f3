"""What came in, sentence by sentence: counted, and the newest lines kept as they were."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Sequence

from core.nmea.framing import Reason, Rejected
from core.snapshot import Counts, WireLine

WIRE_LINES = 400
TEXTS_KEPT = 12
TYPES_COUNTED, OTHER_TYPES = 500, "others"
"""Distinct addresses counted one by one; a stream that makes up more must not fill the memory."""


class Intake:
    """Of one model. Bounded, whatever comes."""

    def __init__(self) -> None:
        self.wire: deque[WireLine] = deque(maxlen=WIRE_LINES)
        """The newest lines, taken or refused, oldest first."""
        self.texts: deque[str] = deque(maxlen=TEXTS_KEPT)
        """What the receiver had to say, of its TXT sentences."""
        self._types: dict[str, int] = {}
        self._rejected: Counter[Reason] = Counter()
        self._unverified = 0

    def count(self, address: str, *, verified: bool) -> None:
        """A sentence whose framing was right."""
        self._add(address, 1)
        self._unverified += not verified

    def take_all(self, addresses: Sequence[str], lines: Sequence[str], verified: Sequence[bool]) -> None:
        """The same for a block, whose lines are kept."""
        for address, count in Counter(addresses).items():
            self._add(address, count)
        self._unverified += verified.count(False)
        self.wire.extend(lines)

    def refuse(self, rejected: Rejected) -> None:
        """A line that is none, or says what cannot be."""
        self._rejected[rejected.reason] += 1
        self.wire.append(rejected)

    def counts(self, epochs: int, with_fix: int) -> Counts:
        """So far, with the epochs that the sentences made."""
        verified = sum(self._types.values()) - self._unverified
        return Counts(verified, self._unverified, dict(self._rejected), dict(self._types), epochs, with_fix)

    def _add(self, address: str, count: int) -> None:
        known = address in self._types or len(self._types) < TYPES_COUNTED
        counted = address if known else OTHER_TYPES
        self._types[counted] = self._types.get(counted, 0) + count

"""Readings to epochs: which sentences describe the same instant of measurement.

There is no mark in NMEA 0183 for "here a new epoch begins", and receivers differ in what they send first, so this is
inferred from the sentences alone, never from their timing: the same bytes give the same epochs however they arrive.

* RMC, GGA, GNS, GLL, ZDA, GST and GBS are anchors: they carry a time of day. Another time than the current epoch's
  opens a new epoch.
* An anchor without a time (cold start) opens one where the current epoch already has a sentence of that address.
* GSA, GSV and VTG have no time. When one comes again that the current epoch already has, a new cycle has begun, but its
  time is not known yet: it waits in `_lead` and goes to the epoch of the next anchor.
* A sentence of the previous epoch's time that the previous epoch has not had yet is late, and amends it. Any other
  step back in time is what it looks like: a new epoch (receivers restart; loggers write blocks twice).
* The same address with the same time again replaces what it said before.
"""

from __future__ import annotations

from collections import deque

from core.nmea.readings import Datum, Gbs, Gga, Gll, Gns, Gsa, Gst, Gsv, Heading, Reading, Rmc, Text, Vtg, Zda

Anchor = Rmc | Gga | Gns | Gll | Zda | Gst | Gbs
UNTIMED = frozenset({Vtg, Heading, Datum, Text})
GsvKey = tuple[str, str, int]
CYCLES_REMEMBERED = 6
"""Enough to hold the long cycle of a receiver that sends its sky every fifth second only."""
MOST_GSA, MOST_GSV = 32, 256
"""More sentences of a kind than any receiver has for one instant (six systems, several signals, nine pages): a cycle
without end or without anchors must not fill the memory."""


class Epoch:
    """The readings of one instant, still open to late ones."""

    __slots__ = ("anchors", "at_s", "datum", "gsa", "gsv", "heading", "last", "time_ms", "vtg")

    def __init__(self, at_s: float) -> None:
        """`at_s`: when its first sentence arrived."""
        self.at_s = at_s
        self.time_ms: int | None = None
        self.anchors: dict[str, Anchor] = {}
        """By address; the order of arrival."""
        self.gsa: list[tuple[str, Gsa]] = []
        self.gsv: dict[GsvKey, Gsv] = {}
        self.vtg: Vtg | None = None
        self.heading: Heading | None = None
        self.datum: str | None = None
        self.last: str | GsvKey = ""
        """The newest sentence, by address; by its key where it is the last page of a GSV. A cycle may end on it."""

    def take_untimed(self, other: Epoch) -> None:
        """Replace this epoch's untimed readings with those that `other` has."""
        self.gsa = other.gsa or self.gsa
        self.gsv = {**self.gsv, **other.gsv}
        self.vtg = other.vtg or self.vtg
        self.heading = other.heading or self.heading
        self.datum = other.datum or self.datum


class EpochAssembler:
    """Sorts readings into epochs; the newest two stay open, older ones are given back as finished."""

    def __init__(self) -> None:
        self.current: Epoch | None = None
        self.previous: Epoch | None = None
        self.amended = False
        """Whether the newest reading changed the previous epoch; read and cleared by whoever shows epochs."""
        self._lead: Epoch | None = None
        self._after_gsa = False
        self._endings: deque[str | GsvKey] = deque(maxlen=CYCLES_REMEMBERED)

    @property
    def complete(self) -> bool:
        """Whether the current epoch has come to a sentence that recent epochs ended on.

        This is a guess about the receiver's cycle, so it only decides when an epoch is shown, never what is in it.
        """
        return self._lead is None and self.current is not None and self.current.last in self._endings

    @property
    def leads(self) -> bool:
        """Whether untimed sentences have come that belong to the epoch of the next anchor."""
        return self._lead is not None

    def add(self, address: str, reading: Reading, at_s: float) -> Epoch | None:
        """Take one reading; the epoch that it finishes, if it does."""
        kind = type(reading)
        if kind is Gsv:
            self._after_gsa = False
            self._add_gsv(address, reading, at_s)  # type: ignore[arg-type]  # mypy does not narrow by `type() is`
        elif kind is Gsa:
            self._add_gsa(address, reading, at_s)  # type: ignore[arg-type]  # the same
        elif kind in UNTIMED:
            self._add_untimed(reading, at_s)
        else:
            self._after_gsa = False
            return self._add_anchor(address, reading, at_s)  # type: ignore[arg-type]  # the same
        return None

    def finish(self) -> list[Epoch]:
        """The epochs still open, oldest first. Untimed sentences that no anchor followed belong to the last one."""
        if self.current and self._lead:
            self.current.take_untimed(self._lead)
        left = [epoch for epoch in (self.previous, self.current) if epoch and epoch.anchors]
        self.current = self.previous = self._lead = None
        return left

    def _open(self, at_s: float) -> Epoch:
        """The epoch that an untimed sentence belongs to."""
        if self._lead:
            return self._lead
        if self.current is None:
            self.current = Epoch(at_s)
        return self.current

    def _open_unless(self, taken: bool, at_s: float) -> Epoch:
        """The same, but a sentence that came already starts a new cycle."""
        if taken and self._lead is None:
            self._lead = Epoch(at_s)
        return self._open(at_s)

    def _add_gsv(self, address: str, gsv: Gsv, at_s: float) -> None:
        key = (address, gsv.signal, gsv.page)
        epoch = self._lead or self.current or self._open(at_s)
        if key in epoch.gsv or len(epoch.gsv) >= MOST_GSV:
            epoch = self._open_unless(True, at_s)
            if len(epoch.gsv) >= MOST_GSV:
                epoch.gsv.clear()
        epoch.gsv[key] = gsv
        epoch.last = key if gsv.page == gsv.pages else address

    def _add_gsa(self, address: str, gsa: Gsa, at_s: float) -> None:
        """Before 4.10 two GNGSA in a row, without a system ID, are one per system, not a repetition."""
        epoch = self._open(at_s)
        repeated = not self._after_gsa and any(had == address and old.system == gsa.system for had, old in epoch.gsa)
        if repeated or len(epoch.gsa) >= MOST_GSA:
            epoch = self._open_unless(True, at_s)
            epoch.gsa = []
        epoch.gsa.append((address, gsa))
        epoch.last = address
        self._after_gsa = True

    def _add_untimed(self, reading: Reading, at_s: float) -> None:
        """Headings may come far more often than epochs, and a datum before every sentence: they begin nothing."""
        if isinstance(reading, Vtg):
            self._add_vtg(reading, at_s)
        elif isinstance(reading, Heading):
            self._open(at_s).heading = reading
        elif isinstance(reading, Datum):
            self._open(at_s).datum = reading.code or None

    def _add_vtg(self, vtg: Vtg, at_s: float) -> None:
        self._after_gsa = False
        epoch = self._open_unless(self._open(at_s).vtg is not None, at_s)
        epoch.vtg = vtg
        epoch.last = "VTG"

    def _add_anchor(self, address: str, reading: Anchor, at_s: float) -> Epoch | None:
        time_ms = reading.time_ms
        epoch = self.current
        if epoch is None or not epoch.anchors:
            self.current = epoch = self._open(at_s)
        elif self._is_late(address, time_ms, epoch):
            self._amend(address, reading)
            return None
        elif not self._belongs(address, time_ms, epoch):
            return self._begin(address, reading, at_s)
        self._join(epoch, address, reading)
        return None

    def _belongs(self, address: str, time_ms: int | None, epoch: Epoch) -> bool:
        """Whether an anchor describes the instant of `epoch`, as far as the times that there are can tell."""
        if time_ms is not None and epoch.time_ms is not None:
            return time_ms == epoch.time_ms
        return address not in epoch.anchors and self._lead is None

    def _is_late(self, address: str, time_ms: int | None, current: Epoch) -> bool:
        before = self.previous
        if time_ms is None or time_ms == current.time_ms or before is None:
            return False
        return before.time_ms == time_ms and address not in before.anchors

    def _amend(self, address: str, reading: Anchor) -> None:
        if self.previous:
            self.previous.anchors[address] = reading
            self.amended = True

    def _join(self, epoch: Epoch, address: str, reading: Anchor) -> None:
        if self._lead:
            epoch.take_untimed(self._lead)
            self._lead = None
        epoch.anchors[address] = reading
        if epoch.time_ms is None:
            epoch.time_ms = reading.time_ms
        epoch.last = address

    def _begin(self, address: str, reading: Anchor, at_s: float) -> Epoch | None:
        finished = self.previous
        if self.current:
            self._endings.append(self.current.last)
        self.previous = self.current
        self.current = self._lead or Epoch(at_s)
        self._lead = None
        self._join(self.current, address, reading)
        return finished

"""The feed: the board's position for other programs, by TCP, UDP, a pseudo-terminal or a serial port.

It runs in a thread of its own. The source's thread hands over what arrives and never waits; what other programs do, or
fail to do, is between them and this thread, which never waits for any of them either. It goes on when the board is
opened on something else: clients stay connected, and the modes in the sentences say what it is now.
"""

from __future__ import annotations

import socket
import threading
from collections import deque
from collections.abc import Callable
from selectors import EVENT_READ, DefaultSelector
from typing import NamedTuple, Protocol

from core.feed_status import FeedState, FeedStatus
from core.feeding.held_writer import HeldFix, HeldWriter
from core.feeding.outlet import Outlet, open_outlets
from core.feeding.plan import FeedPlan, Origin
from core.feeding.raw import RawWriter
from core.feeding.rebuilt import PAUSE_S, RebuiltWriter
from core.fix import Fix
from core.held import HeldModel, HeldPlace
from core.nmea.write import notice
from core.sources.source import Arrival
from core.sources.wall import WallAnchor

MOST_OFFERED = 8192
"""Arrivals that may wait for this thread; it takes them within milliseconds unless the computer is overwhelmed."""
CAUTION_EVERY_S = 10.0
"""Of the TXT that says that this is no receiver."""
IDLE_S = 0.25


class Writer(Protocol):
    """Makes lines of what arrives."""

    @property
    def waits(self) -> bool:
        """Whether something is held back until the line pauses."""

    def take(self, data: bytes, at_s: float) -> list[bytes]:
        """The lines that `data` brings about; `at_s` by the clock of the room."""

    def tick(self, at_s: float) -> list[bytes]:
        """The lines that come of time alone."""


class _Offer(NamedTuple):
    origin: Origin
    data: bytes


class Feeder:
    """Feeds until it is stopped."""

    def __init__(self, plan: FeedPlan, origin: Origin, clock: WallAnchor, now_s: Callable[[], float]) -> None:
        """Opens everything. `now_s`: monotonic seconds; `clock` ties them to the time of day.

        Raises InputError saying what to do where an address cannot be had.
        """
        self.plan = plan
        self._clock = clock
        self._now_s = now_s
        self._origin = self._writes_for = origin
        self._writer = self._writer_for(origin)
        self._offered: deque[_Offer] = deque(maxlen=MOST_OFFERED)
        self._overwhelmed = self._sentences = 0
        self._caution_s: float | None = None
        self._reason = ""
        self._stopping = threading.Event()
        self._outlets: list[Outlet] = open_outlets(plan.addresses)
        self._where = tuple(outlet.where for outlet in self._outlets)
        self._clients: int | None = None
        self._dropped = 0
        self._woken, self._wake = socket.socketpair()
        self._selector = DefaultSelector()
        self._thread = threading.Thread(target=self._run, name="outgoing feed", daemon=True)

    @property
    def status(self) -> FeedStatus:
        """The state now; from any thread."""
        ended = self._stopping.is_set() and not self._reason
        state = FeedState.OFF if ended else FeedState.ON if self._outlets else FeedState.FAILED
        dropped = self._dropped + self._overwhelmed
        is_raw = self._origin.is_raw(self.plan.form)
        return FeedStatus(
            state, self._where, self._clients, dropped, self._sentences, is_raw, self.plan.is_open, self._reason
        )

    def start(self) -> None:
        """Begin."""
        for end in (self._woken, self._wake):
            end.setblocking(False)
        self._selector.register(self._woken, EVENT_READ, self._clear)
        for outlet in self._outlets:
            outlet.watch(self._selector)
        self._thread.start()

    def feed_from(self, origin: Origin) -> None:
        """What is offered from now on comes from this."""
        self._origin = origin

    def offer(self, arrival: Arrival) -> None:
        """Hand over bytes; never waits. Once the feed has ended they go nowhere."""
        if not self._outlets or self._stopping.is_set():
            return
        if len(self._offered) == MOST_OFFERED:
            self._overwhelmed += 1
        self._offered.append(_Offer(self._origin, arrival.data))
        self._rouse()

    def stop(self, timeout_s: float = 2.0) -> None:
        """Hang up on everybody; what has been offered goes out as far as it is taken at once."""
        self._stopping.set()
        self._rouse()
        if self._thread.is_alive():
            self._thread.join(timeout_s)
        elif not self._thread.ident:
            self._let_go()

    def _rouse(self) -> None:
        try:
            self._wake.send(b"\0")
        except OSError:  # full: it is being woken already; or closed: there is nobody to wake
            return

    def _clear(self, _: int) -> None:
        try:
            self._woken.recv(4096)
        except OSError:
            return

    # In the feed's own thread

    def _run(self) -> None:
        """Whatever happens in here is said: a feed that ends in silence leaves other programs with an old position."""
        try:
            while not self._stopping.is_set() and self._outlets:
                self._step()
            self._send(self._lines())
        except Exception as error:
            self._reason = f"{type(error).__name__}: {error}: please report it"
        self._let_go()

    def _step(self) -> None:
        for key, events in self._selector.select(self._patience_s()):
            key.data(events)
        self._greet()
        self._send(self._lines())
        self._count()

    def _patience_s(self) -> float:
        if self._offered:
            return 0.0
        soon = self._writer.waits or any(outlet.has_pending for outlet in self._outlets)
        return PAUSE_S if soon else IDLE_S

    def _lines(self) -> list[bytes]:
        lines: list[bytes] = []
        for _ in range(len(self._offered)):
            offer = self._offered.popleft()
            if offer.origin is not self._writes_for:
                self._turn_to(offer.origin)
            lines += self._writer.take(offer.data, self._now_s())
        return [*self._caution(), *lines, *self._writer.tick(self._now_s())]

    def _turn_to(self, origin: Origin) -> None:
        self._writes_for, self._writer, self._caution_s = origin, self._writer_for(origin), None

    def _writer_for(self, origin: Origin) -> Writer:
        if origin.held is not None:
            return HeldWriter(self.plan, _held_fix(origin.held, self._clock))
        if origin.is_raw(self.plan.form):
            return RawWriter(self.plan, require_checksum=origin.require_checksum)
        return RebuiltWriter(self.plan, origin)

    def _caution(self) -> list[bytes]:
        """What is no receiver says so at its beginning, to each client that comes, and every ten seconds."""
        now_s = self._now_s()
        if not self._writes_for.caution or (self._caution_s is not None and now_s - self._caution_s < CAUTION_EVERY_S):
            return []
        self._caution_s = now_s
        return [notice(self._writes_for.caution, self.plan.talker)]

    def _greet(self) -> None:
        caution = self._writes_for.caution
        greeting = notice(caution, self.plan.talker) if caution else b""
        for outlet in self._outlets:
            outlet.newcomers(greeting, self._now_s())

    def _send(self, lines: list[bytes]) -> None:
        data = b"".join(lines)
        now_s = self._now_s()
        for outlet in [*self._outlets]:
            try:
                outlet.send(data, now_s)
            except OSError as error:
                self._give_up(outlet, error)
        self._sentences += len(lines)

    def _give_up(self, outlet: Outlet, error: OSError) -> None:
        """A wire that is gone; the others go on."""
        why = f"{outlet.where}: {error.strerror or error}: plug it in again, then start the feed again"
        self._reason = f"{self._reason}; {why}" if self._reason else why
        self._outlets.remove(outlet)
        outlet.close()

    def _count(self) -> None:
        known = [count for outlet in self._outlets if (count := outlet.clients) is not None]
        self._clients = sum(known) if known else None
        self._dropped = sum(outlet.dropped for outlet in self._outlets)

    def _let_go(self) -> None:
        ended, self._outlets = self._outlets, []
        for outlet in ended:
            outlet.close()
        self._clients = None
        self._selector.close()
        self._woken.close()
        self._wake.close()


def _held_fix(place: HeldPlace, clock: WallAnchor) -> HeldFix:
    model = HeldModel(place, clock)

    def at(now_s: float) -> Fix:
        model.feed(b"", now_s)
        return model.snapshot().fix

    return at

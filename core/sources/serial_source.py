"""A receiver on a serial port: found, read, lost, found again.

One state machine, driven by `read`; nothing in it waits longer than it is told to. What goes wrong is a state with
words, never an end: a receiver may be unplugged at any moment and comes back under another name.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from core.errors import InputError
from core.sources.baud import BAUDS, BaudProbe
from core.sources.line import Line, SerialLine
from core.sources.ports import Port, find_again, other_users, ports
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus

RETRY_S = 1.0
"""Between two looks for a port."""
SILENT_S = 5.0
"""Without a byte for this long, a line counts as silent: receivers send at least once a second (common practice)."""
FIRST_WATCH_S, WATCH_S = 1.0, 10.0
"""Until the first look for other programs on the port, and between two looks: each is at every file of each of them."""
SILENT = "the port is open and silent: is the receiver switched on, is this its port?"
NO_NMEA = "sends no NMEA 0183 at any speed: a binary protocol? Set the receiver to NMEA"
START_LENGTH = len("$GPGGA,")
_SENTENCE_START = re.compile(rb"[$!][A-Z]{2}[A-Z0-9]{3},")


class SerialHost(Protocol):
    """The computer's serial ports."""

    def ports(self) -> list[Port]:
        """Those there are, the likeliest first."""

    def open(self, device: str, baud: int) -> Line:
        """Open one. Raises InputError saying what to do."""

    def other_users(self, device: str) -> list[str]:
        """Programs that have it open besides this one."""


class RealHost:
    """This computer."""

    def ports(self) -> list[Port]:
        """As pyserial lists them."""
        return ports()

    def open(self, device: str, baud: int) -> Line:
        """By pyserial, exclusively."""
        return SerialLine(device, baud)

    def other_users(self, device: str) -> list[str]:
        """As far as the system tells."""
        return other_users(device)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the user asked for."""

    device: str | None = None
    """None: whatever port has a receiver on it."""
    baud: int | None = None
    """None: whatever speed makes sense of it."""


class SerialSource:
    """A Source. `read` belongs to one thread; the rest may be called from any."""

    def __init__(self, wanted: Wanted, host: SerialHost, clock: Callable[[], float]) -> None:
        """`clock`: monotonic seconds."""
        self._wanted = wanted
        self._host = host
        self._clock = clock
        self._started_s = clock()
        self._closing = threading.Event()
        self._line: Line | None = None
        self._port: Port | None = None
        self._known: Port | None = None
        self._listed: list[Port] = []
        self._beside: list[Port] = []
        self._baud = wanted.baud or BAUDS[0]
        self._probe: BaudProbe | None = None
        self._untried: list[Port] = []
        self._next_look_s = self._started_s
        self._last_byte_s = self._started_s
        self._last_start_s = self._started_s
        self._recent = b""
        self._troubles: dict[str, str] = {}
        self._state = SourceState.SEARCHING
        self._detail = "looking for a receiver"
        self._shared_with: list[str] = []

    def read(self, timeout_s: float) -> Arrival | None:
        """The next step: look for a port, listen for its speed, or take what it sends."""
        if self._closing.is_set():
            self._release()
            return None
        if self._line is None:
            self._look(timeout_s)
            return None
        try:
            data = self._line.read(timeout_s)
        except (OSError, TypeError) as error:  # TypeError: pyserial, when closed under a read
            self._lose(str(error))
            return None
        return self._take(data, self._clock())

    def status(self) -> SourceStatus:
        """The state now, in words."""
        name = self._port.device if self._port else self._wanted.device or "receiver"
        speed = f" {self._baud} baud" if self._line and not self._probe else ""
        others = ", ".join(self._shared_with) if self._line else ""
        warning = f"also read by {others}: close it, data go missing" if others else ""
        elapsed_s = self._clock() - self._started_s
        return SourceStatus(
            SourceKind.LIVE, name + speed, self._state, self._detail, elapsed_s=elapsed_s, warning=warning
        )

    def now_s(self) -> float:
        """The clock of the room."""
        return self._clock()

    def close(self) -> None:
        """Stop; the reader lets go of the port, so that nothing is closed under it."""
        self._closing.set()
        line = self._line
        if line:
            line.cancel()

    def _release(self) -> None:
        line, self._line = self._line, None
        if line:
            line.close()

    # Looking for a port

    def _look(self, timeout_s: float) -> None:
        wait_s = self._next_look_s - self._clock()
        if wait_s > 0:
            self._closing.wait(min(wait_s, timeout_s))
            return
        port = self._next_candidate()
        if port is None:
            self._next_look_s = self._clock() + RETRY_S
            self._say_nothing_found()
        else:
            self._open(port)

    def _next_candidate(self) -> Port | None:
        """The port asked for; the one known from before; else one after the other."""
        present = self._listed = self._host.ports()
        if self._known:
            again = find_again(self._known, present, self._beside)
            return again or (self._known if self._known.identity is None else None)
        if self._wanted.device:
            named = [port for port in present if port.device == self._wanted.device]
            return named[0] if named else Port(self._wanted.device)
        return self._next_untried(present)

    def _next_untried(self, present: list[Port]) -> Port | None:
        """One after the other; then from the beginning, without the troubles of those that are gone."""
        if not self._untried:
            self._untried = list(present)
            listed = {port.device for port in present}
            self._troubles = {device: why for device, why in self._troubles.items() if device in listed}
        return self._untried.pop(0) if self._untried else None

    def _open(self, port: Port) -> None:
        baud = self._wanted.baud or (self._baud if self._known else BAUDS[0])
        try:
            line = self._host.open(port.device, baud)
        except InputError as error:
            self._detail = self._troubles[port.device] = str(error)
            self._next_look_s = self._clock() + (RETRY_S if not self._untried else 0.0)
            self._say_nothing_found()
            return
        now_s = self._clock()
        self._line, self._port, self._baud, self._beside = line, port, baud, self._listed
        self._troubles.pop(port.device, None)
        self._last_byte_s = self._last_start_s = now_s
        self._probe = None if self._wanted.baud else BaudProbe(now_s)
        self._state, self._detail = SourceState.WAITING, f"listening at {baud} baud"
        self._watch(port.device)

    def _say_nothing_found(self) -> None:
        if self._known:
            return
        self._state = SourceState.SEARCHING
        if self._troubles:
            self._detail = "; ".join(self._troubles.values())
        elif not self._wanted.device:
            self._detail = "no serial port with a receiver on it: plug it in"

    # Listening

    def _take(self, data: bytes, now_s: float) -> Arrival | None:
        if data:
            self._last_byte_s = now_s
            recent = self._recent + data  # a slow line brings a few bytes at a time, less than one start of a sentence
            self._recent = recent[-START_LENGTH:]
            if _SENTENCE_START.search(recent):
                self._last_start_s = now_s
        if self._probe:
            return self._listen_for_speed(self._probe, data, now_s)
        self._judge(now_s)
        return Arrival(data, now_s) if data else None

    def _listen_for_speed(self, probe: BaudProbe, data: bytes, now_s: float) -> Arrival | None:
        probe.feed(data)
        if probe.found:
            self._probe = None
            self._known = self._port
            self._last_start_s = now_s
            self._state, self._detail = SourceState.RECEIVING, ""
            return Arrival(probe.heard, now_s)
        if probe.hopeless(now_s):
            self._try_next_speed(probe, now_s)
        return None

    def _try_next_speed(self, probe: BaudProbe, now_s: float) -> None:
        """A line that is silent at one speed is silent at all: only garbage makes the next one worth a try."""
        following = BAUDS[(BAUDS.index(self._baud) + 1) % len(BAUDS)] if self._baud in BAUDS else BAUDS[0]
        silent = not probe.heard
        if (silent or following == BAUDS[0]) and not self._wanted.device and not self._known:
            self._give_up_port("is silent" if silent else NO_NMEA)
            return
        self._detail = SILENT if silent else _unread(following)
        self._probe = BaudProbe(now_s)
        if silent:
            return
        self._baud = following
        self._change_speed(following)

    def _change_speed(self, baud: int) -> None:
        try:
            if self._line:
                self._line.set_baud(baud)
        except OSError as error:
            self._lose(str(error))

    def _give_up_port(self, why: str) -> None:
        if self._port:
            self._troubles[self._port.device] = f"{self._port.device} {why}"
        self._release()
        self._port = self._probe = None
        self._next_look_s = self._clock() + (0.0 if self._untried else RETRY_S)
        self._say_nothing_found()

    def _judge(self, now_s: float) -> None:
        """What the line is worth at this moment."""
        if now_s - self._last_byte_s > SILENT_S:
            self._state = SourceState.WAITING
            self._detail = f"nothing has come for {now_s - self._last_byte_s:.0f} s: is the receiver switched on?"
        elif now_s - self._last_start_s <= SILENT_S:
            self._state, self._detail, self._known = SourceState.RECEIVING, "", self._port
        elif self._wanted.baud is None:
            self._state = SourceState.WAITING
            self._detail = "what comes is no NMEA 0183 any more: looking for the speed again"
            self._probe = BaudProbe(now_s)
        else:
            self._state = SourceState.WAITING
            self._detail = f"what comes is no NMEA 0183 at {self._baud} baud: leave --baud away, and it is sought"

    def _lose(self, why: str) -> None:
        self._release()
        self._probe = None
        known = self._port
        if self._known is None and not self._wanted.device:
            self._port = None
        self._state = SourceState.LOST
        name = known.device if known else "the receiver"
        self._detail = f"{name} is gone (unplugged?): plug it in again, it is found under any name"
        self._next_look_s = self._clock() + RETRY_S / 2
        del why  # what the system says of a pulled plug helps nobody: "Input/output error"

    # Others on the same port

    def _watch(self, device: str) -> None:
        """Look for other programs, beside the reader: walking through all processes takes milliseconds."""
        self._shared_with = []
        threading.Thread(target=self._look_for_others, args=(device,), name="port watch", daemon=True).start()

    def _look_for_others(self, device: str) -> None:
        line, wait_s = self._line, FIRST_WATCH_S
        while not self._closing.wait(wait_s) and line is self._line:
            self._shared_with = self._host.other_users(device)
            wait_s = WATCH_S


def _unread(following: int) -> str:
    """What comes is likelier another protocol than another speed once all speeds have been tried."""
    if following == BAUDS[0]:
        return f"the port {NO_NMEA}; trying all speeds again"
    return f"something comes, but no NMEA 0183 yet: trying {following} baud"

"""Whether a receiver speaks on a port: the one thing that only opening it tells."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import NamedTuple

from core.doctor.finding import Finding, Grade, Surroundings
from core.sources.ports import Port
from core.sources.serial_source import SerialHost, SerialSource, Wanted

LISTEN_S = 12.0
"""A port: every usual speed is tried in it, a second or so each."""
_PORTS = "ports"
_STEP_S = 0.25
_SILENT = (
    "is it a receiver, and has it power? one that speaks its maker's own language must be set to NMEA 0183 with its "
    "maker's program"
)


class Ears(NamedTuple):
    """What one listens with."""

    host: SerialHost
    clock: Callable[[], float]
    """Monotonic seconds."""
    wait_s: float = LISTEN_S


def listened(here: Surroundings, ears: Ears) -> Iterator[Finding]:
    """One finding for each port that may be opened and that no other program has open.

    To open a port resets some boards with a USB socket: therefore only for who asks.
    """
    for port in here.ports:
        if is_free(port, ears.host):
            yield _heard(port, ears)


def is_free(port: Port, host: SerialHost) -> bool:
    """Whether it can be listened to without taking it from anybody."""
    return os.access(port.device, os.R_OK | os.W_OK) and not host.other_users(port.device)


def _heard(port: Port, ears: Ears) -> Finding:
    source = SerialSource(Wanted(port.device), ears.host, ears.clock)
    end_s = ears.clock() + ears.wait_s
    arrival = None
    while arrival is None and ears.clock() < end_s:
        arrival = source.read(_STEP_S)
    status = source.status()
    source.close()
    source.read(0.0)  # it is the reader who lets go of the port
    if arrival is not None:
        return Finding(_PORTS, Grade.FINE, f"{status.name}: sentences come")
    found = f"{port.device}: no sentence in {ears.wait_s:.0f} s"
    return Finding(_PORTS, Grade.NOTE, f"{found} ({status.detail})" if status.detail else found, _SILENT)

"""Which receiver is on a live source's line: what a latency is kept under, whatever the port is called today."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from core.latency import LineName, line_name
from core.sources.ports import Port, ports
from core.sources.source import SourceStatus


class LineIdentity:
    """Asks the source for its name and speed, and the system, once for each name, for the device behind it."""

    def __init__(self, status: Callable[[], SourceStatus], listed: Callable[[], Iterable[Port]] = ports) -> None:
        self._status = status
        self._listed = listed
        self._known: dict[str, str] = {}

    def __call__(self) -> LineName:
        """The USB identity in the place of a port's name, where it has one."""
        where, baud = line_name(self._status().name)
        if baud is None:
            return LineName(where, None)
        if where not in self._known:
            self._known[where] = self._identity(where)
        return LineName(self._known[where], baud)

    def _identity(self, device: str) -> str:
        found = next((port for port in self._listed() if port.device == device), None)
        if found is None or found.vid is None:
            return device
        # Cheap adapters have no serial number: then two of the same make are told apart by their socket.
        which = found.serial_number or (f"in socket {found.location}" if found.location else "")
        return f"usb {found.vid:04x}:{found.pid or 0:04x} {which}".rstrip()

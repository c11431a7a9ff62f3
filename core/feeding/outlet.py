"""The one shape of all outlets. None of their methods ever waits."""

from __future__ import annotations

from selectors import BaseSelector
from typing import Protocol

from core.errors import InputError
from core.feeding.address import FeedAddress


class Outlet(Protocol):
    """Where sentences go."""

    address: FeedAddress
    dropped: int
    """Clients, or for one that has no clients the lines, that were given up because they were too slow or gone."""

    @property
    def where(self) -> str:
        """What to tell other programs."""

    @property
    def clients(self) -> int | None:
        """How many read now; None where nobody can know."""

    @property
    def has_pending(self) -> bool:
        """Whether to be called again soon, though nothing new has come."""

    def watch(self, selector: BaseSelector) -> None:
        """Register what wakes the feed; the data of each is a function to call."""

    def send(self, data: bytes, now_s: float) -> None:
        """Whole lines, perhaps none: then only what waits."""

    def newcomers(self, greeting: bytes, now_s: float) -> None:
        """Say this to clients that have come since the last call."""

    def close(self) -> None:
        """Let go of everything."""


def open_outlet(address: FeedAddress) -> Outlet:
    """Open it. Raises InputError saying what to do."""
    # One kind is used at a time, and serial ports take a while to import.
    if address.kind == "tcp":
        from core.feeding.tcp_outlet import TcpOutlet

        return TcpOutlet(address)
    if address.kind == "udp":
        from core.feeding.udp_outlet import UdpOutlet

        return UdpOutlet(address)
    if address.kind == "pty":
        from core.feeding.pty_outlet import PtyOutlet

        return PtyOutlet(address)
    from core.feeding.serial_outlet import SerialOutlet

    return SerialOutlet(address)


def open_outlets(addresses: tuple[FeedAddress, ...]) -> list[Outlet]:
    """All of them or none. Raises InputError saying what to do."""
    opened: list[Outlet] = []
    try:
        for address in addresses:
            opened.append(open_outlet(address))  # noqa: PERF401 - what was opened before a failure has to be closed
    except InputError:
        for outlet in opened:
            outlet.close()
        raise
    return opened

"""Datagrams, a sentence each (common practice, no source). Nobody knows who reads them."""

from __future__ import annotations

import socket
from contextlib import suppress
from selectors import BaseSelector

from core.feeding.address import LOOPBACK, FeedAddress, is_loopback
from core.feeding.refusals import refused


class UdpOutlet:
    """An Outlet that sends and forgets."""

    def __init__(self, address: FeedAddress) -> None:
        """Raises InputError where there is no such computer."""
        self.address = address
        self.dropped = 0
        try:
            found = socket.getaddrinfo(address.host, address.port, type=socket.SOCK_DGRAM)[0]
            family, kind, protocol, _, to = found
            self._socket = socket.socket(family, kind, protocol)
        except (OSError, UnicodeError, OverflowError) as error:
            raise refused(address, error) from error
        self._to: tuple[object, ...] = to
        self._stay_at_home(family, str(to[0]))
        self._socket.setblocking(False)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_BROADCAST, 1)

    def _stay_at_home(self, family: int, host: str) -> None:
        """What goes to this computer comes from it: else the system would open a port for answers to all networks."""
        if is_loopback(host):
            own = "::1" if family == socket.AF_INET6 else LOOPBACK
            with suppress(OSError):  # it can still send
                self._socket.bind((own, 0))

    @property
    def where(self) -> str:
        """The address to listen on."""
        return self.address.text

    @property
    def clients(self) -> int | None:
        """Nobody knows."""
        return None

    @property
    def has_pending(self) -> bool:
        """Nothing waits."""
        return False

    def watch(self, selector: BaseSelector) -> None:
        """Nothing is expected back."""

    def send(self, data: bytes, now_s: float) -> None:
        """What the system does not take at once is lost, as it may be on any network."""
        del now_s
        for line in data.splitlines(keepends=True):
            try:
                self._socket.sendto(line, self._to)
            except OSError:  # nobody listens there, no network at the moment, or too much at once
                self.dropped += 1

    def newcomers(self, greeting: bytes, now_s: float) -> None:
        """There are none that would be known."""

    def close(self) -> None:
        """Send no more."""
        self._socket.close()

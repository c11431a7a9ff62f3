"""Where a feed goes, as the user writes it.

    tcp:10110              a TCP server on this computer alone; tcp:0.0.0.0:10110 for the whole network
    udp:10110              datagrams to this computer; udp:192.0.2.7:10110 to another
    pty, pty:NAME          a pseudo-terminal, with a link of that name to it
    serial:/dev/ttyUSB1@4800    a serial port at a speed; 4800 where none is given

10110 is the port registered for NMEA 0183 over IP (IANA, nmea-0183; from memory). 4800 baud, 8 data bits and no parity
are the standard's own line.
"""

from __future__ import annotations

import re
from ipaddress import ip_address
from typing import NamedTuple

from core.errors import UsageError

LOOPBACK = "127.0.0.1"
USUAL = "tcp:10110"
STANDARD_BAUD = 4800
KINDS = ("tcp", "udp", "pty", "serial")
FORMS = "tcp:PORT, tcp:ADDRESS:PORT, udp:PORT, udp:ADDRESS:PORT, pty, pty:NAME or serial:PORT@BAUD"
_HOST_PORT = re.compile(r"(?://)?(?:(\[[0-9A-Fa-f:.%]+\]|[^:/\[\]\s]*):)?([0-9]{1,5})/?")
_SERIAL = re.compile(r"([^@]+?)(?:@([0-9]{2,7}))?")
_NAME_LIMIT = 200


class FeedAddress(NamedTuple):
    """An address, taken apart."""

    kind: str
    """One of `KINDS`."""
    host: str = ""
    """Of TCP the address to listen on, of UDP the one to send to; a numeric address, or a name."""
    port: int = 0
    device: str = ""
    """The serial port, or the name that a pseudo-terminal is linked to; empty for none."""
    baud: int = STANDARD_BAUD

    @property
    def is_open(self) -> bool:
        """Whether other computers can read it."""
        return self.kind in {"tcp", "udp"} and not is_loopback(self.host)

    @property
    def text(self) -> str:
        """As the user would write it, complete."""
        if self.kind in {"tcp", "udp"}:
            host = f"[{self.host}]" if ":" in self.host else self.host
            return f"{self.kind}:{host}:{self.port}"
        if self.kind == "serial":
            return f"serial:{self.device}@{self.baud}"
        return f"pty:{self.device}" if self.device else "pty"


def feed_address(text: str) -> FeedAddress:
    """Take an address apart. Raises UsageError saying what would be right."""
    kind, _, rest = text.strip().partition(":")
    kind = kind.lower()
    if len(text) > _NAME_LIMIT or not text.isprintable():
        raise UsageError(f"this is no address for a feed: write {FORMS}")
    if kind in {"tcp", "udp"}:
        return _network(kind, rest, text)
    if kind == "pty":
        return FeedAddress("pty", device=rest)
    if kind == "serial" and rest:
        return _serial(rest, text)
    raise UsageError(f"{text!r} is no address for a feed: write {FORMS}")


def _network(kind: str, rest: str, text: str) -> FeedAddress:
    found = _HOST_PORT.fullmatch(rest)
    if not found or not 0 < int(found[2]) < 65_536:
        right = f"{kind}:10110, or {kind}:{'0.0.0.0' if kind == 'tcp' else '192.0.2.7'}:10110; ports go from 1 to 65535"
        raise UsageError(f"{text!r} is no address for a feed: write {right}")
    return FeedAddress(kind, (found[1] or LOOPBACK).strip("[]"), int(found[2]))


def _serial(rest: str, text: str) -> FeedAddress:
    found = _SERIAL.fullmatch(rest)
    if not found or (found[2] and int(found[2]) < 300):
        raise UsageError(f"{text!r} is no serial port for a feed: write serial:/dev/ttyUSB1@4800")
    return FeedAddress("serial", device=found[1], baud=int(found[2] or STANDARD_BAUD))


def is_loopback(host: str) -> bool:
    """Whether this is a name of this computer that no other can reach."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host.lower() == "localhost"

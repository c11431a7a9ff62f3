"""Why a feed cannot be opened, and what to do about it."""

from __future__ import annotations

import errno
import os
import socket

from core.errors import InputError
from core.feeding.address import FeedAddress
from core.sources.line import why_not

FIRST_FREE_PORT = 1024
"""Below it a port is for administrators, on most systems."""


def refused(address: FeedAddress, error: Exception) -> InputError:
    """The error to show."""
    return InputError(f"feed {address.text}: {_why(address, error)}")


def _why(address: FeedAddress, error: Exception) -> str:
    number = error.errno if isinstance(error, OSError) else None
    if address.kind == "serial":
        return why_not(address.device, error)
    if isinstance(error, socket.gaierror | UnicodeError):
        return _unknown_host(address)
    if number in {errno.EACCES, errno.EPERM} and address.kind == "tcp" and address.port < FIRST_FREE_PORT:
        return f"port {address.port} needs administrator rights: choose one above 1023, as {address.kind}:10110"
    known = _KNOWN.get(number or 0)
    words = known.format(**address._asdict()) if known else ""
    return words or f"it cannot be opened ({getattr(error, 'strerror', None) or error})"


_KNOWN = {
    errno.EADDRINUSE: "port {port} is in use by another program or another fixboard: close it, or choose another port",
    errno.EADDRNOTAVAIL: "{host} is no address of this computer: leave it out for this computer alone, or write "
    "0.0.0.0 for all its networks",
    errno.EAFNOSUPPORT: "this computer has no network of that kind: leave the address out for this computer alone",
    errno.EACCES: "this is not allowed on this computer (a firewall?): choose another port, or allow it",
    errno.EPERM: "this is not allowed on this computer (a firewall?): choose another port, or allow it",
    errno.EEXIST: "there is something of the name {device} already: choose another name for the link, or remove it",
    errno.ENOENT: "the folder for {device} is not there: choose another name for the link",
    errno.ENOTDIR: "the folder for {device} is not one: choose another name for the link",
    errno.ENOSYS: "pseudo-terminals exist on Linux, macOS and the BSDs only: use tcp:10110",
    errno.EMFILE: "too many files are open: close something first",
}
_KNOWN[errno.EROFS] = "nothing can be written where {device} would be: choose another name for the link"
if os.name == "nt":  # Windows has numbers of its own for sockets, which Python does not always translate
    _KNOWN |= {10048: _KNOWN[errno.EADDRINUSE], 10049: _KNOWN[errno.EADDRNOTAVAIL], 10013: _KNOWN[errno.EACCES]}


def _unknown_host(address: FeedAddress) -> str:
    if address.kind == "udp":
        return f"no computer of the name {address.host} is known: check it, or write its numeric address"
    return (
        f"{address.host} is no address of this computer: leave it out for this computer alone, or write 0.0.0.0 for "
        "all its networks"
    )

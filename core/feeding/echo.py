"""Whether a feed would come back to the board that sends it: each sentence would go round for ever."""

from __future__ import annotations

import re
from pathlib import Path

from core.feeding.address import FeedAddress, is_loopback
from core.sources.source import SourceStatus

_NETWORK = re.compile(r"(tcp|udp)://(?:\[([^\]]*)\]|([^:]*)):(\d+)")


def comes_back(address: FeedAddress, source: SourceStatus) -> bool:
    """Whether what is sent there arrives at this live source. A receiver's port is never written to either."""
    if address.kind == "serial":
        return _same_device(source.name.split(" ", maxsplit=1)[0], address.device)
    found = _NETWORK.fullmatch(source.name)
    if not found or found[1] != address.kind or int(found[4]) != address.port:
        return False
    host = found[2] or found[3] or ""
    if address.kind == "tcp":
        return host == address.host or is_loopback(host)
    return host == address.host or is_loopback(address.host)


def _same_device(source: str, device: str) -> bool:
    """By whatever names the two go."""
    try:
        return Path(source).resolve() == Path(device).resolve()
    except (OSError, ValueError, RuntimeError):
        return source == device

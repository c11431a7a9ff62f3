"""What the user may call a source: a serial port, a file, tcp://host:port, udp://[host]:port, - for standard input."""

from __future__ import annotations

import re
import stat
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from core.errors import UsageError
from core.shown import shown

_NETWORK = re.compile(r"(tcp|udp)://(\[[^\]]*\]|[^:/\[\]]*):([0-9]{1,5})/?")
_WINDOWS_PORT = re.compile(r"(?:\\\\\.\\)?COM\d+", re.IGNORECASE)


class Sort(Enum):
    """The sorts of sources."""

    SERIAL = "serial"
    FILE = "file"
    TCP = "tcp"
    UDP = "udp"
    STANDARD_INPUT = "standard input"


@dataclass(frozen=True, slots=True)
class SourceName:
    """A source's name, taken apart."""

    sort: Sort
    text: str
    """As the user gave it."""
    host: str = ""
    """For TCP and UDP; empty for UDP means this computer alone."""
    port: int = 0


def source_name(text: str) -> SourceName:
    """Take a name apart. Raises UsageError where it is of no known form."""
    if text == "-":
        return SourceName(Sort.STANDARD_INPUT, text)
    if text.lower().startswith(("tcp:", "udp:")):
        return _network(text)
    if _WINDOWS_PORT.fullmatch(text) or _is_device(Path(text)):
        return SourceName(Sort.SERIAL, text)
    return SourceName(Sort.FILE, text)


def _network(text: str) -> SourceName:
    found = _NETWORK.fullmatch(text.lower())
    if not found or not 0 < int(found[3]) < 65_536:
        raise UsageError(
            f"{shown(text)} is no address: write tcp://host:port, or udp://:port to listen on this computer"
        )
    sort = Sort(found[1])
    host = found[2].strip("[]")
    if sort is Sort.TCP and not host:
        raise UsageError(f"{shown(text)} names no host: write tcp://host:port")
    return SourceName(sort, text, host, int(found[3]))


def _is_device(path: Path) -> bool:
    """A character device, or something in /dev that is not there (yet): never a file to be read to its end."""
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return path.is_absolute() and path.parts[1:2] == ("dev",)
    return stat.S_ISCHR(mode)

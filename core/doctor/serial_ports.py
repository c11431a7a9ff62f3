"""The serial ports: which there are, whether this user may read them, and who else does."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from core.doctor.finding import Finding, Grade, Surroundings
from core.sources.ports import Port, other_users

_PORTS = "ports"
_PLUG = {
    "linux": "plug the receiver in; `dmesg` (as administrator) says what the system made of it",
    "darwin": "plug the receiver in; some adapters need their maker's driver",
    "win32": "plug the receiver in; the device manager says what the system made of it",
}
"""By platform; the last two from memory."""


def serial_ports(here: Surroundings) -> Iterator[Finding]:
    """One finding a port, or one that there is none."""
    if not here.ports:
        yield Finding(_PORTS, Grade.NOTE, "there is no serial port", _PLUG.get(here.platform, _PLUG["linux"]))
    for port in here.ports:
        yield _port(port, here.platform)


def _port(port: Port, platform: str) -> Finding:
    name = f"{port.device}, {port.description}" if port.description else port.device
    if platform == "win32":  # a port has no file there; whether it opens only opening it would tell
        return Finding(_PORTS, Grade.FINE, f"{name} is there")
    if not os.access(port.device, os.R_OK):
        return Finding(_PORTS, Grade.MEND, f"{name} may not be read by you", _permission(Path(port.device)))
    if not os.access(port.device, os.W_OK):
        return Finding(
            _PORTS,
            Grade.MEND,
            f"{name} may be read but not opened: its speed is set by writing",
            _permission(Path(port.device)),
        )
    users = other_users(port.device)
    if users:
        return Finding(_PORTS, Grade.NOTE, f"{name} is in use by {', '.join(users)}", "end that program first")
    return Finding(_PORTS, Grade.FINE, f"{name} may be opened; `fixboard doctor --listen` hears whether it speaks")


def _permission(device: Path) -> str:
    """The group that may, where the device has one; joining it counts from the next login."""
    group = _group(device)
    if group is None:
        return "ask your administrator for access to it"
    return f"join the group {group} (`sudo usermod -aG {group} $USER`), then log out and in again"


def _group(device: Path) -> str | None:
    """The name of the group that may read the device; None where it may not either, or has none."""
    try:
        import grp

        found = device.stat()
        return grp.getgrgid(found.st_gid).gr_name if found.st_mode & stat.S_IRGRP and found.st_gid else None
    except (ImportError, OSError, KeyError):
        return None

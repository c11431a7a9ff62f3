"""Serial ports: what there is, which is worth trying first, and who else has one open."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

USB_LIKE = re.compile(r"ttyACM|ttyUSB|usbserial|usbmodem")


@dataclass(frozen=True, slots=True)
class Port:
    """One serial port of this computer."""

    device: str
    """Its name to open it by."""
    description: str = ""
    """What the device calls itself; text from outside, to be cleaned before it is shown."""
    vid: int | None = None
    """USB vendor and product numbers; None where it is not a USB device."""
    pid: int | None = None
    serial_number: str | None = None
    location: str | None = None
    """Where on the USB it is plugged in."""

    @property
    def identity(self) -> tuple[object, ...] | None:
        """What stays the same when it is plugged in again under another name; None where nothing does.

        Cheap adapters have no serial number; two of the same make are then told apart by the socket they are in.
        """
        if self.vid is None:
            return None
        return (self.vid, self.pid, self.serial_number or ("at", self.location))

    def as_json(self) -> dict[str, object]:
        """For `fixboard ports --json`."""
        return {
            "device": self.device,
            "description": self.description or None,
            "usb_vendor": None if self.vid is None else f"{self.vid:04x}",
            "usb_product": None if self.pid is None else f"{self.pid:04x}",
            "serial_number": self.serial_number,
            "location": self.location,
        }


def ports() -> list[Port]:
    """All ports that the system lists, the likeliest receivers first: USB devices by identity, then by name."""
    from serial.tools.list_ports import comports

    found = [
        Port(p.device, _known(p.description), p.vid, p.pid, p.serial_number, p.location)
        for p in comports(include_links=False)
    ]
    return sorted(found, key=_rank)


def _known(description: str | None) -> str:
    """The library says n/a for what it does not know."""
    return "" if description in {None, "n/a"} else str(description)


def _rank(port: Port) -> tuple[bool, bool, str]:
    counted = re.sub(r"\d+", lambda found: found[0].zfill(9), port.device)  # COM3 before COM10
    return (port.vid is None, USB_LIKE.search(port.device) is None, counted)


def find_again(known: Port, present: Iterable[Port], before: Iterable[Port] = ()) -> Port | None:
    """The port that `known` was, perhaps under another name: by USB identity, without one by name.

    A device without a serial number that was put into another socket has a new identity: then it is the one of the
    same make that was not there `before`, while `known` was.
    """
    listed = tuple(present)
    for port in listed:
        if port.identity == known.identity if known.identity else port.device == known.device:
            return port
    old = {port.identity for port in before}
    return next((port for port in listed if _same_make(port, known) and port.identity not in old), None)


def _same_make(a: Port, b: Port) -> bool:
    """Serial numbers, where there are any, are for `identity` to compare."""
    return a.vid is not None and (a.vid, a.pid, a.serial_number, b.serial_number) == (b.vid, b.pid, None, None)


def other_users(device: str, proc: Path = Path("/proc")) -> list[str]:
    """Programs besides this one that have the device open, as `name (pid)`.

    As far as this user may see, and on Linux only.
    """
    try:
        return sorted(_users(Path(device).resolve(), proc))
    except OSError:
        return []


def _users(wanted: Path, proc: Path) -> Iterator[str]:
    own = str(os.getpid())
    for process in os.listdir(proc):  # noqa: PTH208 - see _has_open
        if process.isdigit() and process != own and _has_open(f"{proc}/{process}/fd", str(wanted)):
            yield f"{_name(proc / process)} ({process})"


def _has_open(files: str, wanted: str) -> bool:
    """By plain names: every file of every program is looked at every few seconds, and a Path of each costs twice."""
    try:
        return any(os.readlink(f"{files}/{entry}") == wanted for entry in os.listdir(files))  # noqa: PTH115, PTH208
    except OSError:  # ended meanwhile, or another user's
        return False


def _name(process: Path) -> str:
    try:
        return (process / "comm").read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return "a program"

"""A computer whose serial ports are links in a folder, and the board on it: `python -m tests.faults.sockets ...`.

A pty has no USB identity, and its name is the system's. So the list of ports is read from the folder in
FIXBOARD_SOCKETS instead: each link is a port of its name, and each has the identity of one invented adapter. All else
is the real thing: what is opened is the pty that the link leads to.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import core.sources.serial_source as module
import tui.cli_board
from core.sources.ports import Port
from tui.cli import main

VARIABLE = "FIXBOARD_SOCKETS"


def listed() -> list[Port]:
    """What is plugged in."""
    folder = Path(os.environ[VARIABLE])
    return [Port(str(one), "invented adapter", 0x1D50, 0x00AA, "Q1", "1-1") for one in sorted(folder.iterdir())]


def plug(folder: Path, name: str, device: str) -> str:
    """Put a pty into a socket; the name of the port."""
    (folder / name).symlink_to(device)
    return str(folder / name)


def pull(folder: Path, name: str) -> None:
    """The port is gone from the list; the wire itself is the test's to pull."""
    (folder / name).unlink()


if __name__ == "__main__":
    module.ports = listed  # type: ignore[attr-defined]  # as RealHost calls it
    tui.cli_board.ports = listed  # type: ignore[attr-defined]
    sys.exit(main())

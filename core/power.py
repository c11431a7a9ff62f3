"""Whether this computer runs on its battery, and how full that is, by each system's documented means.

* Linux: /sys/class/power_supply (the kernel's Documentation/ABI/testing/sysfs-class-power: type, scope, online, status,
  capacity, energy_now, energy_full; from memory).
* macOS: `pmset -g batt`, whose first line names what is drawn from (pmset(1), from memory).
* Windows: GetSystemPowerStatus (its ACLineStatus 0, 1 or 255 unknown; BatteryLifePercent 255 unknown; from memory).

What none of them tells is unknown, never mains: nothing is done on the strength of a guess.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

SUPPLIES = Path("/sys/class/power_supply")
_LINES = {"Mains", "USB", "Wireless", "UPS"}
_PMSET = ("pmset", "-g", "batt")
_PATIENCE_S = 5.0
UNSAID = 255
"""Windows: not known."""


class Power(NamedTuple):
    """What is known."""

    on_battery: bool | None = None
    """None: nobody knows, or there is no battery."""
    percent: int | None = None
    """Of all batteries together, 0 to 100."""


UNKNOWN_POWER = Power()


def power(platform: str, supplies: Path = SUPPLIES) -> Power:
    """The state now. `platform`: as sys.platform. Never raises; may take some milliseconds, or a program's start."""
    if platform.startswith("linux"):
        return of_linux(supplies)
    if platform == "darwin":
        return of_pmset(_said_by(_PMSET))
    if platform == "win32":
        return of_windows(_windows_status)
    return UNKNOWN_POWER


def of_linux(folder: Path) -> Power:
    """From the kernel's files; those of mice and headsets (scope Device) are not this computer's."""
    supplies = [one for one in _folders(folder) if _text(one, "scope") != "Device"]
    batteries = [one for one in supplies if _text(one, "type") == "Battery" and _text(one, "present") != "0"]
    online = [_text(one, "online") for one in supplies if _text(one, "type") in _LINES]
    return Power(_draws(batteries, online), _percent(batteries))


def _draws(batteries: list[Path], online: list[str]) -> bool | None:
    """A battery that runs down with the line plugged in (a weak charger) is not "on battery"."""
    if not batteries:
        return None
    if "1" in online:
        return False
    states = {_text(one, "status") for one in batteries}
    if "Discharging" in states or (online and all(told == "0" for told in online)):
        return True
    return False if states and states <= {"Charging", "Full", "Not charging"} else None


def _percent(batteries: list[Path]) -> int | None:
    """Of several by their energy, where all tell it."""
    if len(batteries) == 1:
        return _share(_number(batteries[0], "capacity"), 100)
    for now, full in (("energy_now", "energy_full"), ("charge_now", "charge_full")):
        left = [_number(one, now) for one in batteries]
        most = [_number(one, full) for one in batteries]
        if left and None not in left and None not in most:
            return _share(sum(one or 0 for one in left), sum(one or 0 for one in most))
    return None


def _share(part: int | None, whole: int) -> int | None:
    """In per cent; firmware that says more than all is believed to mean all."""
    return None if part is None or part < 0 or whole <= 0 else min(100, round(100 * part / whole))


def _folders(folder: Path) -> Iterator[Path]:
    try:
        yield from sorted(folder.iterdir())
    except OSError:
        return


def _text(supply: Path, name: str) -> str:
    try:
        return (supply / name).read_text(encoding="ascii", errors="replace").strip()
    except OSError:  # not every driver has every file, and some fail while the hardware wakes
        return ""


def _number(supply: Path, name: str) -> int | None:
    text = _text(supply, name)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None


def of_pmset(said: str) -> Power:
    """From what the program says: `Now drawing from 'Battery Power'`, then a line for each battery with a share."""
    source = re.search(r"drawing from '([^']*)'", said)
    batteries = re.findall(r"^\s*-.*?(\d{1,3})%", said, re.MULTILINE)
    if source is None or not batteries:
        return UNKNOWN_POWER
    known = {"Battery Power": True, "AC Power": False}
    return Power(known.get(source[1]), _share(int(batteries[0]), 100) if len(batteries) == 1 else None)


def _said_by(command: tuple[str, ...]) -> str:
    import subprocess  # on one system in three

    try:
        done = subprocess.run(command, capture_output=True, timeout=_PATIENCE_S, check=False)
    except (OSError, subprocess.SubprocessError):
        return ""
    return done.stdout.decode("utf-8", "replace")


def of_windows(status: Callable[[], tuple[int, int] | None]) -> Power:
    """From ACLineStatus and BatteryLifePercent; None where the call failed."""
    told = status()
    if told is None:
        return UNKNOWN_POWER
    line, percent = told
    return Power({0: True, 1: False}.get(line), None if percent == UNSAID else _share(percent, 100))


def _windows_status() -> tuple[int, int] | None:
    """SYSTEM_POWER_STATUS: four bytes (line, flags, per cent, saver), then two numbers of four bytes."""
    import ctypes

    kernel = getattr(getattr(ctypes, "windll", None), "kernel32", None)
    if kernel is None:
        return None
    answer = ctypes.create_string_buffer(12)
    return (answer.raw[0], answer.raw[2]) if kernel.GetSystemPowerStatus(answer) else None

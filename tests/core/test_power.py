"""Whether the computer runs on its battery, from what each system tells; unknown wherever it does not tell.

The folders are laid out as the kernel's Documentation/ABI/testing/sysfs-class-power has them, the texts of pmset
invented after its manual page (both from memory). None of it was recorded on a computer.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from core.power import UNKNOWN_POWER, Power, of_linux, of_pmset, of_windows, power

Supplies = dict[str, dict[str, str]]
BATTERY = {"type": "Battery", "status": "Discharging", "capacity": "62", "present": "1"}
MAINS = {"type": "Mains", "online": "0"}
MOUSE = {"type": "Battery", "scope": "Device", "status": "Discharging", "capacity": "5"}


def laid_out(folder: Path, supplies: Supplies) -> Path:
    for name, files in supplies.items():
        (folder / name).mkdir()
        for file, text in files.items():
            (folder / name / file).write_text(f"{text}\n")
    return folder


@pytest.mark.parametrize(
    ("supplies", "expected"),
    [
        ({"BAT0": BATTERY, "AC": MAINS}, Power(True, 62)),
        ({"BAT0": BATTERY}, Power(True, 62)),
        ({"BAT0": BATTERY, "AC": {**MAINS, "online": "1"}}, Power(False, 62)),
        ({"BAT0": {**BATTERY, "status": "Charging"}, "AC": {**MAINS, "online": "1"}}, Power(False, 62)),
        ({"BAT0": {**BATTERY, "status": "Full", "capacity": "100"}}, Power(False, 100)),
        ({"BAT0": {**BATTERY, "status": "Not charging"}}, Power(False, 62)),
        ({"BAT0": {**BATTERY, "status": "Unknown"}}, Power(None, 62)),
        ({"BAT0": {**BATTERY, "status": "Unknown"}, "AC": MAINS}, Power(True, 62)),
        ({"BAT0": BATTERY, "usb0": {"type": "USB", "online": "1"}, "AC": MAINS}, Power(False, 62)),
        ({"AC": {**MAINS, "online": "1"}}, UNKNOWN_POWER),
        ({"mouse": MOUSE}, UNKNOWN_POWER),
        ({"BAT0": {**BATTERY, "status": "Charging"}, "mouse": MOUSE}, Power(False, 62)),
        ({"BAT0": {**BATTERY, "present": "0"}}, UNKNOWN_POWER),
        ({"BAT0": {**BATTERY, "capacity": "104"}}, Power(True, 100)),
        ({"BAT0": {**BATTERY, "capacity": "-3"}}, Power(True, None)),
        ({"BAT0": {**BATTERY, "capacity": "much"}}, Power(True, None)),
        ({"BAT0": {"type": "Battery"}}, UNKNOWN_POWER),
        ({}, UNKNOWN_POWER),
    ],
)
def test_linux(tmp_path: Path, supplies: Supplies, expected: Power) -> None:
    assert of_linux(laid_out(tmp_path, supplies)) == expected


def test_two_batteries_count_by_their_energy_or_not_at_all(tmp_path: Path) -> None:
    small = {**BATTERY, "capacity": "100", "energy_now": "20000000", "energy_full": "20000000"}
    large = {**BATTERY, "capacity": "0", "energy_now": "0", "energy_full": "60000000"}
    assert of_linux(laid_out(tmp_path, {"BAT0": small, "BAT1": large})) == Power(True, 25)
    (tmp_path / "BAT1" / "energy_now").unlink()
    assert of_linux(tmp_path) == Power(True, None)


def test_a_computer_without_such_a_folder_is_unknown(tmp_path: Path) -> None:
    assert power("linux", tmp_path / "nowhere") == UNKNOWN_POWER
    (tmp_path / "file").write_text("x")
    assert power("linux", tmp_path / "file") == UNKNOWN_POWER
    assert power("plan9", tmp_path) == UNKNOWN_POWER


def test_this_computer_can_be_asked() -> None:
    found = power(sys.platform)
    assert found.on_battery in {True, False, None}
    assert found.percent is None or 0 <= found.percent <= 100


INTERNAL = " -InternalBattery-0 (id=1234)\t{percent}%; {state}; 4:05 remaining present: true\n"


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("Now drawing from 'Battery Power'\n" + INTERNAL.format(percent=62, state="discharging"), Power(True, 62)),
        ("Now drawing from 'AC Power'\n" + INTERNAL.format(percent=100, state="charged"), Power(False, 100)),
        ("Now drawing from 'AC Power'\n", UNKNOWN_POWER),
        ("Now drawing from 'UPS Power'\n" + INTERNAL.format(percent=9, state="discharging"), Power(None, 9)),
        ("Now drawing from 'Battery Power'\n" + 2 * INTERNAL.format(percent=9, state="discharging"), Power(True, None)),
        ("", UNKNOWN_POWER),
        ("command not found: 100%", UNKNOWN_POWER),
    ],
)
def test_pmset(said: str, expected: Power) -> None:
    assert of_pmset(said) == expected


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ((0, 62), Power(True, 62)),
        ((1, 100), Power(False, 100)),
        ((255, 255), UNKNOWN_POWER),
        ((0, 255), Power(True, None)),
        (None, UNKNOWN_POWER),
    ],
)
def test_windows(told: tuple[int, int] | None, expected: Power) -> None:
    assert of_windows(lambda: told) == expected


def test_a_system_without_its_own_means_is_unknown_not_an_error(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    for other in {"darwin", "win32"} - {sys.platform}:
        assert power(other, tmp_path) == UNKNOWN_POWER

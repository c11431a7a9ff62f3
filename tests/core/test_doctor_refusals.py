"""What the doctor says where the system refuses: ports that are half open, disks that are full or read-only."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from importlib import metadata, resources
from pathlib import Path
from types import SimpleNamespace
from typing import NoReturn

import pytest

from core.doctor import serial_ports as room_of_ports
from core.doctor.computer import computer
from core.doctor.files import LEAST_FREE, files
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.serial_ports import serial_ports
from core.doctor.terminal import terminal
from core.locations import Locations
from core.sources.ports import Port

AT = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
"""An invented day."""

posix = pytest.mark.skipif(os.name != "posix", reason="groups and modes as on POSIX")


def at(folder: Path, **changes: object) -> Surroundings:
    usual = Surroundings({"TERM": "xterm-256color"}, "linux", (3, 12, 1), "utf-8", (120, 40), Locations(folder), (), AT)
    return usual._replace(**changes)  # type: ignore[arg-type]  # as the fields have it


def refusing(number: int) -> Callable[..., NoReturn]:
    def refuse(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    return refuse


# Ports


def test_a_port_of_windows_is_only_there(tmp_path: Path) -> None:
    """It has no file whose rights could be asked for."""
    (only,) = serial_ports(at(tmp_path, platform="win32", ports=(Port("COM7", "Quill receiver"),)))
    assert only == Finding("ports", Grade.FINE, "COM7, Quill receiver is there")


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32", "quince"])
def test_no_port_is_a_note_with_a_remedy_on_every_system(tmp_path: Path, platform: str) -> None:
    (only,) = serial_ports(at(tmp_path, platform=platform))
    assert only.grade is Grade.NOTE
    assert only.remedy


def test_a_port_that_may_be_read_alone_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    device = tmp_path / "ttyQ0"
    device.touch()
    monkeypatch.setattr(os, "access", lambda _, mode: mode == os.R_OK)
    (only,) = serial_ports(at(tmp_path, ports=(Port(str(device)),)))
    assert only.grade is Grade.MEND
    assert only.found == f"{device} may be read but not opened: its speed is set by writing"


def test_who_has_a_port_open_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    device = tmp_path / "ttyQ0"
    device.touch()
    monkeypatch.setattr(room_of_ports, "other_users", lambda _: ["quill (7)", "quoin (8)"])
    (only,) = serial_ports(at(tmp_path, ports=(Port(str(device)),)))
    assert (only.grade, only.found) == (Grade.NOTE, f"{device} is in use by quill (7), quoin (8)")


@posix
@pytest.mark.parametrize("mode", [0o660, 0o600])
def test_only_a_group_that_may_read_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: int) -> None:
    """Joining one that may not would change nothing; and nobody is sent into the administrators' own (number 0)."""
    import grp

    device = tmp_path / "ttyQ0"
    device.touch()
    device.chmod(mode)
    monkeypatch.setattr(os, "access", lambda *_: False)
    group = device.stat().st_gid
    (only,) = serial_ports(at(tmp_path, ports=(Port(str(device)),)))
    if group and mode & 0o040:
        assert f"join the group {grp.getgrgid(group).gr_name} " in only.remedy
    else:
        assert only.remedy == "ask your administrator for access to it"


# Files


def test_a_disk_that_takes_nothing_is_to_be_mended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "TemporaryFile", refusing(errno.EROFS))
    wrong = [one for one in files(at(tmp_path)) if one.grade is Grade.MEND]
    assert [one.found for one in wrong] == [f"{tmp_path} cannot be written ({os.strerror(errno.EROFS)})"]


@pytest.mark.parametrize(("free", "grade"), [(LEAST_FREE, Grade.FINE), (LEAST_FREE - 1, Grade.NOTE)])
def test_a_full_disk_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, free: int, grade: Grade) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=free))
    (told,) = [one for one in files(at(tmp_path)) if "GB free" in one.found]
    assert (told.found, told.grade) == ("0.2 GB free there", grade)
    assert bool(told.remedy) == (grade is Grade.NOTE)


def test_a_disk_that_does_not_say_its_room_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", refusing(errno.ENOSYS))
    told = list(files(at(tmp_path)))
    assert not [one for one in told if "free" in one.found]
    assert told


@pytest.mark.parametrize(
    ("names", "said"), [([], None), (["quay.csv"], "1 list of stations"), (["quay.csv", "q2.csv"], "2 lists of")]
)
def test_lists_of_stations_are_counted(tmp_path: Path, names: list[str], said: str | None) -> None:
    (tmp_path / "stations").mkdir()
    for name in names:
        (tmp_path / "stations" / name).write_text("name,latitude,longitude\nQ1ABC,10.5,-20.25\n")
    told = [one.found for one in files(at(tmp_path)) if "of stations" in one.found]
    assert [said is not None and one.startswith(said) for one in told] == ([True] if said else [])


@posix
def test_a_folder_of_lists_that_cannot_be_read_keeps_the_doctor_from_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("core.station_book.lists_in", refusing(errno.EIO))
    told = list(files(at(tmp_path)))
    assert {one.grade for one in told} == {Grade.FINE}


# Computer


def test_a_program_that_is_run_from_its_folder_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there(name: str) -> NoReturn:
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "requires", not_there)
    (told,) = [one for one in computer(at(tmp_path)) if "installed" in one.found]
    assert (told.grade, told.found) == (Grade.NOTE, "fixboard is not installed, only run from its folder")


def test_a_package_without_its_sessions_is_to_be_mended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "empty").mkdir()
    monkeypatch.setattr(resources, "files", lambda _: tmp_path / "empty")
    (told,) = [one for one in computer(at(tmp_path)) if "sessions" in one.found]
    assert (told.grade, told.found) == (Grade.MEND, "the bundled sessions are missing")


# Terminal, and the report


@pytest.mark.parametrize(
    ("size", "said"), [((100, 30), "one screen answers all"), ((300, 100), "all panes show"), ((79, 24), "left out")]
)
def test_the_size_says_how_much_is_shown(tmp_path: Path, size: tuple[int, int], said: str) -> None:
    assert [said in one.found for one in terminal(at(tmp_path, size=size)) if "columns" in one.found] == [True]


def test_in_json_a_finding_without_a_remedy_has_none() -> None:
    fine, note = Finding("files", Grade.FINE, "there"), Finding("ports", Grade.NOTE, "none", "plug one in")
    assert fine.as_json() == {"subject": "files", "grade": "fine", "found": "there", "remedy": None}
    assert note.as_json()["remedy"] == "plug one in"

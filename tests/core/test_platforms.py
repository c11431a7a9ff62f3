"""Windows and macOS, as far as this system can pretend to be them (tests/other_system.py says how far).

What each system's programs expect is from memory where no source is named. Nothing here was seen on a Windows or a Mac.
"""

from __future__ import annotations

import errno
import gzip
import os
import subprocess
import sys
from pathlib import Path

import pytest

from core.errors import InputError
from core.folders import PAUSE_S, TRIES, replace_over, sync_folder
from core.sheet_time import zone
from core.sources.line import why_not
from core.sources.names import Sort, source_name
from core.sources.ports import Port, find_again, ports
from core.storage import create_file, replace_file
from tests.other_system import NOT_ON_MACOS, NOT_ON_WINDOWS, ROOT, modules

OTHERS = ("win32", "darwin")
LIMIT_S = 300.0
linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="other systems are imitated on Linux alone")


def errand(system: str, name: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """In a process of its own, to its end."""
    kept = {one: os.environ[one] for one in ("PATH",) if one in os.environ}
    ours = {"FIXBOARD_DATA": str(folder / "data"), "HOME": str(folder), "LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-m", "tests.errands", system, name, str(folder)],
        cwd=ROOT, env=kept | ours | environment, stdin=subprocess.DEVNULL, capture_output=True, text=True,
        timeout=LIMIT_S, check=False,
    )  # fmt: skip


# Modules


@linux
@pytest.mark.parametrize("system", OTHERS)
def test_every_module_can_be_imported(tmp_path: Path, system: str) -> None:
    done = errand(system, "import", tmp_path)
    assert (done.stdout, done.stderr) == (f"{len(modules())} {system}\n", "")


@linux
def test_the_imitation_takes_away_what_it_names() -> None:
    """A name that no system has would prove nothing."""
    for missing in (NOT_ON_WINDOWS, NOT_ON_MACOS):
        there = {(module, name) for module in missing for name in dir(__import__(module))}
        assert {(module, name) for module, names in missing.items() for name in names} <= there


# Files


def kept(folder: Path) -> dict[str, bytes]:
    """What each file holds; a compressed one has the time of its making, so what is in it."""
    found = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    return {name: gzip.decompress(data) if name.endswith(".gz") else data for name, data in found.items()}


@linux
@pytest.mark.parametrize("system", OTHERS)
def test_all_that_is_kept_is_the_same_to_the_byte(tmp_path: Path, system: str) -> None:
    """Line ends, backups, what is moved and what is left behind; with files that are open and so cannot be moved."""
    (here := tmp_path / "here").mkdir()
    (there := tmp_path / "there").mkdir()
    for where, folder in ((sys.platform, here), (system, there)):
        done = errand(where, "keep", folder)
        assert (done.returncode, done.stderr) == (0, "")
    assert kept(there) == kept(here)
    assert kept(there)["trip.csv"] == b"header\n1,first\n1,second\n2,first\n2,second\n3,first\n3,second\n"
    assert not [name for name in kept(there) if name.endswith(".part")]


@linux
@pytest.mark.parametrize("system", OTHERS)
def test_one_writer_at_a_time(tmp_path: Path, system: str) -> None:
    done = errand(system, "exclude", tmp_path)
    assert (done.stdout, done.stderr) == ("refused\nfree again\n", "")


class Busy:
    """A file that somebody reads for some time: it cannot be replaced meanwhile."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, times: int) -> None:
        self.left, self.paused_s = times, 0.0
        self._replace = Path.replace

        def refuse(fresh: Path, target: Path) -> None:  # a function, since a bound method would not be given the path
            self._refuse(fresh, target)

        monkeypatch.setattr(Path, "replace", refuse)
        monkeypatch.setattr("core.folders.time.sleep", self._pause)

    def _refuse(self, fresh: Path, target: Path) -> None:
        if self.left:
            self.left -= 1
            raise PermissionError(errno.EACCES, "Access is denied", str(target))
        self._replace(fresh, target)

    def _pause(self, seconds: float) -> None:
        self.paused_s += seconds


def test_a_file_that_is_looked_into_is_replaced_a_moment_later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "old").write_bytes(b"old")
    (tmp_path / "fresh").write_bytes(b"fresh")
    busy = Busy(monkeypatch, 3)
    replace_over(tmp_path / "fresh", tmp_path / "old", "win32")
    assert (tmp_path / "old").read_bytes() == b"fresh"
    assert busy.paused_s == pytest.approx(3 * PAUSE_S)


def test_one_that_stays_open_is_an_error_in_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "fresh").write_bytes(b"fresh")
    busy = Busy(monkeypatch, TRIES + 1)
    with pytest.raises(PermissionError):
        replace_over(tmp_path / "fresh", tmp_path / "old", "win32")
    assert (busy.left, (tmp_path / "fresh").exists()) == (0, True)


def test_elsewhere_a_refusal_is_final_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    busy = Busy(monkeypatch, 1)
    with pytest.raises(PermissionError):
        replace_over(tmp_path / "fresh", tmp_path / "old", "linux")
    assert busy.paused_s == 0.0


def test_a_folder_that_cannot_be_opened_needs_no_sync(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.open

    def as_on_windows(path: str | Path, flags: int, mode: int = 0o777) -> int:
        if Path(path).is_dir():
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return real(path, flags, mode)

    monkeypatch.setattr("core.folders.os.open", as_on_windows)
    sync_folder(tmp_path)
    replace_file(tmp_path / "kept", b"old")
    replace_file(tmp_path / "kept", b"new")
    create_file(tmp_path / "made", b"made")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["kept", "kept.bak", "made"]


# The shell


ASKED = {
    "--version": "fixboard ",
    "place|10.5 -20.25": "HK90vm",
    "bearing|10.5 -20.25|10.6 -20.35": "distance",
    "digest|replays/first_walk.nmea.gz": "duration_s",
    "doctor": "this is no terminal",
    "log": "no session yet",
    "export|replays/first_walk.nmea.gz|--to|csv": "autonomous",
    "sheet|10.5 -20.25|10.51 -20.25|--depart|08:30|--zone|+01:00": "UTC+01:00",
}


@linux
@pytest.mark.parametrize("system", OTHERS)
def test_commands_do_what_they_do_here(tmp_path: Path, system: str) -> None:
    """In one process, since it takes as long to pretend as to do all of them."""
    done = errand(system, "ask", tmp_path, ERRAND="\n".join(ASKED))
    told = done.stdout.split("\f\n")
    assert len(told) == len(ASKED) + 1, done.stderr
    for (words, wanted), found in zip(ASKED.items(), told, strict=False):
        assert wanted in found, words
    assert "unexpected" not in done.stderr
    assert "Traceback" not in done.stderr


@linux
@pytest.mark.parametrize("system", OTHERS)
def test_the_board_opens_and_ends(tmp_path: Path, system: str) -> None:
    done = errand(system, "show", tmp_path)
    assert (done.stdout, done.stderr, done.returncode) == ("ended 0\n", "", 0)
    assert (tmp_path / "board.toml").exists()


@linux
def test_what_cannot_be_handed_on_there_says_what_to_do(tmp_path: Path) -> None:
    done = errand("win32", "refuse", tmp_path)
    told = done.stdout.splitlines()
    assert len(told) == 4, done.stderr
    for found, words in zip(
        told,
        (
            "pseudo-terminals exist on Linux, macOS and the BSDs only: use tcp:10110",
            "port 10110 is in use by another program",
            "203.0.113.9 is no address of this computer",
            "this is not allowed on this computer (a firewall?)",
        ),
        strict=True,
    ):
        assert words in found


# Serial ports


@pytest.mark.parametrize("name", ["COM3", "com3", "COM12", r"\\.\COM12"])
def test_com_and_a_number_is_a_serial_port(name: str) -> None:
    assert source_name(name).sort is Sort.SERIAL


@pytest.mark.parametrize("name", ["COM", "COM3.nmea", "COMX", "CON", "NUL", "walk COM3"])
def test_other_names_are_files(name: str) -> None:
    assert source_name(name).sort is Sort.FILE


class Listed:
    """As pyserial lists a port."""

    description, vid, pid, serial_number, location = "n/a", None, None, None, None

    def __init__(self, device: str) -> None:
        self.device = device


def test_ports_are_counted_not_spelled(monkeypatch: pytest.MonkeyPatch) -> None:
    listed = [Listed(name) for name in ("COM10", "COM3", "COM1")]
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda include_links: listed)
    assert [port.device for port in ports()] == ["COM1", "COM3", "COM10"]


def test_a_receiver_is_found_again_under_another_number() -> None:
    before = Port("COM3", "receiver", 0x1546, 0x01A8, "Q1")
    after = Port("COM7", "receiver", 0x1546, 0x01A8, "Q1")
    assert find_again(before, [Port("COM1"), after]) == after


DENIED = "could not open port 'COM3': PermissionError(13, 'Access is denied.', None, 5)"
MISSING = "could not open port 'COM9': FileNotFoundError(2, 'The system cannot find the file specified.', None, 2)"


@pytest.mark.parametrize(
    ("device", "said", "platform", "words"),
    [
        ("COM3", DENIED, "win32", "COM3 is in use by another program: close that first"),
        ("COM9", MISSING, "win32", "COM9: there is no such port: plug the receiver in"),
        ("/dev/ttyUSB0", "[Errno 13] could not open port", "linux", "cannot be opened"),
    ],
)
def test_why_a_port_cannot_be_opened(device: str, said: str, platform: str, words: str) -> None:
    """What pyserial says there: its Windows part puts the system's error into its text alone."""
    assert words in why_not(device, OSError(said), platform)


def test_access_denied_is_a_matter_of_rights_elsewhere() -> None:
    error = PermissionError(errno.EACCES, "Permission denied")
    assert "join its group" in why_not("/dev/ttyUSB0", error, "linux")
    assert "is in use" in why_not("COM3", error, "win32")


# Time zones


def test_without_a_zone_database_the_advice_is_one_that_works(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="give one as Pacific/Auckland"):
        zone("Nowhere/Nothing")
    monkeypatch.setattr("core.sheet_time._has_zones", lambda: False)
    with pytest.raises(InputError, match=r"give UTC or an offset, \+05:30, or install the package tzdata"):
        zone("Nowhere/Nothing")
    assert (zone("UTC").name, zone("+05:30").name) == ("UTC", "UTC+05:30")

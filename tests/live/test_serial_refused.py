"""Ports that cannot be had, or not alone: each is explained, with what to do; and the search goes on."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import core.sources.serial_source as module
from core.errors import InputError
from core.sources.line import REMEDIES, SerialLine, why_not
from core.sources.ports import Port, other_users, ports
from core.sources.source import SourceState
from tests.live.rig import Computer, on_serial, until, watching
from tests.wire import PtyReceiver

FAST = 100.0
OPENS = "import os, sys; os.open(sys.argv[1], os.O_RDONLY | os.O_NOCTTY); print('open', flush=True); sys.stdin.read()"
LOCKS = (
    "import fcntl, os, sys; fcntl.flock(os.open(sys.argv[1], os.O_RDONLY | os.O_NOCTTY), fcntl.LOCK_EX);"
    "print('open', flush=True); sys.stdin.read()"
)


@contextmanager
def another_program(does: str, device: str) -> Iterator[subprocess.Popen[str]]:
    """A program that has the device open, until the end of the block."""
    command = [sys.executable, "-c", does, device]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout
        assert process.stdout.readline() == "open\n"
        yield process
        process.communicate()


def name_of(process: subprocess.Popen[str]) -> str:
    """As the system lists it."""
    return f"{Path(f'/proc/{process.pid}/comm').read_text(encoding='utf-8').strip()} ({process.pid})"


def test_a_port_that_is_locked_says_who_has_it() -> None:
    with PtyReceiver(9600, FAST) as receiver, another_program(LOCKS, receiver.device) as process:
        with pytest.raises(InputError) as caught:
            SerialLine(receiver.device, 9600)
        said = str(caught.value)
        assert said.startswith(f"{receiver.device} is in use by {name_of(process)}: close that first")
        assert "wait ten seconds" in said


def test_a_locked_port_is_waited_for() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        with another_program(LOCKS, receiver.device):
            source = on_serial(computer)
            with watching(source) as watch:
                watch.until_told("in use by")
                assert watch.state is SourceState.SEARCHING
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()


def test_we_lock_the_port_ourselves() -> None:
    with PtyReceiver(9600, FAST) as receiver:
        line = SerialLine(receiver.device, 9600)
        with pytest.raises(InputError, match="in use by another program"):
            SerialLine(receiver.device, 9600)
        line.close()
        SerialLine(receiver.device, 9600).close()


def test_another_reader_of_the_port_is_noticed_and_so_is_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """One that ignores the lock: both get half of the bytes."""
    monkeypatch.setattr(module, "FIRST_WATCH_S", 0.05)
    monkeypatch.setattr(module, "WATCH_S", 0.05)
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            assert watch.feed.status().warning == ""
            with another_program(OPENS, receiver.device) as process:
                warning = f"also read by {name_of(process)}: close it, data go missing"
                until(lambda: watch.feed.status().warning == warning, watch.feed.status)
            until(lambda: watch.feed.status().warning == "", watch.feed.status)


def test_nobody_reads_a_port_that_is_unplugged(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "FIRST_WATCH_S", 0.01)
    computer = Computer(users=["invented (1)"])
    computer.plug("here", PtyReceiver(9600, FAST))
    with watching(on_serial(computer)) as watch:
        until(lambda: "invented (1)" in watch.feed.status().warning)
        computer.pull("here")
        watch.until_state(SourceState.LOST)
        assert watch.feed.status().warning == ""


def test_users_of_a_device_are_found_through_a_link(tmp_path: Path) -> None:
    with PtyReceiver(9600, FAST) as receiver, another_program(OPENS, receiver.device) as process:
        link = tmp_path / "receiver"
        link.symlink_to(receiver.device)
        assert other_users(str(link)) == [name_of(process)]


def test_users_where_the_system_does_not_tell(tmp_path: Path) -> None:
    assert other_users("/dev/null", tmp_path / "no-proc") == []


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.EACCES, "usermod -a -G dialout $USER; uucp"),
        (errno.EPERM, "ask for the right"),
        (errno.ENOENT, "plug the receiver in"),
        (errno.ENODEV, "plug it in again"),
        (errno.ENXIO, "no device behind it"),
        (errno.EBUSY, "in use by another program: close that first"),
        (errno.EAGAIN, "in use by another program: close that first"),
        (errno.EIO, "unplug it and plug it in again"),
        (errno.ENOTTY, "not a serial port"),
        (errno.ENOMEM, "cannot be opened: "),
    ],
)
def test_each_refusal_is_explained_and_the_port_opened_once_it_can_be(number: int, words: str) -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        computer.refusals["here"] = OSError(number, os.strerror(number))
        with watching(on_serial(computer, "here")) as watch:
            watch.until_told(words)
            assert watch.detail.startswith("here")
            assert watch.state is SourceState.SEARCHING
            del computer.refusals["here"]
            watch.until_fixes()
            assert watch.detail == ""


def test_a_known_port_that_comes_back_locked_says_so() -> None:
    computer = Computer()
    made = {"vid": 0x1D50, "serial_number": "Q1"}
    computer.plug("here", PtyReceiver(9600, FAST), **made)
    with watching(on_serial(computer)) as watch, PtyReceiver(9600, FAST) as again:
        watch.until_fixes()
        computer.pull("here")
        watch.until_told("unplugged?")
        computer.refusals["here"] = OSError(errno.EBUSY, "busy")
        computer.plug("here", again, **made)
        watch.until_told("in use by")
        computer.refusals.clear()
        watch.until_fixes()


def test_a_port_without_permission(tmp_path: Path) -> None:
    """For the system's own words; root may open everything, so then the refusal above must do."""
    if os.geteuid() == 0:
        pytest.skip("root may open any device")
    with PtyReceiver(9600, FAST) as receiver:
        Path(receiver.device).chmod(0)
        with pytest.raises(InputError, match="dialout"):
            SerialLine(receiver.device, 9600)


@pytest.mark.parametrize("device", ["/dev/null", "/dev/zero"])
def test_a_device_that_is_no_serial_port(device: str) -> None:
    with pytest.raises(InputError, match=f"{device}: {REMEDIES[errno.ENOTTY]}"):
        SerialLine(device, 9600)


def test_a_file_is_no_serial_port(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"text")
    with pytest.raises(InputError, match="it is not a serial port"):
        SerialLine(str(file), 9600)
    assert file.read_bytes() == b"text"


def test_an_absent_port(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such port: plug the receiver in, `fixboard ports` lists"):
        SerialLine(str(tmp_path / "ttyQ0"), 9600)


def test_a_speed_that_no_port_has() -> None:
    with PtyReceiver(9600, FAST) as receiver, pytest.raises(InputError):
        SerialLine(receiver.device, -1)


def test_an_error_without_a_number_keeps_its_words() -> None:
    assert why_not("here", ValueError("out of sorts")) == "here cannot be opened: out of sorts"


class Listed:
    """A port as the library lists it."""

    def __init__(self, device: str, description: str | None = None, vid: int | None = None) -> None:
        self.device, self.description, self.vid = device, description, vid
        self.pid = self.serial_number = self.location = None


def test_likely_receivers_come_first(monkeypatch: pytest.MonkeyPatch) -> None:
    listed = [Listed("/dev/ttyS0", "n/a"), Listed("/dev/ttyUSB1", "adapter", 2), Listed("/dev/ttyUSB0", None, 2)]
    listed.append(Listed("/dev/ttyACM9"))
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda include_links: listed)
    assert [port.device for port in ports()] == ["/dev/ttyUSB0", "/dev/ttyUSB1", "/dev/ttyACM9", "/dev/ttyS0"]
    assert [port.description for port in ports()] == ["", "adapter", "", ""]


def test_what_is_known_of_a_port_as_json() -> None:
    bare = {"usb_vendor": None, "usb_product": None, "serial_number": None, "location": None}
    assert Port("S0").as_json() == {"device": "S0", "description": None, **bare}
    full = Port("U0", "Quennet", 0x1D, 0xABC, "Q1", "1-2").as_json()
    assert (full["usb_vendor"], full["usb_product"], full["serial_number"]) == ("001d", "0abc", "Q1")

"""Position texts on their way out: real files, pipes, sockets and a pseudo-terminal."""

from __future__ import annotations

import os
import select
import socket
import threading
from pathlib import Path

import pytest

from core.errors import InputError, UsageError
from tests.cli.running import posix
from tui.text_sender import FileOutlet, SerialOutlet, TcpOutlet, TextSender, interval, outlet

TEXT = "!1030.00N/02015.00W[090/003"
PATIENCE_S = 20.0


class Bell:
    """Counts attempts, and waits for them."""

    def __init__(self) -> None:
        self._rings = threading.Semaphore(0)

    def __call__(self) -> None:
        self._rings.release()

    def wait(self) -> None:
        assert self._rings.acquire(timeout=PATIENCE_S)


def test_a_file_grows_by_a_line_a_text_and_loses_nothing(tmp_path: Path) -> None:
    path = tmp_path / "positions.txt"
    path.write_text(f"{TEXT}kept, without a line's end")
    for _ in range(2):
        FileOutlet(path).write(TEXT)
    assert path.read_text() == f"{TEXT}kept, without a line's end\n{TEXT}\n{TEXT}\n"


@pytest.mark.parametrize("first", [TEXT, "/041200z1030.  N/02015.  W[", "@092345z/5L!!<*e7>{?!"])
def test_every_form_of_a_text_is_known_again(tmp_path: Path, first: str) -> None:
    path = tmp_path / "positions.txt"
    FileOutlet(path).write(first)
    FileOutlet(path).write(TEXT)
    assert path.read_text() == f"{first}\n{TEXT}\n"


@pytest.mark.parametrize(
    "other",
    [b"<?xml version='1.0'?><gpx/>", b"$GPGGA,1", b"!AIVDM,1,1,,A,1,0*5C", b"\x00\x01", b"notes", b"\x1f\x8b\x08\x00"],
)
def test_a_file_that_holds_anything_else_stays_as_it_is(tmp_path: Path, other: bytes) -> None:
    path = tmp_path / "mine"
    path.write_bytes(other)
    with pytest.raises(InputError, match="something else"):
        FileOutlet(path).write(TEXT)
    assert path.read_bytes() == other


def test_trouble_is_a_state_with_words_and_the_next_text_is_tried_again(tmp_path: Path) -> None:
    bell, path = Bell(), tmp_path / "away" / "positions.txt"
    sender = TextSender(FileOutlet(path), bell)
    sender.offer(TEXT)
    bell.wait()
    assert sender.status == (0, "No such file or directory")
    path.parent.mkdir()
    sender.offer(TEXT)
    bell.wait()
    assert sender.status == (1, "")
    assert path.read_text() == f"{TEXT}\n"
    sender.close(PATIENCE_S)


@posix
def test_a_pipe_that_nobody_reads_holds_nothing_up(tmp_path: Path) -> None:
    bell, path = Bell(), tmp_path / "pipe"
    os.mkfifo(path)
    sender = TextSender(FileOutlet(path), bell)
    sender.offer(TEXT)
    bell.wait()
    assert sender.status.trouble
    reader = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    sender.offer(TEXT)
    bell.wait()
    assert os.read(reader, 200) == f"{TEXT}\n".encode()
    os.close(reader)
    sender.close(PATIENCE_S)


class Gate:
    """An outlet that takes nothing until it is opened."""

    def __init__(self) -> None:
        self.open, self.entered = threading.Event(), threading.Event()
        self.taken: list[str] = []
        self.closed = threading.Event()

    def write(self, text: str) -> None:
        self.entered.set()
        assert self.open.wait(PATIENCE_S)
        self.taken.append(text)

    def close(self) -> None:
        self.closed.set()


def test_a_text_that_waits_is_replaced_by_the_newer_one() -> None:
    gate, bell = Gate(), Bell()
    sender = TextSender(gate, bell)
    sender.offer("first")
    assert gate.entered.wait(PATIENCE_S)
    for text in ("old", "older", "newest"):
        sender.offer(text)
    gate.open.set()
    bell.wait()
    bell.wait()
    assert gate.taken == ["first", "newest"]
    sender.close(PATIENCE_S)
    assert gate.closed.is_set()


def test_what_still_waits_when_the_user_stops_is_never_written() -> None:
    gate, bell = Gate(), Bell()
    sender = TextSender(gate, bell)
    sender.offer("first")
    assert gate.entered.wait(PATIENCE_S)
    sender.offer("second")
    sender.close()
    gate.open.set()
    assert gate.closed.wait(PATIENCE_S)
    assert gate.taken == ["first"]


def test_texts_reach_an_address_and_find_it_again_after_it_hung_up() -> None:
    bell = Bell()
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(PATIENCE_S)
        sender = TextSender(TcpOutlet("127.0.0.1", server.getsockname()[1]), bell)
        sender.offer(TEXT)
        client, _ = server.accept()
        with client:
            client.settimeout(PATIENCE_S)
            bell.wait()
            client.sendall(b"welcome\r\n" * 1000)
            sender.offer(TEXT)
            bell.wait()
            with client.makefile("rb") as lines:
                assert [lines.readline(), lines.readline()] == [f"{TEXT}\r\n".encode()] * 2
            client.shutdown(socket.SHUT_RDWR)
        # Noticed before a text is lost in a connection that is no more.
        sender.offer(TEXT)
        bell.wait()
        assert sender.status.trouble
        sender.offer(TEXT)
        again, _ = server.accept()
        with again:
            bell.wait()
            again.settimeout(PATIENCE_S)
            assert again.recv(200) == f"{TEXT}\r\n".encode()
        sender.close(PATIENCE_S)


def test_an_address_where_nobody_listens_is_said() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    bell = Bell()
    sender = TextSender(TcpOutlet("127.0.0.1", port), bell)
    sender.offer(TEXT)
    bell.wait()
    assert "refused" in sender.status.trouble.lower()
    sender.close(PATIENCE_S)


@posix
def test_texts_reach_a_serial_port() -> None:
    ours, theirs = os.openpty()
    line = SerialOutlet(os.ttyname(theirs), 1200)
    line.write(TEXT)
    assert select.select([ours], [], [], PATIENCE_S)[0]
    assert os.read(ours, 200) == f"{TEXT}\r\n".encode()
    line.close()
    line.close()
    os.close(ours)
    os.close(theirs)


@posix
def test_names_are_understood() -> None:
    assert isinstance(outlet("positions.txt"), FileOutlet)
    assert isinstance(outlet("walk@1200"), FileOutlet)
    assert isinstance(outlet("/dev/ttyNONE"), SerialOutlet)
    serial = outlet("/dev/ttyNONE@1200")
    assert isinstance(serial, SerialOutlet)
    assert vars(serial)["_baud"] == 1200
    assert isinstance(outlet(" tcp://127.0.0.1:8001 "), TcpOutlet)


@pytest.mark.parametrize("named", ["udp://:4000", "-", "tcp://:1", "tcp://host", "~nobody-of-that-name/x"])
def test_what_texts_cannot_be_written_to_is_refused(named: str) -> None:
    with pytest.raises(UsageError):
        outlet(named)


@pytest.mark.parametrize(("typed", "seconds"), [("10", 10), (" 120 ", 120), ("3600s", 3600)])
def test_an_interval_is_whole_seconds(typed: str, seconds: int) -> None:
    assert interval(typed) == seconds


@pytest.mark.parametrize("typed", ["", "9", "3601", "1e3", "-10", "²0", "ten", "9" * 5000])
def test_another_interval_is_refused(typed: str) -> None:
    with pytest.raises(UsageError):
        interval(typed)

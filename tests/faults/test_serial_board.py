"""Every fault of a serial line with everything on: nothing received is lost, what is wrong is said, it mends by itself.

Of each: the recording holds all that was received until then, byte for byte; each client of the feed has every whole
sentence, and no other; the board says what is wrong and what to do; it goes on by itself; it ends in order.
"""

from __future__ import annotations

import random
import socket
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.faults import sockets
from tests.faults.full_board import MODULE, FullBoard, full_board
from tests.faults.wires import HERE, Listener, Trickle, Wire, bursts, has, one_by_one, whole, with_binary
from tests.live.rig import until
from tests.live.test_serial_refused import LOCKS, another_program
from tests.wire import PtyReceiver, burst, sentence, walk

SEVERAL = bursts(4)
LATER = bursts(6, 1000)
NOISE = random.Random(5).randbytes(3000)
TORN = [burst(n)[: 40 + 61 * n] for n in range(8)]
"""Bursts that end in the middle of a sentence, elsewhere each time."""
DAMAGED = [burst(n).replace(b"0", b"1", 1) for n in range(8)]
ENDLESS = b"$GNTXT," + b"A" * 100_000


def binary_only() -> bytes:
    return b"".join(with_binary([b""] * 30))


FAULTS: dict[str, Callable[[], Iterable[bytes]]] = {
    "noise": lambda: [NOISE, *SEVERAL],
    "torn sentences": lambda: TORN,
    "damaged sentences": lambda: DAMAGED,
    "binary frames between": lambda: with_binary(bursts(12)),
    "binary frames alone": lambda: [binary_only()],
    "a byte at a time": lambda: one_by_one(b"".join(SEVERAL)),
    "a line without end": lambda: [ENDLESS],
    "zeros": lambda: [bytes(5000)],
    "every byte there is": lambda: [bytes(range(256)) * 20],
    "escapes for a terminal": lambda: [b"\x1b[2J\x1b]52;c;UQ==\x07\x1b]0;Q\x07", sentence("GNTXT,01,01,02,\x1b[31mQ")],
    "void sentences": lambda: [burst(n, fix=False) for n in range(12)],
    "the same again and again": lambda: [burst(1)] * 30,
    "time that goes back": lambda: [burst(n) for n in range(20, 0, -1)],
}


def opened(board: FullBoard) -> None:
    """From now on nothing that is sent is lost: opening a port throws away what waits in it."""
    board.shows("listening at", "recording")


@contextmanager
def ready(folder: Path, *arguments: str, module: str = MODULE) -> Iterator[FullBoard]:
    """One that has opened its port."""
    with full_board(folder / "data", *arguments, module=module) as board:
        opened(board)
        yield board


def unheard(board: FullBoard) -> Listener:
    """A client from before anything was received. Not from the very beginning: addresses are tried out first."""
    board.shows("feed 0 clients")
    return Listener(board.port)


def all_is_there(board: FullBoard, sent: bytes, listener: Listener, fault: str = "") -> None:
    """On the disk, and with the client."""
    until(lambda: board.recorded == sent, lambda: (fault, len(board.recorded), len(sent), board.rows[:6]))
    until(lambda: bytes(listener.got) == whole(sent), lambda: (fault, bytes(listener.got[-200:]), whole(sent)[-200:]))


def test_what_a_line_may_send_is_kept_whole_and_handed_on_as_far_as_it_is_right(tmp_path: Path) -> None:
    """One fault after the other on one board, and after each of them a receiver in order."""
    with Wire() as wire, ready(tmp_path, wire.device) as board, unheard(board) as listener:
        wire.send(*bursts(12))
        board.shows("receiving", "feed 1 client")
        board.press("S")
        for number, (fault, pieces) in enumerate(FAULTS.items()):
            wire.send(*pieces())
            all_is_there(board, bytes(wire.sent), listener, fault)
            wire.send(b"\r\n", *bursts(6, 600 * number + 1000))
            board.shows(clock(600 * number + 1005), "receiving", "recording", "feed 1 client")
            all_is_there(board, bytes(wire.sent), listener, fault)
        board.quit()
        assert board.recorded == bytes(wire.sent)
        assert not board.link.is_symlink()


def clock(second: int) -> str:
    """As the board writes the time of that burst."""
    return f"{12 + second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}"


def test_a_flood_of_a_hundred_times_the_rate(tmp_path: Path) -> None:
    """With a client that reads nothing beside the one that does: it is dropped, and costs nobody a sentence."""
    with Wire() as wire, ready(tmp_path, wire.device) as board, unheard(board) as listener:
        with socket.socket() as deaf:
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            deaf.connect((HERE, board.port))
            wire.send(*bursts(3))
            board.shows("receiving", "feed 2 clients")
            with Trickle(wire, 100.0, 100):
                board.shows("feed 1 client")
                board.press("7")
                board.shows("age of the position")
                board.press("0")
            wire.send(*LATER)
            board.shows("12:16:45", "receiving", "recording")
            all_is_there(board, bytes(wire.sent), listener)
        board.quit()


@pytest.fixture
def folder_of_sockets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "sockets"
    folder.mkdir()
    monkeypatch.setenv(sockets.VARIABLE, str(folder))
    return folder


@pytest.mark.parametrize("named", [False, True], ids=["sought", "named"])
def test_pulled_in_the_middle_of_a_sentence_and_found_under_another_name(
    tmp_path: Path, folder_of_sockets: Path, named: bool
) -> None:
    first, second = Wire(), Wire()
    port = sockets.plug(folder_of_sockets, "USB0", first.device)
    arguments = [port] if named else []
    with ready(tmp_path, *arguments, module=sockets.__name__) as board, unheard(board) as listener:
        first.send(*bursts(8), burst(8)[:40])
        board.shows("receiving", "feed 1 client")
        board.press("S")
        until(lambda: board.recorded == bytes(first.sent))
        first.pull()
        sockets.pull(folder_of_sockets, "USB0")
        board.shows(" lost ", "recording", "feed 1 client")
        if named:  # in full once the last position is too old to be shown
            board.shows("is gone", "(unplugged?)", "plug it in again")
        sockets.plug(folder_of_sockets, "USB7", second.device)
        opened(board)
        second.send(*LATER)
        board.shows("receiving", "12:16:45", "averaging", "feed 1 client")
        all_is_there(board, bytes(first.sent + second.sent), listener)
        board.quit()
    second.pull()


def test_pulled_again_and_again(tmp_path: Path, folder_of_sockets: Path) -> None:
    sent, threads = b"", set()
    with full_board(tmp_path / "data", module=sockets.__name__) as board, unheard(board) as listener:
        for number in range(5):
            name = f"USB{number}"
            with Wire() as wire:
                sockets.plug(folder_of_sockets, name, wire.device)
                opened(board)
                sent += wire.send(*bursts(3, 100 * number))
                board.shows("receiving")
                until(has(lambda: board.recorded, sent))
            threads.add(board.threads)
            sockets.pull(folder_of_sockets, name)
            board.shows(" lost ")
        all_is_there(board, sent, listener)
        assert max(threads) - min(threads) <= 2, "at most two that are just ending"
        board.quit()


def test_a_port_that_another_program_has_is_waited_for(tmp_path: Path) -> None:
    with Wire() as wire:
        with another_program(LOCKS, wire.device), full_board(tmp_path / "data", wire.device) as board:
            board.shows("in use by", "close that first", "feed")
            board.quit()
        with ready(tmp_path / "more", wire.device) as board, unheard(board) as listener:
            wire.send(*bursts(4))
            board.shows("receiving")
            all_is_there(board, bytes(wire.sent), listener)
            board.quit()


def test_a_port_that_becomes_free_is_taken(tmp_path: Path) -> None:
    with (
        Wire() as wire,
        another_program(LOCKS, wire.device) as other,
        full_board(tmp_path / "data", wire.device) as board,
    ):
        board.shows("in use by", f"({other.pid})")
        other.communicate()
        opened(board)
        wire.send(*bursts(4))
        board.shows("receiving")
        until(lambda: board.recorded == bytes(wire.sent))
        board.quit()


def test_a_port_without_permission_says_how_to_get_it_and_is_opened_once_there_is(tmp_path: Path) -> None:
    with Wire() as wire:
        Path(wire.device).chmod(0)
        with full_board(tmp_path / "data", wire.device) as board, unheard(board) as listener:
            board.shows("may not open it", "dialout")
            Path(wire.device).chmod(0o600)
            opened(board)
            wire.send(*bursts(4))
            board.shows("receiving")
            all_is_there(board, bytes(wire.sent), listener)
            board.quit()


def test_a_wrong_speed_is_called_that_and_the_right_one_is_taken_at_once(tmp_path: Path) -> None:
    """What came at the wrong one is noise, and recorded as that: it was received."""
    with (
        PtyReceiver(38400, 20.0, walk(20.0)) as receiver,
        full_board(tmp_path / "data", receiver.device, "--baud=4800") as board,
    ):
        board.shows("no NMEA", "4800 baud")
        until(lambda: len(board.recorded) > 2000)
        receiver.baud = 4800
        board.shows("receiving", "recording")
        until(lambda: len(receiver.sent) > 2 and receiver.sent[-2] in board.recorded)
        board.quit()


def test_a_receiver_that_changes_its_speed_is_found_again(tmp_path: Path) -> None:
    with PtyReceiver(9600, 10.0, walk(10.0)) as receiver, full_board(tmp_path / "data", receiver.device) as board:
        with unheard(board) as listener:
            board.shows("9600 baud", "receiving", "feed 1 client")
            board.press("S")
            receiver.baud = 19_200
            until(lambda: b"something" in board.ever_drawn)  # comes, but no NMEA 0183
            board.shows("19200 baud", "receiving", "recording", "feed 1 client", "averaging")
            newest = len(receiver.sent)
            until(lambda: len(receiver.sent) > newest + 20)
            wanted = b"".join(receiver.sent[newest : newest + 20])
            until(lambda: wanted in board.recorded)
            until(lambda: wanted in listener.got)
            assert whole(bytes(listener.got)) == bytes(listener.got)
        board.quit()


def test_a_port_that_only_ever_sends_binary_is_called_that(tmp_path: Path) -> None:
    frames = list(with_binary([b""] * 40))
    with (
        PtyReceiver(9600, 60.0, lambda: iter(frames * 10**4)) as receiver,
        full_board(tmp_path / "data", receiver.device) as board,
    ):
        board.shows("no NMEA 0183")
        board.press("6")
        board.shows("Wire")
        board.quit()

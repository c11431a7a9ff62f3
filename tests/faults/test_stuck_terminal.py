"""A terminal that takes nothing: recording and feeds go on, memory does not grow, the board is right afterwards.

FIXBOARD_STALL_S says how long the slow test's terminal is stuck, in seconds (60 without it); `-s` prints its figures.
"""

from __future__ import annotations

import os
import signal
import termios
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from core.memory import recall
from tests.faults.full_board import FullBoard, full_board
from tests.faults.wires import Listener, Trickle, Wire, bursts, has, longer, whole
from tests.live.rig import until
from tests.wire import burst

HZ = 20.0
MUCH = 60
"""Epochs: three seconds at that rate; a terminal is stuck, and the board with it, within one."""
LONGEST_STALL_S = float(os.environ.get("FIXBOARD_STALL_S", "60"))
STALL_GROWTH = 48 * 1024 * 1024
"""Bytes: what the board keeps of an hour at this rate anyway, and the allocator's slack. Invented, generous."""


@contextmanager
def unread(board: FullBoard) -> Iterator[None]:
    """Nobody reads what is drawn: a window of a machine that hangs, a connection that has gone without a word."""
    board.reading.clear()
    yield
    board.reading.set()


@contextmanager
def held_by_xoff(board: FullBoard) -> Iterator[None]:
    """As by the key that stops a terminal's output."""
    near = os.open(Path(f"/proc/{board.pid}/fd/0").readlink(), os.O_RDWR | os.O_NOCTTY)
    termios.tcflow(near, termios.TCOOFF)
    yield
    termios.tcflow(near, termios.TCOON)
    os.close(near)


STUCK = {"nobody reads it": unread, "stopped by XOFF": held_by_xoff}


@pytest.mark.parametrize("how", STUCK)
def test_recording_and_feeds_go_on_and_the_board_is_right_afterwards(tmp_path: Path, how: str) -> None:
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board, Trickle(wire, HZ) as trickle:
        board.shows("feed 0 clients")
        with Listener(board.port) as listener:
            board.shows("receiving", "recording", "feed 1 client")
            board.press("S")
            with STUCK[how](board):
                drawn = None
                for _ in range(3):
                    until(longer(lambda: wire.sent, MUCH * len(burst(0))))
                    newest = bytes(wire.sent[-200:])
                    until(has(lambda: board.recorded, newest), lambda: board.recorded[-300:])
                    until(has(lambda: listener.got, newest), lambda: bytes(listener.got[-300:]))
                    now = board.drawn_bytes
                    assert drawn in {None, now}, "it was not stuck"
                    drawn = now
                board.press("7")
            board.shows("95 % error", "age of the position", "receiving")
            trickle.end()
            newest = wire.send(*bursts(4, 50_000))
            board.press("0")
            board.shows("01:53:2", "recording", "feed 1 client")
            until(lambda: board.recorded.endswith(newest))
            until(lambda: listener.got.endswith(newest))
            assert bytes(wire.sent).endswith(board.recorded), "without a gap"
            assert whole(bytes(wire.sent)).endswith(bytes(listener.got)), "without a gap"
        board.quit()


@pytest.mark.slow
def test_a_long_stall_costs_no_memory(tmp_path: Path) -> None:
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board, Trickle(wire, 10.0) as trickle:
        board.shows("feed 0 clients")
        with Listener(board.port) as listener:
            board.shows("receiving")
            time.sleep(5.0)
            memory, cpu_s, begun_s = board.memory_bytes, board.cpu_s, time.monotonic()
            with unread(board):
                while (passed_s := time.monotonic() - begun_s) < LONGEST_STALL_S:
                    time.sleep(min(60.0, LONGEST_STALL_S / 4))
                    grown = (board.memory_bytes - memory) / 1024
                    used = (board.cpu_s - cpu_s) / passed_s if passed_s else 0.0
                    print(f"stuck for {passed_s:.0f} s: {grown:.0f} KiB more, {used:.4f} of a processor", flush=True)
                assert board.memory_bytes - memory < STALL_GROWTH
            board.shows("receiving", "feed 1 client")
            trickle.end()
            until(lambda: bytes(wire.sent).endswith(board.recorded[-200:]))
            until(lambda: whole(bytes(wire.sent)).endswith(bytes(listener.got)))
        board.quit()


def test_stopped_and_sent_on_it_goes_on_and_the_terminal_was_the_shell_s_meanwhile(tmp_path: Path) -> None:
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board:
        found = board.modes
        board.shows("feed 0 clients")
        with Trickle(wire, HZ), Listener(board.port) as listener:
            board.shows("receiving", "recording", "feed 1 client")
            ours = board.modes
            assert ours != found
            for _ in range(2):
                board.signal(signal.SIGTSTP)
                until(board.is_stopped)
                assert board.modes == found
                enough = longer(lambda: wire.sent, 2000)
                until(partial(any_of, enough, partial(is_full, wire)))
                board.signal(signal.SIGCONT)
                until(lambda: not board.is_stopped())
                until(lambda: board.modes == ours)
                until(longer(lambda: board.recorded, 5000))
                until(longer(lambda: listener.got, 5000))
                board.press("7")
                board.shows("age of the position", "receiving", "recording", "feed 1 client")
                board.press("0")
                board.shows("Compass", "receiving")
        assert bytes(wire.sent).count(board.recorded) == 1, "without a gap: the system kept what came meanwhile"
        board.quit()


def any_of(*conditions: Callable[[], bool]) -> bool:
    return any(one() for one in conditions)


def is_full(wire: Wire) -> bool:
    """Whether nobody has taken anything from it for a while."""
    before = len(wire.sent)
    time.sleep(0.3)
    return len(wire.sent) == before


Happens = Callable[[FullBoard], None]


def hangs_up(board: FullBoard) -> None:
    board.hang_up()


def is_told_to_end(board: FullBoard) -> None:
    board.signal(signal.SIGTERM)


def is_told_of_a_hang_up(board: FullBoard) -> None:
    board.signal(signal.SIGHUP)


@pytest.mark.parametrize("stuck", [False, True], ids=["drawing", "stuck"])
@pytest.mark.parametrize("nohup", [False, True], ids=["as usual", "hang-ups ignored"])
@pytest.mark.parametrize("happens", [hangs_up, is_told_to_end])
def test_it_ends_and_leaves_its_recording_whatever_its_terminal_does(
    tmp_path: Path, happens: Happens, stuck: bool, nohup: bool
) -> None:
    """Where hang-ups were ignored the board went on for ever, at a full processor, and no key could reach it."""
    with Wire() as wire, full_board(tmp_path / "data", wire.device, nohup=nohup) as board, Trickle(wire, HZ):
        board.shows("receiving", "recording")
        if stuck:
            board.reading.clear()
        until(lambda: len(board.recorded) > 30_000)
        happens(board)
        until(board.has_ended)
        assert os.WIFSIGNALED(board.status or 0)
        assert b"Traceback" not in board.ever_drawn
        kept = board.recorded
        assert bytes(wire.sent).count(kept) == 1
        assert recall(board.folder / "board.toml").recording.startswith(wire.device)


@pytest.mark.parametrize("happens", [is_told_to_end, is_told_of_a_hang_up])
def test_a_board_that_is_killed_leaves_the_terminal_as_it_was(tmp_path: Path, happens: Happens) -> None:
    """It was left without echo, on the second screen, mouse and paste reports on."""
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board, Trickle(wire, HZ):
        found = board.modes
        board.shows("receiving")
        assert board.modes != found
        happens(board)
        until(board.has_ended)
        assert board.modes == found
        until(lambda: b"\x1b[?1049l\x1b[?25h" in board.ever_drawn, lambda: board.ever_drawn[-200:])


def test_a_second_start_after_the_terminal_went_goes_on_with_the_same_folder(tmp_path: Path) -> None:
    """The link to the pseudo-terminal of the first one's feed leads nowhere; trip and averaging go on."""
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board, Trickle(wire, HZ):
        board.shows("receiving")
        until((board.folder / "trip.csv").exists)
        board.hang_up()
        until(board.has_ended)
        assert board.link.is_symlink()
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as again, Trickle(wire, HZ, 100):
        again.shows("receiving", "recording", "feed")
        assert again.link.exists()
        again.quit()
        assert not again.link.is_symlink()

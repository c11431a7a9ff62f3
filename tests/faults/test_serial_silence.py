"""A receiver that says nothing for an hour: by clocks that are passed in here, and in earnest by `-m slow`.

FIXBOARD_SILENCE_S says how many seconds the slow test is silent for (60 without it); with `-s` it prints its figures.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from core.sources.line import Line
from core.sources.ports import Port
from core.sources.serial_source import SerialSource, Wanted
from core.sources.source import SourceState
from tests.faults.full_board import FullBoard, full_board
from tests.faults.wires import Listener, Trickle, Wire, bursts, whole
from tests.live.rig import until

HOUR_S = 3600.0
POLL_S = 0.25
SILENCE_S = float(os.environ.get("FIXBOARD_SILENCE_S", "60"))


class Clock:
    """Stands still but for what a read takes."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


class Quiet:
    """A Line that gives what is put on it, and then takes its time for nothing."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.put = b""
        self.reads = 0
        self.bauds: list[int] = []

    def read(self, timeout_s: float) -> bytes:
        """Nothing, mostly."""
        self.reads += 1
        data, self.put = self.put, b""
        if not data:
            self._clock.now_s += timeout_s
        return data

    def set_baud(self, baud: int) -> None:
        """Noted."""
        self.bauds.append(baud)

    def cancel(self) -> None:
        """Nothing waits."""

    def close(self) -> None:
        """Nothing is held."""


class OnePort:
    """A SerialHost with a port called Q0."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self.opened = 0

    def ports(self) -> list[Port]:
        """The one."""
        return [Port("Q0")]

    def open(self, device: str, baud: int) -> Line:
        """Always the same line."""
        del device, baud
        self.opened += 1
        return self._line

    def other_users(self, device: str) -> list[str]:
        """Nobody."""
        del device
        return []


def test_an_hour_of_silence_costs_a_few_reads_a_second_and_is_said_with_what_to_do() -> None:
    """Neither does it search meanwhile: a line that is silent at one speed is silent at all."""
    clock = Clock()
    line = Quiet(clock)
    host = OnePort(line)
    source = SerialSource(Wanted("Q0"), host, clock)
    line.put = b"".join(bursts(3))
    while source.status().state is not SourceState.RECEIVING:
        source.read(POLL_S)
    begun_s, reads = clock.now_s, line.reads
    while clock.now_s < begun_s + HOUR_S:
        assert source.read(POLL_S) is None
    assert line.reads - reads <= HOUR_S / POLL_S + 1
    assert (host.opened, line.bauds) == (1, [])
    status = source.status()
    assert status.state is SourceState.WAITING
    assert status.detail == "nothing has come for 3600 s: is the receiver switched on?"
    line.put = bursts(1)[0]
    arrival = source.read(POLL_S)
    assert arrival is not None
    assert arrival.data == bursts(1)[0]
    assert source.status().state is SourceState.RECEIVING
    source.close()


def test_a_port_that_never_said_anything_is_asked_for_an_hour_without_a_thread_or_a_byte_more() -> None:
    clock = Clock()
    line = Quiet(clock)
    host = OnePort(line)
    source = SerialSource(Wanted("Q0"), host, clock)
    begun_s = clock.now_s
    while clock.now_s < begun_s + HOUR_S:
        source.read(POLL_S)
    assert line.reads <= HOUR_S / POLL_S + 1
    assert host.opened == 1
    assert "silent" in source.status().detail
    source.close()


@pytest.mark.slow
def test_silence_in_earnest(tmp_path: Path) -> None:
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board:
        wire.send(*bursts(2))
        board.shows("feed 0 clients")
        with Trickle(wire, 1.0, 2) as trickle, Listener(board.port) as listener:
            board.shows("receiving", "recording", "feed 1 client")
            board.press("S")
            time.sleep(10.0)
            trickle.rests.set()
            time.sleep(12.0)
            before = figures(board)
            print("\nbegin of silence:", before, board.rows[0].strip())
            begun_s, told_s = time.monotonic(), 0.0
            while (passed_s := time.monotonic() - begun_s) < SILENCE_S:
                time.sleep(1.0)
                if passed_s - told_s >= 60.0:
                    told_s = passed_s
                    print(f"after {passed_s:.0f} s:", figures(board), "|", board.rows[0].strip(), flush=True)
            after = figures(board)
            took_s = time.monotonic() - begun_s
            print(f"in {took_s:.0f} s of silence: {(after[0] - before[0]) / took_s:.4f} of a processor,", end=" ")
            print(f"{(after[1] - before[1]) / 1024:.0f} KiB more memory, {(after[2] - before[2]) / took_s:.1f} reads/s")
            print(board.text)
            assert "nothing has come for" in board.text
            trickle.rests.clear()
            board.shows("receiving")
            trickle.end()
            sent = bytes(wire.sent)
            until(lambda: sent.endswith(bytes(listener.got[-200:])))
            until(lambda: sent.endswith(board.recorded[-200:]))
            assert whole(sent).endswith(bytes(listener.got))
            board.quit()


def figures(board: FullBoard) -> tuple[float, int, int, int]:
    """Seconds of processor, bytes of memory, calls that read, threads."""
    return board.cpu_s, board.memory_bytes, board.reads, board.threads

"""Standard input as a source, over real pipes; and waiting for the first fix of any source, by a scripted one."""

from __future__ import annotations

import os
import select
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, NamedTuple

import pytest

from core.errors import InputError
from core.model import FixModel
from core.sources.pipe import POLL_S, Pipe, first_fix, is_file
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from tests.build import gga, lines, rmc

NOON_S = 12 * 3600.0
FIX = lines(rmc(NOON_S), gga(NOON_S))
NO_FIX = lines(rmc(NOON_S - 1.0, status="V", more="N"), gga(NOON_S - 1.0, "0"))
NO_WAIT_S = 0.0


class Ends(NamedTuple):
    """A pipe: what the program reads, and the other side."""

    read: BinaryIO
    write: BinaryIO


@pytest.fixture
def ends() -> Iterator[Ends]:
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb", buffering=0) as read, os.fdopen(writing, "wb", buffering=0) as write:
        yield Ends(read, write)


class Room:
    """A clock that goes when it is told to."""

    def __init__(self) -> None:
        self.at_s = 100.0

    def __call__(self) -> float:
        return self.at_s


def test_what_comes_is_handed_on_with_its_time_until_the_other_side_closes(ends: Ends) -> None:
    room = Room()
    source = Pipe(ends.read, room)
    assert source.read(NO_WAIT_S) is None
    assert source.status() == SourceStatus(SourceKind.LIVE, "standard input", SourceState.WAITING)
    ends.write.write(FIX)
    room.at_s = 102.5
    assert source.read(NO_WAIT_S) == Arrival(FIX, 102.5)
    assert source.now_s() == 102.5
    status = source.status()
    assert (status.state, status.elapsed_s) == (SourceState.RECEIVING, 2.5)
    ends.write.close()
    assert source.read(NO_WAIT_S) is None
    assert source.status().state is SourceState.ENDED
    assert source.status().detail == "the other side has closed the pipe"


def test_nothing_is_read_of_a_pipe_that_was_closed_by_us(ends: Ends) -> None:
    source = Pipe(ends.read, Room())
    ends.write.write(FIX)
    source.close()
    source.close()
    assert source.read(NO_WAIT_S) is None
    assert os.read(ends.read.fileno(), 10) == FIX[:10]


def test_where_a_pipe_cannot_be_waited_for_the_read_itself_waits(ends: Ends, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Windows select knows sockets alone (Python's documentation of `select`)."""

    def refuses(*_: object) -> None:
        raise OSError("not a socket")

    source = Pipe(ends.read, Room())
    ends.write.write(FIX)
    with monkeypatch.context() as windows:
        windows.setattr(select, "select", refuses)
        windows.setattr(os, "name", "nt")
        found = source.read(NO_WAIT_S)
    assert found == Arrival(FIX, 100.0)


def test_one_that_is_open_for_writing_alone_is_refused_in_words() -> None:
    """As the shell's `0>/dev/null` makes it."""
    with Path(os.devnull).open("wb", buffering=0) as backwards, pytest.raises(InputError) as refused:
        Pipe(backwards, Room()).read(NO_WAIT_S)
    assert str(refused.value).startswith("standard input cannot be read (")


def test_a_file_that_can_be_gone_back_in_is_told_from_a_pipe(ends: Ends, tmp_path: Path) -> None:
    path = tmp_path / "kept.nmea"
    path.write_bytes(FIX)
    with path.open("rb") as stream:
        assert is_file(stream)
    assert not is_file(ends.read)


class Script:
    """A source that plays what it is told, a step a read: bytes, or None where nothing comes in time."""

    def __init__(self, *steps: bytes | None, step_s: float = 0.1) -> None:
        self._steps = [*steps]
        self._step_s = step_s
        self._now_s = 0.0
        self.asked_s: list[float] = []
        self.reads_left = 100

    def read(self, timeout_s: float) -> Arrival | None:
        """The next step; who asks a hundred times for nothing would ask for ever."""
        self.reads_left -= 1
        assert self.reads_left > 0
        self.asked_s.append(timeout_s)
        self._now_s += self._step_s
        data = self._steps.pop(0) if self._steps else None
        return Arrival(data, self._now_s) if data else None

    def status(self) -> SourceStatus:
        """Ended with its last step."""
        state = SourceState.RECEIVING if self._steps else SourceState.ENDED
        return SourceStatus(SourceKind.LIVE, "script", state)

    def now_s(self) -> float:
        """As far as it has been read."""
        return self._now_s

    def close(self) -> None:
        """Nothing to let go of."""


FAR_S = 1000.0


def test_the_first_fix_is_given_with_all_of_its_epoch() -> None:
    """The RMC alone would do for a position; its height comes after it."""
    later = lines(rmc(NOON_S + 1.0), gga(NOON_S + 1.0))
    source = Script(NO_FIX, lines(rmc(NOON_S)), lines(gga(NOON_S)), later, later)
    found = first_fix(source, FixModel(), FAR_S)
    assert found is not None
    assert (found.fix.utc and found.fix.utc.time_ms, found.fix.altitude_m) == (int(NOON_S * 1000), 12.5)


def test_of_a_thousand_epochs_that_come_at_once_the_first_is_given() -> None:
    """And what came after it is not read at all: it would be newer than what is shown."""
    many = b"".join(lines(rmc(NOON_S + n), gga(NOON_S + n)) for n in range(1000))
    found = first_fix(Script(NO_FIX + many, b"never read"), FixModel(), FAR_S)
    assert found is not None
    assert found.fix.utc is not None
    assert found.fix.utc.time_ms == int(NOON_S * 1000)


def test_a_pause_on_the_line_shows_what_has_come() -> None:
    source = Script(lines(rmc(NOON_S)), None, b"never read")
    found = first_fix(source, FixModel(), FAR_S)
    assert found is not None
    assert found.fix.is_satellite_fix
    assert len(source.asked_s) == 2


def test_what_the_end_leaves_open_counts() -> None:
    """A pipe of one epoch: nothing comes after it that would end it."""
    found = first_fix(Script(lines(rmc(NOON_S))), FixModel(), FAR_S)
    assert found is not None
    assert found.fix.position == (10.5, -20.25)


@pytest.mark.parametrize("last", [NO_FIX, b"no sentence at all\r\n", None], ids=["no fix", "noise", "nothing"])
def test_a_source_that_ends_without_a_fix_gives_none(last: bytes | None) -> None:
    assert first_fix(Script(NO_FIX, last), FixModel(), FAR_S) is None


def test_it_is_waited_no_longer_than_was_said() -> None:
    """The last read asks for what is left of the time, not for its usual quarter of a second."""
    source = Script(*[NO_FIX] * 50, step_s=0.2)
    assert first_fix(source, FixModel(), 1.1) is None
    assert len(source.asked_s) == 6
    assert source.asked_s[0] == POLL_S
    assert source.asked_s[-1] == pytest.approx(0.1)


def test_where_the_time_is_over_already_nothing_is_read() -> None:
    source = Script(FIX)
    assert first_fix(source, FixModel(), 0.0) is None
    assert not source.asked_s

"""A recording played at a pace, on a clock that the test turns by hand: nothing here waits for anything."""

from __future__ import annotations

import gzip
import math
import threading
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.sources.player import FASTEST, LONGEST_WAIT_S, SLOWEST, Player
from core.sources.recording import open_recording
from core.sources.source import Arrival, SourceKind, SourceState
from tests.build import gga, lines, rmc

START_S = 1000.0
"""The room's clock need not begin at zero."""


class Clock:
    """Seconds of the room, turned by hand."""

    def __init__(self) -> None:
        self.now = START_S
        self.asked = threading.Event()

    def __call__(self) -> float:
        self.asked.set()
        return self.now


class Room:
    """A player and its clock."""

    def __init__(self, path: Path, pace: float, warning: str = "") -> None:
        self.clock = Clock()
        self.player = Player(open_recording(path), pace, self.clock, warning)

    def read(self) -> float | None:
        """When the next piece is at, None if its time has not come."""
        found = self.player.read(0.0)
        return None if found is None else found.at_s

    def after(self, seconds: float) -> float | None:
        """Let time pass, then read."""
        self.clock.now += seconds
        return self.read()

    @property
    def now(self) -> float:
        return self.player.now_s()


def recording(path: Path, *seconds: float) -> Path:
    path.write_bytes(b"".join(lines(rmc(36_000 + s), gga(36_000 + s)) for s in seconds))
    return path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return recording(tmp_path / "walk.nmea", 0, 1, 2, 3)


def room(path: Path, pace: float = 1.0) -> Iterator[Room]:
    made = Room(path, pace)
    yield made
    made.player.close()


@pytest.fixture
def one(file: Path) -> Iterator[Room]:
    yield from room(file)


# Paces


@pytest.mark.parametrize("pace", [0.1, 0.5, 1.0, 20.0, 100.0])
def test_each_piece_comes_when_its_time_has_come_and_not_before(file: Path, pace: float) -> None:
    it = Room(file, pace)
    assert it.read() == 0.0
    for n in (1.0, 2.0, 3.0):
        assert it.read() is None
        assert it.after(0.99 / pace) is None
        assert it.now == pytest.approx(n - 0.01)
        assert it.after(0.011 / pace) == n
        assert it.now == n
    it.player.close()


def test_as_fast_as_it_goes_needs_no_time_at_all(file: Path) -> None:
    it = Room(file, math.inf)
    assert [it.read() for _ in range(4)] == [0.0, 1.0, 2.0, 3.0]
    assert it.read() is None
    assert it.player.status().state is SourceState.ENDED
    assert it.now == 3.0


def test_the_bytes_are_those_of_the_file(file: Path) -> None:
    it = Room(file, math.inf)
    arrivals = [it.player.read(0.0) for _ in range(4)]
    assert all(isinstance(arrival, Arrival) for arrival in arrivals)
    assert b"".join(arrival.data for arrival in arrivals if arrival) == file.read_bytes()
    it.player.close()


def test_a_late_reader_gets_one_piece_a_read_and_the_clock_follows_them(one: Room) -> None:
    assert [one.read(), one.after(50.0), one.now, one.read()] == [0.0, 1.0, 1.0, None]
    assert [one.after(1.0), one.after(1.0), one.now] == [2.0, 3.0, 3.0]


# The clock


def test_the_clock_never_runs_beyond_the_next_piece(one: Room) -> None:
    assert one.read() == 0.0
    assert one.read() is None  # now the next is known
    one.clock.now += 500.0
    assert one.now == 1.0


def test_between_two_reads_the_clock_stands(one: Room) -> None:
    assert one.read() == 0.0
    one.clock.now += 5.0
    assert one.now == 0.0
    seen = [one.now]
    for _ in range(30):
        one.after(0.2)
        seen.append(one.now)
    assert all(a <= b for a, b in pairwise(seen))
    assert seen[-1] == 3.0


def test_a_new_pace_is_taken_up_where_the_clock_stands(one: Room) -> None:
    one.read()
    one.read()
    one.clock.now += 0.5
    for pace, passed, now in ((10.0, 0.02, 0.7), (0.1, 1.0, 0.8), (100.0, 0.001, 0.9), (1.0, 0.05, 0.95)):
        before = one.now
        one.player.set_pace(pace)
        assert one.now == pytest.approx(before)
        one.clock.now += passed
        assert one.now == pytest.approx(now)
    assert one.after(0.051) == 1.0


def test_from_infinity_and_back(one: Room) -> None:
    assert one.read() == 0.0
    one.player.set_pace(math.inf)
    assert one.read() == 1.0
    one.player.set_pace(1.0)
    assert one.now == 1.0
    assert one.read() is None
    assert one.after(1.001) == 2.0


@pytest.mark.parametrize(
    ("asked", "given"), [(0.0, SLOWEST), (-5.0, SLOWEST), (1e9, FASTEST), (3.0, 3.0), (math.inf, math.inf)]
)
def test_paces_are_limited(one: Room, asked: float, given: float) -> None:
    one.player.set_pace(asked)
    assert one.player.status().pace == given


def test_paused_the_clock_stands_and_nothing_comes(one: Room) -> None:
    one.read()
    one.read()
    one.clock.now += 0.25
    one.player.toggle_pause()
    assert one.player.status().state is SourceState.PAUSED
    assert one.after(3600.0) is None
    assert one.now == pytest.approx(0.25)
    one.player.toggle_pause()
    assert one.player.status().state is SourceState.PLAYING
    assert one.now == pytest.approx(0.25)
    assert one.after(0.74) is None
    assert one.after(0.02) == 1.0


def test_a_pace_set_while_paused_counts_from_the_resumption(one: Room) -> None:
    one.read()
    one.read()
    one.player.toggle_pause()
    one.player.set_pace(10.0)
    one.clock.now += 99.0
    assert one.now == 0.0
    one.player.toggle_pause()
    assert one.after(0.09) is None
    assert one.after(0.011) == 1.0


def test_paused_before_anything_was_read(one: Room) -> None:
    one.player.toggle_pause()
    assert one.after(10.0) is None
    one.player.toggle_pause()
    assert one.read() == 0.0


MOVES = st.lists(
    st.one_of(
        st.just("read"),
        st.just("pause"),
        st.floats(0, 3).map(lambda s: ("pass", s)),
        st.sampled_from([0.1, 0.5, 1.0, 7.0, 100.0, math.inf]).map(lambda pace: ("pace", pace)),
    ),
    max_size=60,
)


@given(MOVES)
def test_whatever_is_done_the_clock_never_goes_back_and_no_piece_is_lost_or_early(
    tmp_path_factory: pytest.TempPathFactory, moves: list[str | tuple[str, float]]
) -> None:
    it = Room(recording(tmp_path_factory.getbasetemp() / "moves.nmea", 0, 1, 2, 30, 31, 600, 601), 1.0)
    seen, arrived = [it.now], []
    for move in moves:
        if move == "read":
            found = it.read()
            arrived += [] if found is None else [found]
        elif move == "pause":
            it.player.toggle_pause()
        elif isinstance(move, tuple) and move[0] == "pass":
            it.clock.now += move[1]
        elif isinstance(move, tuple):
            it.player.set_pace(move[1])
        seen.append(it.now)
    it.player.close()
    assert all(a <= b + 1e-9 for a, b in pairwise(seen))
    assert arrived == [0.0, 1.0, 2.0, 30.0, 31.0, 600.0, 601.0][: len(arrived)]
    assert seen[-1] <= 601.0


# Gaps


@pytest.mark.parametrize("pace", [0.5, 1.0, 10.0])
def test_a_long_gap_is_cut_to_ten_seconds_of_the_room_and_said(tmp_path: Path, pace: float) -> None:
    it = Room(recording(tmp_path / "gap.nmea", 0, 3600, 3601), pace)
    assert it.read() == 0.0
    assert it.read() is None
    assert it.player.status().detail == "nothing recorded for 3600 s: cut short"
    assert it.now == pytest.approx(3600.0 - LONGEST_WAIT_S * pace)
    assert it.after(LONGEST_WAIT_S - 0.1) is None
    assert it.after(0.2) == 3600.0
    assert it.player.status().detail == ""
    it.player.close()


def test_a_gap_of_ten_seconds_is_lived_through(tmp_path: Path) -> None:
    it = Room(recording(tmp_path / "gap.nmea", 0, 10), 1.0)
    it.read()
    assert it.after(5.0) is None
    assert it.player.status().detail == ""
    assert it.after(4.9) is None
    assert it.after(10.0) == 10.0
    it.player.close()


def test_a_slower_pace_within_a_gap_does_not_stretch_it_beyond_ten_seconds(tmp_path: Path) -> None:
    it = Room(recording(tmp_path / "gap.nmea", 0, 900), 100.0)
    assert it.read() == 0.0
    assert it.after(1.0) is None
    it.player.set_pace(1.0)
    assert "cut short" in it.player.status().detail
    assert it.after(LONGEST_WAIT_S + 0.01) == 900.0
    it.player.close()


# Ends


def test_at_the_end_the_clock_stands(one: Room) -> None:
    assert [one.read(), *(one.after(1.01) for _ in range(4))] == [0.0, 1.0, 2.0, 3.0, None]
    assert one.player.status().state is SourceState.ENDED
    assert one.player.status().fraction == 1.0
    assert one.after(100.0) is None
    assert one.now == 3.0
    one.player.toggle_pause()
    assert one.player.status().state is SourceState.ENDED


def test_a_damaged_file_plays_up_to_the_damage_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "cut.nmea.gz"
    whole = b"".join(lines(rmc(s), gga(s)) for s in range(60_000, 64_000))
    path.write_bytes(gzip.compress(whole)[:-2000])
    it = Room(path, math.inf)
    arrived = b""
    while arrival := it.player.read(0.0):
        arrived += arrival.data
    status = it.player.status()
    assert status.state is SourceState.FAILED
    assert "cut.nmea.gz cannot be read beyond this point" in status.detail
    assert whole.startswith(arrived)
    assert len(arrived) > 100_000
    assert it.read() is None
    it.player.close()


def test_an_empty_file_ends_at_once(tmp_path: Path) -> None:
    (tmp_path / "empty").write_bytes(b"")
    it = Room(tmp_path / "empty", 1.0)
    assert it.read() is None
    assert it.player.status().state is SourceState.ENDED
    assert it.now == 0.0


def test_what_the_status_says(file: Path) -> None:
    it = Room(file, 2.0, "no checksums")
    it.read()
    status = it.player.status()
    assert (status.kind, status.name, status.pace) == (SourceKind.REPLAY, "walk.nmea", 2.0)
    assert (status.state, status.elapsed_s, status.warning) == (SourceState.PLAYING, 0.0, "no checksums")
    assert status.fraction is not None
    it.player.close()


def test_closed_it_gives_nothing_more_and_may_be_closed_again(one: Room) -> None:
    one.read()
    one.player.close()
    one.player.close()
    assert one.after(10.0) is None
    assert one.player.status().state is SourceState.ENDED
    assert one.player.status().fraction == 0.25


def test_closing_ends_a_read_under_way(one: Room) -> None:
    one.read()
    found: list[Arrival | None] = []
    one.clock.asked.clear()
    reader = threading.Thread(target=lambda: found.append(one.player.read(60.0)))
    reader.start()
    # Asked for the time, the reader holds the player's lock and gives it back by waiting: then close comes in.
    assert one.clock.asked.wait(30.0)
    one.player.close()
    reader.join(30.0)
    assert not reader.is_alive()
    assert found == [None]


def test_a_pace_set_by_another_thread_ends_a_long_wait(tmp_path: Path) -> None:
    it = Room(recording(tmp_path / "slow.nmea", 0, 5), 0.1)
    it.read()
    found: list[Arrival | None] = []

    def read() -> None:
        while not found:
            arrival = it.player.read(60.0)
            found.extend([arrival] if arrival else [])

    it.clock.asked.clear()
    reader = threading.Thread(target=read)
    reader.start()
    assert it.clock.asked.wait(30.0)
    it.player.set_pace(math.inf)
    reader.join(30.0)
    assert not reader.is_alive()
    assert found[0] is not None
    assert found[0].at_s == 5.0
    it.player.close()

"""The thread that runs a source: news are coalesced, the newest is never lost, and faults are said, not raised."""

from __future__ import annotations

import math
import queue
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from core.fix import Position
from core.model import FixModel, Snapshot
from core.sources.feed import Feed
from core.sources.player import Player
from core.sources.recording import open_recording
from core.sources.source import Arrival, SourceKind, SourceState, SourceStatus
from tests.build import LATITUDE, LONGITUDE, gga, lines, rmc

PATIENCE_S = 30.0
"""How long a test waits for what must come: far more than it takes, so that a slow machine does not fail it."""


class Script:
    """A source that does what the test tells it, one step a read."""

    def __init__(self, kind: SourceKind = SourceKind.LIVE) -> None:
        self.steps: queue.Queue[Callable[[], Arrival | None]] = queue.Queue()
        self.now = SourceStatus(kind, "script", SourceState.PLAYING)
        self.closed = threading.Event()
        self.quiet_reads = threading.Semaphore(0)

    def read(self, timeout_s: float) -> Arrival | None:
        try:
            step = self.steps.get(timeout=min(timeout_s, 0.01))
        except queue.Empty:
            self.quiet_reads.release()
            return None
        return step()

    def status(self) -> SourceStatus:
        return self.now

    def now_s(self) -> float:
        return 0.0

    def close(self) -> None:
        self.closed.set()

    # What the test calls

    def deliver(self, data: bytes, at_s: float = 0.0) -> None:
        self.steps.put(lambda: Arrival(data, at_s))

    def turn(self, **changes: object) -> None:
        """From this read on the status is another."""

        def step() -> None:
            self.now = replace(self.now, **changes)  # type: ignore[arg-type]  # checked by dataclasses.replace

        self.steps.put(step)

    def fail(self, error: Exception) -> None:
        def step() -> None:
            raise error

        self.steps.put(step)

    def settle(self) -> None:
        """Until all steps were taken and two reads after them gave nothing."""
        while not self.steps.empty() or self.quiet_reads.acquire(blocking=False):
            self.closed.wait(0.001)
        for _ in range(2):
            assert self.quiet_reads.acquire(timeout=PATIENCE_S)


class Listener:
    """Counts news; takes the newest when told to."""

    def __init__(self) -> None:
        self.count = 0
        self.told = threading.Event()

    def __call__(self) -> None:
        self.count += 1
        self.told.set()

    def wait(self) -> None:
        assert self.told.wait(PATIENCE_S)
        self.told.clear()


class Bench:
    """A feed with its script and its listener."""

    def __init__(self, kind: SourceKind = SourceKind.LIVE) -> None:
        self.script, self.news = Script(kind), Listener()
        self.feed = Feed(self.script, FixModel(), self.news)

    def newest(self) -> Snapshot:
        self.script.settle()
        self.feed.take()  # makes room for what came while older news were untaken
        self.script.settle()
        return self.feed.take()


@pytest.fixture(autouse=True)
def raised() -> Iterator[list[threading.ExceptHookArgs]]:
    """What was raised into any thread: must be nothing."""
    found: list[threading.ExceptHookArgs] = []
    before, threading.excepthook = threading.excepthook, found.append
    yield found
    threading.excepthook = before
    assert found == []


@pytest.fixture
def bench() -> Iterator[Bench]:
    made = Bench()
    made.feed.start()
    yield made
    made.feed.stop()


def epoch(second: int) -> bytes:
    return lines(rmc(second), gga(second))


def second_of(snapshot: Snapshot) -> int:
    assert snapshot.fix.utc is not None
    return snapshot.fix.utc.time_ms // 1000


def test_before_anything_came_the_snapshot_says_nothing(bench: Bench) -> None:
    assert bench.newest() == Snapshot()
    assert bench.news.count == 0


def test_news_are_told_once_until_they_are_taken(bench: Bench) -> None:
    for second in range(50):
        bench.script.deliver(epoch(second), float(second))
    bench.script.settle()
    assert bench.news.count == 1


def test_the_newest_is_never_lost_however_late_one_takes(bench: Bench) -> None:
    for second in range(50):
        bench.script.deliver(epoch(second), float(second))
    bench.news.wait()
    bench.script.settle()
    bench.feed.take()
    bench.news.wait()  # what came after the first news is told without anything new coming
    found = bench.feed.take()
    assert second_of(found) == 49
    assert found.fix.position == Position(LATITUDE, LONGITUDE)
    bench.script.settle()
    assert bench.news.count == 2


def test_each_epoch_is_told_to_a_quick_listener(bench: Bench) -> None:
    seen = []
    for second in range(5):
        bench.script.deliver(epoch(second), float(second))
        bench.news.wait()
        seen.append(second_of(bench.feed.take()))
        bench.script.settle()
    assert seen == [0, 1, 2, 3, 4]


def test_half_an_epoch_is_shown_when_the_line_falls_quiet(bench: Bench) -> None:
    bench.script.deliver(lines(rmc(7)), 1.0)
    bench.news.wait()
    found = bench.newest()
    assert second_of(found) == 7
    assert found.at_s == 1.0
    assert found.counts.verified == 1


def test_nothing_new_is_no_news(bench: Bench) -> None:
    bench.script.deliver(epoch(1))
    bench.newest()
    count = bench.news.count
    for _ in range(5):
        bench.script.settle()
    assert bench.news.count == count


@pytest.mark.parametrize(
    "change", [{"state": SourceState.PAUSED}, {"detail": "a gap"}, {"pace": 5.0}, {"name": "another"}], ids=str
)
def test_a_change_of_the_source_is_news(bench: Bench, change: dict[str, object]) -> None:
    bench.script.settle()
    bench.script.turn(**change)
    bench.news.wait()
    bench.script.turn(elapsed_s=5.0, fraction=0.5)  # what changes all the time is not
    bench.newest()
    assert bench.news.count == 1


def test_a_change_of_the_source_while_news_are_untaken_is_told_after_the_taking(bench: Bench) -> None:
    bench.script.deliver(epoch(1))
    bench.news.wait()
    bench.script.turn(state=SourceState.FAILED, detail="unplugged")
    bench.script.settle()
    assert bench.news.count == 1
    bench.feed.take()
    bench.news.wait()
    assert bench.news.count == 2
    assert bench.feed.status().detail == "unplugged"


def test_at_the_end_what_is_left_in_the_buffers_counts(bench: Bench) -> None:
    bench.script.deliver(epoch(1) + lines(rmc(2)).rstrip())
    bench.script.turn(state=SourceState.ENDED)
    found = bench.newest()
    assert second_of(found) == 2
    assert found.counts.verified == 3
    assert found.counts.epochs == 2


def test_it_goes_on_when_a_source_comes_back_after_its_end(bench: Bench) -> None:
    bench.script.deliver(epoch(1))
    bench.script.turn(state=SourceState.ENDED)
    bench.script.turn(state=SourceState.PLAYING)
    bench.script.deliver(epoch(5), 5.0)
    assert second_of(bench.newest()) == 5


def test_damage_is_counted_not_raised(bench: Bench) -> None:
    bench.script.deliver(b"\x00\xff$GP$$$*\r\n$GNRMC,1*00\r\n" + bytes(range(256)) * 50 + b"\r\n")
    bench.script.deliver(epoch(3))
    found = bench.newest()
    assert second_of(found) == 3
    assert sum(found.counts.rejected.values()) >= 1


@pytest.mark.parametrize("error", [OSError(5, "unplugged"), ValueError("odd"), RuntimeError("worse")])
def test_a_fault_in_a_source_is_said_and_the_source_let_go(bench: Bench, error: Exception) -> None:
    bench.script.deliver(epoch(4))
    bench.newest()
    bench.news.told.clear()
    bench.script.fail(error)
    bench.script.fail(error)  # again when it is let go
    bench.news.wait()
    assert bench.script.closed.wait(PATIENCE_S)
    status = bench.feed.status()
    assert status.state is SourceState.FAILED
    assert str(error) in status.detail
    assert second_of(bench.feed.take()) == 4


def test_everything_that_arrives_is_handed_on_to_the_tap(bench: Bench) -> None:
    heard: list[Arrival] = []
    bench.script.deliver(epoch(1), 1.0)
    bench.newest()
    bench.feed.tap = heard.append
    bench.script.deliver(epoch(2), 2.0)
    bench.newest()
    bench.feed.tap = None
    bench.script.deliver(epoch(3), 3.0)
    assert second_of(bench.newest()) == 3
    assert heard == [Arrival(epoch(2), 2.0)]


def test_stopping_closes_the_source_and_ends_the_thread() -> None:
    it = Bench()
    it.feed.start()
    it.script.deliver(epoch(1))
    it.newest()
    it.feed.stop()
    assert it.script.closed.is_set()
    assert [thread for thread in threading.enumerate() if thread.name == "feed"] == []
    count = it.news.count
    it.script.deliver(epoch(2))
    it.feed.stop()
    assert it.news.count == count


def test_one_that_was_never_started_can_be_stopped() -> None:
    it = Bench()
    it.feed.stop()
    assert it.script.closed.is_set()


# With a real recording


def test_a_replay_as_fast_as_it_goes_ends_with_its_last_epoch(tmp_path: Path) -> None:
    path = tmp_path / "walk.nmea"
    path.write_bytes(b"".join(epoch(second) for second in range(200)))
    news, seen = Listener(), []
    player = Player(open_recording(path), math.inf, lambda: 0.0)
    feed = Feed(player, FixModel(), news)
    feed.start()
    while True:
        news.wait()
        status = feed.status()  # before the taking: what it says is then in the snapshot
        seen.append(feed.take())
        if status.state is SourceState.ENDED and second_of(seen[-1]) == 199:
            break
    feed.stop()
    assert seen[-1].counts.epochs == 200
    assert all(a.at_s <= b.at_s for a, b in pairwise(seen))
    assert all(a.counts.epochs <= b.counts.epochs for a, b in pairwise(seen))


def test_a_damaged_replay_is_said_and_raises_nothing(tmp_path: Path) -> None:
    (tmp_path / "bad.gz").write_bytes(b"\x1f\x8b" + b"\xff" * 100)
    news = Listener()
    feed = Feed(Player(open_recording(tmp_path / "bad.gz"), 1.0, lambda: 0.0), FixModel(), news)
    feed.start()
    news.wait()
    assert feed.status().state is SourceState.FAILED
    assert "is the file damaged?" in feed.status().detail
    feed.stop()

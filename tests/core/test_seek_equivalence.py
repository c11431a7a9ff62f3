"""The state after a seek is the one that playing there makes: every field, on real and bundled recordings.

The oracle knows nothing of seeks: a model of its own is fed the pieces from the start.
"""

from __future__ import annotations

import math
import random
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

import core.replay_survey
import core.seeking
from core.model import FixModel, Snapshot
from core.seeking import CUMULATIVE, SHORTER, USERS, Seeker
from core.sources.feed import Feed
from core.sources.player import Player
from core.sources.source import SourceState
from tests.build import gga, gsv, lines, rmc, xor_of
from tests.recordings import FOLDER, needs_recordings
from tui.opening import Opening

REPLAYS = sorted((Path(__file__).parents[2] / "replays").glob("*.nmea.gz"))
RECORDINGS = sorted(path for path in FOLDER.glob("*") if path.suffix in {".nmea", ".bin"}) if FOLDER.is_dir() else []
SEEKS = 6


class Bench:
    """A feed without its thread, at as fast as it goes: the test calls what the thread would."""

    def __init__(self, path: Path, *, surveyed: bool = True) -> None:
        self.path = path
        self.feed = Opening(path, pace=math.inf).feed(lambda: None)
        assert isinstance(self.feed.source, Player)
        self.player = self.feed.source
        self.feed._prepare()
        assert self.feed._seeker is not None
        self.seeker: Seeker = self.feed._seeker
        again = self.player.recording.again()
        assert again is not None
        if surveyed:
            self.seeker.surveyor.run(again)
        else:
            self.player.index.build(again, lambda: False)
            self.seeker._has_begun = True  # no survey by itself
            again.close()

    def seek(self, at_s: float) -> Snapshot:
        self.player.seek(at_s)
        return self.arrive()

    def step(self, epochs: int) -> Snapshot:
        self.player.step(epochs)
        return self.arrive()

    def arrive(self) -> Snapshot:
        assert self.feed._seek()
        return self.feed.take()

    def play(self, pieces: int) -> Snapshot:
        for _ in range(pieces):
            arrival = self.player.read(0.0)
            if arrival:
                self.feed._take_in(arrival)
        return self.model.snapshot()

    @property
    def model(self) -> FixModel:
        assert isinstance(self.feed._model, FixModel)
        return self.feed._model


def frozen(snapshot: Snapshot) -> dict[str, Any]:
    """All of it, with copies of what is shared and grows."""
    found = {field.name: getattr(snapshot, field.name) for field in fields(snapshot)}
    trip, memory = snapshot.trip, snapshot.sky_history.memory
    found["trip"] = (list(trip.track.points[: trip.track.count]), *trip[1:])
    if memory is not None:
        sky = memory.tracks(), memory.signal(), memory.signal_together(), memory.obstruction()
        found["sky_history"] = (snapshot.sky_history.epochs, *sky)
    return found


def played(path: Path, moments: list[float]) -> dict[float, dict[str, Any]]:
    """By plain reading, once from the start: the state at each moment."""
    feed: Feed = Opening(path).feed(lambda: None)
    model, found = feed._model, {}
    assert isinstance(feed.source, Player)
    waiting, at_s = sorted(moments), None
    for piece in feed.source.recording.pieces():
        while at_s is not None and waiting and piece.at_s > waiting[0]:
            found[waiting.pop(0)] = frozen(model.snapshot())
        at_s = piece.at_s
        model.feed(piece.data, piece.at_s)
    found |= {moment: frozen(model.snapshot()) for moment in waiting}
    return found


def differing(found: dict[str, Any], wanted: dict[str, Any]) -> list[str]:
    return [name for name in wanted if found[name] != wanted[name]]


def moments_of(path: Path, count: int = SEEKS) -> list[float]:
    bench = Bench(path, surveyed=False)
    end_s = bench.player.index.duration_s or 0.0
    dice = random.Random(path.name)
    return [*(dice.uniform(0.001, end_s) for _ in range(count)), end_s * 1.5 + 1.0]


def check(path: Path) -> None:
    moments = moments_of(path)
    wanted = played(path, moments)
    bench, dice = Bench(path), random.Random(path.name)
    dice.shuffle(moments)
    for moment in moments:
        assert differing(frozen(bench.seek(moment)), wanted[moment]) == [], moment
        bench.play(dice.randrange(30))


@pytest.mark.parametrize("path", REPLAYS, ids=lambda path: path.name)
def test_seeks_in_a_bundled_replay_equal_playing(path: Path) -> None:
    check(path)


@needs_recordings
@pytest.mark.parametrize("path", RECORDINGS, ids=lambda path: path.name)
def test_seeks_in_a_real_recording_equal_playing(path: Path) -> None:
    check(path)


def test_the_replays_are_there() -> None:
    assert len(REPLAYS) > 5


def test_it_does_not_matter_how_few_checkpoints_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    path = next(one for one in REPLAYS if one.name.startswith("ridge"))
    monkeypatch.setattr(core.replay_survey, "MOST_BYTES", 150_000)
    bench = Bench(path)
    assert 1 < len(bench.seeker.surveyor._checkpoints) < 7
    moments = moments_of(path, 5)
    wanted = played(path, moments)
    assert all(differing(frozen(bench.seek(one)), wanted[one]) == [] for one in moments)


def test_playing_on_after_a_seek_goes_on_as_playing_would() -> None:
    path = REPLAYS[0]
    bench = Bench(path)
    bench.seek(400.5)
    found = frozen(bench.play(100))
    wanted = played(path, [found["at_s"]])
    assert differing(found, wanted[found["at_s"]]) == []


# Before the survey has come


def far_off(monkeypatch: pytest.MonkeyPatch) -> tuple[Bench, float, dict[str, Any]]:
    path = next(one for one in REPLAYS if one.name.startswith("ridge"))
    monkeypatch.setattr(core.seeking, "AFFORDABLE", 600_000)
    return Bench(path, surveyed=False), 3000.5, played(path, [3000.5])[3000.5]


def test_a_far_moment_is_shown_from_a_warm_up_with_what_adds_up_left_blank(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, at_s, wanted = far_off(monkeypatch)
    bench.play(5)  # what is there already must not be played on all the way
    found = bench.seek(at_s)
    assert bench.seeker.is_partial
    assert {name: getattr(found, name) for name in CUMULATIVE} == {
        name: blank for name, (blank, _) in CUMULATIVE.items()
    }
    assert set(differing(frozen(found), wanted)) <= CUMULATIVE.keys() | SHORTER.keys()
    assert found.fix == wanted["fix"]
    assert "still reading the recording" in bench.feed.status().detail


def test_once_the_survey_has_come_the_moment_is_complete(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, at_s, wanted = far_off(monkeypatch)
    bench.seek(at_s)
    bench.feed._look_ahead()
    assert bench.seeker.is_partial  # nothing has been surveyed yet
    jumps = bench.player.timeline().jumps
    again = bench.player.recording.again()
    assert again is not None
    bench.seeker.surveyor._has_begun = False
    bench.seeker.surveyor.run(again)
    bench.feed._look_ahead()
    assert not bench.seeker.is_partial
    assert differing(frozen(bench.feed.take()), wanted) == []
    assert bench.feed.status().detail == ""
    assert bench.player.timeline().jumps == jumps  # no time has been leapt over
    found = frozen(bench.play(10))
    assert differing(found, played(bench.path, [found["at_s"]])[found["at_s"]]) == []


def test_every_field_named_is_one_of_a_snapshot_and_has_a_reason() -> None:
    names = {field.name for field in fields(Snapshot)}
    assert CUMULATIVE.keys() | SHORTER.keys() | USERS.keys() <= names
    assert not CUMULATIVE.keys() & SHORTER.keys()
    assert all(words for words in (*(why for _, why in CUMULATIVE.values()), *SHORTER.values(), *USERS.values()))


# Steps


def walk(path: Path, seconds: int = 40) -> Path:
    path.write_bytes(b"".join(lines(rmc(s), gga(s), gsv(1, 1, 1, 2, 3)) for s in range(seconds)))
    return path


def test_steps_go_epoch_by_epoch_either_way_and_stand(tmp_path: Path) -> None:
    path = walk(tmp_path / "walk.nmea")
    bench = Bench(path)
    wanted = played(path, [float(s) for s in range(40)])
    bench.seek(20.4)
    for epochs, at_s in ((1, 21.0), (1, 22.0), (-1, 21.0), (-1, 20.0), (-1, 19.0), (-1, 18.0), (1, 19.0)):
        found = bench.step(epochs)
        assert found.at_s == at_s
        assert differing(frozen(found), wanted[at_s]) == []
        assert bench.player.now_s() == at_s
        assert bench.player.status().state is SourceState.PAUSED


def test_steps_stop_at_both_ends(tmp_path: Path) -> None:
    bench = Bench(walk(tmp_path / "walk.nmea", 3))
    assert [bench.seek(0.0).at_s, bench.step(-1).at_s, bench.step(-1).at_s] == [0.0, 0.0, 0.0]
    assert [bench.step(1).at_s for _ in range(4)] == [1.0, 2.0, 2.0, 2.0]
    assert bench.step(-1).at_s == 1.0


def tag_block(unix_ms: int) -> bytes:
    body = f"c:{unix_ms}"
    return f"\\{body}*{xor_of(body):02X}\\".encode()


def test_an_epoch_that_comes_in_two_pieces_is_one_step(tmp_path: Path) -> None:
    path = tmp_path / "stamped.nmea"
    stamped = (
        tag_block(1_938_000_000_000 + s * 1000 + part * 100) + lines(body)
        for s in range(20)
        for part, body in enumerate((rmc(s), gga(s)))
    )
    path.write_bytes(b"".join(stamped))
    bench = Bench(path)
    assert bench.player.index.duration_s == pytest.approx(19.1)
    bench.seek(10.1)
    assert [round(bench.step(way).at_s, 3) for way in (1, 1, -1, -1, -1)] == [11.1, 12.1, 11.1, 10.1, 9.1]

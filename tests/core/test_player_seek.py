"""The controls of a replay: seeks, steps, loops; at ends and gaps, paused or not; and files that change or break."""

from __future__ import annotations

import gzip
import math
import threading
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.judgement import Judgement
from core.model import FixModel, Snapshot
from core.navigator import Goal, Route
from core.outing import Outing
from core.session_reading import open_session
from core.site import SiteState
from core.sources.feed import Feed
from core.sources.player import Playable, Player
from core.sources.recording import open_recording
from core.sources.source import SourceState
from core.timeline import Stretch
from tests.build import gga, lines, rmc
from tests.played import HERE

PATIENCE_S = 30.0


class Room:
    """A feed without its thread, in a room whose clock is turned by hand."""

    def __init__(self, recording: Playable, pace: float = 1.0) -> None:
        self.now, self.news = 1000.0, 0
        self.player = Player(recording, pace, lambda: self.now)
        self.feed = Feed(self.player, FixModel(judgement=Judgement(ErrorModel()), outing=Outing()), self._told)
        self.feed._prepare()
        self.read()

    def _told(self) -> None:
        self.news += 1

    def read(self, after_s: float = 0.0) -> float | None:
        self.now += after_s
        arrival = self.player.read(0.0)
        if arrival:
            self.feed._take_in(arrival)
            return arrival.at_s
        if self.player.goal:
            self.arrive()
        return None

    def arrive(self) -> Snapshot:
        self.feed._seek()
        return self.feed.take()

    def seek(self, at_s: float) -> Snapshot:
        self.player.seek(at_s)
        return self.arrive()

    def is_in(self, state: SourceState) -> bool:
        return self.player.status().state is state


def walk(path: Path, *seconds: float) -> Path:
    path.write_bytes(b"".join(lines(rmc(s), gga(s)) for s in seconds))
    return path


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return walk(tmp_path / "walk.nmea", *range(60))


@pytest.fixture
def room(file: Path) -> Room:
    return Room(open_recording(file))


def test_a_seek_goes_there_and_plays_on(room: Room) -> None:
    assert room.seek(30.25).at_s == 30.0
    assert room.player.now_s() == 30.25
    assert room.read(0.7) is None
    assert room.read(0.06) == 31.0


def test_while_it_seeks_the_axis_shows_the_goal_and_the_clock_the_moment_left_behind(room: Room) -> None:
    room.player.seek(40.0)
    timeline = room.player.timeline()
    assert (timeline.is_seeking, timeline.position_s, timeline.jumps) == (True, 40.0, 0)
    assert room.player.now_s() == 0.0
    room.arrive()
    timeline = room.player.timeline()
    assert (timeline.is_seeking, timeline.position_s, timeline.jumps, timeline.duration_s) == (False, 40.0, 1, 59.0)


@pytest.mark.parametrize(("asked", "there"), [(-5.0, 0.0), (0.0, 0.0), (59.0, 59.0), (1e9, 59.0), (math.inf, 59.0)])
def test_seeks_beyond_the_ends_mean_the_ends(room: Room, asked: float, there: float) -> None:
    assert room.seek(asked).at_s == there
    assert room.player.now_s() == there


def test_no_number_is_no_moment(room: Room) -> None:
    room.player.seek(math.nan)
    assert room.player.goal is None


def test_paused_it_shows_the_moment_and_stays_paused(room: Room) -> None:
    room.player.toggle_pause()
    assert room.seek(20.0).at_s == 20.0
    assert room.is_in(SourceState.PAUSED)
    assert room.read(100.0) is None
    assert room.player.now_s() == 20.0


def test_paused_it_stays_paused_through_the_end_and_back(room: Room) -> None:
    room.player.toggle_pause()
    room.seek(1e9)
    room.read(1.0)
    assert room.seek(20.0).at_s == 20.0
    assert room.is_in(SourceState.PAUSED)


def test_after_the_end_a_seek_back_plays_on(room: Room) -> None:
    room.player.set_pace(math.inf)
    while not room.is_in(SourceState.ENDED):
        room.read()
    room.feed._end()
    room.player.set_pace(1.0)
    assert room.seek(50.0).at_s == 50.0
    assert room.is_in(SourceState.PLAYING)
    assert room.read(1.01) == 51.0


def test_a_newer_seek_supersedes_one_under_way(room: Room) -> None:
    room.player.seek(50.0)
    old = room.player.goal
    assert old is not None
    room.player.seek(10.0)  # while the old one is worked out
    found = room.feed._seeker.go(old, room.feed._model, lambda: False)  # type: ignore[union-attr, arg-type]  # a player's
    room.feed._model = found.model
    assert not room.player.land(old, found.landing)
    assert room.player.timeline().jumps == 0
    assert room.arrive().at_s == 10.0


def test_a_gap_after_the_moment_is_cut_and_does_not_hold_it_up(tmp_path: Path) -> None:
    room = Room(open_recording(walk(tmp_path / "gap.nmea", 0, 1, 2, 4000, 4001)))
    assert room.seek(100.0).at_s == 2.0
    assert room.read(9.9) is None
    assert room.read(0.2) == 4000.0


def test_a_loop_is_played_again_and_again_and_a_seek_out_of_it_ends_it(room: Room) -> None:
    room.player.set_loop(Stretch(10.0, 12.0))
    room.arrive()
    heard = [room.read(0.51) for _ in range(24)]
    found = [one for one in heard if one is not None]
    assert set(found) == {11.0, 12.0}
    assert len(found) >= 6
    room.seek(30.0)
    assert room.player.timeline().loop is None
    assert room.read(1.01) == 31.0


def test_a_loop_to_the_end_begins_again_there(room: Room) -> None:
    room.player.set_pace(math.inf)
    room.player.set_loop(Stretch(57.0, 500.0))
    room.arrive()
    found = [one for _ in range(20) if (one := room.read()) is not None]
    assert found[:6] == [58.0, 59.0, 58.0, 59.0, 58.0, 59.0]


def test_a_loop_beyond_the_end_is_none(room: Room) -> None:
    room.player.set_pace(math.inf)
    room.player.set_loop(Stretch(400.0, 500.0))
    room.arrive()
    for _ in range(5):
        room.read()
    assert room.is_in(SourceState.ENDED)
    assert room.player.timeline().loop is None


@pytest.mark.parametrize("loop", [Stretch(5.0, 5.0), Stretch(9.0, 2.0), None])
def test_a_loop_without_a_length_is_none(room: Room, loop: Stretch | None) -> None:
    room.player.set_loop(Stretch(0.0, 50.0))
    room.player.set_loop(loop)
    assert room.player.timeline().loop is None


def test_the_picture_and_the_time_change_together_and_are_told_once(room: Room) -> None:
    room.feed.take()
    news = room.news
    room.player.seek(25.0)
    room.feed._seek()
    assert room.news == news + 1
    assert room.feed.take().at_s == 25.0


# What is the user's


def test_an_averaging_under_way_ends_and_its_result_stays(room: Room) -> None:
    site = room.feed.site
    assert site is not None
    site.start()
    room.seek(30.0)
    assert room.feed.site is site
    assert site.report().state is SiteState.ENDED
    assert "went to another moment" in site.report().why


def test_the_route_is_steered_again(room: Room) -> None:
    route = Route((Goal("mark", HERE),))
    room.feed.steer(route)
    assert room.seek(30.0).going.route is route


def test_legs_and_resets_of_the_user_are_forgotten(room: Room) -> None:
    room.read(1.01)
    assert room.feed.outing is not None
    room.feed.outing.new_leg()
    assert room.seek(30.0).trip.legs == ()


# Files


def test_a_session_of_several_files_is_one(tmp_path: Path) -> None:
    first, second = walk(tmp_path / "a.nmea", *range(50)), tmp_path / "b.nmea.gz"
    second.write_bytes(gzip.compress(walk(tmp_path / "b", *range(50, 100)).read_bytes()))
    room = Room(open_session([first, second, walk(tmp_path / "c.nmea", *range(100, 130))]))
    for at_s in (120.0, 10.0, 70.0, 49.0, 50.0, 129.0, 0.0, 100.0):
        found = room.seek(at_s)
        assert found.at_s == at_s
        assert found.counts.epochs == at_s + 1


def test_up_to_damage_every_moment_can_be_gone_to(tmp_path: Path) -> None:
    path = tmp_path / "cut.nmea.gz"
    path.write_bytes(gzip.compress(b"".join(lines(rmc(s), gga(s)) for s in range(4000)))[:-2000])
    room = Room(open_recording(path))
    end = room.seek(1e6)
    assert room.is_in(SourceState.FAILED)
    assert "cannot be read beyond this point" in room.player.status().detail
    assert room.seek(end.at_s / 2).at_s == pytest.approx(end.at_s / 2, abs=1.0)
    assert room.is_in(SourceState.PLAYING)


def test_a_file_cut_short_while_it_plays_ends_there(tmp_path: Path) -> None:
    file = walk(tmp_path / "long.nmea", *range(4000))
    room, whole = Room(open_recording(file)), file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    assert 1900.0 < room.seek(3900.0).at_s < 2100.0
    assert "changed on the disk" in room.player.note
    assert room.seek(10.0).at_s == 10.0


def test_a_file_that_is_gone_plays_on_as_it_was(file: Path, room: Room) -> None:
    file.unlink()
    assert room.seek(55.0).at_s == 55.0
    assert room.seek(5.0).at_s == 5.0


def test_without_any_times_there_is_the_beginning_and_the_end(tmp_path: Path) -> None:
    path = tmp_path / "timeless"
    path.write_bytes(lines("GPXTE,A,A,0.1,L,N") * 8000)
    room = Room(open_recording(path))
    assert room.seek(5.0).counts.verified == 8000
    assert 0 < room.seek(0.0).counts.verified < 8000


def test_times_that_go_back_are_played_in_the_order_of_the_file(tmp_path: Path) -> None:
    room = Room(open_recording(walk(tmp_path / "back.nmea", *range(100, 130), *range(100, 130))))
    assert room.seek(40.0).counts.epochs == 41
    assert room.seek(10.0).counts.epochs == 11


@pytest.mark.parametrize("content", [b"", b"\n\n\n", lines(rmc(1)), lines(rmc(1), rmc(2), rmc(3)), b"\xff" * 40_000])
def test_tiny_and_empty_files_are_sought_in_without_harm(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "tiny").write_bytes(content)
    room = Room(open_recording(tmp_path / "tiny"))
    for at_s in (5.0, 0.0, 1.0, 1e9):
        room.seek(at_s)
        assert room.player.goal is None
    room.player.step(-1)
    room.arrive()
    room.player.step(1)
    room.arrive()


def test_closed_it_goes_nowhere(room: Room) -> None:
    room.player.close()
    room.player.seek(10.0)
    assert room.player.goal is None


# With its thread


def test_hundreds_of_seeks_from_another_thread_end_at_the_last(file: Path) -> None:
    told = threading.Event()
    player = Player(open_recording(file), 1.0, lambda: 0.0)
    feed = Feed(player, FixModel(), told.set)
    feed.start()
    for number in range(300):
        player.seek(number % 59)
        player.timeline()
    player.seek(42.0)
    while player.timeline().is_seeking:
        assert told.wait(PATIENCE_S)
        told.clear()
        feed.take()
    assert feed.take().at_s == 42.0
    assert feed.status().state is SourceState.PLAYING
    feed.stop()

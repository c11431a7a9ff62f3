"""A user without a home, with one that may not be written, or that is full: the board starts, says so, and goes on."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.locations import NO_HOME, own_locations
from core.memory import recall
from core.trip_file import TripFile
from core.waypoints import Waypoints
from tests.cli.running import fixboard
from tests.faults.full_board import FAR_AWAY, full_board
from tests.faults.storage_terminal import Seen, seen
from tests.faults.test_storage_faults import fill, small_disk
from tests.faults.wires import Wire, bursts
from tests.live.rig import until
from tests.wire import burst

__all__ = ["small_disk"]

Replay = tuple[str, str]


@pytest.fixture
def replay(tmp_path: Path) -> Replay:
    """A recording with a fix from its first second on."""
    (tmp_path / "walk.nmea").write_bytes(b"".join(burst(number) for number in range(600)))
    return "replay", str(tmp_path / "walk.nmea")


def chooses(board: Seen, *words: str) -> None:
    """Another notation, which is remembered at once, and what is said of that."""
    board.reads_the_cautions()
    board.shows("REPLAY", "HDOP 0.9")
    board.terminal.type(b"n")
    board.shows(*words)


def kept(data: Path) -> str:
    return recall(data / "board.toml").notation


def until_kept(board: Seen, data: Path) -> None:
    board.terminal.type(b"n")
    board.terminal.look(lambda: bool(kept(data)))


def test_who_has_no_home_is_told_and_gets_a_board_that_keeps_nothing(replay: Replay) -> None:
    with seen(replay, {}, nobody=True) as board:
        board.shows("No home folder is known for you: nothing is kept. Set FIXBOARD_DATA to a folder")
        chooses(board, "could not be saved")
        board.quit()


def test_who_has_no_home_but_says_where_needs_none(replay: Replay, tmp_path: Path) -> None:
    with seen(replay, {"FIXBOARD_DATA": str(tmp_path / "data")}, nobody=True) as board:
        board.shows("REPLAY", "HDOP 0.9")
        board.reads_the_cautions()
        until_kept(board, tmp_path / "data")
        board.quit()


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="a folder that nobody can write, the superuser neither")
def test_a_home_that_is_not_there_and_cannot_be_made_is_named(replay: Replay) -> None:
    with seen(replay, {"HOME": "/proc/nonexistent"}) as board:
        chooses(board, "/proc/nonexistent/.local/share/fixboard/board.toml could not be saved")
        board.quit()


def test_a_home_that_is_a_file_is_named(replay: Replay, tmp_path: Path) -> None:
    (tmp_path / "home").write_bytes(b"no folder")
    with seen(replay, {"HOME": str(tmp_path / "home")}) as board:
        chooses(board, "could not be saved (Not a directory)")
        board.quit()
    assert (tmp_path / "home").read_bytes() == b"no folder"


def test_a_home_of_nobody_in_the_settings_of_the_shell_is_said_before_there_is_a_screen(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "log", env={"FIXBOARD_DATA": "~nobody-of-this-name/data"})
    assert (run.code, run.out) == (1, b"")
    assert "FIXBOARD_DATA is ~nobody-of-this-name/data: there is no such home folder" in run.complaint


def test_the_folder_of_who_has_no_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def unknown() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(Path, "home", unknown)
    assert own_locations({"FIXBOARD_DATA": str(tmp_path)}, "linux").data == tmp_path
    assert NO_HOME in own_locations({}, "linux").data.parents


@pytest.fixture
def with_a_camp(small_disk: Path) -> Iterator[Path]:
    """A user's folder on a small disk, with something in it."""
    from core.fix import Position
    from core.waypoint import Waypoint

    Waypoints(small_disk / "data" / "waypoints.gpx").add(Waypoint("Camp", Position(1.0, 2.0)))
    yield small_disk / "data"


def test_a_full_disk_is_said_and_when_there_is_room_again_it_is_saved(replay: Replay, with_a_camp: Path) -> None:
    ballast = fill(with_a_camp.parent, 0)
    with seen(replay, {"FIXBOARD_DATA": str(with_a_camp)}) as board:
        chooses(board, "could not be saved (No space left on device): is there room")
        ballast.unlink()
        until_kept(board, with_a_camp)
        board.quit()
    assert [one.name for one in Waypoints(with_a_camp / "waypoints.gpx").all()] == ["Camp"]


def test_a_folder_that_may_not_be_written_is_said_and_left_as_it_is(replay: Replay, with_a_camp: Path) -> None:
    before = {one.name: one.read_bytes() for one in with_a_camp.iterdir()}
    subprocess.run(["mount", "-o", "remount,ro", str(with_a_camp.parent)], check=True)
    with seen(replay, {"FIXBOARD_DATA": str(with_a_camp)}) as board:
        chooses(board, "could not be saved (Read-only file system)")
        subprocess.run(["mount", "-o", "remount,rw", str(with_a_camp.parent)], check=True)
        assert {one.name: one.read_bytes() for one in with_a_camp.iterdir()} == before
        until_kept(board, with_a_camp)
        board.quit()


def test_with_every_kept_file_damaged_the_board_starts_and_says_each(replay: Replay, tmp_path: Path) -> None:
    (tmp_path / "recordings").mkdir()
    names = ("waypoints.gpx", "board.toml", "settings.toml", "trip.json", "averaging.json", "latency.json")
    for name in (*names, "recordings/logbook.json", "recordings/summaries.json"):
        (tmp_path / name).write_bytes(b"\0\xff damaged " + name.encode())
    with seen(replay, {"FIXBOARD_DATA": str(tmp_path)}) as board:
        board.shows("waypoints.gpx", "board.toml", "settings.toml", "Damaged file", "REPLAY")
        board.reads_the_cautions()
        until_kept(board, tmp_path)
        board.quit()
    contents = [one.read_bytes() for one in tmp_path.rglob("*") if one.is_file()]
    assert all(b"\0\xff damaged " + name.encode() in contents for name in names)


def test_a_live_board_without_room_says_what_is_not_kept_and_keeps_it_when_there_is_room_again(
    small_disk: Path,
) -> None:
    """The recorder leaves room for others and ends; the trip is tried again and again."""
    with Wire() as wire, full_board(small_disk / "data", wire.device) as board:
        board.shows("listening at")
        ballast = fill(small_disk, 0)
        wire.send(*bursts(12))
        board.shows("less than 100 MB are left on the disk")
        board.shows("The trip is not being")
        assert TripFile(board.folder).totals() is None
        ballast.unlink()
        until(lambda: TripFile(board.folder).totals() is not None)
        board.quit()
    points = TripFile(board.folder).points()
    assert len(points) == len(set(points))
    assert [one.name for one in Waypoints(board.folder / "waypoints.gpx").all()] == [FAR_AWAY.name]

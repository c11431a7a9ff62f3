"""What is recorded is what was received: on a disk that works, that fails, that fills, that hangs, that forgets."""

from __future__ import annotations

import errno
import gzip
import os
import random
import stat
import subprocess
import threading
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

import core.logbook as module
from core.fix import Fix
from core.logbook import LONGEST_STALL_S, Recorder, RecorderOptions, RecorderState
from core.logbook_files import SYNC_S, CurrentFile, RealFiles
from core.model import FixModel
from core.nmea.tagging import tag_block
from core.sources.recording import open_recording
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from tests.live.disks import ANCHOR, NOON_MS, Disk, FailingFiles, offer, recorder
from tests.live.rig import Computer, on_serial, until, watching
from tests.live.test_tagging import untagged
from tests.wire import PtyReceiver, burst, walk

BURSTS = [burst(n) for n in range(50)]
FULL, BROKEN = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), OSError(errno.EIO, os.strerror(errno.EIO))
DAY_S = 86_400.0


def replayed(*files: Path) -> tuple[list[Fix], list[float]]:
    """Fixes and times of recordings, as a replay has them."""
    model, times, found = FixModel(), [], []
    for file in files:
        recording = open_recording(file)
        for piece in recording.pieces():
            found += model.feed(piece.data, piece.at_s)
            times.append(piece.at_s)
        recording.close()
    return found + model.finish(), times


def files_in(folder: Path) -> list[Path]:
    """In the order of recording: names begin with their time."""
    return sorted(folder.iterdir(), key=lambda path: (path.name[:17], len(path.name), path.name))


def read(path: Path) -> bytes:
    """Plain or compressed."""
    return gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()


@pytest.mark.parametrize("exact", [False, True])
def test_a_recording_equals_what_was_live(exact: bool, tmp_path: Path) -> None:
    """From the wire to the disk and back: the same bytes, the same fixes, those without a position included."""
    live: list[Fix] = []
    computer = Computer()
    made = recorder(folder=tmp_path, exact=exact)
    with PtyReceiver(9600, 50.0, walk(50.0, without=5)) as receiver:
        computer.plug("here", receiver)
        model = FixModel(observer=lambda finished: live.append(finished.fix))
        with watching(on_serial(computer), model, made.offer) as watch:
            watch.until_fixes(20)
        model.finish()
    ended = made.stop()
    assert ended.state is RecorderState.OFF
    (file,) = files_in(tmp_path)
    assert ended.path == file
    assert ended.bytes_written == file.stat().st_size
    assert untagged(file.read_bytes()) == watch.received()
    assert (file.read_bytes() == watch.received()) is exact
    assert replayed(file)[0] == live


def test_the_times_on_the_disk_are_those_of_arrival(tmp_path: Path) -> None:
    made = recorder(folder=tmp_path)
    offer(made, *BURSTS[:30], step_s=0.317)
    made.stop()
    _, times = replayed(*files_in(tmp_path))
    assert [round(at_s * 1000) for at_s in times] == [round(n * 317) for n in range(30)]


def test_nothing_that_was_written_stays_unsynced_for_longer_than_a_second() -> None:
    """By the time of arrival: before anything a second younger is written, it is safe."""
    dice = random.Random(3)
    for _ in range(30):
        disk = Disk()
        made = recorder(disk, exact=True)
        at_s, times = 0.0, {}
        for n in range(40):
            times[b"%04d\n" % n] = at_s
            made.offer(Arrival(b"%04d\n" % n, at_s))
            at_s += dice.choice([0.02, 0.1, 0.9, 0.99, 1.01])
        made.stop()
        unsafe: list[float] = []
        for (kind, data), (following, _) in pairwise([*disk.log, ("end", b"")]):
            unsafe = [] if kind == "sync" else [*unsafe, times[data]]
            due = bool(unsafe) and unsafe[-1] - unsafe[0] >= SYNC_S
            assert following == "sync" or not due
        assert not unsafe


def test_a_sync_does_not_wait_longer_than_its_second() -> None:
    """Where nothing comes in time, the wait for more ends when the sync is due."""
    file = CurrentFile(Path("any"), Disk().create(Path("any")), "2031-05-04")
    assert file.may_wait_s(10.0) == SYNC_S
    file.write(b"a", 10.0)
    assert file.may_wait_s(10.0) == SYNC_S
    file.write(b"b", 10.75)
    assert file.may_wait_s(10.75) == 0.25
    assert file.may_wait_s(99.0) == 0.0
    assert file.may_wait_s(1.0) == SYNC_S, "a clock that went back stops nothing"
    assert file.sync()
    assert file.may_wait_s(11.0) == SYNC_S
    assert not file.sync()


def test_a_line_that_falls_silent_is_synced_all_the_same() -> None:
    disk = Disk()
    made = recorder(disk)
    made.offer(Arrival(BURSTS[0], 0.5))
    until(lambda: disk.files and next(iter(disk.files.values())).safe > 0)
    assert made.status.state is RecorderState.RECORDING
    made.stop()


def test_a_disk_that_forgets_what_was_not_synced() -> None:
    """The power fails at any moment: what is older than a second is there, whole, and can be replayed."""
    dice = random.Random(5)
    for _ in range(40):
        disk = Disk()
        made = recorder(disk)
        count = dice.randrange(1, len(BURSTS))
        offer(made, *BURSTS[:count], step_s=dice.choice([0.1, 0.5, 0.93]))
        until(lambda: disk.calls.get("write", 0) >= count)  # noqa: B023  # used at once
        (file,) = disk.files.values()
        left = bytes(file.data[: dice.randrange(file.safe, len(file.data) + 1)])
        written = [data for kind, data in disk.log if kind == "write"]
        assert b"".join(written).startswith(left)
        model = FixModel()
        found = model.feed(left, 0.0) + model.finish()
        assert [fix.position for fix in found] == positions(count)[: len(found)]
        made.stop()


def positions(count: int) -> list[object]:
    """Of the first bursts."""
    model = FixModel()
    return [fix.position for fix in model.feed(b"".join(BURSTS[:count]), 0.0) + model.finish()]


@pytest.mark.parametrize("kind", ["create", "write", "sync", "free"])
@pytest.mark.parametrize("which", [1, 2, 5])
@pytest.mark.parametrize("error", [FULL, BROKEN], ids=["full", "broken"])
def test_a_disk_that_fails_ends_the_recording_and_nothing_else(kind: str, which: int, error: OSError) -> None:
    disk = Disk(faults={(kind, which): error})
    made = recorder(disk, largest_file=1000)
    offer(made, *BURSTS, step_s=1.0)
    until(lambda: made.status.state is RecorderState.FAILED, lambda: made.status)
    status = made.status
    assert status.reason.startswith(os.strerror(error.errno or 0))
    assert "make room or choose another folder" in status.reason
    before = disk.content()
    offer(made, *BURSTS, start_s=100.0)
    assert made.stop() == status
    assert disk.content() == before
    assert b"".join(BURSTS).startswith(untagged(disk.content()))
    assert all(file.closed for file in disk.files.values())


def test_an_error_of_another_sort_is_said_too() -> None:
    disk = Disk(faults={("write", 2): ValueError("invented")})
    made = recorder(disk)
    offer(made, *BURSTS[:3])
    until(lambda: made.status.state is RecorderState.FAILED)
    assert made.stop().reason == "ValueError: invented: please report it"


def test_a_failure_at_the_very_end_is_said() -> None:
    disk = Disk(faults={("close", 1): BROKEN})
    made = recorder(disk)
    offer(made, *BURSTS[:3])
    ended = made.stop()
    assert ended.state is RecorderState.FAILED
    assert "the end of 2031-05-04_120000_receiver.nmea may be missing" in ended.reason


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of one megabyte."""
    place = tmp_path / "small"
    place.mkdir()
    if os.geteuid() != 0:
        pytest.skip("only root may mount a small file system")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode != 0:
        pytest.skip(f"no file system can be mounted here: {mounted.stderr.decode()}")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_really_full(small_disk: Path) -> None:
    made = recorder(folder=small_disk)
    everything = [burst(n) for n in range(6000)]
    offer(made, *everything)
    until(lambda: made.status.state is RecorderState.FAILED)
    assert made.stop().reason.startswith("No space left on device: make room")
    (file,) = files_in(small_disk)
    assert file.stat().st_size > 900_000
    assert b"".join(everything).startswith(untagged(file.read_bytes())[:-40])
    found, _ = replayed(file)
    assert len(found) > 1000


def test_the_guard_keeps_room_for_others() -> None:
    disk = Disk(free=5_000_000)
    made = recorder(disk, least_free=10_000_000)
    offer(made, BURSTS[0])
    until(lambda: made.status.state is RecorderState.FAILED)
    assert made.stop().reason.startswith("less than 9 MB are left on the disk: make room or choose another folder")
    assert not disk.files


def test_the_guard_looks_while_it_records() -> None:
    disk = Disk()
    made = recorder(disk, least_free=10_000_000)
    offer(made, *BURSTS[:3], step_s=1.1)
    until(lambda: disk.calls.get("sync"))
    disk.free = 1
    offer(made, *BURSTS[3:6], start_s=10.0, step_s=1.1)
    until(lambda: made.status.state is RecorderState.FAILED)
    made.stop()
    assert b"".join(BURSTS).startswith(untagged(disk.content()))
    assert disk.content()


def test_the_folder_is_pulled_away(tmp_path: Path) -> None:
    """Files live on after their folder on this system; the guard notices, or nothing is lost."""
    folder = tmp_path / "stick"
    made = recorder(RealFiles(), folder / "deep", largest_file=200)
    offer(made, BURSTS[0])
    until(lambda: made.status.bytes_written)
    for path in (folder / "deep").iterdir():
        path.unlink()
    (folder / "deep").rmdir()
    folder.rmdir()
    folder.write_text("a file where the folder was", encoding="utf-8")
    offer(made, *BURSTS[1:5], start_s=5.0)
    until(lambda: made.status.state is RecorderState.FAILED)
    assert made.stop().reason.startswith(("Not a directory", f"{folder}"))


@pytest.mark.parametrize("exact", [True, False])
@pytest.mark.parametrize("size", [1, 7, 64, 333, 5000])
def test_files_are_turned_at_line_ends_and_nothing_is_lost_between_them(size: int, exact: bool) -> None:
    """However the reads are cut, which is hardly ever at a line end."""
    whole = b"".join(BURSTS)
    disk = Disk()
    made = recorder(disk, largest_file=3000, exact=exact)
    offer(made, *(whole[at : at + size] for at in range(0, len(whole), size)), step_s=0.01)
    made.stop()
    assert untagged(disk.content()) == whole
    assert len(disk.files) > 3
    for file in disk.files.values():
        assert bytes(file.data).endswith(b"\n")
        assert len(file.data) > 3000 or file is list(disk.files.values())[-1]
        assert len(file.data) < 3000 + 100 + 2 * size


def test_a_stream_without_line_ends_is_turned_at_twice_the_size() -> None:
    noise = random.Random(2).randbytes(20_000).replace(b"\n", b".").replace(b"\r", b".")
    disk = Disk()
    made = recorder(disk, largest_file=1000, exact=True)
    offer(made, *(noise[at : at + 100] for at in range(0, len(noise), 100)))
    made.stop()
    assert disk.content() == noise
    assert {len(file.data) for file in disk.files.values()} <= set(range(0, 2200))
    assert len(disk.files) >= 9


def test_each_day_has_its_file() -> None:
    """Days of UTC; the file is turned at the end of the line, with the first byte of the new day at the latest."""
    disk = Disk()
    made = recorder(disk)
    near_midnight = DAY_S / 2 - 1.0
    offer(made, BURSTS[0], BURSTS[1][:100], BURSTS[1][100:] + BURSTS[2], BURSTS[3], start_s=near_midnight, step_s=0.6)
    made.stop()
    assert [path.name for path in disk.files] == ["2031-05-04_235959_receiver.nmea", "2031-05-05_000000_receiver.nmea"]
    assert untagged(disk.content()) == b"".join(BURSTS[:4])
    first, second = disk.files.values()
    assert first.data.endswith(b"\r\n")
    assert untagged(bytes(first.data)).startswith(BURSTS[0] + BURSTS[1][:100])
    assert second.data.startswith(b"\\c:")


@pytest.mark.parametrize(
    ("label", "name"),
    [
        ("ttyUSB0", "ttyUSB0"),
        ("../../etc/passwd", "etc-passwd"),
        ("localhost:10110", "localhost-10110"),
        ("\x1b[31mred", "31mred"),
        ("", "receiver"),
        ("..", "receiver"),
        (".hidden", "hidden"),
        ("Q" * 300, "Q" * 40),
        ("Ünïcode ☃", "n-code"),
        ("a/b\\c:d*e?f\0g", "a-b-c-d-e-f-g"),
        ("CON\n", "CON"),
    ],
)
def test_names_are_safe(label: str, name: str) -> None:
    disk = Disk()
    made = recorder(disk, folder=Path("recordings"), label=label)
    offer(made, BURSTS[0])
    made.stop()
    assert list(disk.files) == [Path("recordings") / f"2031-05-04_120000_{name}.nmea"]


def test_recordings_of_one_second_have_names_of_their_own(tmp_path: Path) -> None:
    for _ in range(3):
        made = recorder(folder=tmp_path)
        offer(made, BURSTS[0])
        made.stop()
    assert [path.name[17:] for path in files_in(tmp_path)] == ["_receiver.nmea", "_receiver-2.nmea", "_receiver-3.nmea"]


def test_compressed_recordings_of_one_second_do_not_replace_each_other(tmp_path: Path) -> None:
    for second in range(3):
        made = recorder(folder=tmp_path, compress=True)
        offer(made, BURSTS[second])
        made.stop()
    assert [untagged(read(path)) for path in files_in(tmp_path)] == BURSTS[:3]


def test_a_thousand_recordings_of_one_second_are_enough(tmp_path: Path) -> None:
    for number in range(1, 1000):
        ending = f"-{number}" if number > 1 else ""
        (tmp_path / f"2031-05-04_120000_receiver{ending}.nmea").touch()
    made = recorder(folder=tmp_path)
    offer(made, BURSTS[0])
    until(lambda: made.status.state is RecorderState.FAILED)
    assert "holds a thousand recordings of this second already" in made.stop().reason
    assert all(path.stat().st_size == 0 for path in tmp_path.iterdir())


def test_a_file_that_is_there_is_never_written_into(tmp_path: Path) -> None:
    theirs = tmp_path / "2031-05-04_120000_receiver.nmea"
    theirs.write_bytes(b"precious")
    made = recorder(folder=tmp_path)
    offer(made, BURSTS[0])
    assert made.stop().path != theirs
    assert theirs.read_bytes() == b"precious"


def test_only_the_user_may_read_them(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        for compress in (False, True):
            made = recorder(folder=tmp_path / "recordings", compress=compress)
            offer(made, BURSTS[0])
            made.stop()
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "recordings").stat().st_mode) == 0o700
    assert [stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "recordings").iterdir()] == [0o600, 0o600]


def test_files_are_compressed_once_they_are_complete(tmp_path: Path) -> None:
    made = recorder(folder=tmp_path, compress=True, largest_file=2000)
    offer(made, *BURSTS)
    ended = made.stop()
    files = files_in(tmp_path)
    assert len(files) > 3
    assert {path.suffix for path in files} == {".gz"}
    assert untagged(b"".join(read(path) for path in files)) == b"".join(BURSTS)
    assert ended.path == files[-1]
    assert len(replayed(*files)[0]) == 50


def test_a_file_that_cannot_be_compressed_stays_plain(tmp_path: Path) -> None:
    made = recorder(FailingFiles(), tmp_path, compress=True)
    offer(made, *BURSTS[:5])
    ended = made.stop()
    assert ended.state is RecorderState.OFF
    (file,) = files_in(tmp_path)
    assert file == ended.path
    assert untagged(file.read_bytes()) == b"".join(BURSTS[:5])


def test_a_compression_that_runs_out_of_room_leaves_the_plain_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "walk.nmea"
    file.write_bytes(b"".join(BURSTS))

    def full(handle: int) -> None:
        raise FULL

    monkeypatch.setattr("core.logbook_files.os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        RealFiles().compress(file)
    assert files_in(tmp_path) == [file]
    assert file.read_bytes() == b"".join(BURSTS)


def test_compressing_holds_nothing_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes seconds for a large file, and what arrives meanwhile belongs on the disk."""
    done = threading.Event()
    really = RealFiles.compress

    def slow(self: RealFiles, path: Path) -> Path:
        done.wait(30.0)
        return really(self, path)

    monkeypatch.setattr(RealFiles, "compress", slow)
    made = recorder(folder=tmp_path, compress=True, largest_file=1000)
    offer(made, *BURSTS)
    until(lambda: made.status.bytes_written == len(b"".join(BURSTS)) + 5 * len(BURSTS) * len(tag_block(0)))
    done.set()
    assert made.stop(30.0).state is RecorderState.OFF
    assert untagged(b"".join(read(path) for path in files_in(tmp_path))) == b"".join(BURSTS)


def test_a_disk_that_hangs_holds_nobody_up_and_is_given_up() -> None:
    disk = Disk(hung=threading.Event())
    made = recorder(disk, longest_stall_s=LONGEST_STALL_S)
    offer(made, *BURSTS[:3], step_s=1.0)
    until(lambda: disk.calls.get("sync"))
    offer(made, *BURSTS[:10], start_s=3.0, step_s=1.0)
    assert made.status.reason == "", "a stick may be busy for a while"
    offer(made, *BURSTS[:2], start_s=4.0 + LONGEST_STALL_S)
    assert made.status.state is RecorderState.FAILED
    assert made.status.reason == "the disk does not keep up: record to another one"
    assert made.stop(0.05).state is RecorderState.FAILED
    assert disk.hung
    disk.hung.set()
    until(lambda: not made._thread.is_alive())
    assert untagged(disk.content()).startswith(BURSTS[0])


def test_stopping_on_a_disk_that_hangs_says_so() -> None:
    disk = Disk(hung=threading.Event())
    made = recorder(disk)
    offer(made, *BURSTS[:3], step_s=1.0)
    ended = made.stop(0.05)
    assert ended.state is RecorderState.FAILED
    assert "the end of the recording may be missing" in ended.reason
    assert disk.hung
    disk.hung.set()
    until(lambda: not made._thread.is_alive())


def test_a_disk_that_hangs_for_a_while_loses_nothing() -> None:
    disk = Disk(hung=threading.Event())
    made = recorder(disk)
    offer(made, *BURSTS, step_s=0.3)
    assert disk.hung
    disk.hung.set()
    assert made.stop(30.0).state is RecorderState.OFF
    assert untagged(disk.content()) == b"".join(BURSTS)


def test_a_receiver_that_was_silent_is_no_disk_that_hangs() -> None:
    disk = Disk()
    made = recorder(disk, longest_stall_s=LONGEST_STALL_S)
    for hour in range(3):
        offer(made, BURSTS[hour], start_s=3600.0 * hour)
        until(lambda: disk.calls.get("write", 0) > hour)  # noqa: B023  # used at once
    assert made.stop().state is RecorderState.OFF


def test_what_waits_for_a_slow_disk_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_WAITING", 10_000)
    disk = Disk(hung=threading.Event())
    made = recorder(disk)
    offer(made, *BURSTS[:3], step_s=1.0)
    until(lambda: disk.calls.get("sync"))
    offer(made, *BURSTS, start_s=3.0, step_s=0.001)
    assert made.status.state is RecorderState.FAILED
    assert made._queue.qsize() < 40
    assert disk.hung
    disk.hung.set()
    made.stop()


def test_setting_the_clock_in_mid_session_does_not_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both clocks are read once; later the computer's clock may jump as it likes."""
    jumps = iter([NOON_MS, NOON_MS - 10**9, NOON_MS + 10**10] * 1000)
    monkeypatch.setattr(time, "time_ns", lambda: next(jumps) * 1_000_000)
    monkeypatch.setattr(time, "time", lambda: next(jumps) / 1000)
    from tui.recorder_desk import anchor_now

    anchor = anchor_now()
    made = Recorder(RecorderOptions(tmp_path, least_free=0), anchor)
    made.start()
    offer(made, *BURSTS[:20], start_s=anchor.monotonic_s, step_s=1.0)
    made.stop()
    (file,) = files_in(tmp_path)
    assert file.name.startswith("2031-05-04_120000")
    assert [round(at_s) for at_s in replayed(file)[1]] == list(range(20))


def test_the_anchor_never_goes_below_the_epoch() -> None:
    assert WallAnchor(5, 100.0).unix_at(0.0) == 0
    assert ANCHOR.unix_at(1.2345) == NOON_MS + 1234


def test_without_data_there_is_no_file() -> None:
    disk = Disk()
    ended = recorder(disk).stop()
    assert (ended.state, ended.path, disk.files) == (RecorderState.OFF, None, {})


def test_after_the_end_nothing_is_taken() -> None:
    disk = Disk()
    made = recorder(disk)
    offer(made, BURSTS[0])
    made.stop()
    offer(made, BURSTS[1])
    assert made.stop().state is RecorderState.OFF
    assert untagged(disk.content()) == BURSTS[0]


def test_a_recording_that_ends_in_mid_sentence_keeps_the_half() -> None:
    disk = Disk()
    made = recorder(disk)
    offer(made, BURSTS[0] + b"\r\n$GNG")
    made.stop()
    assert disk.content().endswith(b"\r\n\r\n$GNG")

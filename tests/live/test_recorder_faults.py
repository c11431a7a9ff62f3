"""The recorder on disks that fail, fill, hang, forget, or have no room for a copy."""

from __future__ import annotations

import errno
import os
import random
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

import core.logbook as module
from core.logbook import LONGEST_STALL_S, RecorderState
from core.logbook_files import RealFiles
from core.model import FixModel
from tests.live.disks import BURSTS, Disk, FailingFiles, files_in, offer, recorder, replayed
from tests.live.rig import until
from tests.live.test_tagging import untagged
from tests.wire import burst

FULL, BROKEN = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), OSError(errno.EIO, os.strerror(errno.EIO))


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


def test_a_thousand_recordings_of_one_second_are_enough(tmp_path: Path) -> None:
    for number in range(1, 1000):
        ending = f"-{number}" if number > 1 else ""
        (tmp_path / f"2031-05-04_120000_receiver{ending}.nmea").touch()
    made = recorder(folder=tmp_path)
    offer(made, BURSTS[0])
    until(lambda: made.status.state is RecorderState.FAILED)
    assert "holds a thousand recordings of this second already" in made.stop().reason
    assert all(path.stat().st_size == 0 for path in tmp_path.iterdir())


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

"""What is recorded is what was received: bytes, fixes, times; in files that are turned, named, packed, private."""

from __future__ import annotations

import os
import random
import stat
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

from core.fix import Fix
from core.logbook import Recorder, RecorderOptions, RecorderState
from core.logbook_files import SYNC_S, CurrentFile, RealFiles
from core.model import FixModel
from core.nmea.tagging import tag_block
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from tests.live.disks import ANCHOR, BURSTS, NOON_MS, Disk, files_in, offer, read, recorder, replayed
from tests.live.rig import Computer, on_serial, until, watching
from tests.live.test_tagging import untagged
from tests.wire import PtyReceiver, walk

DAY_S = 86_400.0


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


def test_setting_the_clock_in_mid_session_does_not_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both clocks are read once; later the computer's clock may jump as it likes."""
    jumps = iter([NOON_MS, NOON_MS - 10**9, NOON_MS + 10**10] * 1000)
    monkeypatch.setattr(time, "time_ns", lambda: next(jumps) * 1_000_000)
    monkeypatch.setattr(time, "time", lambda: next(jumps) / 1000)
    from core.sources.wall import anchor_now

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

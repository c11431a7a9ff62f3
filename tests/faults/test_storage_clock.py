"""A clock that is set back and forth while things are written: no name is taken twice, nothing is written over."""

from __future__ import annotations

import os
import signal
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from core.fix import Utc
from core.folders import move_aside
from core.logbook import Recorder, RecorderOptions, RecorderState
from core.sessions import Logbook
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from core.trip_file import TripFile
from tests.faults.storage_kinds import KINDS, Kind, rests
from tests.faults.storage_rows import page
from tests.live.disks import files_in
from tests.live.test_tagging import untagged
from tests.logbooks import NOON, PATIENCE_S
from tests.sites import DAY
from tests.wire import burst

JUMPS = [timedelta(hours=hours) for hours in (0, -1, 1, -24, 24, -1, 0, 0, -8760, 87_600, 0)]
"""What the clock is put to, one after the other, around noon of an invented day: to times that have been, too."""


def recorded(folder: Path, moment: datetime, number: int) -> None:
    """One run of the recorder by a clock that says `moment`."""
    anchor = WallAnchor(int(moment.timestamp() * 1000), 0.0)
    recorder = Recorder(RecorderOptions(folder, least_free=0), anchor)
    recorder.start()
    recorder.offer(Arrival(burst(number), 0.0))
    assert recorder.stop(PATIENCE_S).state is RecorderState.OFF


def test_recordings_of_any_clock_lie_side_by_side(tmp_path: Path) -> None:
    for number, jump in enumerate(JUMPS):
        recorded(tmp_path, NOON + jump, number)
    held = sorted(untagged(path.read_bytes()) for path in tmp_path.iterdir())
    assert held == sorted(burst(number) for number in range(len(JUMPS)))


def test_a_clock_that_jumps_while_it_records_changes_neither_names_nor_order(tmp_path: Path) -> None:
    """The recorder asks the clock once: files turn by the monotonic one, and names stay in their order."""
    options = RecorderOptions(tmp_path, least_free=0, largest_file=500, longest_stall_s=1e9)
    recorder = Recorder(options, WallAnchor(1_935_662_400_000, 0.0))
    recorder.start()
    for number in range(40):
        recorder.offer(Arrival(burst(number), number * 1.0))
    assert recorder.stop(PATIENCE_S).state is RecorderState.OFF
    assert untagged(b"".join(path.read_bytes() for path in files_in(tmp_path))) == b"".join(map(burst, range(40)))
    assert len(list(tmp_path.iterdir())) > 5


def test_undo_brings_back_the_last_deletion_whatever_the_clock_says(tmp_path: Path) -> None:
    for number in range(len(JUMPS)):
        (tmp_path / f"walk{number}.nmea").write_bytes(page(number))
        os.utime(tmp_path / f"walk{number}.nmea", (number, number))
    book = Logbook(tmp_path)
    for number, jump in enumerate(JUMPS):
        (entry,) = [one for one in book.entries(NOON) if one.session.key == f"walk{number}.nmea"]
        book.delete(entry, NOON + jump)
    for number in reversed(range(len(JUMPS))):
        deleted = book.undo()
        assert deleted
        assert deleted.names == (f"walk{number}.nmea",)
    assert all((tmp_path / f"walk{number}.nmea").read_bytes() == page(number) for number in range(len(JUMPS)))


def test_a_folder_of_somebody_in_the_bin_does_not_decide_the_order(tmp_path: Path) -> None:
    (tmp_path / "deleted" / "zzz-9").mkdir(parents=True)
    (tmp_path / "deleted" / "zzz-9" / "letter.txt").write_text("not ours")
    (tmp_path / "walk.nmea").write_bytes(page(1))
    os.utime(tmp_path / "walk.nmea", (1, 1))
    book = Logbook(tmp_path)
    deleted = book.delete(book.entries(NOON)[0], NOON)
    assert deleted.folder.name == "2031-05-04_120000-1"


def test_what_is_set_aside_in_one_second_has_names_of_its_own(tmp_path: Path) -> None:
    for number in range(30):
        (tmp_path / "board.toml").write_bytes(page(number))
        move_aside(tmp_path / "board.toml", "board.2031-05-04_120000.toml")
    assert sorted(path.read_bytes() for path in tmp_path.iterdir()) == sorted(map(page, range(30)))


def test_tracks_that_began_at_one_time_of_the_receiver_are_all_kept(tmp_path: Path) -> None:
    """A receiver that begins at one date whenever it is switched on."""
    from core.fix import Position
    from core.track import TrackPoint

    file = TripFile(tmp_path)
    for number in range(12):
        file.append([TrackPoint(Position(1.0, float(number)), 0.0, Utc(0, DAY), None, begins=True)])
        assert file.set_aside()
    found = [file.points(path.name)[0].position.longitude_deg for path in tmp_path.glob("trip.*.csv")]
    assert sorted(found) == [float(number) for number in range(12)]


def test_names_of_the_recorder_order_as_it_wrote_within_a_second(tmp_path: Path) -> None:
    for number in range(12):
        recorded(tmp_path, NOON + timedelta(milliseconds=number), number)
    held = [untagged(path.read_bytes()) for path in files_in(tmp_path)]
    assert held == [burst(number) for number in range(12)]


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="stopping a program as on POSIX")
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.acknowledged_is_synced], ids=lambda kind: kind.name)
def test_a_writer_that_is_stopped_again_and_again_loses_nothing(kind: Kind, tmp_path: Path) -> None:
    """As by a suspended computer: at any moment, for as long as it takes, and killed while it stands still."""
    import subprocess
    import sys

    command = [sys.executable, "-c", _STOPPED, kind.name, str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]) as process:
        assert process.stdout
        assert process.stdout.readline() == "0\n"
        for _ in range(4):
            process.send_signal(signal.SIGSTOP)
            time.sleep(0.02)
            process.send_signal(signal.SIGCONT)
            time.sleep(0.005)
        process.send_signal(signal.SIGSTOP)
        process.kill()
        said = [0, *(int(line) for line in process.stdout.read().splitlines(keepends=True) if line.endswith("\n"))]
    acknowledged = said[-1] + 1
    kept = kind.kept(tmp_path, acknowledged)
    assert acknowledged <= kept <= acknowledged + 1
    kind.begin(tmp_path, kept)(kept)
    assert kind.kept(tmp_path, kept + 1) == kept + 1
    assert len(rests(tmp_path)) <= kind.rests


_STOPPED = """
import sys
from pathlib import Path
from tests.faults.storage_kinds import BY_NAME
step = BY_NAME[sys.argv[1]].begin(Path(sys.argv[2]), 0)
number = 0
while True:
    step(number)
    print(number, flush=True)
    number += 1
"""

"""Two programs on one folder at the same time: each edit of both is there at the end, or one is told why not."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from core import file_lock
from core.chapter_book import ChapterBook
from core.errors import InputError
from core.fix import Position
from core.locations import Locations
from core.memory import Memory, recall
from core.outing import Outing
from core.session_notes import SessionNotes
from core.site import SiteAverager
from core.site_file import SiteFile
from core.site_keeper import SiteKeeper
from core.trip_file import TripFile
from core.trip_keeper import TripKeeper
from core.waypoints import Waypoint, Waypoints
from tests.faults.storage_kinds import KINDS, Kind, rests
from tests.logbooks import NOON
from tests.walks import OCEAN, fix_at, straight
from tui.session import Look, Session

ROOT = Path(__file__).parents[2]
EDITS = 12
posix = pytest.mark.skipif(os.name != "posix", reason="locks and signals as on POSIX")


def editor(folder: Path, who: str, count: int = EDITS) -> subprocess.Popen[str]:
    """A program that is ready to edit."""
    command = [sys.executable, "-m", "tests.faults.storage_editor", str(folder), who, str(count)]
    pipe = subprocess.PIPE
    process = subprocess.Popen(command, cwd=ROOT, text=True, stdin=pipe, stdout=pipe, stderr=pipe)
    assert process.stdout
    assert process.stdout.readline() == "ready\n"
    return process


@posix
def test_no_edit_of_two_programs_is_lost(tmp_path: Path) -> None:
    (tmp_path / "recordings").mkdir()
    both = [editor(tmp_path, who) for who in ("one", "two")]
    for process in both:
        assert process.stdin
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate() for process in both]
    assert [process.returncode for process in both] == [0, 0], said
    wanted = {f"{who} {number}" for who in ("one", "two") for number in range(EDITS)}
    assert {one.name for one in Waypoints(tmp_path / "waypoints.gpx").all()} == wanted
    assert {one.title for one in ChapterBook(tmp_path / "walk.nmea", {"sky"}).entries()} == wanted
    assert set(SessionNotes(tmp_path / "recordings").all()) == {f"{name.replace(' ', '')}.nmea" for name in wanted}
    latencies = json.loads((tmp_path / "latency.json").read_bytes())
    assert {key.split(" at ")[0] for key in latencies} == wanted
    assert recall(tmp_path / "board.toml") == Memory(theme=f"one {EDITS - 1}", notation=f"two {EDITS - 1}")
    told = [line for out, _ in said for line in out.splitlines() if line.startswith("exists")]
    assert len(told) == EDITS, "of two that write one new file, one is told"
    assert not rests(tmp_path)


@posix
def test_one_that_is_killed_in_the_middle_hinders_nobody(tmp_path: Path) -> None:
    (tmp_path / "recordings").mkdir()
    for number in range(4):
        victim, other = editor(tmp_path, "one", 10_000), editor(tmp_path, "two", number + 2)
        for process in (victim, other):
            assert process.stdin
            process.stdin.write("go\n")
            process.stdin.flush()
        out, err = other.communicate()
        victim.send_signal(signal.SIGKILL)
        victim.communicate()
        assert other.returncode == 0, err
        assert "refused" not in out
        places = {one.name for one in Waypoints(tmp_path / "waypoints.gpx").all()}
        assert f"two {number + 1}" in places
    Session(Locations(tmp_path), Look()).add(Waypoint("after", Position(1.0, 2.0)))
    assert len(rests(tmp_path)) <= 2


def test_two_boards_keep_each_others_choices(tmp_path: Path) -> None:
    one, two = (Session(Locations(tmp_path), Look()) for _ in range(2))
    assert one.keep(route="[]", theme="night") == ""
    assert two.keep(notation="UTM") == ""
    assert one.keep(alert="on") == ""
    assert recall(tmp_path / "board.toml") == Memory(route="[]", theme="night", notation="UTM", alert="on")


def test_of_two_boards_one_keeps_the_trip_and_the_averaging_and_the_other_is_told(tmp_path: Path) -> None:
    trips = [TripKeeper(TripFile(tmp_path)) for _ in range(2)]
    sites = [SiteKeeper(SiteFile(tmp_path)) for _ in range(2)]
    outings = [Outing(), Outing()]
    for trip, site, outing in zip(trips, sites, outings, strict=True):
        trip.begin(outing)
        site.begin(SiteAverager(), NOON)
    assert trips[0].trouble == sites[0].trouble == ""
    assert "another fixboard keeps its trip in this folder; this one is not saved" in trips[1].trouble
    assert "another fixboard keeps its averaging in this folder" in sites[1].trouble
    for outing in outings:
        for step in straight(OCEAN, 90.0, 120):
            outing.take(fix_at(step), step.at_s, usable=True)
    for trip, site in zip(trips, sites, strict=True):
        trip.end()
        site.end()
    points = TripFile(tmp_path).points()
    assert points
    assert [point.position for point in points] == sorted((point.position for point in points), key=lambda at: at[1])
    assert len({point.position for point in points}) == len(points), "those of one board alone"
    trips[1].begin(Outing())
    assert trips[1].trouble == "", "the first has ended"
    trips[1].end()


@posix
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.acknowledged_is_synced], ids=lambda kind: kind.name)
def test_where_there_are_no_locks_all_is_saved_all_the_same(
    kind: Kind, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on some network's file systems."""

    def none(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(file_lock, "_try", none)
    monkeypatch.setattr("fcntl.flock", none)
    step = kind.begin(tmp_path, 0)
    for number in range(3):
        step(number)
    if kind.name != "lock":
        assert kind.kept(tmp_path, 3) == 3
    assert not rests(tmp_path)


@posix
def test_a_part_of_a_living_writer_is_left_and_that_of_a_dead_one_goes(tmp_path: Path) -> None:
    from core.part_files import PART, part_beside, sweep_parts

    foreign = tmp_path / ".movie.part"
    foreign.write_bytes(b"of another program")
    dead = tmp_path / f".page.abcdefgh{PART}"
    dead.write_bytes(b"half")
    with part_beside(tmp_path / "page") as (handle, fresh):
        assert not dead.exists()
        os.close(handle)
        sweep_parts(tmp_path)
        assert fresh.exists()
    assert not fresh.exists()
    assert foreign.read_bytes() == b"of another program"


@posix
def test_a_part_that_is_swept_before_it_could_be_held_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core import part_files

    real = part_files.hold
    swept: list[bool] = []

    def late(handle: int) -> bool:
        if not swept:
            part_files.sweep_parts(tmp_path)
            swept.append(True)
        return real(handle)

    monkeypatch.setattr(part_files, "hold", late)
    with part_files.part_beside(tmp_path / "page") as (handle, fresh):
        os.close(handle)
        assert fresh.exists()
    assert swept


@posix
def test_a_file_whose_name_is_as_long_as_may_be_is_saved(tmp_path: Path) -> None:
    from core.storage import create_file

    for name in ("x" * 255, "ß" * 127, "\U0001f5fa" * 63):
        create_file(tmp_path / name, b"whole")
        assert (tmp_path / name).read_bytes() == b"whole"
    with pytest.raises(InputError, match="File name too long"):
        create_file(tmp_path / ("x" * 256), b"")

"""Files are for their user alone, whatever the umask; nothing is written through a link, nor outside our own folders.

Where somebody was is as private as where somebody lives. What the user's own file had for modes it keeps.
"""

from __future__ import annotations

import os
import stat
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.appended import append_lines
from core.errors import FixboardError
from core.file_lock import lock_file, locked
from core.fix import Position
from core.locations import Locations
from core.logbook import Recorder, RecorderOptions
from core.memory import Memory, remember
from core.rehearsal.writer import save
from core.session_bin import SessionBin
from core.session_files import sessions_in
from core.sources.source import Arrival
from core.sources.wall import WallAnchor
from core.station_folder import take_list
from core.storage import create_file, replace_file
from core.trip_file import TripFile
from core.waypoint import Waypoint
from core.waypoints import Waypoints
from tests.cli.running import asker, check_civil
from tests.faults.full_board import STATIONS, full_board, furnish
from tests.faults.wires import Listener, Wire, bursts
from tests.live.disks import NOON_MS
from tests.live.rig import until
from tui.cli import _written
from tui.text_sender import FileOutlet

pytestmark = pytest.mark.skipif(os.name != "posix", reason="modes and links as on POSIX")

UMASKS = (0o000, 0o002, 0o022, 0o027, 0o077)
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
ALONE = {"folder": 0o700, "file": 0o600}


@contextmanager
def umask(mask: int) -> Iterator[None]:
    before = os.umask(mask)
    try:
        yield
    finally:
        os.umask(before)


def modes(root: Path, *but: str) -> dict[str, int]:
    """Everything below, links left out, that is not for its user alone."""
    found = {}
    for path in [root, *root.rglob("*")]:
        if path.is_symlink() or path.name in but:
            continue
        mode = stat.S_IMODE(path.stat().st_mode)
        if mode != ALONE["folder" if path.is_dir() else "file"]:
            found[str(path.relative_to(root.parent))] = mode
    return found


def a_recording(data: Path) -> None:
    options = RecorderOptions(data / "recordings", compress=True, least_free=0, longest_stall_s=1e9)
    recorder = Recorder(options, WallAnchor(NOON_MS, 0.0))
    recorder.start()
    for second, piece in enumerate(bursts(5)):
        recorder.offer(Arrival(piece, float(second)))
    recorder.stop(30.0)


def a_deletion(data: Path) -> None:
    a_recording(data)
    folder = data / "recordings"
    for path in folder.iterdir():
        os.utime(path, (0.0, 0.0))
    (session,) = sessions_in(folder, NOON)
    SessionBin(folder).delete(session, NOON)


def a_list(data: Path) -> None:
    given = data.parent / "given.csv"
    given.write_text(STATIONS, encoding="utf-8")
    given.chmod(0o644)
    take_list(given, data / "stations")


def twice(write: Callable[[], object]) -> None:
    """With a backup of the one before."""
    write()
    write()


def some_places(data: Path) -> None:
    places = Waypoints(data / "waypoints.gpx")
    for name in ("Quennet", "Quail"):
        places.add(Waypoint(name, Position(10.5, -20.25)))


def made(data: Path) -> Path:
    """For what goes where the user says, into a folder there is."""
    data.mkdir(mode=0o700)
    return data


def a_fault(data: Path) -> None:
    """What it tells may hold names and places."""
    _written(ValueError("at home"), str(made(data) / "fault.log"))


WRITERS: dict[str, Callable[[Path], object]] = {
    "a file replaced": lambda data: twice(lambda: replace_file(data / "deep" / "deeper" / "x.json", b"1")),
    "a file of lines": lambda data: append_lines(data / "deep" / "x.csv", "a", "1\n"),
    "a new file": lambda data: create_file(made(data) / "x.gpx", b"1"),
    "what the board remembers": lambda data: twice(lambda: remember(data / "board.toml", Memory(theme="night"))),
    "waypoints": some_places,
    "recordings, compressed": a_recording,
    "a deletion": a_deletion,
    "a list taken over": a_list,
    "the totals of a trip": lambda data: twice(lambda: TripFile(data).save_totals({"a": 1})),
    "position texts": lambda data: FileOutlet(made(data) / "texts").write("=4718.00S/01242.00W["),
    "an export": lambda data: save(made(data) / "walk.gpx", [b"<gpx/>"]),
    "the log of a fault": a_fault,
    "a lock": lambda data: locked(data / "x").__enter__(),
}


@pytest.mark.parametrize("mask", UMASKS, ids=oct)
@pytest.mark.parametrize("writer", WRITERS)
def test_whatever_is_written_is_for_its_user_alone(tmp_path: Path, writer: str, mask: int) -> None:
    """The folders above it too, as far as we make them: a folder tells names and times."""
    data = tmp_path / "home" / "fixboard"
    (tmp_path / "home").mkdir(mode=0o700)
    with umask(mask):
        WRITERS[writer](data)
    assert modes(data) == {}
    assert data.exists()


@pytest.mark.parametrize("mask", [0o000, 0o022], ids=oct)
def test_a_board_with_everything_on_leaves_nothing_that_others_may_read(tmp_path: Path, mask: int) -> None:
    theirs = ("data", "settings.toml", "stations", "isles.csv")
    furnish(tmp_path / "data")
    (tmp_path / "data" / "stations").chmod(0o755)
    (tmp_path / "data" / "settings.toml").chmod(0o644)
    with Wire() as wire, umask(mask), full_board(tmp_path / "data", wire.device) as board:
        board.shows("listening at", "recording", "feed 0 clients")
        with Listener(board.port):
            wire.send(*bursts(12))
            board.shows("receiving", "feed 1 client")
            board.press("S")
            board.press("m")
            board.shows("Saved. Name it")
            board.press("\x1b")
            until(lambda: "Name it" not in board.text)
            until(lambda: (board.folder / "trip.csv").exists() and board.recorded == bytes(wire.sent))
        board.quit()
    assert modes(tmp_path / "data", *theirs) == {}
    assert stat.S_IMODE((tmp_path / "data" / "settings.toml").stat().st_mode) == 0o644


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644, 0o660])
def test_what_the_user_s_own_file_had_for_modes_it_keeps_and_its_backup_too(tmp_path: Path, mode: int) -> None:
    """A file shared with a group on purpose stays shared."""
    path = tmp_path / "waypoints.gpx"
    some_places(tmp_path)
    path.chmod(mode)
    tmp_path.chmod(0o755)
    Waypoints(path).add(Waypoint("Quay", Position(1.0, 2.0)))
    assert {stat.S_IMODE(one.stat().st_mode) for one in (path, path.with_name("waypoints.gpx.bak"))} == {mode}
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755


@pytest.mark.skipif(os.geteuid() != 0 if os.name == "posix" else True, reason="only the superuser saves others' files")
def test_a_lock_that_the_superuser_makes_in_a_user_s_folder_is_the_user_s(tmp_path: Path) -> None:
    data = tmp_path / "data"
    data.mkdir()
    os.chown(data, 65_534, 65_534)
    with locked(data / "x") as is_locked:
        assert is_locked
    about = lock_file(data / "x").stat()
    assert (about.st_uid, about.st_gid, stat.S_IMODE(about.st_mode)) == (65_534, 65_534, 0o600)


# Links that somebody has laid


@pytest.fixture
def victim(tmp_path: Path) -> Path:
    """A file of somebody's, elsewhere."""
    (tmp_path / "theirs").mkdir()
    path = tmp_path / "theirs" / "letter"
    path.write_text("theirs", encoding="utf-8")
    return path


def folder_with(tmp_path: Path, victim: Path, *names: str) -> Path:
    """One of ours in which links of these names lead to it."""
    data = tmp_path / "data"
    data.mkdir()
    for name in names:
        (data / name).symlink_to(victim)
    return data


def test_a_lock_is_not_taken_through_a_link(tmp_path: Path, victim: Path) -> None:
    data = folder_with(tmp_path, victim.with_name("new"), ".x.lock")
    with locked(data / "x") as is_locked:
        assert not is_locked
    assert not victim.with_name("new").exists()


def test_a_backup_is_not_written_through_a_link(tmp_path: Path, victim: Path) -> None:
    data = folder_with(tmp_path, victim, "x.bak", ".x.bak.new")
    (data / "x").write_bytes(b"old")
    replace_file(data / "x", b"new")
    assert victim.read_text(encoding="utf-8") == "theirs"
    assert ((data / "x").read_bytes(), (data / "x.bak").read_bytes()) == (b"new", b"old")


def test_a_recording_is_not_written_or_packed_through_a_link(tmp_path: Path, victim: Path) -> None:
    name = "2031-05-04_120000_receiver.nmea"
    data = tmp_path / "data"
    (data / "recordings").mkdir(parents=True)
    for laid in (name, f"{name}.gz", f"{name}.gz.part", f".{name}.gz.part"):
        (data / "recordings" / laid).symlink_to(victim)
    a_recording(data)
    assert victim.read_text(encoding="utf-8") == "theirs"


def test_a_new_file_is_not_written_through_a_link(tmp_path: Path, victim: Path) -> None:
    data = folder_with(tmp_path, victim.with_name("new"), "x.gpx")
    with pytest.raises(FixboardError, match="exists already"):
        create_file(data / "x.gpx", b"ours")
    assert not victim.with_name("new").exists()


def test_names_of_new_files_cannot_be_foretold(tmp_path: Path) -> None:
    """So nobody can lay a link beforehand: seen while they are there."""
    seen: set[str] = set()
    over = threading.Event()

    def look() -> None:
        while not over.is_set():
            seen.update(one.name for one in tmp_path.iterdir())

    watcher = threading.Thread(target=look)
    watcher.start()
    number = 0
    while sum(name.endswith(".part") for name in seen) < 3:
        number += 1
        replace_file(tmp_path / "x", b"%d" % number)
    over.set()
    watcher.join()
    parts = [name for name in seen if name.endswith(".part")]
    assert len({len(name) for name in parts}) == 1
    assert all(len(name) > len(".x..fixboard.part") + 5 for name in parts)


# Names from outside

HOSTILE = (
    "../../out", "/etc/out", "..", ".", "", "a/b", "a\\b", "CON", "NUL", "com1.txt", "x.", "x ", "-rf", "~root", "*",
    "a\nb", "a\rb", "a\0b", "\x1b[2J", "\N{RIGHT-TO-LEFT OVERRIDE}x", "q" * 5000, "\udcff", ".hidden", "x:y", "a|b>c",
)  # fmt: skip


@pytest.mark.parametrize("label", HOSTILE)
def test_a_recording_has_a_plain_name_whatever_its_source_is_called(tmp_path: Path, label: str) -> None:
    """Letters, figures, hyphens, points: no device of any system, since the name begins with the time."""
    recorder = Recorder(RecorderOptions(tmp_path / "in", label, least_free=0), WallAnchor(NOON_MS, 0.0))
    recorder.start()
    recorder.offer(Arrival(bursts(1)[0], 0.0))
    recorder.stop(30.0)
    (file,) = (tmp_path / "in").iterdir()
    assert [one.name for one in tmp_path.iterdir()] == ["in"]
    assert file.name.isascii()
    assert set(file.name) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")
    assert file.name.startswith("2031-05-04_120000_")
    assert file.name.endswith(".nmea")
    assert len(file.name) < 100


@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_that_names_another_leads_nowhere_else(tmp_path: Path, name: str) -> None:
    """The totals name the track before them; they may have been edited to anything."""
    (tmp_path / "data").mkdir()
    (tmp_path / "out").write_text("utc,latitude_deg,longitude_deg,altitude_m,begins\n,1,2,,1\n", encoding="utf-8")
    assert TripFile(tmp_path / "data").points(name) == []


@pytest.mark.parametrize("name", HOSTILE)
def test_a_waypoint_s_name_is_never_a_path(tmp_path: Path, name: str) -> None:
    places = Waypoints(tmp_path / "data" / "waypoints.gpx")
    try:
        places.add(Waypoint(name, Position(10.5, -20.25)))
    except FixboardError:
        return
    assert {one.name for one in tmp_path.iterdir()} == {"data"}
    assert {one.name for one in (tmp_path / "data").iterdir()} <= {
        "waypoints.gpx", "waypoints.gpx.bak", lock_file(tmp_path / "waypoints.gpx").name
    }  # fmt: skip


def test_a_list_keeps_its_own_name_and_goes_into_its_folder(tmp_path: Path) -> None:
    given = tmp_path / "given"
    given.mkdir()
    for name in ("-rf.csv", "NUL.csv", "a b.csv", "..csv.csv", "q" * 200 + ".csv", "a\nb.csv"):
        (given / name).write_text(STATIONS, encoding="utf-8")
        take_list(given / name, tmp_path / "data" / "stations")
        assert (tmp_path / "data" / "stations" / name).exists()
    assert {one.name for one in tmp_path.iterdir()} == {"given", "data"}


def test_every_path_of_ours_is_below_one_folder(tmp_path: Path) -> None:
    found = Locations(tmp_path / "data")
    paths = [getattr(found, name) for name in ("waypoints", "settings", "recordings", "stations", "latencies", "board")]
    assert all(path.parent == tmp_path / "data" for path in paths)


# What goes to the terminal


@pytest.mark.parametrize("comment", HOSTILE)
def test_the_text_of_a_position_never_brings_along_what_a_terminal_or_a_modem_would_obey(
    comment: str, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    """Printable ASCII on one line, or an error that is."""
    run = asker(capfdbinary)("position-text", "--at", "10.5,-20.25", f"--comment={comment}".replace("\0", "\1"))
    check_civil(run)
    assert run.out.count(b"\n") == (run.code == 0)
    assert all(32 <= byte < 127 for byte in run.out.rstrip(b"\n"))


def test_the_clipboard_is_written_when_asked_and_only_then(tmp_path: Path) -> None:
    """By the sequence that writes it (OSC 52): hostile sentences that hold one must never bring it there."""
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board:
        board.shows("listening at")
        wire.send(*bursts(3), b"$GNTXT,01,01,02,\x1b]52;c;UQ==\x07*00\r\n\x1b]52;c;UQ==\x07", *bursts(6, 100))
        board.shows("receiving", "12:01:4")
        board.press("6")
        board.shows("Wire")
        assert b"\x1b]52" not in board.ever_drawn
        board.press("y")
        until(lambda: b"\x1b]52;c;" in board.ever_drawn)
        assert b"\x1b]52;c;UQ==" not in board.ever_drawn
        board.quit()

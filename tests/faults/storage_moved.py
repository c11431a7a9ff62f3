"""Rows of moves, removals, and of small things: links, locks, lines of text. All places and names are invented."""

from __future__ import annotations

from pathlib import Path

from core.file_lock import locked
from core.folders import make_folder
from core.mending import mended_waypoints
from core.sessions import Logbook
from core.storage import replace_file
from tests.faults.storage_rows import Step, in_a_row, next_of, page, page_number, thin
from tests.logbooks import LATER, NOON
from tui.cli import main
from tui.text_sender import FileOutlet

# Moves


def binned(folder: Path, first: int) -> Step:
    """Deleted and brought back by turns."""
    home = folder / "recordings"
    make_folder(home)
    del first
    if not any(home.rglob("*.nmea")):
        for name in _IN_BIN:
            replace_file(home / name, page(int(name[0])))
    book = Logbook(home)

    def step(number: int) -> None:
        del number
        if not book.undo():
            (entry,) = book.entries(LATER)
            book.delete(entry, NOON)

    return step


_IN_BIN = ("2031-05-04_120000_receiver.nmea",)


def binned_kept(folder: Path, acknowledged: int) -> int:
    """Each file somewhere, whole; a file in both places is on its way."""
    home = folder / "recordings"
    for name in _IN_BIN:
        there = list(home.rglob(name))
        if acknowledged or there:
            assert there, f"{name} is lost"
            assert len({path.stat().st_ino for path in there}) == 1, "one file, of two names at most"
            page_number(there[0].read_bytes(), name)
    return acknowledged


def emptied(folder: Path, first: int) -> Step:
    home = folder / "recordings"
    make_folder(home)
    book = Logbook(home)
    book.empty_bin()
    del first

    def step(number: int) -> None:
        replace_file(home / _IN_BIN[0], page(number))
        (entry,) = [one for one in book.entries(LATER) if one.session.key == _IN_BIN[0]]
        book.delete(entry, NOON)
        assert book.empty_bin() > 0
        assert len(list((home / "deleted").iterdir())) <= 3, "empty folders pile up"

    return step


def mended(folder: Path, first: int) -> Step:
    path = folder / "waypoints.gpx"
    mended_waypoints(path, NOON)
    del first

    def step(number: int) -> None:
        replace_file(path, b"<damaged %d" % number)
        places, told = mended_waypoints(path, NOON)
        assert told
        assert places.all() == ()
        thin(sorted((_damage(one), one) for one in folder.glob("waypoints.2*.gpx")))

    return step


def _damage(path: Path) -> int:
    return int(path.read_bytes().split()[1])


def mended_kept(folder: Path, _: int) -> int:
    """Each damaged file under a name of its own."""
    return next_of(map(_damage, [*folder.glob("waypoints.2*.gpx"), *folder.glob("waypoints.gpx")]))


# Small things


def texts(folder: Path, first: int) -> Step:
    outlet = FileOutlet(folder / "texts.txt")
    del first
    return lambda number: outlet.write(f"/092345z4903.50N/07201.75W>{number:08d}")


def texts_kept(folder: Path, _: int) -> int:
    path = folder / "texts.txt"
    lines = path.read_text().splitlines(keepends=True) if path.exists() else []
    return in_a_row([int(line[-9:-1]) for line in lines if line.endswith("\n") and len(line) == 36])


def debug_log(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        del number
        code = main(["digest", str(folder), "--debug-log", str(folder / "log.txt")])
        assert code == 1

    return step


def nothing(_: Path, acknowledged: int) -> int:
    return acknowledged


def link(folder: Path, first: int) -> Step:
    from core.feeding.address import feed_address
    from core.feeding.pty_outlet import PtyOutlet

    del first

    def step(number: int) -> None:
        del number
        outlet = PtyOutlet(feed_address(f"pty:{folder / 'receiver'}"))
        outlet.close()

    return step


def lock(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        with locked(folder / "count", tries=1):
            replace_file(folder / "count", page(number))

    return step


def lock_kept(folder: Path, _: int) -> int:
    with locked(folder / "count", tries=1) as held:
        assert held, "a dead program holds the lock"
    path = folder / "count"
    return page_number(path.read_bytes()) + 1 if path.exists() else 0

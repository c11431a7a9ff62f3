"""Errands in a process that may take itself for one on another system: `python -m tests.errands SYSTEM ERRAND FOLDER`.

Ours is imported in the errands alone: only then it finds the system that is pretended (tests/other_system.py).
"""

from __future__ import annotations

import asyncio
import importlib
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from tests.other_system import modules, pretend

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
WALKED = 5
DEMO = Path(__file__).parents[1] / "replays" / "first_walk.nmea.gz"
"""Epochs of the recording that is kept."""


def import_all(folder: Path) -> None:
    """Each module alone can be imported, which says how many there are."""
    del folder
    for name in modules():
        importlib.import_module(name)
    print(len(modules()), sys.platform)


def keep(folder: Path) -> None:
    """Every kind of file that is written, twice where it is written again: the test compares what they hold."""
    _keep_places(folder)
    _keep_growing(folder)
    _keep_recordings(folder)
    _keep_texts(folder)


def _keep_places(folder: Path) -> None:
    from core.fix import Position
    from core.latency import Basis, Latency, ReceiverKey
    from core.latency_file import LatencyFile
    from core.memory import Memory, recall, remember, remember_choices
    from core.waypoint import Waypoint
    from core.waypoints import Waypoints

    places = Waypoints(folder / "waypoints.gpx")
    camp = places.add(Waypoint("Camp", Position(10.5, -20.25), 12.5, NOON))
    places.add(Waypoint("Quelle", Position(10.6, -20.35), None, NOON))
    removed = places.remove(camp)
    places.restore(removed)
    places.export_to(folder / "handed on.gpx", places.all())
    remember(folder / "board.toml", Memory(theme="night"))
    remember_choices(folder / "board.toml", recall(folder / "board.toml"), {"notation": "UTM"})
    for high_s in (0.3, 0.4):
        key = ReceiverKey("usb 1546:01a8", 9600, "GGA RMC")
        LatencyFile(folder / "latency.json").keep(key, Latency(0.1, high_s, Basis.LEARNED, "2031-05-04"))


def _keep_growing(folder: Path) -> None:
    from core.appended import append_lines, move_away

    for number in (1, 2, 3):
        append_lines(folder / "trip.csv", "header", f"{number},first\n{number},second\n")
    (folder / "torn.csv").write_bytes(b"header\n1,tor")
    append_lines(folder / "torn.csv", "header", "2,whole\n")
    move_away(folder / "torn.csv", "trip.csv")


def _keep_recordings(folder: Path) -> None:
    from core.session_bin import SessionBin
    from core.session_files import sessions_in
    from core.session_notes import SessionNotes, Words
    from tests.logbooks import LATER, record, walk

    recordings = folder / "recordings"
    record(recordings, NOON, walk(NOON, WALKED), exact=True)
    record(recordings, NOON.replace(hour=14), walk(NOON, WALKED), exact=True, compress=True)
    for name in ("Round the isle", "Round the isle again"):
        SessionNotes(recordings).write("2031-05-04_120000_gps.nmea", Words(name, "fog\nuntil noon"), LATER)
    first, second = sessions_in(recordings, LATER)
    bin_ = SessionBin(recordings)
    bin_.delete(first, LATER)
    bin_.restore(bin_.delete(second, LATER))


def _keep_texts(folder: Path) -> None:
    from core.chapter_book import ChapterBook
    from core.chapter_file import Entry, When
    from core.rehearsal.writer import save
    from core.station_folder import take_list
    from tui.text_sender import FileOutlet

    for text in ("!1030.00N/02015.00W>one", "!1030.00N/02015.00W>two"):
        FileOutlet(folder / "sent.txt").write(text)
    save(folder / "rehearsed.nmea.gz", [b"$QQQ\r\n"])
    save(folder / "rehearsed.nmea.gz", [b"$QQQ,2\r\n"], replace=True)
    (folder / "walk.nmea").write_bytes(b"")
    book = ChapterBook(folder / "walk.nmea", ("stage",))
    for at_s, title in ((2.0, "End"), (1.0, "Begin")):
        book.add(Entry(When(at_s), title), 0)
    (folder / "isle.csv").write_bytes(b"call,latitude,longitude\nQ0ABC,10.5,-20.25\n")
    for replace in (False, True):
        take_list(folder / "isle.csv", folder / "stations", replace=replace)
        (folder / "isle.csv").write_bytes(b"call,latitude,longitude\nQ0XYZ,10.5,-20.25\n")


def exclude(folder: Path) -> None:
    """A lock that is held is refused to the next, and free again after."""
    from core.errors import InputError
    from core.file_lock import locked

    with locked(folder / "held"):
        try:
            with locked(folder / "held", tries=2, pause_s=0.0):
                print("both have it")
        except InputError as error:
            print("refused" if "another program" in str(error) else error)
    with locked(folder / "held", tries=1) as is_alone:
        print("free again" if is_alone else "no locks")


def ask(folder: Path) -> None:
    """Commands of the shell, a line each, as a user's own process runs them; a form feed after each."""
    del folder
    from tui.cli import main

    for line in os.environ["ERRAND"].split("\n"):
        try:
            main(line.split("|"))
        except SystemExit as ended:  # --version and --help
            assert not ended.code
        print("\f", flush=True)


def show(folder: Path) -> None:
    """The board on a recording, without a terminal: some pages are looked at, and it is ended by q."""
    from core.locations import locations
    from tests.tui.support import until
    from tui.app import FixboardApp
    from tui.canvas.palettes import Depth
    from tui.opening import Opening
    from tui.session import Look, Session

    async def press() -> None:
        session = Session(locations({"FIXBOARD_DATA": str(folder)}, sys.platform, folder), Look())
        app = FixboardApp(session, (Opening(DEMO, remark="demo"),), Depth.TRUECOLOR)
        async with app.run_test(size=(120, 40)) as pilot:
            await until(pilot, lambda: app.board.state.snapshot.counts.epochs > 1)
            await pilot.press(*"123456789", "q")
        print("ended", app.return_code)

    asyncio.run(press())


def refuse(folder: Path) -> None:
    """Why things cannot be handed on, as it is said; by the numbers that Windows has for it."""
    del folder
    from core.errors import InputError
    from core.feeding.address import FeedAddress
    from core.feeding.outlet import open_outlet
    from core.feeding.refusals import refused

    try:
        open_outlet(FeedAddress("pty"))
    except InputError as error:
        print(error)
    for number in (10048, 10049, 10013):  # WSAEADDRINUSE, WSAEADDRNOTAVAIL, WSAEACCES
        print(refused(FeedAddress("tcp", "203.0.113.9", 10110), OSError(number, "said by the system")))


ERRANDS = {"import": import_all, "keep": keep, "exclude": exclude, "ask": ask, "show": show, "refuse": refuse}


if __name__ == "__main__":
    pretend(sys.argv[1])
    ERRANDS[sys.argv[2]](Path(sys.argv[3]))

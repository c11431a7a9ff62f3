"""Rows of changes to files that are replaced as a whole, or made once and whole. All places and names are invented."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

from core.chapter_book import ChapterBook
from core.chapter_file import Entry, When
from core.fix import Position
from core.formats.gpx_document import read_document
from core.latency import Basis, Latency, ReceiverKey
from core.latency_file import LatencyFile
from core.memory import Memory, recall, remember
from core.rehearsal.writer import save
from core.session_cache import SummaryCache
from core.session_files import session_of
from core.session_notes import SessionNotes, Words
from core.session_summary import Summary
from core.settings import read_settings
from core.settings.table import KEYS, write_setting
from core.site_file import SiteFile
from core.station_folder import take_list
from core.storage import create_file, replace_file
from core.trip_file import TripFile
from core.waypoints import Waypoint, Waypoints
from tests.faults.storage_rows import Step, next_of, numbered, page, page_number, thin
from tests.logbooks import LATER
from tests.wire import burst

# Files that are replaced


def replaced(folder: Path, first: int) -> Step:
    del first
    return lambda number: replace_file(folder / "page.html", page(number))


def replaced_kept(folder: Path, _: int) -> int:
    backup = folder / "page.html.bak"
    if backup.exists():
        page_number(backup.read_bytes(), "the backup")
    path = folder / "page.html"
    return page_number(path.read_bytes()) + 1 if path.exists() else 0


def board(folder: Path, first: int) -> Step:
    recall(folder / "board.toml")
    del first
    return lambda number: remember(folder / "board.toml", Memory(source=str(number), route="x" * (number * 53 % 3000)))


def board_kept(folder: Path, _: int) -> int:
    found = recall(folder / "board.toml")
    if not found.source:
        assert not (folder / "board.toml").exists(), "it is there and holds nothing"
        return 0
    assert len(found.route) == int(found.source) * 53 % 3000
    return int(found.source) + 1


def settings(folder: Path, first: int) -> Step:
    """As the settings screen saves them: one key of the user's file."""
    key = next(one for one in KEYS if one.id == "folders.recordings")
    del first
    path = folder / "settings.toml"
    return lambda number: write_setting(path, key, f"/{'x' * (number * 53 % 400)}/{number}")


def settings_kept(folder: Path, _: int) -> int:
    found = read_settings(folder / "settings.toml").folders.recordings
    if found is None:
        assert not (folder / "settings.toml").exists(), "it is there and holds nothing"
        return 0
    assert len(found.parts) == (3 if int(found.name) * 53 % 400 else 2)
    assert len(found.parent.name) == int(found.name) * 53 % 400
    return int(found.name) + 1


def latencies(folder: Path, first: int) -> Step:
    file = LatencyFile(folder / "latency.json")
    del first

    def step(number: int) -> None:
        day = f"{number // 10_000:04d}-{number // 100 % 100:02d}-{number % 100:02d}"
        file.keep(ReceiverKey(f"usb {number % 9}", 9600, "GGA RMC"), Latency(0.1, 0.2, Basis.LEARNED, day))

    return step


def latencies_kept(folder: Path, _: int) -> int:
    path = folder / "latency.json"
    entries = json.loads(path.read_bytes()) if path.exists() else {}
    return next_of(int(entry["learned_on"].replace("-", "")) for entry in entries.values())


def _camp_number(one: Waypoint) -> int:
    return int(one.name.split()[1])


def waypoints(folder: Path, first: int) -> Step:
    places = Waypoints(folder / "waypoints.gpx")
    while len(places.all()) > 60:
        places.remove(min(places.all(), key=_camp_number))
    del first

    def step(number: int) -> None:
        fresh = Waypoint(f"Camp {number}", Position(1.0, number % 90), note="x" * (number * 53 % 400))
        if number % 3 == 0 and places.all():
            assert places.change(places.all()[0], fresh)
        else:
            places.add(fresh)

    return step


def waypoints_kept(folder: Path, _: int) -> int:
    backup = folder / "waypoints.gpx.bak"
    if backup.exists():
        read_document(backup.read_bytes(), "the backup")
    found = [(_camp_number(one), one) for one in Waypoints(folder / "waypoints.gpx").all()]
    assert all(len(one.note) == number * 53 % 400 for number, one in found)
    return next_of(number for number, _ in found)


def notes(folder: Path, first: int) -> Step:
    notes = SessionNotes(folder)
    del first
    return lambda number: notes.write(f"{number % 7}.nmea", Words(str(number), "fog " * (number % 50)), LATER)


def notes_kept(folder: Path, _: int) -> int:
    notes = SessionNotes(folder)
    found = notes.all()
    assert not notes.trouble
    assert all(words.note == "fog " * (int(words.name) % 50) for words in found.values())
    return next_of(int(words.name) for words in found.values())


def chapters(folder: Path, first: int) -> Step:
    book = ChapterBook(folder / "walk.nmea", {"sky"})
    while len(book.entries()) > 40:
        book.remove(min(book.entries(), key=lambda one: int(one.title)))
    del first

    def step(number: int) -> None:
        entry = Entry(When(at_s=float(number)), str(number), " ".join(["words"] * (number % 40)))
        there = book.entries()
        if number % 2 and there:
            book.change(there[0], entry)
        else:
            book.add(entry, number % 5)

    return step


def chapters_kept(folder: Path, _: int) -> int:
    return next_of(int(one.title) for one in ChapterBook(folder / "walk.nmea", {"sky"}).entries())


def summaries(folder: Path, first: int) -> Step:
    recording = folder / "2031-05-04_120000_receiver.nmea"
    if not recording.exists():
        recording.write_bytes(burst(1))
    del first

    def step(number: int) -> None:
        cache = SummaryCache(folder)
        cache.keep(session_of(recording, LATER), Summary(epochs=number, problem="x" * (number % 900)))
        cache.save()

    return step


def summaries_kept(folder: Path, _: int) -> int:
    path = folder / "summaries.json"
    if not path.exists():
        return 0
    entries = json.loads(path.read_bytes())["sessions"]
    return next_of(int(one["summary"]["epochs"]) for one in entries.values())


def totals(folder: Path, first: int) -> Step:
    file = TripFile(folder)
    del first
    return lambda number: file.save_totals({"number": number, "more": "x" * (number * 53 % 3000)})


def totals_kept(folder: Path, _: int) -> int:
    found = TripFile(folder).totals()
    return 0 if found is None else int(found["number"]) + 1


def site_state(folder: Path, first: int) -> Step:
    file = SiteFile(folder)
    del first
    return lambda number: file.save_state({"number": number, "more": "x" * (number * 53 % 3000)})


def site_state_kept(folder: Path, _: int) -> int:
    found = SiteFile(folder).state()
    return int(found["number"]) + 1 if found else 0


def _station_list(number: int) -> bytes:
    rows = "".join(f"QX{n % 10}AA,Ridge {number},145.6,-0.6,FM,RN91wa,,\n" for n in range(20 + number % 50))
    return f"call,name,output,shift,mode,locator,status,notes\n{rows}".encode()


def stations(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        stick = folder / "stick" / "hills.csv"
        stick.parent.mkdir(exist_ok=True)
        stick.write_bytes(_station_list(number))
        take_list(stick, folder / "stations", replace=True)

    return step


def stations_kept(folder: Path, _: int) -> int:
    path = folder / "stations" / "hills.csv"
    if not path.exists():
        return 0
    number = int(path.read_bytes().splitlines()[1].split(b",")[1].split()[1])
    assert path.read_bytes() == _station_list(number)
    return number + 1


def rehearsal(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        data = page(number)
        pieces = (data[start : start + 300] for start in range(0, len(data), 300))
        save(folder / "walk.nmea.gz", pieces, replace=True)

    return step


def rehearsal_kept(folder: Path, _: int) -> int:
    path = folder / "walk.nmea.gz"
    return page_number(gzip.decompress(path.read_bytes())) + 1 if path.exists() else 0


# Files that are made once


def created(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        create_file(folder / f"page{number}.html", page(number))
        thin(numbered(folder, "page*.html"))

    return step


def created_kept(folder: Path, _: int) -> int:
    found = numbered(folder, "page*.html")
    assert all(page_number(path.read_bytes(), path.name) == number for number, path in found)
    return next_of(number for number, _ in found)


def exported(folder: Path, first: int) -> Step:
    del first

    def step(number: int) -> None:
        save(folder / f"walk{number}.kml", [page(number)])
        thin(numbered(folder, "walk*.kml"))

    return step


def exported_kept(folder: Path, _: int) -> int:
    found = numbered(folder, "walk*.kml")
    assert all(page_number(path.read_bytes(), path.name) == number for number, path in found)
    return next_of(number for number, _ in found)


def places_exported(folder: Path, first: int) -> Step:
    places = Waypoints(folder / "none.gpx")
    del first

    def step(number: int) -> None:
        one = Waypoint(f"Camp {number}", Position(1.0, 2.0), note="x" * (number * 53 % 400))
        places.export_to(folder / f"some{number}.gpx", [one])
        thin(numbered(folder, "some*.gpx"))

    return step


def places_exported_kept(folder: Path, _: int) -> int:
    found = numbered(folder, "some*.gpx")
    assert all(Waypoints(path).all()[0].name == f"Camp {number}" for number, path in found)
    return next_of(number for number, _ in found)

"""One of two programs that edit a user's files at the same time, as a board does: `FOLDER NAME COUNT`.

Says `ready`, waits for a line, makes its edits, and says each that was refused with the reason.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

from core.chapter_book import ChapterBook
from core.chapter_file import Entry, When
from core.errors import FixboardError
from core.fix import Position
from core.latency import Basis, Latency, ReceiverKey
from core.latency_file import LatencyFile
from core.locations import Locations
from core.session_notes import SessionNotes, Words
from core.storage import create_file
from core.waypoints import Waypoint
from tui.session import Look, Session

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
CHOICES = {"one": "theme", "two": "notation"}
"""What each of the two keeps choosing: other things, in one file."""


def edit(folder: Path, who: str, number: int, session: Session) -> None:
    """One edit of each kind."""
    session.add(Waypoint(f"{who} {number}", Position(1.0, 2.0)))
    SessionNotes(folder / "recordings").write(f"{who}{number}.nmea", Words(who), NOON)
    ChapterBook(folder / "walk.nmea", {"sky"}).add(Entry(When(at_s=float(number)), f"{who} {number}"), number)
    LatencyFile(folder / "latency.json").keep(
        ReceiverKey(f"{who} {number}", 9600, "GGA"), Latency(0.1, 0.2, Basis.LEARNED, "2031-05-04")
    )
    trouble = session.keep(**{CHOICES[who]: f"{who} {number}"})
    if trouble:
        print(f"refused {trouble}", flush=True)
    try:
        create_file(folder / f"export {number}.gpx", f"{who} {number}".encode())
    except FixboardError:
        print(f"exists {number}", flush=True)


def main(folder: str, who: str, count: str) -> None:
    """All of them."""
    session = Session(Locations(Path(folder)), Look())
    print("ready", flush=True)
    sys.stdin.readline()
    for number in range(int(count)):
        edit(Path(folder), who, number, session)


if __name__ == "__main__":
    main(*sys.argv[1:])

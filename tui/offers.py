"""What there is to watch at this moment: ports with their identity, the last source, recordings, demos."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from core.errors import FixboardError
from core.sources.names import Sort, SourceName, source_name
from core.sources.ports import Port, ports
from tui.opening import LiveOpening, Openable, Opening

RECORDING_ENDINGS = (".nmea", ".nmea.gz", ".nmea0183")
MOST_RECORDINGS = 40
LAST_TIME = "last time"
DEMO = "demo"
"""The remark on bundled recordings: always there to choose, so never remembered."""


def live_offers(last: str, present: Iterable[Port] | None = None) -> list[Openable]:
    """The last source first, then the ports that the system lists now."""
    known = _remembered(last)
    listed: list[Openable] = [
        LiveOpening(SourceName(Sort.SERIAL, port.device), remark=port.description or "serial port")
        for port in (ports() if present is None else present)
        if not known or port.device != known.label
    ]
    return [known, *listed] if known else listed


def remembered_as(opening: Openable, last: str) -> str:
    """What to remember of a source that has been opened, as one would type it: `last` again for demos.

    Empty for a receiver that was sought: it is sought again, under whatever name it has then.
    """
    if isinstance(opening, LiveOpening):
        return opening.name.text if opening.name else ""
    if isinstance(opening, Opening) and opening.remark != DEMO:
        return str(opening.path.absolute())
    return last


def _remembered(last: str) -> Openable | None:
    """What was open last, unless it is a recording that has gone."""
    if not last:
        return None
    try:
        name = source_name(last)
    except FixboardError:
        return None
    if name.sort is Sort.FILE:
        path = Path(last)
        return Opening(path, remark=LAST_TIME) if path.is_file() else None
    return LiveOpening(name, remark=LAST_TIME)


def recordings_in(folder: Path) -> list[Path]:
    """Files that look like recordings: the newest names of a folder first, since ours begin with their date."""
    try:
        found = [path for path in folder.iterdir() if path.name.endswith(RECORDING_ENDINGS) and path.is_file()]
    except OSError:
        return []
    return sorted(found, reverse=True)[:MOST_RECORDINGS]


def recording_offers(here: Path, ours: Path) -> list[Openable]:
    """Recordings of the folder that the program was started in, then those of the recorder."""
    listed: list[Openable] = [Opening(path, remark="in this folder") for path in recordings_in(here)]
    return [*listed, *(Opening(path, remark="recorded here") for path in recordings_in(ours))]

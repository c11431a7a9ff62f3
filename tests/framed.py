"""Short ways through the framer, and sentences to send through it."""

from __future__ import annotations

from core.nmea.framing import Event, Framer, Rejected, Sentence
from tests.build import sentence

RMC = sentence("GNRMC,120000.00,A,1030.0000,N,02015.0000,W,5.0,90.0,040531,,,A")
GGA = sentence("GNGGA,120000.00,1030.0000,N,02015.0000,W,1,08,1.1,12.5,M,30.0,M,,")
AIS = sentence("AIVDM,1,1,,A,invented,0", start="!")


def frame(data: bytes | str, require_checksum: bool = True) -> list[Event]:
    framer = Framer(require_checksum)
    raw = data.encode("latin-1") if isinstance(data, str) else data
    return framer.feed(raw) + framer.finish()


def texts(data: bytes | str, require_checksum: bool = True) -> list[str]:
    """The accepted sentences; anything refused stands as its reason."""
    return [e.text if isinstance(e, Sentence) else str(e.reason) for e in frame(data, require_checksum)]


def only(data: bytes | str, require_checksum: bool = True) -> Sentence:
    (event,) = frame(data, require_checksum)
    assert isinstance(event, Sentence)
    return event


def refused(data: bytes | str, require_checksum: bool = True) -> Rejected:
    (event,) = frame(data, require_checksum)
    assert isinstance(event, Rejected)
    return event

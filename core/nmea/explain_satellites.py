"""Fields of the sentences about satellites: as many as there are, with IDs of system and signal at the end."""

from __future__ import annotations

from core.nmea import explain_kinds as k
from core.nmea import explain_letters as words
from core.nmea import fields as f
from core.nmea.explain_layouts import HDOP, TIME
from core.nmea.explain_records import Around, Kind, Told
from core.nmea.numbering import SYSTEM_OF_ID

SYSTEM_ID = Kind("system ID", k.letters(words.SYSTEM_IDS))
PAGES = frozenset(str(n) for n in range(1, 100)) | frozenset(f"{n:02d}" for n in range(1, 10))
"""How decoding counts pages."""


def solving_system(talker_system: str, system_id: str) -> str:
    """Only GN and GP speak for several systems; the talker of one is believed before the ID, as in decoding."""
    return SYSTEM_OF_ID.get(system_id, talker_system) if talker_system in {"", "G"} else talker_system


def _by_id(at: int) -> Kind:
    """A satellite of the system whose ID stands in field `at`."""
    return Kind("satellite", lambda raw, around: k.named(raw, solving_system(around.system, around.number(at))))


def _signal_of(system: str, raw: str) -> Told:
    if raw == "0":
        return Told("all", "", "all signals, or not stated")
    name = words.SIGNALS.get(system, {}).get(raw.upper())
    if name is None:
        return Told(raw, "", f"hexadecimal; not known for {words.SYSTEMS.get(system, 'this talker')}")
    older = "; B2I where the receiver is older than NMEA 4.11" if system == "C" and raw == "3" else ""
    return Told(name, "", f"signal of {words.SYSTEMS[system]}{older}")


def _signal_by_talker(raw: str, around: Around) -> Told:
    return _signal_of(around.system, raw)


def _signal_by_id(raw: str, around: Around) -> Told:
    return _signal_of(solving_system(around.system, around.near(-1)), raw)


SIGNAL_BY_ID = Kind("signal ID", _signal_by_id)

GSA = (
    Kind("choice of 2D or 3D", k.letters(words.GSA_CHOICE)),
    Kind("fix", k.letters(words.GSA_FIX)),
    *[_by_id(18)] * 12,
    Kind("PDOP", k.dilution),
    HDOP,
    Kind("VDOP", k.dilution),
    SYSTEM_ID,
)
GBS = (
    TIME,
    Kind("latitude error", k.quantity("m", "expected", 0.0)),
    Kind("longitude error", k.quantity("m", "expected", 0.0)),
    Kind("altitude error", k.quantity("m", "expected", 0.0)),
    Kind("failed satellite", _by_id(9).tell),
    Kind("probability", k.quantity("", "of a missed detection")),
    Kind("bias", k.quantity("m", "of the failed satellite's range, estimated")),
    Kind("bias, deviation", k.quantity("m", "1 sigma")),
    SYSTEM_ID,
    SIGNAL_BY_ID,
)
_RESIDUAL = Kind("range residual", k.quantity("m", "of the satellites of GSA, in its order"))
GRS = (
    TIME,
    Kind("how worked out", k.letters({"0": ("in the fix", ""), "1": ("after the fix", "worked out again")})),
    *[_RESIDUAL] * 12,
    SYSTEM_ID,
    SIGNAL_BY_ID,
)
"""nmea-facts.toml [fields] and [system_id]; GRS from memory."""


def _elevation(raw: str, _: Around) -> Told:
    value = f.number(raw)
    if value is None or not -90.0 <= value <= 90.0:
        return Told(meaning="not from -90 to 90: left out")
    return Told(value, "°", "above the horizon" if value >= 0.0 else "below the horizon")


def _strength(raw: str, _: Around) -> Told:
    value = f.whole(raw)
    if value is None or value >= 100:
        return Told(meaning="no C/N0 from 1 to 99: left out")
    return Told(value, "dB-Hz", "C/N0") if value else Told(meaning="0: not tracked")


SATELLITE = (
    Kind("satellite", k.satellite),
    Kind("elevation", _elevation),
    Kind("azimuth", k.true_direction),
    Kind("signal strength", _strength),
)
SIGNAL = Kind("signal ID", _signal_by_talker)


def _pages(raw: str, around: Around) -> Told:
    """Wrong where the page, in the next field, is not one of them."""
    return _page_or_wrong(raw, (raw, around.near(1)), "sentences that list them")


def _page(raw: str, around: Around) -> Told:
    return _page_or_wrong(raw, (around.near(-1), raw), "this one's number")


def _page_or_wrong(raw: str, pair: tuple[str, str], meaning: str) -> Told:
    pages, page = pair
    if pages in PAGES and page in PAGES and int(page) <= int(pages):
        return Told(int(raw), "", meaning)
    return Told(meaning=f"page {page!r} of {pages!r} does not exist", is_wrong=True)


def gsv(fields: list[str]) -> tuple[Kind, ...]:
    """Groups of four after the third field; one or two left over are signal ID and a maker's extra field.

    Three left over are a satellite without its last field (decode.py, where real sentences are cited).
    """
    head = (
        Kind("pages", _pages),
        Kind("page", _page),
        Kind("satellites in view", k.count("on all pages of this signal")),
    )
    groups, left_over = divmod(max(0, len(fields) - 4), 4)
    tail: tuple[Kind, ...] = SATELLITE[:3] if left_over == 3 else (SIGNAL, _EXTRA)[:left_over]
    return (*head, *SATELLITE * groups, *tail)


_EXTRA = Kind("maker's extra", lambda raw, _: Told(raw, "", "not in the standard, not known to us"))

"""Names of the fields of rare types, by pynmea2: it knows more of them than any table of ours would.

Only its tables of names are used, never its values: no position comes out as 0.0 (nmea-notes.md). Imported when needed.
"""

from __future__ import annotations

from typing import Any

from core.nmea import explain_kinds as k
from core.nmea.explain_records import Around, Kind, Told

ALL_THAT_IT_RAISES = (AttributeError, IndexError, KeyError, TypeError, ValueError)
"""Its classes of makers look into the first fields without asking how many there are (nmea-notes.md)."""


def talker_type(formatter: str) -> tuple[Kind, ...]:
    """The fields of a type; none where pynmea2 does not know it either."""
    from pynmea2.nmea import TalkerSentence

    found = TalkerSentence.sentence_types.get(formatter)
    return _kinds(found.fields) if found else ()


def makers_type(fields: list[str]) -> tuple[Kind, ...]:
    """The fields of a proprietary sentence, `fields` with the address."""
    from pynmea2.nmea import ProprietarySentence

    address = fields[0]
    maker = ProprietarySentence.sentence_types.get(address[1:4])
    if maker is None:
        return ()
    try:
        found = type(maker(address[1:4], [address[4:], *fields[1:], ""]))
    except ALL_THAT_IT_RAISES:
        return ()
    # The first of its names is that of what is left of the address.
    return _kinds(found.fields[1:])


def _kinds(named: Any) -> tuple[Kind, ...]:
    return tuple(Kind(str(one[0]), _read_as(one[0])) for one in named)


def _read_as(name: str) -> Any:
    """Times alone are read: they are written the same way everywhere."""
    return _time if "timestamp" in name.lower() else k.text


def _time(raw: str, around: Around) -> Told:
    told = k.clock(raw, around)
    return told._replace(is_wrong=False) if told.value is not None else k.text(raw, around)

"""Satellite numbers of NMEA 0183 to RINEX names.

From NMEA 4.10 a number is unique only together with its system (talker or system ID): 5 may be G05, E05 or C05. Before
that, ranges tell the systems apart, and makers disagree about them, hence one table per system and one for all.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple


class Range(NamedTuple):
    """Numbers `first` to `last` mean satellites `first - offset` ... of `system`."""

    first: int
    last: int
    system: str
    offset: int


# Sources: "ubx" = u-blox ZED-F9P interface description, appendix A; "uni" = Unicore identifier appendix; both as quoted
# in nmea-facts.toml [[satellite_numbers]]. RINEX 3.05 table 1 gives SBAS as PRN - 100 and QZSS as PRN - 192.
_GPS = Range(1, 32, "G", 0)  # ubx: 1-32 in all versions
_SBAS = Range(33, 64, "S", 13)  # ubx: number = PRN - 87, and the RINEX name is PRN - 100
_SBAS_PRN = Range(120, 158, "S", 100)  # ubx: 152-158 extended; whole PRNs are common practice, no source
_GLONASS = Range(65, 96, "R", 64)  # ubx: slot + 64
_QZSS_PRN = Range(193, 202, "J", 192)  # ubx extended form; seen under talker GP in real recordings
_BEIDOU_200 = Range(201, 263, "C", 200)  # other makers, from memory
_GALILEO_300 = Range(301, 336, "E", 300)  # ubx: 2.x-4.0 extended
_BEIDOU_400 = Range(401, 463, "C", 400)  # ubx: 2.x-4.0 extended, 401-437; on to 463 as the system grew

_BY_RANGE = (_GPS, _SBAS, _GLONASS, _SBAS_PRN, _QZSS_PRN, _BEIDOU_200, _GALILEO_300, _BEIDOU_400)
RANGES: dict[str, tuple[Range, ...]] = {
    "G": _BY_RANGE,  # GPS receivers list SBAS and QZSS among their own
    "R": (_GLONASS, Range(1, 32, "R", 0), _SBAS),  # slots 1-24 unshifted: common practice, no source
    "E": (Range(1, 36, "E", 0), _GALILEO_300),  # ubx: 1-36 in 4.1+
    "C": (Range(1, 63, "C", 0), _BEIDOU_200, _BEIDOU_400),  # ubx: 1-37, later 1-63
    "J": (Range(1, 10, "J", 0), _QZSS_PRN),  # uni: 1-10 in 4.11, or 193-202
    "I": (Range(1, 15, "I", 0),),  # uni: 1-15 with system 6
    "": _BY_RANGE,  # combined or unknown talker without a system ID: by range alone
}

SYSTEM_OF_TALKER = {
    "GP": "G", "GL": "R", "GA": "E", "GB": "C", "BD": "C", "PQ": "C", "GQ": "J", "QZ": "J", "GI": "I",
}  # fmt: skip
"""nmea-facts.toml [talkers]; PQ is a module maker's BeiDou (odd sentences of real recordings)."""

SYSTEM_OF_ID = {"1": "G", "2": "R", "3": "E", "4": "C", "5": "J", "6": "I"}
"""GSA, GBS and GRS from NMEA 4.10 (1-3) and 4.11 (4-6); nmea-facts.toml [system_id]."""


@lru_cache(maxsize=4096)
def satellite_name(system: str, text: str) -> str | None:
    """RINEX name of the satellite that `text` numbers within `system` (a letter, or empty: by range).

    None for an empty number or 0, which some receivers pad with; `?` and the number where no table has it.
    """
    if not (text.isascii() and text.isdigit() and len(text) <= 4) or not int(text):
        return None
    number = int(text)
    for row in RANGES[system]:
        if row.first <= number <= row.last:
            return f"{row.system}{number - row.offset:02d}"
    return f"?{number}"

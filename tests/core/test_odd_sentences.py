"""Single real sentences that broke parsers or changed meaning: what becomes of each.

They are quoted as facts from public issue threads and logs; the file beside the recordings names the thread of each.
"""

from __future__ import annotations

from typing import Any

import pytest

from core.fix import FixMode, Heard
from core.nmea.decode import Malformed, decode
from core.nmea.fields import KNOT_MPS
from core.nmea.framing import Framer, Reason, Sentence
from tests.recordings import FOLDER, needs_recordings

Expected = Reason | str | dict[str, Any] | None
"""A Reason: refused in framing. A text: malformed, in these words. None: framed, but of no type that is used. Else
attributes of the reading."""

BAD, MISSING = Reason.BAD_CHECKSUM, Reason.NO_CHECKSUM
A, N = FixMode.AUTONOMOUS, FixMode.NONE


def heard(system: str, *rows: tuple[int, int | None, int | None, int | None]) -> tuple[Heard, ...]:
    return tuple(Heard(f"{system}{number:02d}", *rest) for number, *rest in rows)


ODD: dict[str, Expected] = {
    # The last satellite (QZSS 195) has no elevation and azimuth; QZSS and SBAS numbers under talker GP.
    "$GPGSV,4,4,16,30,40,104,47,40,25,159,32,41,15,129,36,195,,,35*75": {
        "satellites": (
            Heard("G30", 40, 104, 47),
            Heard("S27", 25, 159, 32),
            Heard("S28", 15, 129, 36),
            Heard("J03", None, None, 35),
        )
    },
    # Cut before the checksum: a lenient parser takes 8 for a satellite.
    "$GLGSV,1,1,04,87,45,004,39,72,43,088,39,65,32,147,41,78,31,299,40,8": MISSING,
    # A checksum of one digit.
    "$GPRMC,114130,A,3809.1250,N,02415.8050,E,12195.6,341.5,280915,5,E,A*1": BAD,
    # Signal IDs after one to four satellites.
    "$GPGSV,3,1,11,04,06,317,21,05,17,057,34,09,00,348,,12,01,118,,1*68": {
        "signal": "1",
        "satellites": heard("G", (4, 6, 317, 21), (5, 17, 57, 34), (9, 0, 348, None), (12, 1, 118, None)),
    },
    "$GPGSV,3,3,11,26,49,301,08,29,58,056,37,31,50,235,22,1*55": {
        "signal": "1",
        "satellites": heard("G", (26, 49, 301, 8), (29, 58, 56, 37), (31, 50, 235, 22)),
    },
    "$GPGSV,3,3,09,25,,,40,1*6E": {"signal": "1", "satellites": heard("G", (25, None, None, 40))},
    # The signal ID is a hexadecimal digit.
    "$GBGSV,2,2,06,14,55,175,46,40,29,043,18,B*06": {
        "signal": "B",
        "satellites": heard("C", (14, 55, 175, 46), (40, 29, 43, 18)),
    },
    # Two trailing fields; the first is the signal ID.
    "$BDGSV,4,1,16,01,,,37,02,,,38,03,,,39,05,,,37,0,4*6A": {
        "signal": "0",
        "satellites": heard("C", (1, None, None, 37), (2, None, None, 38), (3, None, None, 39), (5, None, None, 37)),
    },
    "$BDGSV,4,4,16,16,,,34,17,,,33,19,,,32,20,,,34,0,4*61": {
        "signal": "0",
        "satellites": heard(
            "C", (16, None, None, 34), (17, None, None, 33), (19, None, None, 32), (20, None, None, 34)
        ),
    },
    # A good fix whose navigational status says "none given".
    "$GNRMC,200728.50,A,2829.34783,N,08122.21257,W,0.057,,301223,,,A,V*0F": {
        "mode": A,
        "navigational_status": None,
        "course_deg": None,
    },
    # All but empty ones. Corrections of station 0000 without an age are none.
    "$GPGGA,,,,,,0,00,,,M,0.0,M,,0000*48": {"mode": N, "hdop": None, "altitude_m": None, "correction_station": None},
    "$GPGGA,,,,,,0,,,,,,,,*66": {"mode": N, "time_ms": None, "satellites": None},
    "$GPRMC,,V,,,,,,,,,,N*53": {"mode": N, "time_ms": None, "day": None},
    "$GPGSA,,1,,,,,,,,,,,,,,,*5F": {"dimensions": 1, "satellites": (), "hdop": None},
    "$GPGLL,,,,,,V,N*64": {"mode": N, "position": None},
    "$GPVTG,,,,,,,,,N*30": {"mode": N, "speed_mps": None, "course_deg": None},
    # Status L: whatever it means, it is not A.
    "$GPRMC,150449.000,L,4239.5210,N,02318.7727,E,39.75,326.93,040915,,*38": {"mode": N},
    # A 2D fix has no height.
    "$GPGGA,160545,5008.6263,N,01422.4224,E,1,03,3.6,,M,45.0,M,,*61": {
        "mode": A,
        "altitude_m": None,
        "geoid_separation_m": 45.0,
    },
    # A time without a fraction.
    "$GPGGA,004646,3350.7509,N,11818.7148,W,1,06,1.3,52.6,M,-35.2,M,,*49": {
        "time_ms": 2_806_000,
        "altitude_m": 52.6,
        "geoid_separation_m": -35.2,
    },
    # The last satellite has no field for its signal at all.
    "$GPGSV,3,3,09,24,06,148,22*4D": {"signal": "", "satellites": heard("G", (24, 6, 148, 22))},
    # Two merged by lost bytes, and the checksum passes; then two of which it does not.
    "$GPRMC,181536.000,A,5936.79K,D*3A": "4 fields, RMC has 9 at least",
    "$GPGGA,223154.00,5025.333,E,223154.00,A,A*67": BAD,
    "$GPGSV,4,,,A*7A": BAD,
    # A tail cut off.
    "$GPGSV,3,2,12,10,37,050,19,22,31,215,15,16,06,181,08,28,15,3": MISSING,
    # Padded heights; a VTG without a mode.
    "$GPGGA,183800.0,3203.121,N,03446.075,E,1,03,4.90,00038,M,017,M,,*5A": {
        "altitude_m": 38.0,
        "geoid_separation_m": 17.0,
        "hdop": 4.9,
    },
    "$GPVTG,000.0,T,357.3,M,000.00,N,000.00,K*4C": {"course_deg": 0.0, "speed_mps": 0.0, "mode": None},
    # No satellite but a signal ID.
    "$GAGSV,1,1,00,0*74": {"signal": "0", "satellites": ()},
    "$GBGSV,1,1,00,0*77": {"signal": "0", "satellites": ()},
    # Six decimals of a minute; a direction of the variation without its value.
    "$GNRMC,021152.000,A,2929.000108,N,10629.000282,E,0.003,316.55,020717,,E,A*09": {
        "mode": A,
        "course_deg": 316.55,
        "speed_mps": pytest.approx(0.003 * KNOT_MPS),
    },
    # 522 knots are fast, not impossible.
    "$GPRMC,173253,A,3800.8363,N,02359.8069,E,522.2,305.8,310321,5,E,A*05": {
        "mode": A,
        "speed_mps": pytest.approx(522.2 * KNOT_MPS),
    },
    # Padded with empty groups; a signal of 00 is none.
    "$GPGSV,3,3,09,20,,,00,,,,,,,,,,,,*72": {"signal": "", "satellites": heard("G", (20, None, None, None))},
    # A short tail: an age of corrections and no station. HDOP 0.0 is none.
    "$GNGGA,172705.00,4220.2352990,N,07105.2111316,W,1,02,0.0,15.952,M,-28.727,M,1.0,*52": {
        "mode": A,
        "hdop": None,
        "correction_age_s": 1.0,
        "correction_station": None,
    },
    # The quality field is empty, not 0.
    "$GPGGA,,,,,,,,,,M,,M,,*56": {"mode": N, "position": None},
    # Hundreds of knots while void.
    "$GNRMC,145309.098,V,,,,,425.45,10.84,250517,,,N*63": {"mode": N, "position": None},
    # A logger's header without a checksum.
    "$ADVER,3080,2.4P": MISSING,
    # Talker PQ is a BeiDou receiver's, not a maker's.
    "$PQGSV,3,1,12,02,11,112,,05,28,135,,07,22,049,,09,02,118,,0*73": {
        "signal": "0",
        "satellites": heard("C", (2, 11, 112, None), (5, 28, 135, None), (7, 22, 49, None), (9, 2, 118, None)),
    },
    # Its system ID 5 is QZSS's, but its GSV (above) are BeiDou's, and QZSS has no 11.
    "$PQGSA,A,2,10,11,,,,,,,,,,,1.0,0.7,0.7,5*3C": {"dimensions": 2, "satellites": ("C10", "C11"), "hdop": 0.7},
}


@pytest.mark.parametrize(("text", "expected"), ODD.items(), ids=list(ODD))
def test_odd_sentences(text: str, expected: Expected) -> None:
    (event,) = Framer().feed(f"{text}\r\n".encode())
    if isinstance(expected, Reason):
        assert not isinstance(event, Sentence)
        assert event.reason is expected
        return
    assert isinstance(event, Sentence)
    reading = decode(event)
    if isinstance(expected, str):
        assert reading == Malformed(expected)
        return
    assert reading is not None
    assert expected is not None
    assert {key: getattr(reading, key) for key in expected} == expected


@needs_recordings
def test_each_odd_sentence_of_the_file_has_an_expectation() -> None:
    lines = (FOLDER / "odd-sentences.txt").read_text("utf-8").splitlines()
    quoted = [line for line in lines if line and not line.startswith("#")]
    assert [text for text in quoted if text not in ODD] == []
    assert len(quoted) >= 35

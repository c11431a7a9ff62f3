"""Sentences to readings: every layout in its forms, and what cannot be believed, in tables."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import FaultDetection, FixMode, Heard, PseudorangeNoise
from core.nmea.decode import Malformed, decode
from core.nmea.fields import KNOT_MPS
from core.nmea.framing import Sentence
from core.nmea.readings import Datum, Gbs, Gga, Gll, Gns, Gsa, Gst, Gsv, Heading, Reading, Rmc, Text, Vtg, Zda
from tests.build import PLACE
from tests.played import HERE, QUALITY, read

NOON_MS = 43_200_000


# Every layout in its forms

A, D, N = FixMode.AUTONOMOUS, FixMode.DIFFERENTIAL, FixMode.NONE
NOTHING = PseudorangeNoise(None, None, None, None, None, None, None)
FIVE_KNOTS = 5 * KNOT_MPS
DAY = date(2031, 5, 4)

FORMS: list[tuple[str, Reading]] = [
    # RMC: before 2.3, 2.3, 4.10, shortened, empty.
    (f"GPRMC,120000,A,{PLACE},5.0,90.0,040531,,", Rmc(NOON_MS, None, HERE, FIVE_KNOTS, 90.0, DAY, None)),
    (f"GPRMC,120000.5,A,{PLACE},5.0,90.0,040531,,,D", Rmc(NOON_MS + 500, D, HERE, FIVE_KNOTS, 90.0, DAY, None)),
    (f"GNRMC,120000,A,{PLACE},5.0,90.0,040531,,,A,S", Rmc(NOON_MS, A, HERE, FIVE_KNOTS, 90.0, DAY, "S")),
    (f"GNRMC,120000,A,{PLACE},5.0,90.0,040531,,,A,V", Rmc(NOON_MS, A, HERE, FIVE_KNOTS, 90.0, DAY, None)),
    (f"GNRMC,120000,A,{PLACE},5.0,90.0,040531", Rmc(NOON_MS, None, HERE, FIVE_KNOTS, 90.0, DAY, None)),
    (f"GNRMC,120000,A,{PLACE},,,040531,,,A", Rmc(NOON_MS, A, HERE, None, None, DAY, None)),
    ("GNRMC,,V,,,,,,,,,,N", Rmc(None, N, None, None, None, None, None)),
    (f"GNRMC,120000,V,{PLACE},5.0,90.0,040531,,,A", Rmc(NOON_MS, N, HERE, FIVE_KNOTS, 90.0, DAY, None)),
    # GGA: full, unpadded, corrections, empty.
    (f"GNGGA,120000,{PLACE},1,08,1.1,12.5,M,30.0,M,,", Gga(NOON_MS, A, HERE, 8, 1.1, 12.5, 30.0, None, None)),
    (f"GNGGA,120000,{PLACE},1,8,01.1,-0012.5,M,-30,M,,", Gga(NOON_MS, A, HERE, 8, 1.1, -12.5, -30.0, None, None)),
    (f"GNGGA,120000,{PLACE},2,08,1.1,,M,,M,3.5,0120", Gga(NOON_MS, D, HERE, 8, 1.1, None, None, 3.5, "0120")),
    (f"GNGGA,120000,{PLACE},2,08,1.1,,M,,M,,0000", Gga(NOON_MS, D, HERE, 8, 1.1, None, None, None, None)),
    (f"GNGGA,120000,{PLACE},2,08,1.1,,M,,M,1.0,0000", Gga(NOON_MS, D, HERE, 8, 1.1, None, None, 1.0, "0000")),
    (f"GNGGA,120000,{PLACE},1,08,1.1,12.5", Gga(NOON_MS, A, HERE, 8, 1.1, 12.5, None, None, None)),
    ("GPGGA,,,,,,0,00,99.99,,,,,,", Gga(None, N, None, 0, None, None, None, None, None)),
    ("GPGGA,,,,,,,,,,M,,M,,", Gga(None, N, None, None, None, None, None, None, None)),
    # GNS: one letter per system.
    (f"GNGNS,120000,{PLACE},AN,08,1.1,12.5,30.0,,", Gns(NOON_MS, A, HERE, 8, 1.1, 12.5, 30.0, None, None, None)),
    (f"GNGNS,120000,{PLACE},DA,08,1.1,12.5,30.0,2,7,C", Gns(NOON_MS, D, HERE, 8, 1.1, 12.5, 30.0, 2.0, "7", "C")),
    ("GNGNS,,,,,,NNNN,,,,", Gns(None, N, None, None, None, None, None, None, None, None)),
    # GLL: 1.5, 2.0, 2.3, empty.
    (f"LCGLL,{PLACE}", Gll(None, None, HERE)),
    (f"GPGLL,{PLACE},120000,A", Gll(NOON_MS, None, HERE)),
    (f"GPGLL,{PLACE},120000,A,D", Gll(NOON_MS, D, HERE)),
    (f"GPGLL,{PLACE},120000,V,A", Gll(NOON_MS, N, HERE)),
    ("GPGLL,,,,,,V,N", Gll(None, N, None)),
    (f"GPGLL,{PLACE},120000,,", Gll(NOON_MS, N, HERE)),
    # ZDA: with and without zone, empty, no such day.
    ("GPZDA,120000.00,04,05,2031,00,00", Zda(NOON_MS, DAY)),
    ("GPZDA,120000.00,04,05,2031", Zda(NOON_MS, DAY)),
    ("GPZDA,120000.00,4,5,2031,-13,30", Zda(NOON_MS, DAY)),
    ("GPZDA,120000.00,,,,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,30,02,2031,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,04,05,,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,04,,2031,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,,05,2031,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,00,00,0000,,", Zda(NOON_MS, None)),
    ("GPZDA,120000.00,x,05,99999,,", Zda(NOON_MS, None)),
    ("GPZDA,,,,,,", Zda(None, None)),
    # GST, GBS.
    ("GPGST,120000,7,9,5,45.0,1.5,2.5,3.5", Gst(NOON_MS, PseudorangeNoise(7.0, 9.0, 5.0, 45.0, 1.5, 2.5, 3.5))),
    ("GPGST,120000,,,,,,,", Gst(NOON_MS, NOTHING)),
    ("GPGST,120000,-7,nan,1e3,400,1_0,x,-0.1", Gst(NOON_MS, NOTHING)),
    ("GPGBS,120000,1.6,1.4,3.2,,,,", Gbs(NOON_MS, FaultDetection(1.6, 1.4, 3.2, None))),
    ("GPGBS,120000,1.6,1.4,3.2,03,,-21.4,3.8", Gbs(NOON_MS, FaultDetection(1.6, 1.4, 3.2, "G03"))),
    ("GNGBS,120000,1.6,1.4,3.2,03,,-21.4,3.8,3,7", Gbs(NOON_MS, FaultDetection(1.6, 1.4, 3.2, "E03"))),
    # VTG: 2.3, 2.0, before 2.0, km/h alone, empty.
    ("GPVTG,90.0,T,80.0,M,5.0,N,9.3,K,D", Vtg(90.0, FIVE_KNOTS, D)),
    ("GPVTG,90.0,T,80.0,M,5.0,N,9.3,K", Vtg(90.0, FIVE_KNOTS, None)),
    ("GPVTG,90.0,80.0,5.0,9.3", Vtg(90.0, FIVE_KNOTS, None)),
    ("GPVTG,,T,,M,,N,18.0,K,A", Vtg(None, 5.0, A)),
    ("GPVTG,,,,,,,,,N", Vtg(None, None, N)),
    ("GPVTG,90.0,T,80.0,M", Vtg(90.0, None, None)),  # cut short: 80 is a course, not a speed
    ("GPVTG,,T,,M,,N,,K", Vtg(None, None, None)),
    # GSA: before and from 4.10, talkers, unknown slot, no fix.
    ("GPGSA,A,3,05,,,,,,,,,,,,2.0,1.0,1.7", Gsa(3, ("G05",), 2.0, 1.0, 1.7, "G")),
    ("GNGSA,A,2,05,65,33,,,,,,,,,,2.0,1.0,1.7", Gsa(2, ("G05", "R01", "S20"), 2.0, 1.0, 1.7, "")),
    ("GNGSA,M,3,05,,,,,,,,,,,,2.0,1.0,1.7,4", Gsa(3, ("C05",), 2.0, 1.0, 1.7, "C")),
    ("GNGSA,A,3,05,,,,,,,,,,,,2.0,1.0,1.7,F", Gsa(3, ("G05",), 2.0, 1.0, 1.7, "")),
    ("PQGSA,A,2,10,11,,,,,,,,,,,1.0,0.7,0.7", Gsa(2, ("C10", "C11"), 1.0, 0.7, 0.7, "C")),
    ("PQGSA,A,2,10,11,,,,,,,,,,,1.0,0.7,0.7,5", Gsa(2, ("C10", "C11"), 1.0, 0.7, 0.7, "C")),  # the talker is believed
    ("GPGSA,A,3,65,,,,,,,,,,,,2.0,1.0,1.7,2", Gsa(3, ("R01",), 2.0, 1.0, 1.7, "R")),  # GP may speak for all
    ("GLGSA,A,1,,,,,,,,,,,,,99.99,99.99,99.99", Gsa(1, (), None, None, None, "R")),
    ("GPGSA,,1,,,,,,,,,,,,,,,", Gsa(1, (), None, None, None, "G")),
    ("GPGSA,A,9,0,00,,,,,,,,,,,0.0,0.0,0.0", Gsa(None, (), None, None, None, "G")),
    # Headings.
    ("HEHDT,119.9,T", Heading(119.9, None)),
    ("HEHDT,360.0,T", Heading(0.0, None)),
    ("HEHDT,,T", Heading(None, None)),
    ("GPTHS,77.5,A", Heading(77.5, None)),
    ("GPTHS,77.5,E", Heading(77.5, None)),
    ("GPTHS,77.5,M", Heading(None, None)),
    ("GPTHS,77.5,S", Heading(None, None)),
    ("GPTHS,77.5,V", Heading(None, None)),
    ("GPTHS,77.5,", Heading(None, None)),
    ("HCHDG,100.0,2.0,E,3.0,W", Heading(99.0, 102.0)),
    ("HCHDG,100.0,2.0,W,3.0,E", Heading(101.0, 98.0)),
    ("HCHDG,359.0,2.0,E,3.0,E", Heading(4.0, 1.0)),
    ("HCHDG,1.0,2.0,W,3.0,W", Heading(356.0, 359.0)),
    ("HCHDG,100.0,,,3.0,E", Heading(103.0, 100.0)),
    ("HCHDG,100.0,,,,", Heading(None, 100.0)),
    ("HCHDG,100.0", Heading(None, 100.0)),
    ("HCHDG,,2.0,E,3.0,E", Heading(None, None)),
    ("HCHDG,100.0,2.0,X,3.0,X", Heading(None, 100.0)),
    # The rest.
    ("GPDTM,W84,,0.0,N,0.0,E,0.0,W84", Datum("W84")),
    ("GPDTM,999", Datum("999")),
    ("GPTXT,01,01,02,a,b,,c", Text("02", "a,b,,c")),
    ("GPTXT,01,01,02,", Text("02", "")),
]


@pytest.mark.parametrize(("body", "expected"), FORMS, ids=[body for body, _ in FORMS])
def test_forms(body: str, expected: Reading) -> None:
    found = read(body)
    assert type(found) is type(expected)
    assert found == expected


LETTERS = {
    "A": "autonomous", "D": "differential", "P": "precise", "R": "rtk_fixed", "F": "rtk_float",
    "E": "estimated", "M": "manual", "S": "simulated", "N": "none", "X": "none", "a": "none", "AA": "none",
}  # fmt: skip
"""nmea-facts.toml [mode_indicator]; what is not there is not a fix."""


@pytest.mark.parametrize(("letter", "mode"), LETTERS.items())
def test_mode_letters(letter: str, mode: str) -> None:
    for body in (
        f"GNRMC,120000,A,{PLACE},5.0,90.0,040531,,,{letter}",
        f"GNGLL,{PLACE},120000,A,{letter}",
        f"GNVTG,90.0,T,,M,5.0,N,9.3,K,{letter}",
    ):
        reading = read(body)
        assert isinstance(reading, Rmc | Gll | Vtg)
        assert reading.mode == mode


@pytest.mark.parametrize("digit", ["", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "01", "-1", "A", "1.0"])
def test_quality_digits(digit: str) -> None:
    reading = read(f"GNGGA,120000,{PLACE},{digit},08,1.1,12.5,M,30.0,M,,")
    assert isinstance(reading, Gga)
    assert reading.mode == (QUALITY[int(digit)] if digit in set("12345678") else "none")


@pytest.mark.parametrize(
    ("letters", "mode"),
    [
        ("", "none"),
        ("N", "none"),
        ("NNNNNN", "none"),
        ("A", "autonomous"),
        ("NAN", "autonomous"),
        ("AD", "differential"),
        ("DP", "precise"),
        ("DF", "rtk_float"),
        ("FR", "rtk_fixed"),
        ("RE", "estimated"),
        ("EM", "manual"),
        ("MS", "simulated"),
        ("XYZ", "none"),
        ("XA", "autonomous"),
    ],
)
def test_letters_of_gns(letters: str, mode: str) -> None:
    """The best of the systems, but what is not from satellites must show."""
    for spoken in (letters, letters[::-1]):
        reading = read(f"GNGNS,120000,{PLACE},{spoken},08,1.1,12.5,30.0,,")
        assert isinstance(reading, Gns)
        assert reading.mode == mode


@pytest.mark.parametrize(("letter", "status"), [*zip("SCU", "SCU", strict=True), *[(x, None) for x in ("V", "", "X")]])
def test_navigational_status(letter: str, status: str | None) -> None:
    for body in (
        f"GNRMC,120000,A,{PLACE},5.0,90.0,040531,,,A,{letter}",
        f"GNGNS,120000,{PLACE},AN,08,1.1,12.5,30.0,,,{letter}",
    ):
        reading = read(body)
        assert isinstance(reading, Rmc | Gns)
        assert reading.navigational_status == status


# GSV

FOUR = "01,10,020,30,02,11,021,31,03,12,022,32,04,13,023,33"
FOUR_HEARD = tuple(Heard(f"G{n:02d}", 9 + n, 19 + n, 29 + n) for n in (1, 2, 3, 4))
THREE = tuple(Heard(name, 10, 20, 30) for name in ("G05", "R06", "S27"))
PAGES: list[tuple[str, int, int, str, tuple[Heard, ...]]] = [
    # body, pages, page, signal, satellites
    (f"GPGSV,1,1,04,{FOUR}", 1, 1, "", FOUR_HEARD),
    (f"GPGSV,1,1,04,{FOUR},1", 1, 1, "1", FOUR_HEARD),
    (f"GPGSV,1,1,04,{FOUR},b", 1, 1, "B", FOUR_HEARD),
    (f"GPGSV,1,1,04,{FOUR},0,4", 1, 1, "0", FOUR_HEARD),  # two trailing fields: seen in a real sentence
    ("GPGSV,1,1,02,01,10,020,30,02,11,021,31", 1, 1, "", FOUR_HEARD[:2]),
    ("GPGSV,1,1,02,01,10,020,30,02,11,021,31,8", 1, 1, "8", FOUR_HEARD[:2]),
    ("GPGSV,1,1,02,01,10,020,30,02,11,021,31,,,,,,,,", 1, 1, "", FOUR_HEARD[:2]),
    ("GPGSV,1,1,02,01,10,020,30,02,11,021,31,,,,,,,,,5", 1, 1, "5", FOUR_HEARD[:2]),
    ("GPGSV,1,1,01,01,10,020,30", 1, 1, "", FOUR_HEARD[:1]),
    ("GPGSV,1,1,01,01,10,020", 1, 1, "", (Heard("G01", 10, 20, None),)),  # the last field is missing altogether
    ("GPGSV,1,1,00", 1, 1, "", ()),
    ("GPGSV,1,1,00,7", 1, 1, "7", ()),
    ("GPGSV,3,2,12,01,10,020,30", 3, 2, "", FOUR_HEARD[:1]),
    ("GPGSV,03,02,12,01,10,020,30", 3, 2, "", FOUR_HEARD[:1]),
    ("GPGSV,12,11,48,01,10,020,30", 12, 11, "", FOUR_HEARD[:1]),
    # Fields of a satellite, empty or impossible.
    ("GPGSV,1,1,01,01,,,30", 1, 1, "", (Heard("G01", None, None, 30),)),
    ("GPGSV,1,1,01,01,10,020,", 1, 1, "", (Heard("G01", 10, 20, None),)),
    ("GPGSV,1,1,01,01,10,020,00", 1, 1, "", (Heard("G01", 10, 20, None),)),  # 0 is "not tracked"
    ("GPGSV,1,1,01,01,91,361,100", 1, 1, "", (Heard("G01", None, None, None),)),
    ("GPGSV,1,1,01,01,-05,360,99", 1, 1, "", (Heard("G01", -5, 0, 99),)),
    ("GPGSV,1,1,01,01,10.4,359.6,30", 1, 1, "", (Heard("G01", 10, 0, 30),)),
    ("GPGSV,1,1,01,01,nan,1e2,3_0", 1, 1, "", (Heard("G01", None, None, None),)),
    ("GPGSV,1,1,03,,10,020,30,00,10,020,30,x,10,020,30", 1, 1, "", ()),
    # Talkers.
    ("GAGSV,1,1,01,05,10,020,30,7", 1, 1, "7", (Heard("E05", 10, 20, 30),)),
    ("GBGSV,1,1,01,05,10,020,30,B", 1, 1, "B", (Heard("C05", 10, 20, 30),)),
    ("BDGSV,1,1,01,05,10,020,30", 1, 1, "", (Heard("C05", 10, 20, 30),)),
    ("PQGSV,1,1,01,05,10,020,30", 1, 1, "", (Heard("C05", 10, 20, 30),)),
    ("GLGSV,1,1,01,65,10,020,30", 1, 1, "", (Heard("R01", 10, 20, 30),)),
    ("GQGSV,1,1,01,03,10,020,30,1", 1, 1, "1", (Heard("J03", 10, 20, 30),)),
    ("GIGSV,1,1,01,03,10,020,30,1", 1, 1, "1", (Heard("I03", 10, 20, 30),)),
    ("GNGSV,1,1,03,05,10,020,30,70,10,020,30,40,10,020,30", 1, 1, "", THREE),
    ("XXGSV,1,1,01,05,10,020,30", 1, 1, "", (Heard("G05", 10, 20, 30),)),
]  # fmt: skip


@pytest.mark.parametrize(("body", "pages", "page", "signal", "heard"), PAGES, ids=[row[0] for row in PAGES])
def test_pages_of_gsv(*, body: str, pages: int, page: int, signal: str, heard: tuple[Heard, ...]) -> None:
    found = read(body)
    assert isinstance(found, Gsv)
    assert (found.pages, found.page, found.signal, found.satellites) == (pages, page, signal, heard)


@pytest.mark.parametrize(
    "head", ["", ",1", ",1,1", ",0,0,00", ",2,3,12", ",,,A", ",1,0,00", ",-1,-1,0", ",100,1,0", ",x,1,0"]
)
def test_pages_that_cannot_be(head: str) -> None:
    assert isinstance(read(f"GPGSV{head}"), Malformed)


# What cannot be believed

MALFORMED = [
    ("GNRMC,120000,A,1030.0,N", "4 fields, RMC has 9 at least"),
    ("GPRMC,181536.000,A,5936.79K,D", "4 fields, RMC has 9 at least"),  # a real one whose checksum passes
    ("GPGGA,223154.00,5025.333,E,223154.00,A,A", "6 fields, GGA has 9 at least"),  # two merged by lost bytes
    ("GNGGA", "0 fields, GGA has 9 at least"),
    ("GPGSA,A,3,05", "3 fields, GSA has 17 at least"),
    ("GPGLL,1030.0,N,2015.0", "3 fields, GLL has 4 at least"),
    ("GPTXT,01,01,02", "3 fields, TXT has 4 at least"),
    ("GPTHS,1.0", "1 fields, THS has 2 at least"),
    *[
        (f"GNRMC,{time},A,{PLACE},5.0,90.0,040531,,,A", f"time {time!r} is n")
        for time in ("12000", "1200000", "240000", "126000", "120060", "12:00:00", "-20000", "12000O", "1e5000",
                     "120000.x", "120000.1.2", "+20000", " 20000", "235961", "225960", "120000.\xb2", "12000\xb2", ".5")
    ],
    *[
        (f"GNRMC,120000,A,{PLACE},5.0,90.0,{day},,,A", f"date {day!r} is not ddmmyy")
        for day in ("04053", "0405311", "2031-05-04", "O40531", "04\xb2531", "-40531")
    ],
]  # fmt: skip


@pytest.mark.parametrize(("body", "detail"), MALFORMED, ids=[repr(body) for body, _ in MALFORMED])
def test_malformed(body: str, detail: str) -> None:
    found = read(body)
    assert isinstance(found, Malformed)
    assert found.detail.startswith(detail)


@pytest.mark.parametrize(
    "body", ["GNRMCH,120000", "PABC,1", "PGRMC,1,2", "GPXXX,1", "GPRMB,A", "PMTK011,X", "GNGGAX,1", "ABC"]
)
def test_types_that_are_not_used(body: str) -> None:
    assert read(body) is None


@given(
    st.sampled_from(["RMC", "GGA", "GNS", "GLL", "ZDA", "GST", "GBS", "VTG", "GSA", "GSV", "HDT", "THS", "HDG", "DTM",
                     "TXT"]),
    st.lists(st.one_of(st.sampled_from(["", "A", "1", "120000", "1030.0", "N", "02015.0", "W", "040531", "99"]),
                       st.text(st.characters(max_codepoint=255), max_size=12)), max_size=25),
)  # fmt: skip
def test_no_fields_raise(kind: str, texts: list[str]) -> None:
    body = ",".join([f"GN{kind}", *texts])
    found = decode(Sentence(f"GN{kind}", body, f"${body}", None, None, True))
    assert found is not None
    if isinstance(found, Gsv):
        assert all(one.name for one in found.satellites)

"""A Fix written as sentences: two libraries read every one, and our own reader gets the same Fix back."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pynmea2
import pynmeagps
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.fix import SATELLITE_FIX_MODES, Fix, FixMode, Position, PseudorangeNoise, Satellite, Utc
from core.model import FixModel, Snapshot
from core.nmea.write import LONGEST, TYPES, UNMEASURED, USUAL_TYPES, Epoch, notice, sentences, void
from tests.build import xor_of

NOON = Utc(43_200_000, date(2031, 5, 4))
OCEAN = Position(-47.312345, -12.706789)
NOISE = PseudorangeNoise(7.5, 1.25, 0.75, 33.5, 1.5, 2.5, 3.5)
GOOD = Fix(
    utc=NOON,
    position=OCEAN,
    mode=FixMode.AUTONOMOUS,
    dimensions=3,
    altitude_m=31.4,
    geoid_separation_m=21.4,
    speed_mps=1.5,
    course_deg=359.996,
    used=("G05", "G30", "S23", "R07", "E09", "C21", "J02", "I03"),
    pdop=1.6,
    hdop=0.9,
    vdop=1.3,
    noise=NOISE,
    told=True,
)
SKY = (
    Satellite("G05", 45, 90, 41, True),
    Satellite("G30", 50, 120, 42, True),
    Satellite("S23", 33, 180, 38, True),
    Satellite("G07", 30, 180, None, False),
    Satellite("G13", 60, 270, 44, False),
    Satellite("R07", None, None, 35, True),
    Satellite("E09", 65, 330, 45, True),
)


def said(fix: Fix, *types: str, sky: tuple[Satellite, ...] | None = None, talker: str = "GN") -> list[str]:
    data = sentences(Epoch(fix, sky, talker), types or USUAL_TYPES)
    assert all(line.endswith(b"\r\n") for line in data)
    return [line.decode("ascii").rstrip("\r\n") for line in data]


def bodies(fix: Fix, *types: str, sky: tuple[Satellite, ...] | None = None) -> list[str]:
    return [line[1:-3] for line in said(fix, *types, sky=sky)]


def read_back(fix: Fix, *types: str, sky: tuple[Satellite, ...] | None = None) -> Snapshot:
    model = FixModel()
    model.feed(b"".join(sentences(Epoch(fix, sky), types or USUAL_TYPES)), 0.0)
    return model.snapshot()


# What each sentence looks like, by hand from nmea-facts.toml [fields]


def test_a_fix_in_every_type() -> None:
    assert bodies(GOOD, *TYPES) == [
        "GNRMC,120000.00,A,4718.74070,S,01242.40734,W,2.916,0.00,040531,,,A,V",
        "GNVTG,0.00,T,,M,2.916,N,5.400,K,A",
        "GNGGA,120000.00,4718.74070,S,01242.40734,W,1,08,0.90,31.4,M,21.4,M,,",
        "GNGLL,4718.74070,S,01242.40734,W,120000.00,A,A",
        "GNGSA,A,3,05,30,36,,,,,,,,,,1.60,0.90,1.30,1",
        "GNGSA,A,3,71,,,,,,,,,,,,1.60,0.90,1.30,2",
        "GNGSA,A,3,09,,,,,,,,,,,,1.60,0.90,1.30,3",
        "GNGSA,A,3,21,,,,,,,,,,,,1.60,0.90,1.30,4",
        "GNGSA,A,3,02,,,,,,,,,,,,1.60,0.90,1.30,5",
        "GNGSA,A,3,03,,,,,,,,,,,,1.60,0.90,1.30,6",
        "GNGST,120000.00,7.50,1.25,0.75,33.5,1.50,2.50,3.50",
        "GNZDA,120000.00,04,05,2031,00,00",
    ]


def test_the_sky_in_pages_of_four_under_each_system_s_own_talker() -> None:
    assert bodies(GOOD, "GSV", sky=SKY) == [
        "GPGSV,2,1,05,05,45,090,41,30,50,120,42,36,33,180,38,07,30,180,,0",
        "GPGSV,2,2,05,13,60,270,44,0",
        "GLGSV,1,1,01,71,,,35,0",
        "GAGSV,1,1,01,09,65,330,45,0",
    ]


def test_no_fix_is_void_in_every_type_and_unknown_stays_empty() -> None:
    assert bodies(void(NOON), *TYPES) == [
        "GNRMC,120000.00,V,,,,,,,040531,,,N,V",
        "GNVTG,,,,,,,,,N",
        "GNGGA,120000.00,,,,,0,00,,,M,,M,,",
        "GNGLL,,,,,120000.00,V,N",
        "GNGSA,A,1,,,,,,,,,,,,,,,,1",
        "GNZDA,120000.00,04,05,2031,00,00",
    ]
    assert bodies(void(), "RMC", "ZDA") == ["GNRMC,,V,,,,,,,,,,N,V"]
    bare = Fix(position=OCEAN, mode=FixMode.AUTONOMOUS, told=True)
    assert bodies(bare) == [
        "GNRMC,,A,4718.74070,S,01242.40734,W,,,,,,A,V",
        "GNVTG,,,,,,,,,A",
        "GNGGA,,4718.74070,S,01242.40734,W,1,,,,M,,M,,",
    ]


# Written out again: nmea-facts.toml [gga_quality], [mode_indicator] and its rule for the status, [fix_flags_nmea41].
FLAGS = {
    FixMode.AUTONOMOUS: ("A", "A", "1", "A"),
    FixMode.DIFFERENTIAL: ("A", "D", "2", "D"),
    FixMode.PRECISE: ("A", "P", "3", "P"),
    FixMode.RTK_FIXED: ("A", "R", "4", "D"),
    FixMode.RTK_FLOAT: ("A", "F", "5", "D"),
    FixMode.ESTIMATED: ("A", "E", "6", "E"),
    FixMode.MANUAL: ("V", "M", "7", "M"),
    FixMode.SIMULATED: ("V", "S", "8", "S"),
}


@pytest.mark.parametrize("mode", FLAGS)
def test_every_mode_says_what_it_is_wherever_it_can(mode: FixMode) -> None:
    rmc, vtg, gga, gll = (one.split(",") for one in bodies(GOOD._replace(mode=mode), "RMC", "VTG", "GGA", "GLL"))
    status, letter, quality, motion = FLAGS[mode]
    assert (rmc[2], rmc[12], gll[6], gll[7]) == (status, letter, status, letter)
    assert (gga[6], vtg[9]) == (quality, motion)


def test_every_mode_there_is_has_its_flags() -> None:
    assert set(FLAGS) == set(FixMode) - {FixMode.NONE}
    assert not UNMEASURED & SATELLITE_FIX_MODES


@pytest.mark.parametrize("mode", sorted(UNMEASURED))
def test_nothing_that_satellites_did_not_give_looks_measured(mode: FixMode) -> None:
    full = GOOD._replace(mode=mode, heading_deg=12.0, correction_age_s=2.0, correction_station="0120")
    found = {one[2:5]: one for one in bodies(full, *TYPES, sky=SKY)}
    assert set(found) == {"RMC", "VTG", "GGA", "GLL", "GSA"}
    assert found["GSA"] == "GNGSA,A,1,,,,,,,,,,,,,,,,1"
    assert found["GGA"].split(",")[7:] == ["00", "", "31.4", "M", "21.4", "M", "", ""]
    assert not read_back(full, sky=SKY).fix.is_satellite_fix


def test_a_position_without_a_mode_is_no_fix() -> None:
    for fix in (GOOD._replace(mode=FixMode.NONE), GOOD._replace(position=None)):
        assert bodies(fix, "RMC", "GGA") == [
            "GNRMC,120000.00,V,,,,,,,040531,,,N,V",
            "GNGGA,120000.00,,,,,0,00,,,M,,M,,",
        ]


def test_another_datum_is_said_before_any_position_wanted_or_not() -> None:
    assert bodies(GOOD._replace(datum="P90"), "GLL")[0] == "GNDTM,P90,,,,,,,W84"
    assert len(bodies(GOOD._replace(datum="W84"), "GLL")) == 1
    assert len(bodies(GOOD._replace(datum="$,*"), "GLL")) == 1
    assert read_back(GOOD._replace(datum="P90")).fix.datum == "P90"


def test_a_satellite_that_a_reader_would_take_for_another_one_is_left_out() -> None:
    odd = ("?99", "G33", "E37", "G", "Gxx", "")
    assert bodies(GOOD._replace(used=odd), "GSA") == []
    assert bodies(GOOD, "GSV", sky=tuple(Satellite(name, 1, 2, 3, False) for name in odd)) == []


def test_more_than_twelve_satellites_of_a_system_are_cut_in_the_list_and_counted_in_gga() -> None:
    many = tuple(f"G{n:02d}" for n in range(1, 16))
    (gsa,) = bodies(GOOD._replace(used=many), "GSA")
    assert gsa.split(",")[3:15] == [f"{n:02d}" for n in range(1, 13)]
    assert bodies(GOOD._replace(used=many), "GGA")[0].split(",")[7] == "15"


def test_a_leap_second_and_a_millisecond() -> None:
    assert bodies(void(Utc(86_400_500, None)), "GGA")[0].startswith("GNGGA,235960.50,")
    assert bodies(void(Utc(1, None)), "GGA")[0].startswith("GNGGA,000000.001,")


@pytest.mark.parametrize(
    ("degrees", "text"),
    [(0.99999999, "00100.00000"), (179.9999999999, "18000.00000"), (-0.00000001, "00000.00000"), (10.1, "01006.00000")],
)
def test_no_minute_reads_sixty(degrees: float, text: str) -> None:
    assert bodies(GOOD._replace(position=Position(0.0, degrees)), "GLL")[0].split(",")[3] == text


def test_the_talker_is_as_wished_but_for_the_sky() -> None:
    lines = said(GOOD, *TYPES, sky=SKY, talker="GP")
    assert {line[1:3] for line in lines if line[3:6] != "GSV"} == {"GP"}
    assert {line[1:3] for line in lines if line[3:6] == "GSV"} == {"GP", "GL", "GA"}


def test_a_notice_holds_one_line_of_plain_text_and_no_more() -> None:
    assert notice("REPLAY") == b"$GNTXT,01,01,01,REPLAY*43\r\n"
    hostile = notice("a$b*c,d\r\n$GNRMC,1\x1b[2J^\\~!" + "é" * 200, "GP").decode("ascii")
    assert hostile.count("$") == hostile.count("*") == 1
    assert len(hostile) == LONGEST
    assert hostile.isprintable() or hostile[:-2].isprintable()
    assert pynmea2.parse(hostile.strip(), check=True).text.startswith("a b c d??")


# By others


def finite(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


NAMES = [
    f"{letter}{n:02d}" for letter, most in (("G", 32), ("R", 24), ("E", 36), ("C", 63)) for n in range(1, most + 1)
]
FIELDS: dict[str, st.SearchStrategy[Any]] = {
    "utc": maybe(st.builds(Utc, st.integers(0, 86_399_999), maybe(st.dates(date(1981, 1, 1), date(2079, 12, 31))))),
    "position": maybe(st.builds(Position, finite(-90.0, 90.0), finite(-180.0, 180.0))),
    "mode": st.sampled_from(list(FixMode)),
    "dimensions": maybe(st.sampled_from([2, 3])),
    "altitude_m": maybe(finite(-420.0, 8900.0)),
    "geoid_separation_m": maybe(finite(-107.0, 86.0)),
    "speed_mps": maybe(finite(0.0, 90.0)),
    "course_deg": maybe(finite(0.0, 360.0)),
    "heading_deg": maybe(finite(0.0, 360.0)),
    "used": maybe(st.lists(st.sampled_from(NAMES), max_size=30, unique=True).map(tuple)),
    "hdop": maybe(finite(0.4, 99.99)),
    "pdop": maybe(finite(0.4, 99.99)),
    "vdop": maybe(finite(0.4, 99.99)),
    "noise": maybe(st.just(NOISE)),
    "correction_age_s": maybe(finite(0.0, 99.0)),
    "correction_station": maybe(st.sampled_from(["0120", "a,b", "REF$"])),
    "navigational_status": maybe(st.sampled_from("SCU")),
    "told": st.just(True),
}
fixes = st.fixed_dictionaries(FIELDS).map(lambda found: Fix(**found))
skies = maybe(
    st.lists(
        st.builds(
            Satellite,
            st.sampled_from(NAMES),
            maybe(st.integers(0, 90)),
            maybe(st.integers(0, 359)),
            maybe(st.integers(1, 55)),
            st.booleans(),
        ),
        max_size=40,
        unique_by=lambda one: one.name,
    ).map(tuple)
)


@settings(deadline=None, max_examples=150)
@given(fixes, skies)
def test_two_libraries_read_every_sentence(fix: Fix, sky: tuple[Satellite, ...] | None) -> None:
    for line in said(fix, *TYPES, sky=sky):
        assert int(line[-2:], 16) == xor_of(line[1:-3])
        first = pynmea2.parse(line, check=True)
        second = pynmeagps.NMEAReader.parse(f"{line}\r\n", validate=pynmeagps.VALCKSUM)
        assert (first.sentence_type, first.talker) == (second.msgID, second.talker) == (line[3:6], line[1:3])
        if line[3:6] in {"RMC", "GGA", "GLL"} and fix.position and fix.mode is not FixMode.NONE:
            step = 0.6 / 60 / 10**5
            assert math.isclose(first.latitude, fix.position.latitude_deg, abs_tol=step)
            assert math.isclose(second.lat, fix.position.latitude_deg, abs_tol=step + 1e-10)
            assert math.isclose(first.longitude, fix.position.longitude_deg, abs_tol=step)


@settings(deadline=None, max_examples=150)
@given(fixes)
def test_no_sentence_is_longer_than_the_standard_allows_but_those_of_rtk(fix: Fix) -> None:
    if fix.mode not in {FixMode.RTK_FIXED, FixMode.RTK_FLOAT}:
        assert all(len(line) + 2 <= LONGEST for line in said(fix, *TYPES))


@settings(deadline=None, max_examples=150)
@given(fixes, skies)
def test_our_own_reader_gets_the_same_fix_back(fix: Fix, sky: tuple[Satellite, ...] | None) -> None:
    back = read_back(fix, *TYPES, sky=sky).fix
    if fix.mode in UNMEASURED or fix.mode is FixMode.NONE or fix.position is None:
        assert not back.is_satellite_fix
        return
    assert (back.mode, back.contradictions, back.told) == (fix.mode, (), True)
    assert back.position == pytest.approx(fix.position, abs=1e-7)
    assert back.altitude_m == (None if fix.altitude_m is None else pytest.approx(fix.altitude_m, abs=0.051))
    assert back.speed_mps == (None if fix.speed_mps is None else pytest.approx(fix.speed_mps, abs=0.0003))
    if fix.utc is not None:
        assert back.utc == fix.utc
    if fix.used and max(sum(name[0] == letter for name in fix.used) for letter in "GREC") <= 12:
        assert set(back.used or ()) == set(fix.used)

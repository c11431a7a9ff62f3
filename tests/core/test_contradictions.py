"""What sentences of one epoch say against one another: the safer reading stands, and void means no motion."""

from __future__ import annotations

import pytest

from core.fix import FixMode
from core.nmea.fields import KNOT_MPS
from tests.build import PLACE, rmc, vtg
from tests.played import HERE, NOON, only


def claim(kind: str, what: str, *, talker: str = "GN", place: str = PLACE) -> str:
    """With coordinates whatever it claims: RMC and GLL by status and mode, GGA by its digit, GNS by its letters."""
    status, mode = what[:1], what[1:]
    return {
        "RMC": f"{talker}RMC,120000.00,{status},{place},5.0,90.0,040531,,,{mode}",
        "GLL": f"{talker}GLL,{place},120000.00,{status},{mode}",
        "GGA": f"{talker}GGA,120000.00,{place},{what},08,1.1,12.5,M,30.0,M,,",
        "GNS": f"{talker}GNS,120000.00,{place},{what},08,1.1,12.5,30.0,,",
    }[kind]


N = FixMode.NONE
CLAIMS: list[tuple[str, FixMode]] = [
    # One sentence.
    ("RMC:AA", FixMode.AUTONOMOUS),
    ("RMC:A", FixMode.AUTONOMOUS),  # before 2.3 there was no mode letter
    ("RMC:AN", N),  # the mode letter is the later word
    ("RMC:VA", N),
    ("RMC:VD", N),
    ("RMC:V", N),
    ("RMC:L", N),  # seen in a real sentence; any status but A is void
    ("RMC:", N),
    ("RMC:AX", N),
    ("GLL:AA", FixMode.AUTONOMOUS),
    ("GLL:VA", N),
    ("GGA:0", N),
    ("GGA:", N),
    ("GGA:9", N),
    ("GGA:11", N),
    ("GGA:3", FixMode.PRECISE),
    ("GNS:NN", N),
    ("GNS:", N),
    ("GNS:NA", FixMode.AUTONOMOUS),
    ("GNS:RRNN", FixMode.RTK_FIXED),
    ("GNS:XX", N),
    # Void against valid.
    ("GGA:1 RMC:VN", N),
    ("GGA:0 RMC:AA", N),
    ("GGA:4 GLL:VN", N),
    ("GGA:1 RMC:AN", N),
    ("GNS:NN RMC:AA GGA:1", N),
    ("RMC:AA GLL:AA GGA:", N),
    # Not from satellites against from satellites.
    ("GGA:6 RMC:AA", FixMode.ESTIMATED),
    ("GGA:1 RMC:AE", FixMode.ESTIMATED),
    ("GGA:7 RMC:AA", FixMode.MANUAL),
    ("GGA:2 RMC:AM", FixMode.MANUAL),
    ("GGA:8 RMC:AA", FixMode.SIMULATED),
    ("GGA:4 RMC:AA GLL:AS", FixMode.SIMULATED),
    ("GGA:6 RMC:AS", FixMode.SIMULATED),
    ("GGA:7 RMC:AE", FixMode.MANUAL),
    ("GNS:AE", FixMode.ESTIMATED),
    ("GNS:AS GGA:1", FixMode.SIMULATED),
    # The more specific word where they agree that there is a fix.
    ("GGA:2 RMC:AA", FixMode.DIFFERENTIAL),
    ("GGA:4 RMC:AD", FixMode.RTK_FIXED),
    ("GGA:5 RMC:AD GLL:AD", FixMode.RTK_FLOAT),
    ("GNS:FF RMC:AA", FixMode.RTK_FLOAT),
    ("RMC:AR GLL:AD", FixMode.RTK_FIXED),  # ubx 4.1.6: GLL says D where RMC says R
    ("RMC:A GLL:AD", FixMode.DIFFERENTIAL),
]


@pytest.mark.parametrize(("said", "mode"), CLAIMS)
def test_what_sentences_claim_comes_to(said: str, mode: FixMode) -> None:
    bodies = [claim(*one.split(":")) for one in said.split()]
    for order in (bodies, bodies[::-1]):
        fix = only(*order)
        assert fix.mode is mode
        assert fix.position == (None if mode is N else HERE)
        assert fix.is_satellite_fix == (mode not in {N, FixMode.ESTIMATED, FixMode.MANUAL, FixMode.SIMULATED})


@pytest.mark.parametrize(
    ("first", "second", "mode"),
    [
        (("GGA", "1", "GN"), ("GGA", "6", "IN"), FixMode.ESTIMATED),
        (("RMC", "AA", "GN"), ("RMC", "VN", "IN"), N),
        (("GGA", "0", "GP"), ("GGA", "1", "GL"), N),
        (("GGA", "8", "GP"), ("GGA", "1", "GN"), FixMode.SIMULATED),
    ],
)
def test_a_second_talker_is_asked_too(first: tuple[str, str, str], second: tuple[str, str, str], mode: FixMode) -> None:
    bodies = [claim(kind, what, talker=talker) for kind, what, talker in (first, second)]
    assert only(*bodies).mode is mode
    assert only(*bodies[::-1]).mode is mode


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("GGA:1 RMC:AA", ()),
        ("GGA:0 RMC:VN", ()),
        ("GGA:1 RMC:VN", ("RMC void, GGA valid",)),
        ("GGA:0 RMC:AA GLL:AA", ("GGA void, RMC GLL valid",)),
        ("GGA:2 RMC:AA", ()),
    ],
)
def test_void_against_valid_is_told(said: str, words: tuple[str, ...]) -> None:
    assert only(*[claim(*one.split(":")) for one in said.split()]).contradictions == words


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [
        ("1030.0000,N,02015.0000,W", "1030.0000,N,02015.0000,W", False),
        ("1030.0000,N,02015.0000,W", "1030.0012,N,02015.0012,W", False),  # rounded to fewer digits
        ("1030.0000,N,02015.0000,W", "1130.0000,N,02015.0000,W", True),
        ("1030.0000,N,02015.0000,W", "1030.0000,N,02015.0000,E", True),
        ("1030.0000,N,17959.9999,W", "1030.0000,N,17959.9999,E", False),  # 0.4 m apart, across the antimeridian
        ("1030.0000,N,17959.0000,W", "1030.0000,N,17959.9999,E", True),
    ],
)
def test_two_places_at_once_are_told_and_the_more_specific_sentence_stands(one: str, other: str, told: bool) -> None:
    fix = only(claim("RMC", "AA", place=other), claim("GGA", "1", place=one))
    assert fix.position == only(claim("GGA", "1", place=one)).position
    assert fix.contradictions == (("positions of one epoch differ",) if told else ())


@pytest.mark.parametrize(
    "place", [",,,", "1030.0000,,02015.0000,W", "9130.0000,N,02015.0000,W", "1030.0000,n,02015.0,W"]
)
def test_valid_without_a_usable_place_is_no_fix(place: str) -> None:
    fix = only(claim("GGA", "1", place=place))
    assert (fix.position, fix.mode, fix.altitude_m, fix.satellites_in_fix) == (None, N, None, 0)
    assert only(claim("GGA", "1", place=place), claim("RMC", "AA")).position == HERE


# Motion


def test_a_void_epoch_has_no_speed_whatever_is_said() -> None:
    """425 knots with status V: seen in a real recording."""
    fix = only("GNRMC,120000.00,V,,,,,425.45,10.84,040531,,,N", vtg(425.45, "N"))
    assert (fix.speed_mps, fix.course_deg) == (None, None)


def test_speed_comes_from_rmc_and_is_filled_up_from_vtg() -> None:
    bare = f"GNRMC,120000.00,A,{PLACE},,,040531,,,A"
    assert only(rmc(NOON), vtg(9.0)).speed_mps == pytest.approx(5 * KNOT_MPS)
    filled = only(bare, vtg(9.0))
    assert filled.speed_mps == pytest.approx(9 * KNOT_MPS)
    assert filled.course_deg == 90.0
    assert only(bare, vtg(9.0, "N")).speed_mps is None


def test_a_course_without_a_speed_is_none() -> None:
    assert only(f"GNRMC,120000.00,A,{PLACE},,90.0,040531,,,A").course_deg is None

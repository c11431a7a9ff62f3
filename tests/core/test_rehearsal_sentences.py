"""What the simulated receiver writes: two readers take every sentence, and find in it what the receiver knew."""

from __future__ import annotations

import gzip
import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pynmea2
import pytest

from core.errors import InputError
from core.fix import Fix, FixMode, Heard, Position, PseudorangeNoise, Utc
from core.model import Finished, FixModel
from core.nmea.decode import Malformed, decode
from core.nmea.framing import Framer, Sentence
from core.nmea.stamps import split_tag
from core.rehearsal.records import Epoch
from core.rehearsal.run import epoch_count, epochs, rehearse
from core.rehearsal.scenario import LONGEST_TITLE, Manner, Scenario, read_scenario
from core.rehearsal.sentences import angle, bodies, number
from core.rehearsal.writer import LABEL, line, lines, save
from core.sources.rehearsal_label import is_rehearsal
from tests.build import sentence

NOON = Utc(43_200_000, date(2027, 5, 15))
NOISE = PseudorangeNoise(1.5, 2.25, 0.75, 33.3, 1.0, 2.0, 3.0)
SEEN = tuple(Heard(f"G{number:02d}", 10 * number, 359, 40 + number) for number in range(1, 7))
GOOD = Epoch(
    NOON, Position(41.5, -179.75), 120.0, 14.0, 1.5, 90.0, FixMode.AUTONOMOUS, 3, ("G01", "G02", "G03", "G04"), SEEN,
    1.0, 1.8, 1.5, 0.8, NOISE,
)  # fmt: skip
VOID = Epoch(None, None)
TIMED = Epoch(Utc(43_200_000, None), None, seen=(Heard("R05", None, None, 33), Heard("S45", None, None, None)))
ALL = Manner("GREC")
TEXT = """
title = "Short"
call = "QX1ABC"
start = 2027-05-15T23:59:20Z
geoid_separation_m = 14.0
[receiver]
start = "{start}"
systems = "{systems}"
minute_decimals = {decimals}
[[path]]
at = "41 N 179.9999 W"
height_m = 100
pause_s = 50
speed_mps = 1.5
[[path]]
at = "41 N 179.9995 E"
pause_s = 1
[[event]]
what = "rtk"
from_s = 30
"""


def scenario(start: str = "cold", systems: str = "GREC", decimals: int = 5) -> Scenario:
    return read_scenario(TEXT.format(start=start, systems=systems, decimals=decimals), "short.toml")


def by_type(epoch: Epoch, manner: Manner = ALL, *, sky: bool = True) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for body in bodies(epoch, manner, sky=sky):
        found.setdefault(body[2:5], []).append(body)
    return found


def sentences(data: bytes) -> list[Sentence]:
    events = list(Framer().feed(data))
    assert all(isinstance(event, Sentence) for event in events)
    return [event for event in events if isinstance(event, Sentence)]


def fixes(data: bytes) -> list[Fix]:
    """As the board has them."""
    found: list[Fix] = []

    def keep(finished: Finished) -> None:
        found.append(finished.fix)

    model = FixModel(True, keep)
    model.feed(data, 0.0)
    model.finish()
    return found


# Both readers take everything


def check(data: bytes) -> Counter[str]:
    """Every line in both readers; how many of each type."""
    types: Counter[str] = Counter()
    for raw in data.split(b"\r\n")[:-1]:
        assert raw.startswith(LABEL)
        theirs: Any = pynmea2.parse(raw.removeprefix(LABEL).decode("ascii"), check=True)
        (ours,) = sentences(raw + b"\r\n")
        assert not isinstance(decode(ours), Malformed)
        assert decode(ours) is not None
        assert theirs.sentence_type == ours.address[2:]
        types[ours.address] += 1
    return types


@pytest.mark.parametrize("epoch", [GOOD, VOID, TIMED], ids=["good", "void", "timed"])
def test_both_readers_take_every_sentence_of_an_epoch(epoch: Epoch) -> None:
    types = check(lines(bodies(epoch, ALL, sky=True)))
    assert types["GNGSA"] == 4
    assert {"GNRMC", "GNVTG", "GNGGA", "GNGST", "GPGSV", "GLGSV", "GAGSV", "GBGSV"} <= set(types)


@pytest.mark.parametrize(
    ("start", "systems", "decimals"), [("cold", "GREC", 5), ("hot", "G", 4), ("warm", "RC", 7), ("hot", "GREC", 7)]
)
def test_both_readers_take_every_sentence_of_a_rehearsal(start: str, systems: str, decimals: int) -> None:
    types = check(b"".join(rehearse(scenario(start, systems, decimals))))
    talker = "GN" if len(systems) > 1 else "GP"
    assert types[f"{talker}RMC"] == epoch_count(scenario())
    assert types[f"{talker}GSA"] == len(systems) * types[f"{talker}RMC"]
    assert ("GLGSV" in types) is ("R" in systems)


# What the receiver knew comes out again


@pytest.mark.parametrize(("start", "decimals"), [("cold", 5), ("hot", 7)])
def test_the_board_reads_what_the_receiver_knew(start: str, decimals: int) -> None:
    """Over midnight and the antimeridian, from a void start to RTK; to the last written digit."""
    walk = scenario(start, decimals=decimals)
    known, read = list(epochs(walk, walk.seed)), fixes(b"".join(rehearse(walk)))
    timed = [epoch for epoch in known if epoch.utc is not None and epoch.utc.day is not None]
    found = [fix for fix in read if fix.utc is not None and fix.utc.day is not None]
    assert len(timed) == len(found) > 50
    assert {epoch.mode for epoch in timed} >= {FixMode.RTK_FLOAT}
    assert len({epoch.utc.day for epoch in timed if epoch.utc}) == 2
    assert len({fix.position.longitude_deg > 0 for fix in found if fix.position}) == 2
    for epoch, fix in zip(timed, found, strict=True):
        check_fix(epoch, fix, 0.51 * 10.0**-decimals / 60.0)


def check_fix(epoch: Epoch, fix: Fix, step_deg: float) -> None:
    assert (fix.utc, fix.mode, fix.contradictions) == (epoch.utc, epoch.mode, ())
    if epoch.position is None:
        assert fix.position is None
        return
    assert fix.position is not None
    assert list(fix.position) == pytest.approx(list(epoch.position), abs=step_deg)
    assert fix.altitude_m == pytest.approx((epoch.height_m or 0.0) - 14.0, abs=0.051)
    assert fix.speed_mps == pytest.approx(epoch.speed_mps, abs=0.001)
    assert (fix.course_deg is None) is (epoch.course_deg is None)
    assert fix.used == epoch.used
    assert fix.stated_in_fix == len(epoch.used)
    assert fix.hdop == pytest.approx(epoch.hdop, abs=0.0051)
    assert fix.dimensions == epoch.dimensions
    assert fix.noise == pytest.approx(epoch.noise, abs=0.051)
    assert {one.name: one.cno_dbhz for one in fix.satellites} == {one.name: one.cno_dbhz for one in epoch.seen}
    assert fix.correction_station == epoch.correction_station


# As receivers write them


def test_a_good_epoch_letter_by_letter() -> None:
    found = by_type(GOOD)
    assert found["RMC"] == ["GNRMC,120000.00,A,4130.00000,N,17945.00000,W,2.916,90.00,150527,,,A,V"]
    assert found["VTG"] == ["GNVTG,90.00,T,,M,2.916,N,5.400,K,A"]
    assert found["GGA"] == ["GNGGA,120000.00,4130.00000,N,17945.00000,W,1,04,1.00,106.0,M,14.0,M,,"]
    assert found["GSA"][0] == "GNGSA,A,3,01,02,03,04,,,,,,,,,1.80,1.00,1.50,1"
    assert found["GSA"][3] == "GNGSA,A,3,,,,,,,,,,,,,1.80,1.00,1.50,4"
    assert found["GSV"][0] == "GPGSV,2,1,06,01,10,359,41,02,20,359,42,03,30,359,43,04,40,359,44,1"
    assert found["GSV"][1] == "GPGSV,2,2,06,05,50,359,45,06,60,359,46,1"
    assert found["GSV"][2:] == ["GLGSV,1,1,00,1", "GAGSV,1,1,00,7", "GBGSV,1,1,00,1"]
    assert found["GST"] == ["GNGST,120000.00,1.50,2.25,0.75,33.3,1.00,2.00,3.00"]
    assert found["ZDA"] == ["GNZDA,120000.00,15,05,2027,00,00"]


def test_a_void_epoch_leaves_fields_empty_as_real_receivers_do() -> None:
    """GGA and GSA as in real recordings of cold starts, with the fields that 4.11 has more."""
    found = by_type(TIMED)
    assert found["RMC"] == ["GNRMC,120000.00,V,,,,,,,,,,N,V"]
    assert found["GGA"] == ["GNGGA,120000.00,,,,,0,00,99.99,,,,,,"]
    assert found["GSA"][1] == "GNGSA,A,1,,,,,,,,,,,,,99.99,99.99,99.99,2"
    assert found["GSV"][:2] == ["GPGSV,1,1,01,58,,,,1", "GLGSV,1,1,01,69,,,33,1"]
    assert found["ZDA"] == ["GNZDA,120000.00,,,,00,00"]
    assert by_type(VOID)["RMC"] == ["GNRMC,,V,,,,,,,,,,N,V"]


@pytest.mark.parametrize(
    ("mode", "quality", "rmc", "vtg"),
    [
        (FixMode.AUTONOMOUS, "1", "A", "A"),
        (FixMode.DIFFERENTIAL, "2", "D", "D"),
        (FixMode.RTK_FLOAT, "5", "F", "D"),
        (FixMode.RTK_FIXED, "4", "R", "D"),
    ],
)
def test_modes_are_told_as_the_table_of_a_maker_has_them(mode: FixMode, quality: str, rmc: str, vtg: str) -> None:
    """nmea-facts.toml [fix_flags_nmea41]."""
    found = by_type(GOOD._replace(mode=mode, correction_age_s=1.25, correction_station="0101"))
    assert found["GGA"][0].split(",")[6] == quality
    assert found["GGA"][0].endswith(",1.2,0101")
    assert found["RMC"][0].split(",")[12] == rmc
    assert found["VTG"][0].split(",")[9] == vtg


def test_a_frozen_course_is_left_out_and_none_reads_360() -> None:
    assert by_type(GOOD._replace(course_deg=None))["RMC"][0].split(",")[8] == ""
    assert by_type(GOOD._replace(course_deg=359.9951))["RMC"][0].split(",")[8] == "0.00"
    assert by_type(GOOD._replace(course_deg=None))["VTG"][0].startswith("GNVTG,,T,,M,2.916")


def test_more_than_twelve_of_a_system_are_counted_and_not_listed() -> None:
    used = tuple(f"G{number:02d}" for number in range(1, 15))
    found = by_type(GOOD._replace(used=used))
    assert found["GGA"][0].split(",")[7] == "14"
    assert found["GSA"][0].split(",")[3:15] == [f"{number:02d}" for number in range(1, 13)]


def test_without_the_sky_there_is_no_gsv() -> None:
    assert "GSV" not in by_type(GOOD, sky=False)


@pytest.mark.parametrize(
    ("name", "expected"), [("G05", "05"), ("R01", "65"), ("E36", "36"), ("C42", "42"), ("S45", "58")]
)
def test_numbers_of_satellites(name: str, expected: str) -> None:
    """PRN 145 is 58: nmea-facts.toml [[satellite_numbers]]."""
    assert number(name) == expected


@pytest.mark.parametrize(
    ("degrees", "decimals", "expected"),
    [
        (0.0, 5, "00000.00000"),
        (179.99999999999, 5, "18000.00000"),
        (9.99999999, 4, "01000.0000"),
        (47.28521118, 6, "04717.112671"),
        (8.5, 7, "00830.0000000"),
    ],
)
def test_minutes_never_read_60(degrees: float, decimals: int, expected: str) -> None:
    """The fourth is the worked example of nmea-facts.toml [coordinates]."""
    assert angle(degrees, 3, decimals) == expected


# The label and the file


def test_each_sentence_carries_the_label_and_its_checksum() -> None:
    assert split_tag(LABEL) is not None
    assert split_tag(LABEL).source == "rehearsal"  # type: ignore[union-attr]  # checked in the line before
    assert line("GNTXT,01,01,02,x") == LABEL + sentence("GNTXT,01,01,02,x").encode("ascii") + b"\r\n"


def test_the_file_says_what_it_is_at_the_start_and_every_minute() -> None:
    found = [re.findall(rb"TXT,.*?(?=\*)", piece) for piece in rehearse(scenario("hot"))]
    assert found[0] == [b"TXT,02,01,02,REHEARSAL Short", b"TXT,02,02,02,Simulated for QX1ABC - seed 1 - no receiver"]
    assert found[60] == [b"TXT,01,01,02,REHEARSAL Short"]
    assert not any(found[1:60])


def test_the_longest_notice_fits_into_a_sentence() -> None:
    """82 characters with start and line end: NMEA 0183."""
    text = TEXT.replace("QX1ABC", "QXX1ABCDE").replace('"Short"', f'"{"x" * LONGEST_TITLE}"')
    walk = read_scenario(text.format(start="hot", systems="G", decimals=5), "long.toml")
    first = next(rehearse(walk, 10**15 - 1)).split(LABEL)
    assert [len(one) <= 82 for one in first[1:3]] == [True, True]


def test_one_seed_gives_the_same_bytes_and_another_gives_others() -> None:
    def data(seed: int | None) -> bytes:
        return b"".join(rehearse(scenario("hot", "G"), seed))

    assert data(None) == data(1) == data(1)
    assert data(2) != data(1)


def test_progress_goes_from_the_first_epoch_to_all() -> None:
    told: list[float] = []
    count = len(list(rehearse(scenario("hot", "G"), None, told.append)))
    assert count == len(told) == epoch_count(scenario())
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_file_is_whole_labelled_and_the_same_every_time(tmp_path: Path) -> None:
    pieces = list(rehearse(scenario("hot", "G")))
    for name in ("a.nmea", "a.nmea.gz", "b.nmea.gz"):
        assert save(tmp_path / name, pieces) == (tmp_path / name).stat().st_size
        assert is_rehearsal(tmp_path / name)
    assert (tmp_path / "a.nmea").read_bytes() == b"".join(pieces)
    assert gzip.decompress((tmp_path / "a.nmea.gz").read_bytes()) == b"".join(pieces)
    assert (tmp_path / "a.nmea.gz").read_bytes() == (tmp_path / "b.nmea.gz").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.nmea", "a.nmea.gz", "b.nmea.gz"]


def test_what_fails_on_the_way_leaves_nothing_behind(tmp_path: Path) -> None:
    def broken() -> Iterator[bytes]:
        yield b"first"
        raise KeyboardInterrupt

    (tmp_path / "old.nmea").write_bytes(b"old")
    for name, replace in (("new.nmea", False), ("old.nmea", True)):
        with pytest.raises(KeyboardInterrupt):
            save(tmp_path / name, broken(), replace=replace)
    with pytest.raises(InputError, match="exists already"):
        save(tmp_path / "old.nmea", [b"new"])
    with pytest.raises(InputError, match="could not be written"):
        save(tmp_path / "no" / "new.nmea", [b"new"])
    assert [path.name for path in tmp_path.iterdir()] == ["old.nmea"]
    assert (tmp_path / "old.nmea").read_bytes() == b"old"


def test_a_file_that_came_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "new.nmea"

    def slow() -> Iterator[bytes]:
        path.write_bytes(b"somebody else's")
        yield b"ours"

    with pytest.raises(InputError, match="exists already"):
        save(path, slow())
    assert path.read_bytes() == b"somebody else's"

"""Satellite numbers to RINEX names: the published ranges, edge by edge, and what holds for every number."""

from __future__ import annotations

import re
from collections import Counter
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.nmea.numbering import RANGES, SYSTEM_OF_ID, SYSTEM_OF_TALKER, satellite_name

# The last column is where the figure comes from, by the source keys of nmea-facts.toml [[satellite_numbers]].
EDGES = [
    # system, number, name
    ("G", 1, "G01", "GPS 1-32 in all versions (ubx)"),
    ("G", 32, "G32", "ubx"),
    ("G", 33, "S20", "SBAS 33-64 = PRN - 87, so 33 is PRN 120 (ubx); RINEX has PRN - 100"),
    ("G", 46, "S33", "ubx: PRN 133"),
    ("G", 64, "S51", "ubx: PRN 151"),
    ("G", 65, "R01", "GLONASS 65-96 = slot + 64 in all versions (ubx)"),
    ("G", 96, "R32", "ubx"),
    ("G", 97, "?97", "in no table"),
    ("G", 119, "?119", "in no table"),
    ("G", 120, "S20", "whole PRN: common practice, no source"),
    ("G", 152, "S52", "SBAS extended 152-158 (ubx)"),
    ("G", 158, "S58", "ubx"),
    ("G", 159, "?159", "in no table"),
    ("G", 193, "J01", "QZSS 193-197, later to 202 (ubx, uni); RINEX has PRN - 192"),
    ("G", 195, "J03", "real capture: 194 and 195 under talker GP"),
    ("G", 202, "J10", "uni"),
    ("", 5, "G05", "a combined talker without system ID: by range alone"),
    ("", 70, "R06", "ubx"),
    ("", 301, "E01", "Galileo 301-336 in 2.x-4.0 extended (ubx)"),
    ("", 336, "E36", "ubx"),
    ("", 337, "?337", "in no table"),
    ("", 401, "C01", "BeiDou 401-437 in 2.x-4.0 extended (ubx)"),
    ("", 437, "C37", "ubx"),
    ("", 235, "C35", "BeiDou 201 on, other makers: from memory"),
    ("R", 65, "R01", "ubx"),
    ("R", 88, "R24", "ubx"),
    ("R", 1, "R01", "slots unshifted: common practice, no source"),
    ("R", 97, "?97", "in no table"),
    ("E", 1, "E01", "Galileo 1-36 in 4.1+ (ubx)"),
    ("E", 36, "E36", "ubx"),
    ("E", 37, "?37", "in no table"),
    ("E", 301, "E01", "ubx"),
    ("C", 1, "C01", "BeiDou 1-37, later 1-63 in 4.1+ (ubx)"),
    ("C", 63, "C63", "ubx"),
    ("C", 64, "?64", "in no table"),
    ("C", 201, "C01", "other makers: from memory"),
    ("C", 401, "C01", "ubx"),
    ("J", 1, "J01", "QZSS 1-10 in 4.11 (uni)"),
    ("J", 10, "J10", "uni"),
    ("J", 11, "?11", "in no table"),
    ("J", 193, "J01", "193-202 (uni)"),
    ("I", 1, "I01", "NavIC 1-15 with system 6 (uni)"),
    ("I", 15, "I15", "uni"),
    ("I", 16, "?16", "in no table"),
]


@pytest.mark.parametrize(("system", "number", "name", "source"), EDGES)
def test_the_published_ranges(system: str, number: int, name: str, source: str) -> None:
    assert source
    assert satellite_name(system, str(number)) == name
    assert satellite_name(system, f"{number:04d}") == name


def test_the_same_number_is_another_satellite_in_each_system() -> None:
    """From 4.10 a number is unique only together with its system."""
    assert [satellite_name(system, "05") for system in "GRECJI"] == ["G05", "R05", "E05", "C05", "J05", "I05"]


@pytest.mark.parametrize(
    "text", ["", "0", "00", "0000", "-1", "+1", "1.0", " 1", "x", "1e1", "12345", "\xb2", "\u0663"]
)
def test_what_numbers_no_satellite_is_none(text: str) -> None:
    """0 is padding; the rest is damage."""
    assert {satellite_name(system, text) for system in RANGES} == {None}


SHAPE = re.compile(r"[GRECJIS]\d\d|\?[1-9]\d{0,3}")


@pytest.mark.parametrize("system", RANGES)
def test_every_number_has_a_name_of_three_characters_or_a_question_mark(system: str) -> None:
    for number in range(1, 10_000):
        name = satellite_name(system, str(number))
        assert name is not None
        assert SHAPE.fullmatch(name)
        assert name[0] == "?" or name[1:] != "00"
        assert name[0] != "?" or name[1:] == str(number)


@pytest.mark.parametrize("system", RANGES)
def test_within_one_numbering_no_two_numbers_share_a_name(system: str) -> None:
    """A system may have several numberings (C01 is 1, 201 or 401), but a receiver uses one."""
    for row in RANGES[system]:
        names = [satellite_name(system, str(number)) for number in range(row.first, row.last + 1)]
        shared = {name for name, count in Counter(names).items() if count > 1}
        assert not shared


@pytest.mark.parametrize("system", [system for system in RANGES if system])
def test_a_system_names_mostly_its_own_satellites(system: str) -> None:
    """With its guests said: SBAS beside GPS and GLONASS; talker GP is older than the others and has all."""
    guests = {"G": set("RSJCE"), "R": {"S"}}.get(system, set())
    assert {row.system for row in RANGES[system]} - guests == {system}


def test_ranges_do_not_overlap_but_where_makers_disagree() -> None:
    overlaps = {
        (system, max(a.first, b.first), min(a.last, b.last))
        for system, rows in RANGES.items()
        for a, b in combinations(rows, 2)
        if a.first <= b.last and b.first <= a.last
    }
    # 201 and 202 are QZSS (ubx, uni) and, of other makers, BeiDou; the published table stands.
    assert overlaps == {("G", 201, 202), ("", 201, 202)}
    assert satellite_name("", "201") == "J09"


def test_ranges_are_well_formed() -> None:
    for row in {row for rows in RANGES.values() for row in rows}:
        assert 1 <= row.first <= row.last
        assert row.first - row.offset >= 1
        assert row.last - row.offset <= 99


def test_talkers_and_system_ids_lead_to_a_table() -> None:
    """nmea-facts.toml [talkers] and [system_id]."""
    assert {SYSTEM_OF_TALKER[talker] for talker in ("GP", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI")} == set("GRECJI")
    assert [SYSTEM_OF_ID[digit] for digit in "123456"] == list("GRECJI")
    assert set(SYSTEM_OF_TALKER.values()) | set(SYSTEM_OF_ID.values()) <= set(RANGES)


@given(st.sampled_from(list(RANGES)), st.text(max_size=6))
def test_no_text_raises(system: str, text: str) -> None:
    name = satellite_name(system, text)
    assert name is None or SHAPE.fullmatch(name)

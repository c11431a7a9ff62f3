"""Dilution of precision against the figures of dop_cases.json (their source stands in it), and its laws."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.fix import Satellite
from core.geometry import Dops, Sight, costs, dilution, dops, sights_in_fix

CASES: dict[str, Any] = json.loads((Path(__file__).parents[1] / "data/dop_cases.json").read_text(encoding="utf-8"))
FIELDS = ("hdop", "pdop", "vdop", "tdop", "gdop")


def sky(*places: tuple[float, float], systems: str = "G") -> list[Sight]:
    """Satellites at (azimuth, elevation), their systems in turn."""
    return [
        Sight(f"{systems[number % len(systems)]}{number + 1:02d}", azimuth, elevation)
        for number, (azimuth, elevation) in enumerate(places)
    ]


def of_case(case: dict[str, Any]) -> list[Sight]:
    return sky(*((one["az"], one["el"]) for one in case["satellites"]))


def known(sights: list[Sight]) -> Dops:
    found = dops(sights)
    assert found is not None
    return found


SIX = sky((30, 15), (75, 62), (140, 33), (200, 71), (265, 24), (320, 45))
"""`six_mixed` of dop_cases.json."""
places = st.lists(st.tuples(st.integers(0, 359), st.integers(0, 90)), min_size=5, max_size=14, unique=True)


@pytest.mark.parametrize("case", CASES["cases"], ids=lambda case: case["id"])
def test_the_published_figures_are_met(case: dict[str, Any]) -> None:
    found = known(of_case(case))
    assert {key: getattr(found, key) for key in case["dop"]} == {
        key: pytest.approx(value, abs=2e-6) for key, value in case["dop"].items()
    }


@pytest.mark.parametrize("case", CASES["singular"], ids=lambda case: case["id"])
def test_a_sky_that_cannot_give_a_position_gives_no_figure(case: dict[str, Any]) -> None:
    assert dops(of_case(case)) is None
    assert costs(of_case(case)) == ()


def test_a_cone_that_only_rounding_tells_apart_gives_no_figure() -> None:
    """Four on one cone and a fifth a degree off it: VDOP in the hundreds, all of it from the last digit of an angle."""
    nearly = sky((0, 45), (90, 45), (180, 45), (270, 45), (40, 46))
    raw = dilution([one.direction for one in nearly])
    assert raw is not None
    assert raw.gdop > 100
    assert dops(nearly) is None


@given(places)
def test_the_parts_add_up_as_defined(where: list[tuple[int, int]]) -> None:
    found = dops(sky(*where))
    assume(found is not None)
    assert found is not None
    assert found.vdop is not None
    assert found.pdop == pytest.approx(math.hypot(found.hdop, found.vdop))
    assert found.gdop == pytest.approx(math.hypot(found.pdop, found.tdop))


@given(places, st.integers(1, 359))
def test_turning_the_whole_sky_changes_nothing(where: list[tuple[int, int]], by_deg: int) -> None:
    before = dilution([one.direction for one in sky(*where)])
    after = dilution([one.direction for one in sky(*(((azimuth + by_deg), elevation) for azimuth, elevation in where))])
    assume(before is not None and before.gdop < 1000)
    assert before is not None
    assert after is not None
    assert [getattr(after, key) for key in FIELDS] == pytest.approx([getattr(before, key) for key in FIELDS], rel=1e-6)


@given(places, st.integers(0, 359), st.integers(0, 90), st.sampled_from("GR"))
def test_one_more_satellite_never_makes_it_worse(
    where: list[tuple[int, int]], azimuth: int, elevation: int, system: str
) -> None:
    """Even the first of a system: it pays for its own clock and changes nothing."""
    before = dops(sky(*where))
    assume(before is not None)
    assert before is not None
    after = known([*sky(*where), Sight(f"{system}99", azimuth, elevation)])
    for key in FIELDS:
        assert getattr(after, key) <= getattr(before, key) * (1 + 1e-9)


def test_a_lone_satellite_of_a_system_says_nothing() -> None:
    alone = known([*SIX, Sight("R01", 10, 80)])
    assert [getattr(alone, key) for key in FIELDS] == pytest.approx([getattr(known(SIX), key) for key in FIELDS])


def test_each_system_costs_a_clock() -> None:
    mixed = [one._replace(name=f"{'GR'[number % 2]}{number:02d}") for number, one in enumerate(SIX)]
    assert known(mixed).pdop > known(SIX).pdop
    assert dops(mixed[:4]) is None


def test_augmentation_and_qzss_share_the_clock_of_gps() -> None:
    renamed = [
        one._replace(name=name) for one, name in zip(SIX, ("G01", "S23", "J02", "G05", "S31", "G09"), strict=True)
    ]
    assert known(renamed) == known(SIX)


def test_the_clock_of_the_system_with_most_satellites_is_named() -> None:
    more = sky((10, 10), (100, 20), (190, 15), (280, 30))
    both = [*SIX, *(one._replace(name=f"E{number:02d}") for number, one in enumerate(more))]
    assert known(both).clock == "G"
    assert known([one._replace(name=one.name.replace("G", "R")) for one in SIX]).clock == "R"
    even = [*SIX[:5], *(one._replace(name=f"E{number:02d}") for number, one in enumerate([*more, SIX[5]]))]
    assert known(even).clock == "E"


def test_the_dearest_satellite_is_the_one_whose_loss_hurts_most() -> None:
    """By brute force; and a satellite without whom there is no position comes before all others."""
    ranked = costs(SIX)
    rises = {one.name: known([other for other in SIX if other is not one]).pdop - known(SIX).pdop for one in SIX}
    assert [cost.name for cost in ranked] == sorted(rises, key=lambda name: -rises[name])
    assert {cost.name: cost.pdop_rise for cost in ranked} == pytest.approx(rises)
    four = sky((0, 90), (0, 5), (120, 5), (240, 5))
    assert [(cost.without, cost.hdop_rise) for cost in costs(four)] == [(None, None)] * 4
    five = [*four, Sight("G05", 60, 5)]
    assert costs(five)[0].without is None


def test_low_satellites_hold_the_place_and_high_ones_the_height() -> None:
    """trade-facts.md k.3, on an invented sky: dropping a low one raises HDOP most, one overhead VDOP alone."""
    where = ((20, 12), (110, 15), (200, 10), (290, 14), (65, 45), (245, 50), (155, 40), (335, 55), (120, 82))
    nine = sky(*where)
    without = {one.name: known([other for other in nine if other is not one]) for one in nine}
    whole = known(nine)
    assert max(without, key=lambda name: without[name].hdop) in {"G01", "G02", "G03", "G04"}
    assert without["G09"].hdop == pytest.approx(whole.hdop, rel=0.01)
    assert (without["G09"].vdop or 0) > 1.05 * (whole.vdop or 0)


def test_only_satellites_in_the_fix_with_a_direction_count() -> None:
    listed = (
        Satellite("G01", 45, 90, 40, True),
        Satellite("G02", 45, 90, 40, False),
        Satellite("G03", None, None, 40, True),
        Satellite("G04", 0, 0, None, True),
    )
    assert sights_in_fix(listed) == (Sight("G01", 90, 45), Sight("G04", 0, 0))

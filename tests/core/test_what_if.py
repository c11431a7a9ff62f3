"""What a mask, a cliff, a street, a satellite or system less would do. Skies are invented."""

from __future__ import annotations

import math

import pytest

from core.fix import Satellite
from core.geometry import dops, sights_in_fix
from core.what_if import AS_RECEIVED, Cliff, Street, WhatIf, what_if

NINE = tuple(
    Satellite(f"{system}{number:02d}", elevation, azimuth, 40, True)
    for number, (system, azimuth, elevation) in enumerate(
        (
            ("G", 15, 60), ("G", 60, 22), ("G", 105, 38), ("G", 170, 16), ("G", 190, 68),
            ("G", 235, 28), ("G", 275, 20), ("G", 320, 44), ("G", 345, 12),
        ),
        1,
    )
)  # fmt: skip


def names(change: WhatIf) -> set[str]:
    return {one.name for one in what_if(NINE, change).kept}


def test_nothing_imagined_leaves_the_sky_as_it_is() -> None:
    found = what_if(NINE, AS_RECEIVED)
    assert found.lost == ()
    assert found.dops == found.before == dops(sights_in_fix(NINE))
    assert len(found.ranking) == 9
    assert AS_RECEIVED.is_nothing
    assert not WhatIf(mask_deg=5).is_nothing


def test_a_mask_takes_what_is_below_it_and_nothing_at_it() -> None:
    found = what_if(NINE, WhatIf(mask_deg=22))
    assert {one.sight.name: one.why for one in found.lost} == dict.fromkeys(("G04", "G07", "G09"), "below the mask")
    assert found.dops is not None
    assert found.before is not None
    assert found.dops.hdop > found.before.hdop
    assert (found.dops.vdop or 0) > (found.before.vdop or 0)


def test_the_higher_the_mask_the_more_it_costs_and_the_height_most() -> None:
    """trade-facts.md k.2: of another invented sky of nine, 35 degrees took HDOP to 2.2 and VDOP to 3.3 times."""
    rises = []
    for mask in (0, 20, 35):
        found = what_if(NINE, WhatIf(mask_deg=mask))
        assert found.dops is not None
        assert found.before is not None
        rises.append((found.dops.hdop / found.before.hdop, (found.dops.vdop or 0) / (found.before.vdop or 1)))
    assert rises[0] == (1, 1)
    assert rises == sorted(rises)
    assert rises[2][1] > 1.2 * rises[2][0]


def test_a_cliff_takes_one_side_and_falls_off_with_its_level_edge() -> None:
    cliff = Cliff(180, 30)
    assert cliff.skyline_deg(180) == pytest.approx(30)
    assert cliff.skyline_deg(180 + 60) == pytest.approx(math.degrees(math.atan(math.tan(math.radians(30)) / 2)))
    assert cliff.skyline_deg(0) == 0
    assert cliff.skyline_deg(90) == pytest.approx(0, abs=1e-9)
    found = what_if(NINE, WhatIf(cliff=cliff))
    assert {(one.sight.name, one.why) for one in found.lost} == {("G04", "behind the cliff")}


def test_a_street_closes_both_sides_and_is_open_along_itself() -> None:
    street = Street(0, 55)
    assert street.skyline_deg(90) == street.skyline_deg(270) == pytest.approx(55)
    assert street.skyline_deg(0) == pytest.approx(0, abs=1e-9)
    assert street.skyline_deg(180) == pytest.approx(0, abs=1e-9)
    found = what_if(NINE, WhatIf(street=street))
    assert {one.sight.name for one in found.lost} == {"G02", "G03", "G06", "G07", "G09"}
    assert found.dops is not None
    assert found.dops.vdop is not None
    assert found.dops.hdop > found.dops.vdop, "across a street the place is worse than the height (trade-facts.md k.2)"


def test_an_edge_at_the_horizon_hides_nobody() -> None:
    """From a hill, satellites are in the fix that stand below it; straight along a street rounding makes an edge."""
    low = tuple(
        Satellite(f"G{azimuth}", elevation, azimuth, 40, True)
        for azimuth, elevation in ((0, -1), (180, 0), (210, 0), (30, 0), (270, 12))
    )
    assert what_if(low, AS_RECEIVED).lost == ()
    assert {one.azimuth_deg for one in what_if(low, WhatIf(street=Street(210, 60))).kept} == {210, 30}
    assert {one.sight.azimuth_deg for one in what_if(low, WhatIf(cliff=Cliff(90, 40))).lost} == {30}


def test_satellites_and_systems_can_be_dropped() -> None:
    mixed = tuple(one._replace(name=f"{'GE'[number % 2]}{number:02d}") for number, one in enumerate(NINE))
    found = what_if(mixed, WhatIf(dropped=frozenset({"G02"}), dropped_systems=frozenset("E")))
    assert {one.name for one in found.kept} == {"G00", "G04", "G06", "G08"}
    assert {one.why for one in found.lost} == {"dropped", "system dropped"}


def test_the_ranking_is_of_those_that_are_left() -> None:
    found = what_if(NINE, WhatIf(mask_deg=22))
    assert {cost.name for cost in found.ranking} == {one.name for one in found.kept}


def test_why_there_is_no_figure_is_said() -> None:
    assert what_if((), AS_RECEIVED).reason == "no satellite in the fix whose direction is told"
    three = what_if(NINE, WhatIf(mask_deg=43))
    assert three.dops is None
    assert three.reason == "3 left, 4 needed: three for the place, 1 for its clock"
    two = tuple(one._replace(name=f"{'GE'[number % 2]}{number:02d}") for number, one in enumerate(NINE[:4]))
    assert what_if(two, AS_RECEIVED).reason == "4 left, 5 needed: three for the place, 2 for 2 clocks"
    cone = tuple(one._replace(elevation_deg=45) for one in NINE)
    assert "do not tell place and clock apart" in what_if(cone, AS_RECEIVED).reason
    none_left = what_if(NINE, WhatIf(mask_deg=89))
    assert none_left.reason == "0 left, 4 needed: three for the place, 1 for its clock"

"""The beam sheet: two paths, three norths, what the coarseness of locators does, and the sun in line."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from core.beam import CHARACTERS, End, beam_sheet
from core.fix import Position
from core.places.sun import sun_position
from core.sun_crossing import HIGHEST_DEG, sun_crossings

NOON = datetime(2026, 6, 1, 0, 0, tzinfo=UTC)
HERE = End("here", Position(45.0, 179.0), 0.0)


def away(km: float, bearing_deg: float = 60.0) -> End:
    """Invented: a place so far off, by the library's own direct solution."""
    line = Geodesic.WGS84.Direct(*HERE.position, bearing_deg, km * 1000)
    return End("there", Position(line["lat2"], line["lon2"]), 0.0)


def test_short_and_long_path_are_opposite_and_together_a_round() -> None:
    sheet = beam_sheet(HERE, away(100), NOON)
    assert sheet.short
    assert sheet.long
    assert sheet.short.distance_m == pytest.approx(100_000, abs=1e-3)
    assert sheet.short.bearings.true_deg == pytest.approx(60.0, abs=1e-9)
    assert sheet.long.bearings.true_deg == pytest.approx(240.0, abs=1e-9)
    # The long path is 40 008 km less the short one: trade-facts.md, section i.
    assert sheet.short.distance_m + sheet.long.distance_m == pytest.approx(40_008_000, abs=200)


def test_true_is_magnetic_and_declination_and_grid_and_convergence() -> None:
    sheet = beam_sheet(HERE, away(100), NOON)
    assert sheet.short
    north = sheet.norths.declination
    assert north
    found = sheet.short.bearings
    assert found.magnetic_deg is not None
    assert (found.magnetic_deg + north.deg) % 360 == pytest.approx(found.true_deg)
    assert (found.grid_deg + sheet.norths.grid.deg) % 360 == pytest.approx(found.true_deg)


def test_near_a_magnetic_pole_there_is_no_magnetic_bearing() -> None:
    sheet = beam_sheet(End("ice", Position(86.0, 140.0), 0.0), End("b", Position(85.0, 140.0), 0.0), NOON)
    assert sheet.short
    assert sheet.short.bearings.magnetic_deg is None


@pytest.mark.parametrize(
    ("km", "six_deg", "eight_deg"), [(10, 22, 2.3), (50, 4.6, 0.46), (100, 2.3, 0.23), (200, 1.1, 0.11)]
)
def test_what_a_locator_does_to_the_bearing_is_as_in_the_table(km: float, six_deg: float, eight_deg: float) -> None:
    """trade-facts.md, section i: worst case of one end's cell, worked out there at 45 degrees, to two figures."""
    found = {one.characters: one.uncertainty_deg for one in beam_sheet(HERE, away(km, 0.0), NOON).fineness}
    # The table rounds, and takes the half-diagonal over the distance; ours is the tangent, in that place's box.
    assert found[6] == pytest.approx(six_deg, rel=0.1)
    assert found[8] == pytest.approx(eight_deg, rel=0.1)


@pytest.mark.parametrize(
    ("km", "beamwidth_deg", "characters"), [(100, 3.4, 8), (150, 3.4, 6), (280, 1.5, 8), (340, 1.5, 6)]
)
def test_eight_characters_are_needed_where_the_table_says(km: float, beamwidth_deg: float, characters: int) -> None:
    """The same source: a 6-character locator is too coarse closer than about 135 km at 3.4, 315 km at 1.5 degrees."""
    assert beam_sheet(HERE, away(km), NOON).needed(beamwidth_deg) == characters


def test_a_beam_that_even_eight_characters_cannot_serve_needs_more_than_there_are() -> None:
    assert beam_sheet(HERE, away(2), NOON).needed(1.0) is None


def test_an_end_of_unknown_coarseness_gives_no_uncertainty() -> None:
    assert beam_sheet(HERE, away(50)._replace(radius_m=None), NOON).uncertainty_deg is None


def test_one_spot_has_no_direction() -> None:
    sheet = beam_sheet(HERE, HERE, NOON)
    assert (sheet.short, sheet.long, sheet.back, sheet.crossings) == (None, None, None, ())
    assert [one.uncertainty_deg for one in sheet.fineness] == [180.0] * len(CHARACTERS)


@settings(max_examples=30, deadline=None)
@given(st.floats(-65, 65), st.floats(-180, 180), st.floats(0, 360), st.integers(0, 364))
def test_at_a_crossing_the_sun_is_up_and_in_line(latitude: float, longitude: float, bearing: float, day: int) -> None:
    """Against the sun itself, asked at those moments: its own tests hold it against an ephemeris."""
    here, begin = Position(latitude, longitude), NOON + timedelta(days=day)
    for one in sun_crossings(here, begin, bearing):
        sun = sun_position(here, one.at)
        off = (sun.azimuth_deg - bearing - 180.0 * one.is_behind + 180.0) % 360.0 - 180.0
        # In a second the azimuth runs 0.004 degrees over cos(elevation), or a little more.
        assert abs(off) < 0.02
        assert 0.0 < sun.elevation_deg <= HIGHEST_DEG
        assert begin <= one.at <= begin + timedelta(days=1)


def test_a_southern_beam_is_met_by_the_noon_sun_in_the_north_and_its_shadow_in_the_south() -> None:
    north, south = Position(45.0, 179.0), Position(-45.0, 179.0)
    (ahead,) = (one for one in sun_crossings(north, NOON, 180.0) if not one.is_behind)
    (behind,) = (one for one in sun_crossings(south, NOON, 180.0) if one.is_behind)
    assert abs((ahead.at - behind.at).total_seconds()) < 120  # solar noon of one meridian


def test_the_beam_is_told_from_the_sun_only_while_that_can_be_seen_well() -> None:
    by_hour = [beam_sheet(HERE, away(100), NOON + timedelta(hours=n)) for n in range(24)]
    told = [sheet for sheet in by_hour if sheet.from_sun_deg is not None]
    assert 0 < len(told) < 24
    for sheet in told:
        assert sheet.short
        assert sheet.from_sun_deg is not None
        assert 0.0 < sheet.sun.elevation_deg <= HIGHEST_DEG
        assert (sheet.sun.azimuth_deg + sheet.from_sun_deg) % 360 == pytest.approx(sheet.short.bearings.true_deg)

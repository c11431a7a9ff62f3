"""UTM, UPS and grid references against published points, two independent libraries, and themselves."""

from __future__ import annotations

import subprocess
import sys

import mgrs as oracle
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Transformer

from core.fix import Position
from core.places.geodesic import way
from core.places.grids import Grid, band_of, grid, place, utm, zone_of
from core.places.mgrs import mgrs, square
from tests.tables import rows

TABLE = rows("utm_ups_mgrs.csv")
NAMES = [f"{row['what']} {row['lat']} {row['lon']}" for row in TABLE]
LATITUDES = st.floats(-90, 90) | st.sampled_from([-90.0, -80.0, 0.0, -0.0, 72.0, 84.0, 90.0])
LONGITUDES = st.floats(-180, 180) | st.sampled_from([-180.0, 180.0, 0.0, 3.0, 6.0, 9.0, 21.0, 33.0, 42.0])
POINTS = st.builds(Position, LATITUDES, LONGITUDES)


def metres_apart(a: Position, b: Position) -> float:
    return way(a, b).distance_m


def test_the_table_is_whole() -> None:
    assert len(TABLE) == 111


@pytest.mark.parametrize("row", TABLE, ids=NAMES)
def test_published_points_lie_on_the_grid(row: dict[str, str]) -> None:
    found = grid(Position(float(row["lat"]), float(row["lon"])))
    assert (found.zone, found.band) == (int(row["zone"]), row["band"])
    # The file's tolerance: 0.1 mm, and as much for its last printed digit.
    assert found.easting_m == pytest.approx(float(row["easting"]), abs=2e-4)
    assert found.northing_m == pytest.approx(float(row["northing"]), abs=2e-4)


@pytest.mark.parametrize("row", TABLE, ids=NAMES)
def test_published_points_come_back(row: dict[str, str]) -> None:
    point = Grid(int(row["zone"]), row["band"], float(row["easting"]), float(row["northing"]))
    assert metres_apart(place(point), Position(float(row["lat"]), float(row["lon"]))) < 3e-4


@pytest.mark.parametrize("row", TABLE, ids=NAMES)
def test_published_references_are_cut_not_rounded(row: dict[str, str]) -> None:
    point = Position(float(row["lat"]), float(row["lon"]))
    assert mgrs(point).replace(" ", "") == row["mgrs"]
    square_of = square(row["mgrs"])
    assert square_of is not None
    assert metres_apart(square_of.centre, point) < 0.72


@given(st.floats(-80, 83.99), st.floats(-180, 180))
@settings(max_examples=60, deadline=None)
def test_utm_is_proj_s_utm(latitude: float, longitude: float) -> None:
    found = grid(Position(latitude, longitude))
    base = f"+proj=utm +zone={found.zone} +ellps=WGS84 {'+south' if found.is_south else ''}"
    easting, northing = Transformer.from_crs("EPSG:4326", base, always_xy=True).transform(longitude, latitude)
    assert (found.easting_m, found.northing_m) == pytest.approx((easting, northing), abs=1e-3)


@given(st.floats(-79.9, 83.9), st.floats(-179.9, 179.9), st.integers(1, 5))
@settings(max_examples=60, deadline=None)
def test_references_name_the_square_that_another_library_names(latitude: float, longitude: float, digits: int) -> None:
    ours = square(mgrs(Position(latitude, longitude), digits))
    theirs = oracle.MGRS().toMGRS(latitude, longitude, MGRSPrecision=digits)
    there = square(theirs)
    assert ours is not None
    assert there is not None
    # The other library rounds within a millimetre or so of an edge, and then names the next square.
    assert metres_apart(ours.centre, there.centre) <= ours.size_m * 1.5
    back = oracle.MGRS().toLatLon(mgrs(Position(latitude, longitude), digits).replace(" ", ""))
    assert metres_apart(Position(*back), ours.centre) < 1e-3


@given(POINTS)
@settings(deadline=None)
def test_the_grid_gives_the_point_back(point: Position) -> None:
    assert metres_apart(place(grid(point)), point) < 1e-5


@given(POINTS, st.integers(1, 5))
@settings(deadline=None)
def test_the_point_lies_in_the_square_that_its_reference_names(point: Position, digits: int) -> None:
    text = mgrs(point, digits)
    found = square(text)
    assert found is not None
    assert found.size_m == 10 ** (5 - digits)
    on_grid = grid(point)
    assert (on_grid.zone, on_grid.band) == (found.corner.zone, found.corner.band)
    assert 0 <= on_grid.easting_m - found.corner.easting_m < found.size_m
    assert 0 <= on_grid.northing_m - found.corner.northing_m < found.size_m
    assert square(text.replace(" ", "").lower()) == found


@pytest.mark.parametrize(
    ("position", "text"),
    [
        ((47.5, 11.25), "32T 669451 5263183"),
        ((84.0, 84.0), "Z 2663075 1930308"),
        ((-90.0, 0.0), "B 2000000 2000000"),
        ((0.0, 180.0), "01N 166021 0"),
        ((-1e-7, 3.0), "31M 500000 10000000"),
    ],
)
def test_utm_is_written_in_rounded_metres(position: tuple[float, float], text: str) -> None:
    assert utm(Position(*position)) == text


@pytest.mark.parametrize(
    "text",
    [
        "", "32U", "32UPU1", "32U PU 916 3480", "61UPU11", "00UPU11", "32IPU11", "32UIU11", "32UAU11", "32UPW11",
        "32UPU123456123456", "A ZZ 1", "ZNA11", "32UPU٣٤",
    ],
)  # fmt: skip
def test_what_is_no_reference_is_refused(text: str) -> None:
    assert square(text) is None


def test_a_reference_without_figures_is_a_square_of_100_km() -> None:
    found = square("32U PU")
    assert found is not None
    assert (found.size_m, found.corner) == (100_000, Grid(32, "U", 600_000, 5_300_000))


@pytest.mark.parametrize("digits", [0, 6, -1])
def test_other_numbers_of_figures_are_refused(digits: int) -> None:
    with pytest.raises(ValueError, match="1 to 5"):
        mgrs(Position(0.0, 0.0), digits)


@pytest.mark.parametrize(("edge", "zone"), [(3.0, 32), (2.9999999, 31), (5.9999999, 32), (12.0, 33)])
def test_norway_widens_zone_32(edge: float, zone: int) -> None:
    assert zone_of(Position(60.0, edge)) == zone


def test_a_hair_below_a_band_stays_below_it() -> None:
    assert (band_of(7.999999999999999), band_of(8.0), band_of(-8.000000000000002), band_of(-8.0)) == tuple("NPLM")


def test_no_library_for_tests_is_needed() -> None:
    """Those that the grids are held to are not installed with the board."""
    code = (
        "import sys; sys.modules |= dict.fromkeys(('pygeodesy', 'pyproj', 'mgrs'))\n"
        "from core.fix import Position; from core.places.mgrs import mgrs, square\n"
        "print([square(one) is not None and one for one in (mgrs(Position(at, 20.25), 2) for at in (-85, 10, 88))])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    theirs = [oracle.MGRS().toMGRS(at, 20.25, MGRSPrecision=2) for at in (-85, 10, 88)]
    assert done.stdout.replace(" ", "") == f"{theirs}\n".replace(" ", "")

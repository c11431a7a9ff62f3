"""How far it is back along the trail: gaps, the way home already walked, growth. Positions are open ocean."""

from __future__ import annotations

import pytest
from geographiclib.geodesic import Geodesic

from core.fix import Position
from core.track import TrackPoint, TrackView
from core.way_back import WayBackBook

START = Position(10.5, -20.25)


def east(metres: float) -> Position:
    found = Geodesic.WGS84.Direct(*START, 90.0, metres)
    return Position(found["lat2"], found["lon2"])


def trail(*metres: float, gap_before: int | None = None) -> TrackView:
    points = [TrackPoint(east(m), 0.0, None, None, n in {0, gap_before}) for n, m in enumerate(metres)]
    return TrackView(points, len(points))


def test_out_in_one_line() -> None:
    found = WayBackBook().from_here(trail(*range(0, 2001, 50)), east(2000.0))
    assert found is not None
    assert found.distance_m == pytest.approx(2000.0, abs=0.5)
    assert (found.gaps, found.gaps_m) == (0, 0.0)


def test_a_gap_counts_as_a_straight_line_and_is_named() -> None:
    """63 m, then 12 km with the lid closed: the way back is 12 km, whatever the totals say."""
    found = WayBackBook().from_here(trail(0.0, 63.0, 12_063.0, 12_080.0, gap_before=2), east(12_080.0))
    assert found is not None
    assert found.distance_m == pytest.approx(12_080.0, abs=1.0)
    assert found.gaps == 1
    assert found.gaps_m == pytest.approx(12_000.0, abs=1.0)


def test_who_is_nearly_home_on_the_same_path_has_little_left() -> None:
    out_and_back = trail(*range(0, 8001, 50), *range(8000, 499, -50))
    found = WayBackBook().from_here(out_and_back, east(500.0))
    assert found is not None
    assert found.distance_m == pytest.approx(500.0, abs=81.0)  # BESIDE_M on either side


def test_it_is_never_less_than_the_straight_line() -> None:
    found = WayBackBook().from_here(trail(0.0, 100.0), east(5000.0))
    assert found is not None
    assert found.distance_m >= 4999.0


def test_it_follows_a_growing_trail_and_another_one() -> None:
    view = trail(*range(0, 1001, 50))
    book = WayBackBook()
    points = list(view.points)
    for count in range(1, len(points) + 1):
        found = book.from_here(TrackView(points, count), points[count - 1].position)
        assert found is not None
        assert found.distance_m == pytest.approx(50.0 * (count - 1), abs=0.5)
    other = book.from_here(trail(0.0, 200.0), east(200.0))
    assert other is not None
    assert other.distance_m == pytest.approx(200.0, abs=0.5)
    assert book.from_here(TrackView([], 0), START) is None

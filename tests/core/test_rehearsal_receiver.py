"""The simulated receiver: when it knows what, and that scatter, DOP, sky and modes agree with one another."""

from __future__ import annotations

import dataclasses
import math
import statistics
import tomllib
from datetime import timedelta

import pytest

from core.accuracy import RANGING_ERROR_M
from core.fix import FixMode, Position
from core.geometry import dilution as dops
from core.places.geodesic import way
from core.rehearsal.look import Surroundings, Wall
from core.rehearsal.offset import moved
from core.rehearsal.ranging import NO_ERRORS, ErrorBudget
from tests.rehearsed import COLD, HERE, HOT, NOON, ROUND, TRUTH, error_m, run, still, with_budget
from tests.tables import DATA

PLANE = tomllib.loads((DATA / "accuracy.toml").read_text("utf-8"))["two_dimensions"]


# One seed, one rehearsal


def test_the_same_seed_gives_the_same_and_another_seed_another() -> None:
    first, again, other = (run(COLD, 90, seed=seed) for seed in (3, 3, 4))
    assert first == again
    assert first != other
    assert first[-1].position != other[-1].position


def test_what_befalls_one_satellite_changes_no_other() -> None:
    sky = still("G" * 12, ROUND)
    wall = TRUTH._replace(surroundings=Surroundings(walls=(Wall(80.0, 100.0, 5.0), Wall(110.0, 130.0, 30.0))))
    clear, hidden = run(HOT, 30, sky=sky), run(HOT, 30, lambda _: wall, sky=sky)
    names = {one.name for one in clear[-1].seen if one.cno_dbhz} - {one.name for one in hidden[-1].seen if one.cno_dbhz}
    assert names == {"G05"}
    kept = [[one for one in epoch.seen if one.name not in ("G05", "G11")] for epoch in (clear[-1], hidden[-1])]
    assert kept[0] == kept[1]


# Positions


def test_without_errors_the_position_is_the_truth() -> None:
    last = run(with_budget(HOT, NO_ERRORS), 5)[-1]
    assert error_m(last) < 1e-6
    assert last.height_m == pytest.approx(550.0, abs=1e-6)
    assert last.geoid_separation_m == 48.0
    assert last.dimensions == 3


def test_dops_are_those_of_the_satellites_used() -> None:
    sky = still("GGGGGGEEEEEE", ROUND)
    last = run(HOT, 30, sky=sky)[-1]
    found = dops([(one.sat.system, one.unit) for one in sky(HERE, 0.0, NOON) if one.sat.name in last.used])
    assert found is not None
    assert (last.hdop, last.pdop, last.vdop, last.tdop) == pytest.approx(found[:4])


def test_long_runs_scatter_as_dop_and_the_normal_law_say() -> None:
    """4,000 epochs of independent errors of 2 m; a sigma or a quantile of them has 1 to 1.6 % of scatter itself.

    The ratios are those of accuracy.toml for equal axes.
    """
    white = ErrorBudget(2.0, 0.0, 0.0, 0.0, 0.0, clock_ephemeris_tau_s=0.0)
    config = with_budget(dataclasses.replace(HOT, smoothing_s=0.0), white)
    valid = [one for one in run(config, 4000, sky=still("G" * 12, ROUND)) if one.valid]
    errors = sorted(map(error_m, valid))
    cep, r95 = errors[len(errors) // 2], errors[round(0.95 * len(errors))]
    drms = math.sqrt(statistics.fmean(one * one for one in errors))
    assert len(valid) > 3990
    assert r95 / cep == pytest.approx(PLANE["ratios"]["r95_over_cep"], rel=0.07)
    assert r95 / drms == pytest.approx(PLANE["ratios"]["r95_over_drms"], rel=0.05)
    assert cep / drms == pytest.approx(PLANE["ratios"]["cep_over_drms"], rel=0.06)
    assert valid[-1].hdop is not None
    assert drms == pytest.approx(2.0 * valid[-1].hdop, rel=0.05)
    assert statistics.pstdev(one.height_m or 0.0 for one in valid) == pytest.approx(
        2.0 * (valid[-1].vdop or 0.0), rel=0.05
    )


def test_the_receiver_states_what_it_scatters() -> None:
    """Its statistics against independent errors of unequal size, without the shared air."""
    unequal = ErrorBudget(1.0, 0.0, 0.0, 4.0, 0.5, 0.0, 1.0, 1.0, 0.0, 0.0)
    config = with_budget(dataclasses.replace(HOT, smoothing_s=0.0), unequal)
    valid = [one for one in run(config, 2000, sky=still("GGGGGGEEEEEE", ROUND)) if one.valid]
    drms = math.sqrt(statistics.fmean(error_m(one) ** 2 for one in valid))
    stated = [one.noise for one in valid if one.noise]
    expected = math.sqrt(statistics.fmean((one.latitude_m or 0) ** 2 + (one.longitude_m or 0) ** 2 for one in stated))
    axes = math.sqrt(statistics.fmean((one.semi_major_m or 0) ** 2 + (one.semi_minor_m or 0) ** 2 for one in stated))
    assert drms == pytest.approx(expected, rel=0.07)
    assert axes == pytest.approx(expected)


def test_errors_in_the_open_are_of_the_size_that_the_board_assumes() -> None:
    """Sixty receivers on their own: R95 above a metre and below what `core.accuracy` assumes for HDOP 1."""
    errors = sorted(error_m(run(dataclasses.replace(HOT, sbas=False), 3, seed=seed)[-1]) for seed in range(60))
    assert 1.0 < errors[57] < 1.73 * RANGING_ERROR_M[FixMode.AUTONOMOUS]


def test_three_satellites_hold_the_last_height() -> None:
    """Twelve, then three for a minute: two dimensions, and the height stays as it was."""
    whole, few = still("G" * 12, ROUND)(HERE, 0.0, NOON), (0, 5, 8)
    change = NOON + timedelta(seconds=20)
    epochs = run(HOT, 60, sky=lambda _p, _h, t: whole if t < change else [whole[number] for number in few])
    before, after = epochs[19], epochs[-1]
    assert (before.dimensions, after.dimensions) == (3, 2)
    assert after.used == ("G01", "G06", "G09")
    assert after.vdop is None
    assert after.noise is not None
    assert after.noise.altitude_m is None
    assert after.height_m == pytest.approx(before.height_m, abs=1e-6)


def test_a_cold_receiver_that_begins_in_two_dimensions_is_far_off_on_a_hill_until_the_third() -> None:
    """It holds mean sea level, 502 m too low; the filter does not drag that into the first height that is measured."""
    whole, change = still("G" * 12, ROUND)(HERE, 0.0, NOON), NOON + timedelta(seconds=20)
    config = dataclasses.replace(COLD, first_in_3d=False)
    epochs = run(config, 80, sky=lambda _p, _h, t: [whole[n] for n in (0, 5, 8)] if t < change else whole)
    flat = [one for one in epochs if one.dimensions == 2]
    solid = [one for one in epochs if one.dimensions == 3]
    assert min(map(error_m, flat)) > 100.0
    assert flat[0].height_m == pytest.approx(48.0)
    assert max(map(error_m, solid)) < 15.0


@pytest.mark.parametrize(("systems", "valid"), [("GGGG", True), ("GGRR", False), ("GGGRR", True), ("GGGR", False)])
def test_a_second_system_costs_the_receiver_a_satellite(systems: str, valid: bool) -> None:
    places = [(0.0, 70.0), (10.0, 20.0), (130.0, 25.0), (250.0, 30.0), (300.0, 60.0)]
    last = run(COLD, 45, sky=still(systems, places[: len(systems)]))[-1]
    assert last.valid is valid


def test_a_street_scatters_more_than_its_dop_says() -> None:
    """Low DOP and wide scatter are the sign of a street (trade-facts.md a)."""
    street = TRUTH._replace(surroundings=Surroundings(walls=(Wall(20.0, 160.0, 55.0), Wall(200.0, 340.0, 55.0))))
    epochs = [one for one in run(HOT, 600, lambda _: street) if one.valid]
    errors = sorted(map(error_m, epochs))
    assert statistics.median(one.hdop or 99 for one in epochs) < 2.0
    assert errors[round(0.9 * len(errors))] > 3 * errors[0]
    assert errors[round(0.9 * len(errors))] > 4.0


# Back to coordinates


@pytest.mark.parametrize(
    "start", [Position(0.0, 0.0), HERE, Position(-79.0, 10.0), Position(-17.0, 179.99999), Position(89.9999, 40.0)]
)
@pytest.mark.parametrize(("east", "north"), [(3.0, 4.0), (-30.0, 40.0), (3000.0, -4000.0), (0.0, 0.0)])
def test_moving_over_the_ground_goes_as_far_as_told(start: Position, east: float, north: float) -> None:
    """Against the geodesic back (geographiclib)."""
    end = moved(start, east, north)
    assert -180.0 <= end.longitude_deg < 180.0
    assert way(start, end).distance_m == pytest.approx(math.hypot(east, north), abs=2e-3)
    if east:
        bearing = math.degrees(math.atan2(east, north)) % 360.0
        assert way(start, end).initial_bearing_deg == pytest.approx(bearing, abs=0.01)

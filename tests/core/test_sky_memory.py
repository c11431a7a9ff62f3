"""What the sky has shown: tracks, signal by elevation, obstruction. Skies are invented."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from core.fix import Satellite
from core.model import FixModel
from core.obstruction import LEAST_EPOCHS, UNKNOWN, Edge
from core.signal_by_elevation import SignalBand
from core.sky_memory import BREAK_S, MOST_NAMES, MOST_PLACES, SkyMemory, TrackPlace
from core.sources.recording import open_recording


def one(name: str = "G01", azimuth: int | None = 100, elevation: int | None = 40, cno: int | None = 42) -> Satellite:
    return Satellite(name, elevation, azimuth, cno, cno is not None)


def filled(*satellites: Satellite, epochs: int = LEAST_EPOCHS) -> SkyMemory:
    memory = SkyMemory()
    for second in range(epochs):
        memory.take(satellites, float(second))
    return memory


def test_a_track_keeps_each_direction_once_with_the_time_it_was_first_there() -> None:
    memory = SkyMemory()
    for second, azimuth in enumerate((100, 100, 101, 101, 100)):
        memory.take([one(azimuth=azimuth)], float(second))
    assert [(place.azimuth_deg, place.at_s) for place in memory.tracks()["G01"]] == [(100, 0.0), (101, 2.0), (100, 4.0)]


def test_a_satellite_that_was_away_begins_a_new_piece() -> None:
    memory = SkyMemory()
    memory.take([one()], 0.0)
    memory.take([one()], BREAK_S)
    memory.take([one()], 2 * BREAK_S + 1)
    assert memory.tracks()["G01"] == (
        TrackPlace(100, 40, 0.0, 42, True),
        TrackPlace(100, 40, 2 * BREAK_S + 1, 42, True),
    )


def test_without_a_direction_or_below_the_horizon_nothing_is_known() -> None:
    memory = filled(one(azimuth=None), one("G02", elevation=None), one("G03", elevation=-1))
    assert memory.tracks() == {}
    assert memory.signal() == ()
    assert all(cell == UNKNOWN for sector in memory.obstruction().cells for cell in sector)


def test_a_session_of_any_length_takes_bounded_memory_and_keeps_its_shape() -> None:
    memory = SkyMemory()
    for second in range(3 * MOST_PLACES):
        memory.take([one(azimuth=second % 360)], float(second))
    track = memory.tracks()["G01"]
    assert len(track) <= MOST_PLACES
    assert track[0].at_s == 0.0
    assert track[-1].at_s == 3 * MOST_PLACES - 1
    assert [place.at_s for place in track] == sorted(place.at_s for place in track)


def test_names_that_damage_makes_up_do_not_fill_the_memory() -> None:
    memory = SkyMemory()
    for number in range(10 * MOST_NAMES):
        memory.take([one(f"?{number}")], float(number))
    assert len(memory.tracks()) == MOST_NAMES


def test_signals_are_counted_by_system_and_elevation() -> None:
    memory = SkyMemory()
    for second, cno in enumerate((30, 40, 41, 42, 50)):
        memory.take([one(cno=cno, elevation=44), one("E11", cno=35, elevation=90), one("G09", cno=None)], float(second))
    assert memory.signal() == (
        SignalBand("E", 85, 5, 35, 35, 35),
        SignalBand("G", 40, 5, 41, 30, 50),
    )


def test_a_cell_needs_a_satellite_that_was_there_for_a_while() -> None:
    seldom = filled(one(cno=None), epochs=LEAST_EPOCHS - 1).obstruction()
    assert seldom.cell(100, 40).hidden_share is None
    long = filled(one(cno=None), one("G02", 250, 70)).obstruction()
    assert long.cell(100, 40).hidden_share == 1.0
    assert long.cell(250, 70).hidden_share == 0.0
    assert long.cell(250, 70).strong == long.cell(250, 70).in_fix == LEAST_EPOCHS
    assert long.cell(180, 40).hidden_share is None


def test_a_receiver_that_lists_only_what_it_hears_tells_nothing_of_what_is_hidden() -> None:
    assert not filled(one()).obstruction().tells_hidden
    assert filled(one(), one("G02", cno=None)).obstruction().tells_hidden


def test_the_skyline_is_told_as_far_as_it_is_known() -> None:
    hidden = [one(f"G{n:02d}", 100, elevation, None) for n, elevation in enumerate((2, 12, 27))]
    free = [one(f"R{n:02d}", 105, elevation) for n, elevation in enumerate((42, 61))]
    skyline = filled(*hidden, *free, one("E01", 205, 8), one("E02", 305, 50, None)).obstruction().skyline()
    assert skyline[10] == Edge(105, 30, 40)
    assert skyline[20] == Edge(205, None, 5), "free down to the lowest band that a satellite was in"
    assert skyline[30] == Edge(305, 55, None)
    assert skyline[0] == Edge(5, None, None)


def test_one_satellite_that_is_ill_does_not_raise_the_skyline_over_those_that_are_heard() -> None:
    sky = [one("G01", 100, 12, None), one("G02", 100, 27), one("G03", 100, 47), one("G04", 100, 62, None)]
    assert filled(*sky).obstruction().skyline()[10] == Edge(105, 15, 25)


def test_four_hours_beside_a_shed_find_the_shed() -> None:
    """The bundled scenario has a wall from 300 to 335 degrees, 28 high, and land up to 2 all round."""
    model = FixModel()
    model.sky_memory = SkyMemory()
    recording = open_recording(Path(str(files("replays") / "four_hours.nmea.gz")))
    for piece in recording.pieces():
        model.feed(piece.data, piece.at_s)
    recording.close()
    skyline = model.sky_memory.obstruction().skyline()
    for edge in skyline[30:33]:
        assert edge.at_least_deg is not None
        assert edge.at_most_deg is not None
        assert edge.at_least_deg - 5 <= 28 <= edge.at_most_deg
    free = [edge for edge in skyline if edge.azimuth_deg <= 290]
    assert all((edge.at_least_deg or 0) <= 5 for edge in free)
    assert sum(edge.at_most_deg is not None and edge.at_most_deg <= 5 for edge in free) > 25

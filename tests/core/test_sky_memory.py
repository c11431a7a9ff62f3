"""What the sky has shown: tracks, signal by elevation, obstruction. Skies are invented."""

from __future__ import annotations

import math
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from random import Random

from core.fix import Satellite
from core.model import FixModel
from core.obstruction import BAND_DEG, LEAST_EPOCHS, SECTOR_DEG, UNKNOWN, Edge
from core.signal_by_elevation import LEAST_COUNT, SignalBand, usual_dbhz
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


def test_ten_epochs_a_second_count_as_one() -> None:
    slow, fast = filled(one(cno=None), one("G02", 250, 70)), SkyMemory()
    for tenth in range(10 * LEAST_EPOCHS):
        fast.take([one(cno=None), one("G02", 250, 70)], tenth / 10)
    assert fast.epochs == slow.epochs == LEAST_EPOCHS
    assert fast.obstruction() == slow.obstruction()
    assert fast.signal() == slow.signal()


def test_a_recording_that_begins_again_is_taken() -> None:
    memory = SkyMemory()
    memory.take([one()], 1000.0)
    memory.take([one()], 5.0)
    assert memory.epochs == 2


def test_both_angles_zero_is_how_receivers_write_that_they_do_not_know() -> None:
    """The phone of 2022 does (test_geometry_recordings.py): none of these satellites was ever heard."""
    memory = filled(one(azimuth=0, elevation=0, cno=None), one("G02", 0, 5), one("G03", 90, 0))
    assert memory.tracks().keys() == {"G02", "G03"}
    assert memory.obstruction().cell(0, 0) == UNKNOWN
    assert memory.obstruction().cell(0, 5).known == LEAST_EPOCHS


def test_without_a_fix_silence_says_nothing_of_walls() -> None:
    memory = SkyMemory()
    for second in range(LEAST_EPOCHS):
        memory.take([one(cno=None), one("G02", 250, 70)], float(second), fixed=False)
    assert all(cell == UNKNOWN for sector in memory.obstruction().cells for cell in sector)
    assert memory.tracks().keys() == {"G01", "G02"}


def test_what_is_usual_never_falls_with_height_and_is_alike_for_all_systems() -> None:
    bands = [
        SignalBand("G", 10, LEAST_COUNT, 38, 30, 40),
        SignalBand("G", 40, LEAST_COUNT - 1, 30, 30, 60),
        SignalBand("S", 40, LEAST_COUNT, 20, 20, 21),
        SignalBand("R", 45, LEAST_COUNT, 44, 40, 50),
        SignalBand("G", 60, LEAST_COUNT, 30, 28, 34),
    ]
    assert usual_dbhz(bands) == {("G", 10): 40, ("G", 40): 40, ("S", 40): 37, ("R", 45): 50, ("G", 60): 47}


def test_a_signal_much_weaker_than_usual_is_neither_free_nor_hidden() -> None:
    strong = [one(f"G{n:02d}", 200, elevation, 45) for n, elevation in enumerate((22, 42, 62), 1)]
    low, weak, high = one("R01", 100, 22, None), one("R02", 100, 42, 33), one("R03", 100, 62, 45)
    seen = filled(*strong, low, weak, high).obstruction()
    assert (seen.cell(100, 42).weak, seen.cell(100, 42).hidden_share) == (LEAST_EPOCHS, 0.0)
    assert not seen.cell(100, 42).is_clear
    assert seen.cell(100, 62).is_clear
    assert seen.skyline()[10] == Edge(105, 25, 60)
    assert seen.skyline()[20] == Edge(205, None, 20)


AXIS_DEG, SLOPE = 30, 2 * 20 / 12
"""A street along 30 degrees, 12 m wide, of houses 20 m high."""


def edge_deg(azimuth_deg: float) -> float:
    """Where its roofs stand, from the middle."""
    return math.degrees(math.atan(SLOPE * abs(math.sin(math.radians(azimuth_deg - AXIS_DEG)))))


def in_the_street(rng: Random) -> Iterator[Satellite]:
    """A sky full of satellites. Hidden ones that light the wall across the street arrive by it, 14 dB weaker."""
    for number, (azimuth, elevation) in enumerate((a, e) for a in range(2, 360, 5) for e in range(2, 90, 5)):
        direct, edge = elevation >= edge_deg(azimuth), edge_deg(azimuth)
        bounced = 3 * math.tan(math.radians(elevation)) >= math.tan(math.radians(edge))
        cno = 36 + 12 * math.sin(math.radians(elevation)) + (rng.gauss(0, 1.2) if direct else rng.gauss(-14, 4))
        yield one(f"G{number}", azimuth, elevation, round(cno) if direct or bounced else None)


def test_between_houses_the_skyline_lies_within_the_bounds_though_reflections_are_heard() -> None:
    """Known truth; half a sector and a band are the grain. Between walls, heard is not the same as free."""
    rng, memory = Random(8), SkyMemory()
    for second in range(60):
        memory.take(in_the_street(rng), float(second))
    seen = memory.obstruction()
    heard_below = 0
    for number, edge in enumerate(seen.skyline()):
        roofs = [edge_deg(edge.azimuth_deg + off) for off in range(-SECTOR_DEG // 2, SECTOR_DEG // 2 + 1)]
        assert edge.at_most_deg is not None
        assert (edge.at_least_deg or 0) <= max(roofs) + BAND_DEG
        assert edge.at_most_deg >= min(roofs) - BAND_DEG
        assert edge.at_most_deg <= max(roofs) + 2 * BAND_DEG
        heard = min(band for band, cell in enumerate(seen.cells[number]) if cell.heard > 0.5 * cell.known)
        heard_below += heard * BAND_DEG < min(roofs) - 2 * BAND_DEG
    assert heard_below > 18, "by what is heard alone most of the street would look open"


def replayed(name: str) -> SkyMemory:
    model, memory = FixModel(), SkyMemory()
    model.sky_memory = memory
    recording = open_recording(Path(str(files("replays") / f"{name}.nmea.gz")))
    for piece in recording.pieces():
        model.feed(piece.data, piece.at_s)
    recording.close()
    return memory


def test_a_jammed_receiver_in_the_open_finds_no_walls() -> None:
    """The bundled scenario has none; three minutes without any signal, among sixteen, hide no cell."""
    seen = replayed("interference").obstruction()
    assert seen.tells_hidden, "some are not heard at the start"
    assert all(edge.at_least_deg is None for edge in seen.skyline())
    assert sum(edge.at_most_deg is not None for edge in seen.skyline()) > 15


def test_four_hours_beside_a_shed_find_the_shed() -> None:
    """The bundled scenario has a wall from 300 to 335 degrees, 28 high, and land up to 2 all round."""
    skyline = replayed("four_hours").obstruction().skyline()
    for edge in skyline[30:33]:
        assert edge.at_least_deg is not None
        assert edge.at_most_deg is not None
        assert edge.at_least_deg - 5 <= 28 <= edge.at_most_deg
    free = [edge for edge in skyline if edge.azimuth_deg <= 290]
    assert all((edge.at_least_deg or 0) <= 5 for edge in free)
    assert sum(edge.at_most_deg is not None and edge.at_most_deg <= 5 for edge in free) > 25

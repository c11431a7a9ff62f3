"""What the sky's page draws besides this moment. Skies are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.fix import Satellite
from core.obstruction import LEAST_EPOCHS, SECTOR_DEG, SECTORS, Edge
from core.signal_by_elevation import ALL, SignalByElevation
from core.sky_memory import NO_HISTORY, SkyHistory, SkyMemory
from core.what_if import AS_RECEIVED, Cliff, Street, WhatIf
from tests.build import lines
from tests.tui.support import SETTLED, Epoch, board_app, rows_of, screen_text, until
from tui.canvas.glyphs import BRAILLE, PLAIN
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.opening import Opening
from tui.panes.places import Crowd
from tui.panes.sky_base import Base, base_for
from tui.panes.sky_layers import draw_obstruction, draw_skyline
from tui.panes.sky_plot import NOTHING_YET, SkyPlotPane
from tui.panes.sky_signal import LABEL, LEAST, draw_signal
from tui.panes.sky_tracks import TrackRaster
from tui.sky_choice import NO_CHOICE, Layer
from tui.state import BoardState

SIZE = (80, 40)
DIAL = base_for(*SIZE, 0).dial
EMPTY = Base(Grid(*SIZE), Crowd(*SIZE), DIAL)
"""No rings, no letters: whatever is there was drawn by what is tested."""


def heard(name: str, azimuth: int, elevation: int, cno: int | None) -> Satellite:
    return Satellite(name, elevation, azimuth, cno, in_fix=cno is not None)


def remembering(*satellites: Satellite, epochs: int = LEAST_EPOCHS) -> SkyMemory:
    memory = SkyMemory()
    for second in range(epochs):
        memory.take(satellites, float(second))
    return memory


def with_memory(memory: SkyMemory, layer: Layer, now_s: float = 0.0) -> BoardState:
    snapshot = replace(SETTLED.snapshot, sky_history=SkyHistory(memory, memory.epochs))
    return SETTLED.changed(snapshot=snapshot, sky=NO_CHOICE._replace(layer=layer), now_s=SETTLED.now_s + now_s)


def is_marked(grid: Grid, azimuth: float, elevation: float, up_deg: float = 0.0) -> bool:
    """Whether there is a dot in the cell of a direction."""
    return cell_text(grid, azimuth, elevation, up_deg) != " "


def cell_text(grid: Grid, azimuth: float, elevation: float, up_deg: float = 0.0) -> str:
    x, y = DIAL.at(1 - elevation / 90, azimuth - up_deg)
    return grid.row_text(round(y) // 4, BRAILLE)[round(x) // 2]


# What is imagined


def test_nothing_imagined_draws_nothing() -> None:
    grid = Grid(*SIZE)
    draw_skyline(grid, DIAL, 0.0, AS_RECEIVED)
    assert rows_of(grid) == [""] * SIZE[1]


@pytest.mark.parametrize("up_deg", [0.0, 90.0])
def test_a_skyline_is_drawn_where_satellites_vanish_and_nowhere_above(up_deg: float) -> None:
    change = WhatIf(10.0, Cliff(90.0, 40.0), Street(0.0, 30.0))
    grid = Grid(*SIZE)
    draw_skyline(grid, DIAL, up_deg, change)
    for azimuth in range(0, 360, 30):
        edge = change.skyline_deg(azimuth)
        assert is_marked(grid, azimuth, edge, up_deg)
        assert not any(is_marked(grid, azimuth, elevation, up_deg) for elevation in range(round(edge) + 10, 85, 5))


# Tracks


def track_of(*places: tuple[int, int, float]) -> SkyMemory:
    memory = SkyMemory()
    for azimuth, elevation, at_s in places:
        memory.take([heard("G01", azimuth, elevation, 40)], at_s)
    return memory


def test_a_track_is_a_line_through_its_places() -> None:
    grid = TrackRaster().bring(EMPTY, 0.0, track_of((100, 40, 0.0), (104, 42, 60.0)).tracks())
    assert all(is_marked(grid, *place) for place in ((100, 40), (102, 41), (104, 42)))
    assert not is_marked(grid, 280, 40)


def test_across_a_break_nothing_is_drawn() -> None:
    joined = TrackRaster().bring(EMPTY, 0.0, track_of((354, 40, 0.0), (4, 40, 60.0)).tracks())
    broken = TrackRaster().bring(EMPTY, 0.0, track_of((354, 40, 0.0), (4, 40, 6000.0)).tracks())
    assert is_marked(joined, 359, 40)
    assert not is_marked(broken, 359, 40)
    assert is_marked(broken, 4, 40)


def test_over_a_leap_that_no_satellite_makes_nothing_is_drawn() -> None:
    grid = TrackRaster().bring(EMPTY, 0.0, track_of((350, 40, 0.0), (10, 40, 60.0)).tracks())
    assert is_marked(grid, 350, 40)
    assert is_marked(grid, 10, 40)
    assert not any(is_marked(grid, 0, elevation) for elevation in (38, 40, 42))


@pytest.mark.parametrize("then_up_deg", [0.0, 90.0])
def test_a_track_drawn_bit_by_bit_looks_like_one_drawn_at_once(then_up_deg: float) -> None:
    places = [(100 + n, 40 + n // 3, 30.0 * n) for n in range(40)]
    growing = TrackRaster()
    for count in range(1, 30):
        growing.bring(EMPTY, 0.0, track_of(*places[:count]).tracks())
    grown = growing.bring(EMPTY, then_up_deg, track_of(*places).tracks())
    at_once = TrackRaster().bring(EMPTY, then_up_deg, track_of(*places).tracks())
    assert rows_of(grown) == rows_of(at_once)


def test_the_tracks_of_another_source_take_the_place_of_the_old() -> None:
    raster = TrackRaster()
    raster.bring(EMPTY, 0.0, track_of((100, 40, 0.0), (104, 42, 60.0)).tracks())
    grid = raster.bring(EMPTY, 0.0, track_of((280, 40, 0.0), (284, 42, 60.0)).tracks())
    assert is_marked(grid, 282, 41)
    assert not is_marked(grid, 102, 41)


# Obstruction


def walled() -> SkyMemory:
    """Hidden to the east below 30 degrees, free above; the west was never looked at; the north comes and goes."""
    low = [heard(f"G{n:02d}", 95, elevation, None) for n, elevation in enumerate((12, 17, 22, 27), 1)]
    high = [heard(f"E{n:02d}", 95, elevation, 40) for n, elevation in enumerate((32, 37, 42), 1)]
    memory = remembering(*low, *high)
    for second in range(LEAST_EPOCHS):
        cno = 30 if second % 3 else None
        memory.take(
            [heard("R01", 5, 47, cno), heard("R02", 15, 47, cno), heard("R03", 5, 52, cno), heard("R04", 15, 52, cno)],
            float(second),
        )
    return memory


def test_hidden_free_and_unknown_look_different_in_every_set_of_characters() -> None:
    grid = Grid(*SIZE)
    draw_obstruction(grid, walled().obstruction(), 0.0)
    places = {"hidden": (95, 17), "free": (95, 42), "partly": (10, 50), "unknown": (255, 40)}
    for glyphs in (BRAILLE, PLAIN):
        looks = {}
        for name, (azimuth, elevation) in places.items():
            x, y = DIAL.at(1 - elevation / 90, azimuth)
            looks[name] = grid.row_text(round(y) // 4, glyphs)[round(x) // 2]
        assert len(set(looks.values())) == len(looks), looks
        assert looks["unknown"] == " "


def test_turned_the_obstruction_turns_with_the_plot() -> None:
    grid = Grid(*SIZE)
    draw_obstruction(grid, walled().obstruction(), 90.0)
    assert cell_text(grid, 95, 17, 90.0) == "\u28ff"
    assert cell_text(grid, 5, 17, 90.0) == " "


def test_the_skyline_lies_between_hidden_and_free_and_only_where_that_is_known() -> None:
    seen = walled().obstruction()
    assert Edge(95, 30, 30) in seen.skyline()
    grid = Grid(*SIZE)
    draw_obstruction(grid, seen, 0.0)
    line = {
        (azimuth, elevation)
        for azimuth in range(5, 360, SECTOR_DEG)
        for elevation in range(6, 87, 3)
        if is_marked(grid, azimuth, elevation) and ink_at(grid, azimuth, elevation) is Ink.TEXT
    }
    assert line, "no skyline"
    assert all(azimuth == 95 and 24 <= elevation <= 36 for azimuth, elevation in line)
    assert len(seen.skyline()) == SECTORS


def ink_at(grid: Grid, azimuth: float, elevation: float) -> Ink:
    x, y = DIAL.at(1 - elevation / 90, azimuth)
    return Ink(grid.row_key(round(y) // 4)[1][round(x) // 2] & 0x3F)  # type: ignore[index]  # row_key: masks, inks, ...


def test_a_receiver_that_lists_only_what_it_hears_hides_nothing() -> None:
    grid = Grid(*SIZE)
    draw_obstruction(grid, remembering(heard("G01", 95, 17, 40)).obstruction(), 0.0)
    assert "lists only what it hears" in rows_of(grid)[-1]
    assert "\u28ff" not in "".join(rows_of(grid))
    assert is_marked(grid, 95, 17)


# Signal against elevation


def chart(memory: SkyMemory, size: tuple[int, int] = (100, 40)) -> list[str]:
    grid = Grid(*size)
    draw_signal(grid, memory.signal(), memory.signal_together())
    return rows_of(grid)


def bars(rows: list[str]) -> list[tuple[int, int]]:
    """Column and row of each cell that has more than single dots: a median's bar is a level line."""
    level = {"\u2809", "\u2812", "\u2824", "\u28c0"}
    return [(x, y) for y, row in enumerate(rows) for x, char in enumerate(row) if x >= LABEL and char in level]


def test_a_stronger_signal_stands_higher_and_a_higher_satellite_farther_right() -> None:
    rows = chart(remembering(heard("G01", 10, 12, 30), heard("G02", 10, 72, 50)))
    found = bars(rows)
    low, high = min(found), max(found)
    assert high[0] - low[0] > (100 - LABEL) * 0.6
    assert high[1] < low[1]
    assert rows[high[1]].endswith("50"), "at the height of its figure"
    assert rows[low[1]].endswith("30")


def test_each_system_has_a_strip_with_its_name_and_how_much_was_heard() -> None:
    rows = chart(remembering(heard("G01", 10, 12, 30), heard("G02", 10, 40, 30), heard("E01", 10, 72, 45)))
    words = [row.split()[0] for row in rows if row[1:3].strip().isalpha()]
    names = [word for word in words if word != "readings"]
    assert names[:2] == ["Galileo", "GPS"]
    assert rows[1].split()[0] == f"{LEAST_EPOCHS}"
    assert f"{2 * LEAST_EPOCHS}" in "\n".join(row[:LABEL] for row in rows[2:])
    assert words.count("readings") == 2, "a count without what is counted"


def test_without_room_for_each_system_all_are_one() -> None:
    sky = [heard(f"{letter}01", 10, 40, 40) for letter in "CEGR"]
    rows = chart(remembering(*sky), LEAST)
    assert rows[0].split()[0] == "all"
    assert rows[1].split()[0] == f"{4 * LEAST_EPOCHS}"
    assert "GPS" not in "\n".join(rows)


def test_all_systems_together_are_the_figures_of_all_in_one_pot() -> None:
    counts = SignalByElevation()
    for system, signals in (("G", (30, 31, 32)), ("E", (40, 41, 42, 43))):
        for cno in signals:
            counts.take(system, 42, cno)
    (band,) = counts.together()
    assert band == (ALL, 40, 7, 40, 30, 43)
    assert SignalByElevation().together() == ()


# The pane


@pytest.mark.parametrize("layer", [Layer.SIGNAL, Layer.OBSTRUCTION])
@pytest.mark.parametrize("history", [NO_HISTORY, SkyHistory(SkyMemory(), 0)])
def test_before_anything_was_seen_it_says_so(layer: Layer, history: SkyHistory) -> None:
    pane, grid = SkyPlotPane(), Grid(*SIZE)
    pane.state = SETTLED.changed(
        snapshot=replace(SETTLED.snapshot, sky_history=history), sky=NO_CHOICE._replace(layer=layer)
    )
    pane.paint(grid)
    assert NOTHING_YET in "\n".join(rows_of(grid))


@pytest.mark.parametrize("layer", Layer)
@pytest.mark.parametrize("size", [(0, 0), (1, 1), (10, 3), (26, 12), (40, 7)])
def test_no_size_is_too_small(layer: Layer, size: tuple[int, int]) -> None:
    pane = SkyPlotPane()
    pane.state = with_memory(walled(), layer)
    pane.paint(Grid(*size))


def test_the_session_is_looked_at_once_a_second_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    memory, pane = walled(), SkyPlotPane()
    drawn: list[int] = []
    monkeypatch.setattr(SkyPlotPane, "_showing", lambda _: True)
    monkeypatch.setattr(SkyPlotPane, "repaint", lambda _: drawn.append(memory.epochs))
    for tenth in range(20):
        memory.take([heard("G09", 200, 50, 40)], 100.0 + tenth / 10)
        pane.state = with_memory(memory, Layer.OBSTRUCTION, tenth / 10)
    assert 2 <= len(drawn) <= 3


async def test_what_the_board_opens_is_remembered(tmp_path: Path) -> None:
    path = tmp_path / "quennet.nmea"
    path.write_bytes(b"".join(lines(*Epoch(second=float(n)).bodies()) for n in range(12)))
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(path, pace=60.0))
        await until(pilot, lambda: app.state.snapshot.sky_history.epochs > 2)
        await pilot.press("3", "pagedown")
        await pilot.pause()
        assert Layer.TRACKS.value in screen_text(app).lower()
        memory = app.state.snapshot.sky_history.memory
        assert memory is not None
        assert set(memory.tracks()) >= {"G05", "E04"}

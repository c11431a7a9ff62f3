"""Panes that have nothing to draw say why, what holds the verdict down is whole, axes say what they are in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import OptionList

from core.fix import Satellite
from core.locations import Locations
from core.site import SiteReport, SiteState
from core.sky_memory import SkyHistory, SkyMemory
from tests.tui.support import SETTLED, Epoch, board_app, board_state, played, rows_of, screen_rows
from tui.app import FixboardApp
from tui.canvas.grid import Grid
from tui.canvas.palettes import Depth
from tui.panes.charts import ChartsPane
from tui.panes.place_forms import light_rows
from tui.panes.scatter import NONE_YET, NOTHING, ScatterPane
from tui.panes.sky import NO_DIRECTIONS, SkyView, draw_sky
from tui.panes.sky_plot import NOTHING_YET, SkyPlotPane
from tui.panes.sky_table import draw_table
from tui.panes.stage import StageHead
from tui.panes.why import WhyPane
from tui.screens.chooser import ChooserScreen
from tui.screens.pick import Choice, PickScreen
from tui.session import Look, Session
from tui.sky_choice import NO_CHOICE, Layer

BLIND = tuple(Satellite(f"G{n:02d}", None, None, 40, in_fix=False) for n in range(1, 6))
"""Five satellites that are heard, none with elevation and azimuth."""


def words(grid: Grid) -> str:
    return " ".join(" ".join(rows_of(grid)).split())


def test_a_sky_without_directions_says_so_instead_of_looking_empty() -> None:
    grid = Grid(60, 30)
    draw_sky(grid, SkyView(BLIND))
    assert NO_DIRECTIONS in words(grid)
    assert "in the fix 0 of 5 in view" in words(grid)
    seen = Grid(60, 30)
    draw_sky(seen, SkyView((*BLIND, Satellite("E01", 40, 90, 40, in_fix=True))))
    assert NO_DIRECTIONS not in words(seen)


@pytest.mark.parametrize("layer", [Layer.SIGNAL, Layer.OBSTRUCTION])
def test_so_do_the_layers_of_the_session(layer: Layer) -> None:
    pane = SkyPlotPane()
    history = SkyHistory(SkyMemory(), 120)
    pane.state = SETTLED.changed(
        snapshot=replace(SETTLED.snapshot, sky_history=history), sky=NO_CHOICE._replace(layer=layer)
    )
    grid = pane._painted(60, 30)  # what is in sight looks at the newest state first
    assert NO_DIRECTIONS in words(grid)
    assert NOTHING_YET not in words(grid)


@pytest.mark.parametrize("height", [1, 2])
def test_a_table_of_one_row_is_its_closing_line_alone(height: int) -> None:
    grid = Grid(60, height)
    draw_table(grid, BLIND, "in the fix 0 of 5 in view", stale=False)
    assert rows_of(grid)[-1].strip().removesuffix(", 0 more").startswith("in the fix 0 of 5 in view")
    assert "G01" not in rows_of(grid)[-1]


@pytest.mark.parametrize(("state", "note"), [(SiteState.PAUSED, NONE_YET), (SiteState.NONE, NOTHING)])
def test_a_scatter_without_fixes_says_whether_an_averaging_is_under_way(state: SiteState, note: str) -> None:
    pane, grid = ScatterPane(), Grid(70, 12)
    pane.state = SETTLED.changed(snapshot=replace(SETTLED.snapshot, site=SiteReport(state)))
    pane.paint(grid)
    assert note in words(grid)


def test_what_holds_the_verdict_down_has_all_of_its_thresholds_at_80_columns() -> None:
    held_down = played(*(Epoch(second=float(n), mode="E", quality="6") for n in range(12)))
    pane, grid = WhyPane(), Grid(80, 21)
    pane.state = board_state(held_down)
    pane.paint(grid)
    assert "estimated, manual, simulated are doubtful" in words(grid)


def test_where_the_sun_is_stands_under_the_sun_and_not_under_the_twilight() -> None:
    labels = ["".join(span.text for span in row) for row in light_rows(SETTLED)]
    now = next(n for n, text in enumerate(labels) if "above the horizon" in text)
    assert labels[now - 1].startswith("sun ")


def test_the_caution_beside_the_error_is_whole_at_80_columns() -> None:
    pane, grid = WhyPane(), Grid(80, 21)
    pane.state = SETTLED
    pane.paint(grid)
    assert "reflections, wrong datum and interference are not in it" in words(grid)


@pytest.mark.parametrize(("back_s", "ends"), [(0.0, ("-5 min", "-2.5 min", "now")), (300.0, ("-10 min", "-5 min"))])
def test_charts_say_when_their_axis_begins_and_ends(back_s: float, ends: tuple[str, ...]) -> None:
    pane, grid = ChartsPane(), Grid(80, 19)
    pane.state = SETTLED.changed(chart_span=1, chart_back_s=back_s)
    pane.paint(grid)
    last = rows_of(grid)[-1]
    assert [one for one in ends if one in last] == list(ends)
    assert last.index(ends[0]) == 12


@pytest.mark.parametrize("height", range(12))
def test_charts_of_any_height_are_drawn(height: int) -> None:
    pane, grid = ChartsPane(), Grid(80, height)
    pane.state = SETTLED
    pane.paint(grid)
    assert len(rows_of(grid)) == height


@pytest.mark.parametrize("size", [(80, 24), (80, 20), (120, 40)], ids=str)
@pytest.mark.parametrize("count", [3, 40])
async def test_a_long_list_leaves_its_title_and_its_hint_in_sight(
    tmp_path: Path, size: tuple[int, int], count: int
) -> None:
    choices = [Choice(f"{n}.nmea", "recorded") for n in range(count)]
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        for screen, title, hint in (
            (PickScreen("Which one?", choices, ""), "Which one?", "Enter picks"),
            (ChooserScreen(choices), "What to watch", "Enter opens"),
        ):
            app.push_screen(screen)
            await pilot.pause()
            shown = "\n".join(screen_rows(app))
            assert title in shown
            assert hint in shown
            await pilot.press("escape")
            await pilot.pause()


@pytest.mark.parametrize("depth", Depth)
@pytest.mark.parametrize("theme", ["dark", "daylight", "night"])
async def test_the_chosen_row_of_a_list_is_seen_with_any_colours_and_with_none(
    tmp_path: Path, depth: Depth, theme: str
) -> None:
    app = FixboardApp(Session(Locations(tmp_path), Look("braille", theme)), (), depth)
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(PickScreen("Which one?", [Choice("a", "one"), Choice("b", "two")], ""))
        await pilot.pause()
        listed = app.screen.query_one(OptionList)
        chosen, other = (next(iter(listed.render_line(y))).style for y in (0, 1))
        assert chosen is not None
        assert other is not None
        assert chosen.bgcolor != other.bgcolor or (chosen.underline and not other.underline)


@pytest.mark.parametrize(("size", "rows_high"), [((120, 40), 4), ((200, 60), 4), ((80, 24), 4)])
async def test_on_stage_the_verdict_is_in_letters_too(tmp_path: Path, size: tuple[int, int], rows_high: int) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        state = SETTLED.changed(is_stage=True)
        app._show(**{"snapshot": state.snapshot, "now_s": state.now_s, "status": state.status, "is_stage": True})
        await pilot.pause()
        head = app.board.query_one(StageHead)
        rows = [head.render_line(y).text for y in range(head.size.height)]
        assert not any("firm" in row for row in rows)
        beside = [row[len(row) - 20 :].strip() for row in rows]
        assert sum(map(bool, beside)) >= rows_high

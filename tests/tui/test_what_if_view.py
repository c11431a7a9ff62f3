"""What the what-if panel works out, against sums done another way, and how it puts it. Skies are invented."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.aged import Aged
from core.fix import Satellite
from core.geometry import dops, sights_in_fix
from core.history import Dops as OwnDops
from core.sources.source import SourceKind
from core.what_if import AS_RECEIVED, Street, WhatIf, what_if
from tests.tui.support import SETTLED, Epoch, board_app, board_state, played, rows_of, screen_rows, show, walked
from tui.canvas.grid import Grid
from tui.panes import what_if as what_if_pane
from tui.panes.sky import ROOM_FOR_WHY
from tui.panes.sky_plot import SkyPlotPane
from tui.panes.what_if import WhatIfPane
from tui.panes.what_if_view import HIDES, WORDS, Panel, effect, imagined, panel
from tui.sky_choice import NO_CHOICE, Layer
from tui.state import BoardState


def sat(name: str, azimuth: int, elevation: int) -> Satellite:
    return Satellite(name, elevation, azimuth, None, True)


MIXED = tuple(
    sorted(
        sat(name, azimuth, elevation)
        for name, azimuth, elevation in (
            ("G01", 10, 15), ("G02", 100, 18), ("G03", 190, 22), ("G04", 280, 12), ("G05", 60, 70),
            ("E01", 45, 40), ("E02", 135, 55), ("E03", 225, 45), ("E04", 315, 60),
        )
    )
)  # fmt: skip
"""Low satellites of one system, high ones of another."""


def said(state: BoardState, size: tuple[int, int] = (42, 36)) -> list[str]:
    pane, grid = WhatIfPane(), Grid(*size)
    pane.state = state
    pane.paint(grid)
    return rows_of(grid)


def imagining(snapshot: BoardState = SETTLED, **choice: object) -> BoardState:
    return snapshot.changed(sky=NO_CHOICE._replace(**choice))  # type: ignore[arg-type]  # fields by name


def overhead(*satellites: Satellite) -> BoardState:
    """These in view, all in the fix."""
    snapshot = SETTLED.snapshot
    return SETTLED.changed(snapshot=replace(snapshot, sky=Aged(satellites, snapshot.at_s, 1.0)))


# Sums


def test_what_a_kept_satellite_is_worth_is_the_difference_without_it() -> None:
    found = imagined(MIXED, AS_RECEIVED)
    whole = dops(sights_in_fix(MIXED))
    assert whole is not None
    for one in found.ranked:
        without = dops(sights_in_fix(other for other in MIXED if other.name != one.name))
        assert without is not None
        assert (one.hdop, one.pdop) == pytest.approx((without.hdop - whole.hdop, without.pdop - whole.pdop))


@pytest.mark.parametrize("name", [one.name for one in MIXED])
def test_a_dropped_satellite_would_give_back_what_it_cost(name: str) -> None:
    before = next(one for one in imagined(MIXED, AS_RECEIVED).ranked if one.name == name)
    after = next(one for one in imagined(MIXED, WhatIf(dropped=frozenset({name}))).ranked if one.name == name)
    assert before.pdop is not None
    assert before.hdop is not None
    assert (after.hdop, after.pdop) == pytest.approx((-before.hdop, -before.pdop))
    assert after.why == "dropped"


def test_those_without_whom_there_is_no_position_come_first() -> None:
    four = tuple(one for one in MIXED if one.name in {"G01", "G02", "G03", "G05"})
    found = imagined(four, AS_RECEIVED).ranked
    assert [one.decides for one in found] == [True] * 4
    five = imagined(tuple(sorted((*four, sat("R01", 90, 30)))), AS_RECEIVED).ranked
    assert [one.decides for one in five] == [True] * 4 + [False]
    assert five[-1].name == "R01"
    assert five[-1].pdop == pytest.approx(0.0), "the first of a system pays for its clock"


def test_without_a_position_a_lost_one_that_would_bring_it_back_comes_first() -> None:
    change = WhatIf(dropped_systems=frozenset("G"), dropped=frozenset({"E01"}))
    found = imagined(MIXED, change)
    assert found.outcome.dops is None
    assert [(one.name, one.decides) for one in found.ranked if one.decides] == [("E01", True)]
    assert found.ranked[0].name == "E01"
    assert all(one.pdop is None for one in found.ranked)


def test_signals_and_order_are_no_reason_to_work_it_out_again() -> None:
    state = imagining(street_wall_deg=55)
    panel(state)
    misses = imagined.cache_info().misses
    sky = state.snapshot.sky
    assert sky is not None
    for shift in range(1, 4):
        turned = [one._replace(cno_dbhz=20 + shift) for one in (*sky.value[shift:], *sky.value[:shift])]
        panel(state.changed(snapshot=replace(state.snapshot, sky=sky._replace(value=tuple(turned)))))
    assert imagined.cache_info().misses == misses
    moved = [one._replace(azimuth_deg=(one.azimuth_deg or 0) + 1) for one in sky.value]
    panel(state.changed(snapshot=replace(state.snapshot, sky=sky._replace(value=tuple(moved)))))
    assert imagined.cache_info().misses == misses + 1


def test_every_reason_of_the_core_has_its_words() -> None:
    sky = (*MIXED, sat("R01", 90, 50), sat("R02", 200, 50))
    change = WhatIf(mask_deg=13, street=Street(0, 30), dropped=frozenset({"E02"}), dropped_systems=frozenset("R"))
    reasons = {one.why for one in what_if(sky, change).lost}
    assert {"below the mask", "behind the houses", "dropped", "system dropped"} == reasons
    assert reasons <= set(HIDES) == set(WORDS)
    text = effect(imagined(tuple(sorted(sky)), change), change)
    assert text.endswith(": mask hides 1, street hides 1, 2 of systems dropped, 1 dropped of 11.")


# Words


def test_the_clock_of_tdop_is_named_and_named_again_where_it_is_another() -> None:
    state = overhead(*MIXED)
    assert any(row.startswith(" TDOP G") for row in said(state))
    row = next(row for row in said(imagining(state, mask_deg=30)) if "TDOP" in row)
    assert row.endswith("of E")
    assert not next(row for row in said(imagining(state, mask_deg=10)) if "TDOP" in row).endswith("of E")


def test_what_makes_the_receiver_s_own_figures_differ_is_said() -> None:
    text = "\n".join(said(overhead(*MIXED, Satellite("G09", None, None, 40, True))))
    assert "no direction: 1" in text
    assert "no direction" not in "\n".join(said(overhead(*MIXED)))
    flat = board_state(played(*(Epoch(second=float(n), dimensions=2) for n in range(3))))
    assert "2D: the receiver holds the height" in "\n".join(said(flat))
    assert "2D" not in "\n".join(said(SETTLED))


def test_a_figure_beyond_all_meaning_is_not_shown_as_one() -> None:
    values = SETTLED.snapshot.values
    assert values.dops is not None
    own = values.dops._replace(value=OwnDops(99.99, 99.99, None))
    state = SETTLED.changed(snapshot=replace(SETTLED.snapshot, values=values._replace(dops=own)))
    rows = said(state)
    assert rows[1].split()[:2] == ["HDOP", ">100"]
    assert rows[2].split()[:2] == ["VDOP", "-"]


def test_a_held_place_has_no_sky_to_imagine_away() -> None:
    state = SETTLED.changed(status=replace(SETTLED.status, kind=SourceKind.HELD))
    assert panel(state).imagined.ranked == ()
    assert "A held place: no receiver" in " ".join("\n".join(said(state)).split())


def test_the_receiver_s_own_figures_go_with_its_position() -> None:
    lost = board_state(played(*(Epoch(second=float(n)) for n in range(3)), Epoch(second=3.0, valid=False)))
    assert panel(SETTLED).own is not None
    assert panel(lost).own is None
    assert panel(lost).imagined.ranked == ()


@pytest.mark.parametrize("height", [8, 11, 15, 19, 24, 40])
def test_the_chosen_row_and_the_keys_are_seen_at_every_height(height: int) -> None:
    for row in panel(SETTLED).rows:
        rows = said(imagining(row=row), (38, height))
        assert sum(line.startswith(" > ") for line in rows) == 1, row
        assert any("Left Right" in line for line in rows[-2:])
        assert any(line.startswith(" HDOP") for line in rows)
        assert all(len(line) <= 38 for line in rows)


@pytest.mark.parametrize("width", [38, 42])
def test_nothing_is_cut_in_the_panel_beside_a_plot(width: int) -> None:
    choices = (
        {"mask_deg": 25}, {"street_wall_deg": 55, "street_deg": 165}, {"cliff_height_deg": 60, "cliff_deg": 345},
        {"dropped_systems": frozenset("G")}, {"dropped": frozenset({"G05", "C44"}), "row": "satellite:C44"},
        {"mask_deg": 60},
    )  # fmt: skip
    for choice in choices:
        assert not [row for row in said(imagining(**choice), (width, 40)) if "~" in row], choice


# The plot


def plotted(state: BoardState, width: int) -> list[str]:
    pane = SkyPlotPane()
    pane.state = state
    return rows_of(pane._painted(width, 34))[1:]


def test_a_lost_satellite_says_why_where_there_is_room() -> None:
    wide = "\n".join(plotted(imagining(mask_deg=35), 76))
    assert "-G20 mask" in wide
    assert "-G24" not in wide
    narrow = "\n".join(plotted(imagining(mask_deg=35), ROOM_FOR_WHY - 1))
    assert "-G20" in narrow
    assert "mask" not in narrow


def test_the_plot_counts_what_is_kept_and_not_what_is_received() -> None:
    state = imagining(mask_deg=35)
    lost = len(panel(state).imagined.outcome.lost)
    assert plotted(state, 60)[-1].strip() == f"WHAT IF: keeps {9 - lost} of 9 in the fix"
    assert plotted(SETTLED, 60)[-1].strip() == "in the fix 9 of 11 in view"
    assert "WHAT IF" not in "\n".join(plotted(imagining(mask_deg=35, layer=Layer.TRACKS), 60))


async def test_out_of_sight_nothing_is_worked_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[BoardState] = []

    def watched(state: BoardState) -> Panel:
        asked.append(state)
        return panel(state)

    monkeypatch.setattr(what_if_pane, "panel", watched)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        for seconds in range(2, 6):
            show(app, board_state(walked(seconds)))
            await pilot.pause()
        assert asked == []
        await pilot.press("3")
        await pilot.pause()
        assert asked
        assert any("HDOP" in row for row in screen_rows(app))


async def test_on_a_narrow_and_high_screen_the_panel_stands_below_the_plot(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(60, 44)) as pilot:
        show(app, SETTLED)
        await pilot.press("3", "right")
        await pilot.pause()
        plot, words = app.board.query_one(SkyPlotPane).region, app.board.query_one(WhatIfPane).region
        assert plot.width == words.width == 60
        assert plot.bottom == words.y
        assert words.height >= 12

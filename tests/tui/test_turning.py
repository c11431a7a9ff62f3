"""The turning rose: the short way round, taken over by what is newer, never more than is shown or wanted."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.pilot import Pilot

from tests.tui.support import until
from tui.panes.compass import CompassPane, CompassView
from tui.panes.turning import TURN_S, Turn, eased, short_way

EAST = CompassView(90.0, "course-up", 90.0)
bearings = st.floats(-720, 720)


@pytest.mark.parametrize(
    ("shown", "wanted", "half"),
    [(0, 90, 45), (350, 10, 0), (10, 350, 0), (90, 0, 45), (359, 1, 0), (0, 179, 89.5), (0, 181, 270.5), (40, 40, 40)],
)
def test_half_of_the_short_way(shown: float, wanted: float, half: float) -> None:
    assert eased(shown, wanted, 0.5) == pytest.approx(half)


@given(bearings, bearings)
def test_all_of_the_way_is_there_and_none_of_it_is_here(shown: float, wanted: float) -> None:
    assert short_way(eased(shown, wanted, 1.0), wanted) == pytest.approx(0, abs=1e-9)
    assert short_way(eased(shown, wanted, 0.0), shown) == pytest.approx(0, abs=1e-9)


@given(bearings, bearings, st.floats(0, 1))
def test_never_more_than_half_a_circle_nor_past_the_end(shown: float, wanted: float, fraction: float) -> None:
    angle = eased(shown, wanted, fraction)
    assert 0 <= angle < 360
    assert abs(short_way(angle, wanted)) <= abs(short_way(shown, wanted)) + 1e-9


def test_a_turn_is_fast_at_first_and_ends_exactly() -> None:
    turn = Turn(0.0, 90.0, 5.0)
    shown = [turn.at(5.0 + TURN_S * n / 4) for n in range(6)]
    steps = [after - before for before, after in pairwise(shown)]
    assert shown[0] == 0
    assert steps[:4] == sorted(steps[:4], reverse=True)
    assert shown[4:] == [90.0, 90.0]


def test_a_clock_that_went_back_turns_nothing_back() -> None:
    assert Turn(10.0, 90.0, 5.0).at(3.0) == 10.0


class Clock:
    """Set by hand."""

    now_s = 100.0

    def __call__(self) -> float:
        return self.now_s


class Bench(App[None]):
    def __init__(self, level: str = "full") -> None:
        super().__init__()
        self.animation_level = level  # type: ignore[assignment]  # a literal of Textual's, as the tests' names
        self.pane = CompassPane()
        self.clock = self.pane.clock = Clock()

    def compose(self) -> ComposeResult:
        yield self.pane


def is_turning(pane: CompassPane) -> bool:
    return pane._frames is not None


def letter_row(pane: CompassPane, letter: str) -> int:
    rows = [pane.render_line(y).text for y in range(1, 16)]
    return next(y for y, row in enumerate(rows) if letter in row)


async def shown(pilot: Pilot[None], app: Bench, after_s: float) -> float:
    """The bearing at the top, so long after now."""
    app.clock.now_s += after_s
    app.pane.repaint()
    await pilot.pause()
    return app.pane.shown_deg


async def test_the_rose_turns_there_and_rests() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST)
        assert await shown(pilot, app, 0.0) == 0.0
        assert letter_row(app.pane, "N") < letter_row(app.pane, "E")
        assert 30 < await shown(pilot, app, TURN_S / 3) < 60
        assert letter_row(app.pane, "E") > 1
        assert await shown(pilot, app, TURN_S) == 90.0
        assert letter_row(app.pane, "E") < letter_row(app.pane, "N")
        await until(pilot, lambda: not is_turning(app.pane))


async def test_frames_come_by_themselves() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST)
        app.clock.now_s += 2 * TURN_S
        await until(pilot, lambda: not is_turning(app.pane))
        await pilot.pause()
        assert letter_row(app.pane, "E") < letter_row(app.pane, "N")


async def test_words_and_what_the_rose_is_turned_by_do_not_wait() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST)
        await pilot.pause()
        rows = [app.pane.render_line(y).text for y in range(16)]
        assert "up is 090° true" in rows[0]
        assert "course 090° true" in rows[1]
        # The wedge stands at the top already; the rose turns under it.
        assert set(rows[2][13:17]) & set("▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")


async def test_a_new_bearing_takes_over_from_where_the_rose_is() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST)
        before = await shown(pilot, app, TURN_S / 2)
        app.pane.show(EAST._replace(up_deg=20.0))
        assert await shown(pilot, app, 0.0) == before
        assert 20 < await shown(pilot, app, TURN_S / 2) < before
        assert await shown(pilot, app, TURN_S) == 20.0


async def test_another_view_of_the_same_bearing_does_not_begin_again() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST)
        app.clock.now_s += TURN_S / 2
        app.pane.show(EAST._replace(target_bearing_deg=45.0))
        assert await shown(pilot, app, TURN_S / 2) == 90.0


@pytest.mark.parametrize(("level", "up"), [("none", 90.0), ("full", 1.0)])
async def test_without_animations_and_for_a_degree_it_jumps(level: str, up: float) -> None:
    app = Bench(level)
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.show(EAST._replace(up_deg=up))
        assert app.pane.shown_deg == up
        assert not is_turning(app.pane)


async def test_a_hidden_pane_does_not_turn() -> None:
    app = Bench()
    async with app.run_test(size=(30, 16)) as pilot:
        await pilot.pause()
        app.pane.display = False
        await pilot.pause()
        app.pane.show(EAST)
        assert not is_turning(app.pane)
        app.pane.display = True
        await pilot.pause()
        assert app.pane.shown_deg == 90.0
        app.pane.show(EAST._replace(up_deg=180.0))
        assert is_turning(app.pane)
        app.pane.display = False
        await until(pilot, lambda: not is_turning(app.pane))
        assert app.pane.shown_deg == 180.0

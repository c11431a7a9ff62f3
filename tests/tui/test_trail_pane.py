"""The map as a pane: what its keys do to it, and how little of it is written again."""

from __future__ import annotations

import pytest
from textual.app import App, ComposeResult

from core.map_view import DOT_STEPS_M, MapView, vector
from core.track import TrackPoint, TrackView
from tests.walks import OCEAN, laid, straight
from tui.panes.profile import ProfilePane, ProfileView
from tui.panes.trail import TrailPane, TrailView

POINTS = [TrackPoint(one.place, one.at_s, None, 100.0, one.at_s == 0) for one in straight(OCEAN, 60, 400)]
VIEW = TrailView(TrackView(POINTS, 400), POINTS[399].position)


class Bench(App[None]):
    def __init__(self, pane: TrailPane | ProfilePane) -> None:
        super().__init__()
        self.pane = pane

    def compose(self) -> ComposeResult:
        yield self.pane


def shown(pane: TrailPane) -> MapView:
    assert pane.shown is not None
    return pane.shown


async def test_zooming_goes_by_round_steps_about_the_position() -> None:
    pane = TrailPane()
    async with Bench(pane).run_test(size=(60, 25)):
        pane.show(VIEW)
        fitted = shown(pane).metres_per_dot
        pane.zoom_in()
        assert DOT_STEPS_M[pane.zoom or 0] == max(step for step in DOT_STEPS_M if step < fitted)
        assert shown(pane).plane.origin == VIEW.here
        pane.zoom_out()
        assert shown(pane).metres_per_dot == min(step for step in DOT_STEPS_M if step >= fitted)
        for _ in range(30):
            pane.zoom_out()
        assert shown(pane).metres_per_dot == DOT_STEPS_M[-1]
        for _ in range(30):
            pane.zoom_in()
        assert shown(pane).metres_per_dot == DOT_STEPS_M[0]


async def test_a_moved_map_keeps_its_scale_and_its_middle_when_zoomed() -> None:
    pane = TrailPane()
    async with Bench(pane).run_test(size=(60, 25)):
        pane.show(VIEW)
        fitted = shown(pane)
        pane.pan(12, -8)
        assert shown(pane).metres_per_dot == fitted.metres_per_dot
        x, y = fitted.dot(vector(OCEAN))
        assert shown(pane).dot(vector(OCEAN)) == pytest.approx((x - 12, y + 8))
        pane.pan(12, 0)
        middle = shown(pane).place(*shown(pane).middle)
        pane.zoom_in()
        pane.zoom_in()
        assert shown(pane).place(*shown(pane).middle) == pytest.approx(middle, abs=1e-6)
        assert "free" in pane.aside.text


async def test_follow_and_fit_lead_back() -> None:
    pane = TrailPane()
    async with Bench(pane).run_test(size=(60, 25)):
        pane.show(VIEW)
        fitted = shown(pane)
        pane.zoom_in()
        pane.pan(300, 300)
        scale = shown(pane).metres_per_dot
        pane.follow()
        assert shown(pane).metres_per_dot == scale
        assert shown(pane).dot(vector(VIEW.here or OCEAN)) == pytest.approx(shown(pane).middle)
        pane.fit()
        assert shown(pane).metres_per_dot == fitted.metres_per_dot
        assert pane.mode.startswith("all of it")


async def test_keys_before_there_is_anything_do_no_harm() -> None:
    pane = TrailPane()
    async with Bench(pane).run_test(size=(60, 25)) as pilot:
        for key in (pane.zoom_in, pane.zoom_out, pane.follow, pane.fit):
            key()
        pane.pan(5, 5)
        await pilot.pause()
        assert any("Nothing recorded yet" in pane.render_line(y).text for y in range(25))


async def test_a_step_writes_few_rows_again() -> None:
    pane, asked = TrailPane(), []
    async with Bench(pane).run_test(size=(60, 25)) as pilot:
        pane.zoom = DOT_STEPS_M.index(5.0)
        pane.show(VIEW)
        await pilot.pause()
        before = [pane.render_line(y).text for y in range(25)]
        pane.show(VIEW._replace(track=TrackView(POINTS, 401), here=laid(POINTS[400].position, 60, 10)))
        await pilot.pause()
        asked = [y for y in range(25) if pane.render_line(y).text != before[y]]
        assert 0 < len(asked) <= 6


async def test_the_profile_shows_what_it_is_told() -> None:
    pane = ProfilePane()
    async with Bench(pane).run_test(size=(60, 12)) as pilot:
        pane.show(ProfileView(VIEW.track, VIEW.here))
        await pilot.pause()
        text = "\n".join(pane.render_line(y).text for y in range(12))
        assert "Elevation" in text
        assert "110 m" in text
        assert "55" in text.splitlines()[-1]

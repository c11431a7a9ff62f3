"""What sky and compass are given to draw, from the state of the board."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.tui.support import ISLE, Epoch, board_app, board_state, here, played, screen_rows, show, walked
from tui.app import FixboardApp
from tui.panes.bound import BoardCompass, compass_view, sky_view
from tui.state import BoardState, Orientation

HEADED = Epoch(more=("GNHDT,200.0,T",))


def test_nothing_known_gives_nothing_to_point_with() -> None:
    view = compass_view(BoardState(target=ISLE))
    assert (view.course_deg, view.heading_deg, view.target_bearing_deg) == (None, None, None)
    assert view.note == "no fix: no course"
    assert (view.target_distance, view.turn) == ("", "")


def test_a_fresh_course_and_target() -> None:
    view = compass_view(board_state(target=ISLE))
    assert (view.course_deg, view.course_sure) == (90.0, True)
    assert view.target_bearing_deg == pytest.approx(44.7, abs=0.1)
    assert (view.target_name, view.target_distance, view.turn) == ("Isle of Quennet", "1.56 km", "45° left")
    assert not view.stale


@pytest.mark.parametrize(
    ("knots", "course", "sure", "note"),
    [("1.4", 90.0, False, None), ("0.1", None, False, "standing: no course"), ("", None, False, "no speed reported")],
)
def test_slow_courses(knots: str, course: float | None, sure: bool, note: str | None) -> None:
    view = compass_view(board_state(walked(4, Epoch(knots=knots))))
    assert (view.course_deg, view.course_sure) == (course, sure)
    assert note is None or view.note == note


def test_an_old_position_points_on_but_says_it_is_old() -> None:
    view = compass_view(board_state(age_s=4.0, target=ISLE))
    assert view.stale
    assert (view.course_deg, view.turn) == (None, "")
    assert view.target_bearing_deg is not None


def test_no_position_points_nowhere() -> None:
    view = compass_view(board_state(age_s=11.0, target=ISLE))
    assert (view.target_bearing_deg, view.target_distance) == (None, "")


def test_a_heading_is_kept_apart_from_the_course() -> None:
    view = compass_view(board_state(walked(4, replace(HEADED, knots="0.0"))))
    assert (view.course_deg, view.heading_deg) == (None, 200.0)
    assert compass_view(board_state(walked(4, HEADED), age_s=4.0)).heading_deg is None


def test_on_the_spot_no_direction_but_a_distance() -> None:
    view = compass_view(board_state(target=replace(ISLE, position=here())))
    assert (view.target_bearing_deg, view.target_distance) == (None, "0 m")


@pytest.mark.parametrize(
    ("orientation", "epoch", "up", "name"),
    [
        (Orientation.NORTH_UP, HEADED, 0.0, "north-up"),
        (Orientation.COURSE_UP, Epoch(), 90.0, "course-up"),
        (Orientation.COURSE_UP, Epoch(knots="1.4"), 0.0, "north-up"),
        (Orientation.HEAD_UP, HEADED, 200.0, "head-up"),
        (Orientation.HEAD_UP, Epoch(), 0.0, "north-up"),
    ],
)
def test_what_is_up(orientation: Orientation, epoch: Epoch, up: float, name: str) -> None:
    """Sky and compass turn together, and only by what can be relied on."""
    state = board_state(walked(4, epoch), orientation=orientation)
    assert (compass_view(state).up_deg, compass_view(state).up_name) == (up, name)
    assert sky_view(state).up_deg == up


def aside(app: FixboardApp) -> str:
    return app.board.query_one(BoardCompass).aside.text


async def test_the_title_says_why_it_does_not_turn_and_stops_saying_it(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        slow = board_state(walked(4, Epoch(knots="0.0")), orientation=Orientation.COURSE_UP)
        show(app, slow)
        await pilot.pause()
        assert aside(app) == "no sure course: north-up"
        assert any("no sure course: north-up" in row for row in screen_rows(app))
        show(app, slow.changed(orientation=Orientation.NORTH_UP))
        await pilot.pause()
        assert aside(app) == "north is up"
        assert not any("no sure course" in row for row in screen_rows(app))


# The sky


def test_the_sky_before_and_after_it_was_reported() -> None:
    assert sky_view(BoardState()).note == "No satellites reported yet"
    empty = sky_view(board_state(walked(2, Epoch(valid=False, sky=("GPGSV,1,1,00",)))))
    assert (empty.satellites, empty.note) == ((), "The receiver reports no satellite in view")
    gone = sky_view(board_state(age_s=30.0))
    assert (gone.satellites, gone.note) == ((), "Satellites no longer reported")


def test_satellites_in_the_fix_and_not_tracked() -> None:
    satellites = {one.name: one for one in sky_view(board_state()).satellites}
    assert len(satellites) == 11
    assert [satellites[name].in_fix for name in ("G05", "E09", "E11", "G28")] == [True, True, False, False]
    assert satellites["G28"].cno_dbhz is None


def test_no_satellite_is_in_a_fix_that_is_void() -> None:
    lost = played(*(Epoch(second=float(n)) for n in range(3)), Epoch(second=3.0, valid=False))
    assert not any(one.in_fix for one in sky_view(board_state(lost)).satellites)


def test_an_old_sky_is_marked() -> None:
    assert not sky_view(board_state(age_s=1.0)).stale
    assert sky_view(board_state(age_s=4.0)).stale

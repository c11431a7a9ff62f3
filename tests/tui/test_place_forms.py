"""The position page: every form, no finer than the error, with declination and light."""

from __future__ import annotations

import re
from dataclasses import replace

from core.fix import Position
from core.model import Snapshot
from tests.tui.support import Epoch, board_state, pane_text, played, position_pane, walked
from tui.panes.place_forms import form_rows, light_rows

SIZE = (78, 26)


def page(snapshot: Snapshot) -> str:
    return pane_text(position_pane(), board_state(snapshot), SIZE)


def test_all_forms_stand_on_a_wide_page_and_not_on_the_board() -> None:
    shown = page(walked(12))
    for label in ("UTM", "MGRS", "ISO 6709", "geo URI", "magnetic", "sun", "twilight"):
        assert f" {label} " in shown
    assert "MGRS" not in pane_text(position_pane(), board_state(walked(12)))


def test_the_figures_are_no_finer_than_the_error() -> None:
    """HDOP 9 of an autonomous fix is an error of some 60 m: 100 m each way in MGRS."""
    coarse = played(*(Epoch(second=float(n), hdop="9.0", used=False) for n in range(3)))
    forms = " ".join(span.text for row in form_rows(board_state(coarse)) for span in row)
    fine = " ".join(span.text for row in form_rows(board_state(walked(12))) for span in row)
    assert "27P" in forms and len(forms) < len(fine)


def test_the_position_itself_has_the_digits_that_the_error_is_worth_unless_pinned() -> None:
    coarse = board_state(played(*(Epoch(second=float(n), hdop="9.0", used=False) for n in range(3))))
    assert " 10.5000° N" in pane_text(position_pane(), coarse)
    assert " 10.50000° N" in pane_text(position_pane(), replace(coarse, pins_digits=True))


def test_heights_in_forms_are_above_the_ellipsoid_or_left_out() -> None:
    assert "+42.5CRSWGS_84/" in page(walked(12))  # 12.5 m and the geoid 30 m above the ellipsoid
    without = played(*(Epoch(second=float(n), altitude="") for n in range(3)))
    assert "CRSWGS_84" not in page(without)


def test_the_sun_is_given_as_a_direction_now() -> None:
    """Noon UTC at 20.25 W: 1 h 21 min before the sun's own noon, in May, so east of south-to-north and high."""
    assert re.search(r" now 0\d\d° true, [67]\d° above the horizon", page(walked(12)))


def test_without_a_date_there_is_neither_declination_nor_sun() -> None:
    assert list(light_rows(board_state(played(Epoch(day=""))))) == []


def test_the_polar_night_is_named() -> None:
    north = played(*(Epoch(second=float(n), place="8000.0000,N,02015.0000,W", day="211231") for n in range(3)))
    words = " ".join(span.text for row in light_rows(board_state(north)) for span in row)
    assert "The sun does not rise" in words
    assert north.fix.position == Position(80.0, -20.25)


def test_without_a_position_there_are_no_forms() -> None:
    assert form_rows(board_state(Snapshot())) == []

"""What the panes of text say of a position, fresh, old and gone: blank rather than wrong."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from core.model import FixModel, Snapshot
from core.places.notation import Notation
from tests.build import lines
from tests.tui.support import (
    ISLE,
    SKY,
    START_S,
    Epoch,
    board_state,
    drawn,
    here,
    ink_of,
    pane_rows,
    pane_text,
    played,
    position_pane,
    rows_of,
    said,
    walked,
)
from tui.canvas.inks import Ink
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.state import BoardState

FIGURES = ("10.50000° N", "020.25000° W")


def row(rows: list[str], label: str) -> str:
    """What stands beside a label."""
    (found,) = [one for one in rows if one.startswith(f" {label} ") or one == f" {label}"]
    return found[10:]


def all_panes(state: BoardState) -> str:
    return "\n".join(pane_text(pane, state, (40, 16)) for pane in (position_pane(), FixPane(), GoToPane()))


# Nothing yet, and the ways into a fix


def test_before_anything_is_heard_nothing_is_a_figure() -> None:
    text = all_panes(BoardState(target=ISLE))
    assert "no position" in text
    assert "no fix yet" in text
    assert not re.search(r"\d", text)


def test_every_unknown_value_is_a_dash() -> None:
    rows = pane_rows(FixPane(), BoardState())
    assert [row(rows, label) for label in ("in fix", "age", "HDOP")] == ["-", "-", "-"]
    assert row(rows, "mode") == "not reported"
    rows = pane_rows(position_pane(), BoardState())
    assert [row(rows, label) for label in ("UTC", "local", "speed", "altitude")] == ["-", "-", "-", "-"]


def test_a_cold_start_without_time_says_no_fix_and_shows_no_time() -> None:
    state = board_state(walked(3, Epoch(valid=False, time=False, sky=("GPGSV,1,1,00",))))
    assert row(pane_rows(position_pane(), state), "UTC") == "-"
    rows = pane_rows(FixPane(), state)
    assert (row(rows, "mode"), row(rows, "in fix")) == ("no fix", "0")
    assert ink_of(drawn(FixPane(), state), "no fix") is Ink.ALERT


def test_time_comes_before_place() -> None:
    state = board_state(walked(3, Epoch(valid=False)))
    rows = pane_rows(position_pane(), state)
    assert rows[0] == " no position"
    assert row(rows, "UTC") == "12:00:02  2031-05-04"
    assert row(rows, "local") == "12:00:02  UTC+0000"
    assert row(pane_rows(FixPane(), state), "in fix") == "0 of 11 in view"


def test_a_time_without_a_date_says_so_and_has_no_local_time() -> None:
    rows = pane_rows(position_pane(), board_state(said("GNGGA,120000.00,1030.0000,N,02015.0000,W,1,09,0.9,1,M,,M,,")))
    assert row(rows, "UTC") == "12:00:00  no date"
    assert row(rows, "local") == "-"


def test_a_fresh_fix_in_full() -> None:
    state = board_state()
    rows = pane_rows(position_pane(), state)
    assert tuple(one.strip() for one in rows[:2]) == FIGURES
    assert row(rows, "locator") == "HK90vm00"
    assert row(rows, "speed") == " 1.5 m/s   5.4 km/h"
    assert row(rows, "course") == "090° true"
    assert row(rows, "altitude").strip() == "12.5 m  mean sea level"
    assert "           42.5 m  ellipsoid" in rows
    rows = pane_rows(FixPane(), state)
    assert row(rows, "mode") == "autonomous, 3D"
    assert row(rows, "in fix") == "9 of 11 in view"
    assert row(rows, "age") == "0 s"
    assert row(rows, "HDOP") == "1.0"
    assert "old" not in all_panes(state)


@pytest.mark.parametrize(
    ("notation", "written"),
    [
        (Notation.DECIMAL, FIGURES),
        (Notation.DEGREES_MINUTES, ("10° 30.000' N", "020° 15.000' W")),
        (Notation.DEGREES_MINUTES_SECONDS, ("10° 30' 00.0\" N", "020° 15' 00.0\" W")),
    ],
)
def test_the_notations(notation: Notation, written: tuple[str, str]) -> None:
    rows = pane_rows(position_pane(), board_state(notation=notation))
    assert tuple(one.strip() for one in rows[:2]) == written
    assert rows[0].rindex("N") == rows[1].rindex("W")


# Growing old


def test_two_missed_periods_make_it_grey_with_its_age() -> None:
    fresh, stale = board_state(age_s=2.1), board_state(age_s=2.3)
    assert ink_of(drawn(position_pane(), fresh), FIGURES[0]) is Ink.TEXT
    grid = drawn(position_pane(), stale)
    assert ink_of(grid, FIGURES[0]) is Ink.STALE
    assert ink_of(grid, "2 s old") is Ink.STALE
    assert row(pane_rows(position_pane(), stale), "speed").startswith("1.5 m/s")
    assert row(pane_rows(position_pane(), stale), "course") == "no fix: no course"
    assert row(pane_rows(FixPane(), stale), "mode") == "no fix"


@pytest.mark.parametrize("words", [FIGURES[1], "HK90vm00", "12.5 m", "1.5 m/s 5.4 km/h", "12:00:03"])
def test_everything_that_came_with_it_goes_grey(words: str) -> None:
    assert ink_of(drawn(position_pane(), board_state(age_s=3.0)), words) is Ink.STALE


def test_void_is_not_current_from_its_first_sentence() -> None:
    """The last position is half a second old, and still nobody may take it for the present one."""
    lost = played(*(Epoch(second=float(n)) for n in range(4)), Epoch(second=4.0, valid=False))
    state = board_state(lost)
    assert not state.is_current
    grid = drawn(position_pane(), state)
    assert [ink_of(grid, words) for words in (FIGURES[0], "1.5 m/s", "12.5 m")] == [Ink.STALE] * 3
    grid = drawn(FixPane(), state)
    assert (ink_of(grid, "no fix"), ink_of(grid, "1.0")) == (Ink.ALERT, Ink.STALE)
    assert row(pane_rows(FixPane(), state), "in fix") == "0 of 11 in view"


def test_a_number_in_the_fix_is_grey_where_only_the_place_is_void() -> None:
    """RMC says void before GGA has come to say that no satellite is used."""
    model = FixModel()
    for second in range(4):
        model.feed(lines(*Epoch(second=float(second)).bodies()), START_S + second)
    model.feed(lines(Epoch(second=4.0, valid=False).bodies()[0]), START_S + 4)
    assert ink_of(drawn(FixPane(), board_state(model.snapshot())), "9 of 11 in view") is Ink.STALE


def test_after_ten_seconds_the_place_is_gone_from_every_pane() -> None:
    state = board_state(age_s=10.5, target=ISLE)
    text = all_panes(state)
    assert "no position" in text
    assert "last fix 0:00:10 ago" in text
    for figure in (*FIGURES, "HK90", "12.5 m", "42.5 m", "1.56 km", "045°", "m/s", "1.0"):
        assert figure not in text
    assert "no position: no guidance" in text


def test_the_age_of_the_last_fix_counts_on() -> None:
    assert "last fix 2:46:40 ago" in pane_text(position_pane(), board_state(age_s=10_000.0))


def test_values_that_come_seldom_age_by_their_own_interval() -> None:
    """Height every fifth second: eight seconds old is nothing unusual, twelve is."""
    epochs = [Epoch(second=float(n), altitude="12.5" if n % 5 == 0 else "") for n in range(19)]
    assert ink_of(drawn(position_pane(), board_state(played(*epochs))), "12.5 m") is Ink.TEXT
    epochs += [Epoch(second=float(n), altitude="") for n in range(19, 28)]
    state = board_state(played(*epochs))
    assert ink_of(drawn(position_pane(), state), "12.5 m") is Ink.STALE
    assert ink_of(drawn(position_pane(), state), FIGURES[0]) is Ink.TEXT


def test_both_heights_go_together() -> None:
    epochs = [Epoch(second=float(n)) for n in range(3)]
    epochs += [Epoch(second=float(n), altitude="") for n in range(3, 15)]
    text = pane_text(position_pane(), board_state(played(*epochs)))
    assert FIGURES[0] in text
    assert "ellipsoid" not in text
    assert "sea level" not in text


def test_all_dops_go_together() -> None:
    epochs = [Epoch(second=float(n)) for n in range(3)]
    epochs += [Epoch(second=float(n), used=False, hdop="") for n in range(3, 15)]
    text = pane_text(FixPane(), board_state(played(*epochs)))
    assert "autonomous" in text
    assert "PDOP" not in text
    assert row(text.split("\n"), "HDOP") == "-"


# What the receiver leaves out


@pytest.mark.parametrize(
    ("epoch", "pane", "label", "words"),
    [
        (Epoch(knots=""), position_pane(), "speed", "-"),
        (Epoch(knots=""), position_pane(), "course", "no speed reported"),
        (Epoch(course=""), position_pane(), "course", "not reported"),
        (Epoch(altitude=""), position_pane(), "altitude", "-"),
        (Epoch(hdop="", used=False), FixPane(), "HDOP", "-"),
        (Epoch(sky=()), FixPane(), "in fix", "9"),
        (Epoch(sky=SKY[2:]), FixPane(), "in fix", "9, 3 in view"),
        (Epoch(dimensions=2), FixPane(), "mode", "autonomous, 2D"),
        (Epoch(used=False), FixPane(), "mode", "autonomous"),
        (Epoch(mode="D", quality="2"), FixPane(), "mode", "differential, 3D"),
        (Epoch(mode="R", quality="4"), FixPane(), "mode", "RTK fixed, 3D"),
        (Epoch(mode="F", quality="5"), FixPane(), "mode", "RTK float, 3D"),
    ],
)
def test_what_one_epoch_says(epoch: Epoch, pane: FixPane, label: str, words: str) -> None:
    assert row(pane_rows(pane, board_state(walked(4, epoch))), label) == words


def test_two_dimensions_are_a_warning() -> None:
    assert ink_of(drawn(FixPane(), board_state(walked(4, Epoch(dimensions=2)))), "autonomous, 2D") is Ink.WARN


def test_satellites_that_are_no_longer_reported_are_no_longer_counted() -> None:
    epochs = [Epoch(second=float(n)) for n in range(3)] + [Epoch(second=float(n), sky=()) for n in range(3, 20)]
    assert row(pane_rows(FixPane(), board_state(played(*epochs))), "in fix") == "9"


def test_the_receiver_s_own_statistics_and_corrections() -> None:
    more = ("GNGST,120000.00,7.5,,,,0.6,0.5,1.2",)
    corrected = Epoch(mode="D", quality="2", used=False, sky=(), more=more)
    snapshot = said(*[body.replace("M,30.0,M,,", "M,30.0,M,3,0061") for body in corrected.bodies()])
    text = pane_text(FixPane(), board_state(snapshot))
    assert "1 sigma  0.6, 0.5, 1.2 m" in text
    assert "corr age 3 s, station 0061" in text


# Positions that no satellites gave


@pytest.mark.parametrize(
    ("mode", "quality", "caption", "words"),
    [
        ("E", "6", "ESTIMATED", "estimated: dead reckoning"),
        ("M", "7", "BY HAND", "typed in by hand"),
        ("S", "8", "SIMULATED", "simulated, not real"),
    ],
)
def test_a_position_without_satellites_is_loud(mode: str, quality: str, caption: str, words: str) -> None:
    state = board_state(walked(4, Epoch(mode=mode, quality=quality)), target=ISLE)
    pane = position_pane()
    assert ink_of(drawn(pane, state), FIGURES[0]) is Ink.WARN
    pane.watch_state()
    assert (pane.aside.text, pane.aside.ink, pane.aside.bold) == (caption, Ink.WARN, True)
    assert ink_of(drawn(FixPane(), state), words) is Ink.WARN
    assert "3D" not in pane_text(FixPane(), state)
    assert ink_of(drawn(GoToPane(), state), f"position: {caption.lower()}") is Ink.WARN


def test_it_stays_marked_when_it_grows_old() -> None:
    epochs = [Epoch(second=float(n), mode="S", quality="8") for n in range(3)]
    pane = position_pane()
    pane.state = board_state(played(*epochs, Epoch(second=3.0, valid=False)))
    pane.watch_state()
    assert pane.aside.text == "NOT MEASURED"


def test_satellites_again_take_the_mark_away() -> None:
    epochs = [Epoch(second=0.0, mode="E", quality="6"), Epoch(second=1.0), Epoch(second=2.0)]
    pane = position_pane()
    pane.state = board_state(played(*epochs))
    pane.watch_state()
    assert pane.aside.text == "decimal degrees"


# Contradictions and cautions


def test_a_contradiction_is_told() -> None:
    state = board_state(walked(4, Epoch(quality="0")))
    assert not state.is_current
    told = state.snapshot.fix.contradictions
    assert told
    grid = drawn(FixPane(), state, (80, 13))
    assert ink_of(grid, told[0]) is Ink.WARN


@pytest.mark.parametrize("letter", ["C", "U"])
def test_the_receiver_s_caution_is_told_until_it_falls_silent(letter: str) -> None:
    word = {"C": "caution", "U": "unsafe"}[letter]
    snapshot = walked(4, Epoch(mode=f"A,{letter}"))
    assert f"receiver says: {word}" in pane_text(FixPane(), board_state(snapshot))
    assert "receiver says" not in pane_text(FixPane(), board_state(snapshot, age_s=60.0))


def test_another_datum_is_told() -> None:
    snapshot = walked(4, Epoch(more=("GNDTM,999,,0.0,N,0.0,E,0.0,W84", "GNDTM,P90,,0.0,N,0.0,E,0.0,W84")))
    assert "datum P90: not WGS 84" in pane_text(FixPane(), board_state(snapshot))


def test_the_receiver_s_message_stands_only_while_there_is_no_fix() -> None:
    text = ("GNTXT,01,01,01,ANTENNA OPEN",)
    assert "receiver: ANTENNA OPEN" in pane_text(FixPane(), board_state(walked(2, Epoch(valid=False, more=text))))
    assert "ANTENNA" not in pane_text(FixPane(), board_state(walked(2, Epoch(more=text))))


# Motion


def test_standing_there_is_no_course_and_it_says_why() -> None:
    rows = pane_rows(position_pane(), board_state(walked(4, Epoch(knots="0.1"))))
    assert row(rows, "speed") == " 0.1 m/s   0.2 km/h"
    assert row(rows, "course") == "standing: no course"


def test_an_unsure_course_is_grey_and_said() -> None:
    state = board_state(walked(4, Epoch(knots="1.4")))
    assert row(pane_rows(position_pane(), state), "course") == "090° true  unsure: slow"
    assert ink_of(drawn(position_pane(), state), "090° true  unsure: slow") is Ink.COURSE_UNSURE


# The way


def turn_of(snapshot: Snapshot) -> str:
    return row(pane_rows(GoToPane(), board_state(snapshot, target=ISLE)), "turn")


def test_the_way_in_figures() -> None:
    rows = pane_rows(GoToPane(), board_state(target=ISLE))
    assert [row(rows, label) for label in ("distance", "bearing", "turn")] == ["1.56 km", "045° true", "45° left"]
    assert "Not for primary navigation" in "\n".join(rows)


@pytest.mark.parametrize(
    ("epoch", "words"),
    [
        (Epoch(course="45.0"), "straight on"),
        (Epoch(course="225.0"), "turn round"),
        (Epoch(course="0.0"), "45° right"),
        (Epoch(knots="1.4"), "walk on: no sure course"),
        (Epoch(knots="0.0"), "walk straight first"),
    ],
)
def test_which_way_to_turn(epoch: Epoch, words: str) -> None:
    assert turn_of(walked(4, epoch)) == words


def test_a_turn_is_never_taken_from_a_heading() -> None:
    assert turn_of(walked(4, Epoch(knots="0.0", more=("GNHDT,45.0,T",)))) == "walk straight first"


def test_on_the_spot_there_is_no_bearing() -> None:
    spot = replace(ISLE, position=here())
    rows = pane_rows(GoToPane(), board_state(target=spot))
    assert [row(rows, label) for label in ("distance", "bearing", "turn")] == ["0 m", "on the spot", "-"]


def test_guidance_from_an_old_position_says_so() -> None:
    state = board_state(age_s=4.0, target=ISLE)
    grid = drawn(GoToPane(), state)
    assert ink_of(grid, "from the last position: not current") is Ink.WARN
    assert (ink_of(grid, "1.56 km"), ink_of(grid, "045° true")) == (Ink.STALE, Ink.STALE)
    assert row(rows_of(grid), "turn") == "-"


def test_without_a_target_the_keys_are_told() -> None:
    rows = pane_rows(GoToPane(), board_state())
    assert rows[:3] == [" m marks here", " g goes to the newest mark", " t lists the waypoints"]

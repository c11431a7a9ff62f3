"""The pages of the clock and of A and B in words: every fact of them, one a line, as the pages themselves say it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from functools import lru_cache

import pytest

from core.clock_report import ClockReport
from core.model import Snapshot
from core.pair_axis import Axis, Basis
from core.pair_other import Other
from core.safe_text import one_cell_each
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.station import Station, watch
from tests.tui.support import REPLAYING, SETTLED, Epoch, board_state, walked
from tests.tui.test_panes_hostile import NASTY, assert_harmless
from tui.in_words import Asked, state_lines
from tui.panes.ab import CELLS
from tui.panes.clock import NOTHING_TO_COMPARE, answer_rows, rest_blocks, verdict_rows
from tui.spoken_rows import NOT_KNOWN, WIDE
from tui.state import BoardState

ASKED = Asked(datetime(2031, 5, 4, 13, 0, tzinfo=UTC), UTC)
HELD = SourceStatus(SourceKind.HELD, "Old quay", SourceState.HOLDING)


@lru_cache
def report(name: str) -> ClockReport:
    stations = {"good": Station(0.1, 0.2), "wrong": Station(receiver_error_s=lambda _: 2.0)}
    return watch(stations[name]).last


def with_clock(found: ClockReport, age_s: float = 0.0) -> BoardState:
    """The newest second is the report's own."""
    snapshot = walked(12)
    aged = snapshot.values.utc
    assert aged is not None
    assert found.utc is not None
    values = snapshot.values._replace(utc=aged._replace(value=found.utc))
    return board_state(replace(snapshot, clock=found, values=values), age_s)


def told(state: BoardState) -> list[str]:
    return state_lines(state, ASKED)


def values(state: BoardState, name: str) -> list[str]:
    return [line.removeprefix(f"{name}: ") for line in told(state) if line.startswith(f"{name}: ")]


# The clock


@pytest.mark.parametrize("name", ["good", "wrong"])
def test_whatever_the_page_of_the_clock_says_is_said(name: str) -> None:
    found = report(name)
    text = "\n".join(told(with_clock(found)))
    rest = [row for block in rest_blocks(found, WIDE) for row in block]
    rows = [*answer_rows(found, WIDE), *verdict_rows(found, WIDE), *rest]
    assert len(rows) > 8
    assert [row[-1].text for row in rows if row[-1].text.strip() not in text] == []


def test_offset_and_verdict_have_lines_of_their_own() -> None:
    state = with_clock(report("good"))
    assert values(state, "offset of the computer's clock") == ["between 0.33 s behind UTC and 0.25 s ahead of UTC"]
    (verdict,) = values(state, "good for slot modes")
    assert verdict.startswith("YES, within 0.5 s") or verdict.startswith("YES: within 0.5 s")
    assert len(values(state, "GPS time")) >= 2
    assert values(state, "newest second named")[0].endswith("2031-05-04")


def test_a_second_that_is_over_is_not_current() -> None:
    (named,) = values(with_clock(report("good"), 60.0), "newest second named")
    assert named.endswith("not current")


def test_of_a_recording_it_is_the_clock_of_then() -> None:
    state = with_clock(replace(report("good"), recorded=True))
    assert values(state, "clock compared") == ["the clock of the recording, then"]
    assert values(with_clock(report("good")), "clock compared") == []


def test_before_anything_has_come_it_is_not_known_and_with_a_held_place_there_is_none() -> None:
    assert values(BoardState(), "newest second named") == [NOT_KNOWN]
    assert values(BoardState(), "offset of the computer's clock") == ["not known"]
    held = board_state(walked(3), status=HELD)
    assert values(held, "computer's clock") == [NOTHING_TO_COMPARE]
    assert values(held, "good for slot modes") == []


# A and B


def beside(name: str = "b.nmea", east: str = "02014.9990,W") -> BoardState:
    """B is a thousandth of a minute of longitude east of A, 1.82 m there (1855.3 m x cos 10.5), at the same seconds."""
    b = walked(12, Epoch(place=f"1030.0000,N,{east}"))
    status = replace(REPLAYING, name=name, state=SourceState.PAUSED)
    other = Other(status, b, SETTLED.now_s, Axis(Basis.UTC, 0.0), is_lined_up=True)
    return SETTLED.changed(other=other, status=replace(SETTLED.status, state=SourceState.PAUSED))


def test_each_fact_of_the_two_is_a_line_for_a_and_one_for_b() -> None:
    state = beside()
    for label, _ in CELLS:
        assert len(values(state, f"{label} of A")) == len(values(state, f"{label} of B")) == 1, label
    assert values(state, "file of B") == ["b.nmea"]
    assert values(state, "verdict of A") == ["firm"]
    assert values(state, "UTC of A") == ["12:00:11, 2031-05-04"]


def test_where_b_is_and_what_that_is_worth() -> None:
    state = beside()
    assert values(state, "B from A") == ["east +1.82 m, north 0.00 m, up 0.00 m"]
    distance, worth = values(state, "distance of B from A")
    assert distance.startswith("1.82 m, at 12:00:1")
    assert worth.endswith("no more than the errors explain")
    assert len(values(state, "satellites in A and B")) == 1
    assert values(state, "satellites in A only") == ["0"]


def test_why_no_difference_is_stated() -> None:
    state = beside()
    assert state.other is not None
    early = state.changed(other=replace(state.other, now_s=-60.0))
    assert values(early, "B from A") == ["no difference stated", "B begins in 0:01:00"]
    assert values(early, "95 % error of B") == [NOT_KNOWN]


def test_without_a_second_recording_that_is_said() -> None:
    assert values(SETTLED, "A and B") == ["no second recording is open"]
    assert values(SETTLED, "file of A") == []


@pytest.mark.parametrize("nasty", NASTY.values(), ids=NASTY.keys())
def test_a_second_file_s_name_stays_on_its_line(nasty: str) -> None:
    state = beside(nasty)
    assert_harmless([one_cell_each(line) for line in told(state)], 10_000)
    assert len(values(state, "file of B")) == 1


def test_lines_are_facts_with_a_name() -> None:
    for state in (with_clock(report("good")), with_clock(report("wrong")), beside()):
        for line in told(state):
            assert line == "" or re.fullmatch(r"[^:\s][^:]*: \S.*", line), line
            assert "  " not in line
    assert Snapshot().clock.utc is None  # what `before anything has come` rests on

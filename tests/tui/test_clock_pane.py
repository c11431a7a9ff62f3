"""The page of the clock: the second, the offset and its bar, the verdict, what speaks against it; at every size."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import lru_cache
from pathlib import Path

import pytest

from core.clock_report import ClockReport
from core.fix import MS_PER_DAY, Utc
from core.latency import Basis, Latency
from core.latency_file import LatencyFile
from core.locations import Locations
from core.sources.source import SourceKind
from tests.station import Station, crowded, watch
from tests.tui.support import ScriptedSource, board_app, board_state, rows_of, screen_text, show, walked
from tui.canvas.grid import Grid
from tui.opening import LiveOpening
from tui.panes.clock import ClockPane, newest_second
from tui.state import BoardState


@lru_cache
def report(name: str) -> ClockReport:
    stations = {
        "good": Station(0.1, 0.2),
        "behind": Station(-7000.0, 0.2),
        "whole": Station(receiver_error_s=lambda _: 2.0),
        "overrun": Station(0.2, 0.2, 1, 9600, crowded, buffer=300),
    }
    return watch(stations[name]).last


def state_of(found: ClockReport, age_s: float = 0.0, ahead_ms: int = 2000) -> BoardState:
    """The report, and a newest second that is so much later: the epochs between are not finished yet."""
    snapshot = walked(12)
    aged = snapshot.values.utc
    assert aged is not None
    assert found.utc is not None
    utc = aged._replace(value=found.utc._replace(time_ms=(found.utc.time_ms + ahead_ms) % MS_PER_DAY))
    return board_state(replace(snapshot, clock=found, values=snapshot.values._replace(utc=utc)), age_s)


def rows(state: BoardState, size: tuple[int, int] = (80, 20)) -> list[str]:
    pane = ClockPane()
    pane.state = state
    grid = Grid(*size)
    pane.paint(grid)
    return rows_of(grid)


def text(found: ClockReport, size: tuple[int, int] = (80, 20)) -> str:
    return "\n".join(rows(state_of(found), size))


def bar(found: ClockReport) -> str:
    return next(row for row in rows(state_of(found)) if row.count("|") >= 2 or "<<" in row)


def test_the_offset_stands_with_its_bounds_and_the_verdict_in_words() -> None:
    shown = text(report("good"))
    assert "between 0.33 s behind UTC and 0.25 s ahead of UTC" in shown
    assert "YES: within 0.5 s" in shown
    assert "assumed (common practice), not measured" in shown
    assert "ahead by 0.30 s at most, whatever the latency" in shown


def test_the_bar_is_filled_between_the_bounds_and_nowhere_else() -> None:
    line = bar(report("good"))
    marks = [n for n, char in enumerate(line) if char == "|"]
    begin, end = line.index("["), line.index("]")
    assert set(line[begin + 1 : end]) == {"="}
    assert "=" not in line[:begin] + line[end:]
    half = (marks[-1] - marks[0]) / 4
    middle = (marks[-1] + marks[0]) / 2
    low_s, high_s = report("good").low_s, report("good").high_s
    assert low_s is not None
    assert high_s is not None
    assert begin == pytest.approx(middle + low_s / 0.5 * half, abs=1)
    assert end == pytest.approx(middle + high_s / 0.5 * half, abs=1)


def test_an_offset_beyond_the_bar_is_an_arrow_at_its_end() -> None:
    assert bar(report("behind")).strip().startswith("<")
    ahead = replace(report("good"), low_s=40.0, high_s=41.0, at_most_s=41.0)
    assert bar(ahead).endswith(">")


def test_without_a_lower_bound_the_bar_is_open_to_the_left() -> None:
    line = bar(report("overrun"))
    assert "<<<" in line
    assert "[" not in line
    assert "the line" in text(report("overrun"))


def test_a_doubt_about_leap_seconds_is_the_reason() -> None:
    assert "UNKNOWN: the clocks differ by a whole 2 s" in text(report("whole"))


def test_gps_week_leap_seconds_and_the_next_rollover_are_told_where_there_is_room() -> None:
    shown = text(report("good"), (120, 36))
    assert "GPS week 2678 (sent as 630)" in shown
    assert "18 s ahead of UTC since 2017-01-01, unless a leap second" in " ".join(shown.split())
    assert "2038-11-20 23:59:42 UTC" in shown


def test_the_cautions_are_there_at_the_smallest_full_size() -> None:
    shown = " ".join(text(report("good")).split())
    assert "can disturb other programs, logs and the records" in shown
    assert "within your licence" in shown


def test_a_second_that_was_named_long_ago_is_not_shown_as_the_present_one() -> None:
    assert "not current" not in "\n".join(rows(state_of(report("good"))))
    assert "not current" in "\n".join(rows(state_of(report("good"), age_s=60.0)))
    assert "not current" in "\n".join(rows(state_of(report("good"), age_s=60.0), (40, 10)))


def test_the_second_shown_is_the_newest_one_not_that_of_the_last_finished_epoch() -> None:
    found = report("good")
    assert found.utc is not None
    later = found.utc._replace(time_ms=found.utc.time_ms + 2000)
    assert newest_second(state_of(found)) == (later, True)
    assert f"when the first byte of {found.utc.clock()} UTC came" in text(found)


def test_a_second_of_the_receivers_own_clock_without_a_fix_does_not_count() -> None:
    found = report("good")
    assert newest_second(state_of(found, ahead_ms=30_000)) == (found.utc, False)
    assert "not current" in "\n".join(rows(state_of(found, ahead_ms=30_000)))


def test_over_midnight_the_day_goes_on() -> None:
    found = report("good")
    assert found.utc is not None
    assert found.utc.day is not None
    late = replace(found, utc=Utc(MS_PER_DAY - 1000, found.utc.day))
    assert newest_second(state_of(late)) == (Utc(1000, found.utc.day + timedelta(days=1)), True)


def test_what_finds_no_room_is_said_to_be_missing() -> None:
    assert rows(state_of(report("good")), (80, 12))[-1].strip() == "14 rows more below: Down"
    assert "more below" not in text(report("good"), (120, 36))


@pytest.mark.parametrize("name", ["good", "behind", "whole", "overrun"])
@pytest.mark.parametrize("width", [0, 1, 12, 25, 40, 80, 200])
@pytest.mark.parametrize("height", [0, 1, 3, 20, 60])
def test_any_size_is_drawn_without_a_mishap(name: str, width: int, height: int) -> None:
    assert len(rows(state_of(report(name)), (width, height))) == height


def test_nothing_yet_and_a_held_place_have_no_time_and_no_bar() -> None:
    nothing = "\n".join(rows(BoardState()))
    assert "no second of a satellite fix yet" in nothing
    assert "|" not in nothing
    held = state_of(report("good"))
    held = held.changed(status=replace(held.status, kind=SourceKind.HELD))
    assert "HELD PLACE" in rows(held)[0]
    assert "12:01" not in "\n".join(rows(held))


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
async def test_a_capital_c_shows_the_page_and_no_other_pane(tmp_path: Path, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, state_of(report("good")))
        await pilot.pause()
        await pilot.press("C")
        await pilot.pause()
        shown = screen_text(app)
        assert "between 0.33 s behind" in shown
        assert "altitude" not in shown


async def test_a_live_source_is_opened_with_what_was_learned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    key = report("good").key
    assert key is not None
    taught = Latency(0.1, 0.3, Basis.LEARNED, "2031-05-04")
    LatencyFile(Locations(tmp_path).latencies).keep(key, taught)
    opened: list[LiveOpening] = []

    def source(self: LiveOpening, host: object = None) -> ScriptedSource:
        opened.append(self)
        return ScriptedSource([])

    monkeypatch.setattr(LiveOpening, "source", source)
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open(LiveOpening())
        await pilot.pause()
        assert opened[0].learned(key) == taught

"""Verdict, why, signals, charts and events: what they say of known epochs."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.judgement import Judgement
from core.model import FixModel, Snapshot
from core.trust import Verdict
from core.trust_rules import RULES
from tests.build import lines
from tests.tui.support import Epoch, board_app, board_state, played, position_pane, rows_of, screen_rows, show, walked
from tui.alert import LOST_FOR_S, FixAlert
from tui.canvas.grid import Grid
from tui.canvas.inks import Ink
from tui.canvas.widget import CanvasPane
from tui.panes.charts import STRIPS, ChartsPane, axis, points
from tui.panes.place_forms import light_rows
from tui.panes.signals import SignalsPane
from tui.panes.timeline import TimelinePane
from tui.panes.verdict_line import VerdictLine, verdict_words
from tui.panes.why import WhyPane
from tui.state import BoardState

FIRM = walked(12)
LOST = played(*(Epoch(second=float(n)) for n in range(12)), Epoch(second=12.0, valid=False))
FLAT = played(*(Epoch(second=float(n), dimensions=2) for n in range(3)))


def text(pane: CanvasPane, state: BoardState, size: tuple[int, int] = (78, 24)) -> list[str]:
    pane.state = state  # type: ignore[attr-defined]  # every pane of the board has it
    grid = Grid(*size)
    pane.paint(grid)
    return rows_of(grid)


def test_the_line_has_word_metres_and_mark() -> None:
    line = text(VerdictLine(), board_state(FIRM), (80, 1))[0]
    assert line.startswith(" [====] firm  about ")
    assert "(95 %)" in line


def test_the_line_says_why_and_what_to_do() -> None:
    line = text(VerdictLine(), board_state(FLAT), (160, 1))[0]
    assert "doubtful" in line and "2D: the height is assumed" in line and "sky is open" in line


def test_a_lost_fix_is_no_fix_at_once_and_has_no_metres() -> None:
    state = board_state(LOST)
    assert state.verdict is Verdict.NO_FIX
    assert "95 %" not in verdict_words(state)


@pytest.mark.parametrize(("age_s", "verdict"), [(0.5, Verdict.FIRM), (4.0, Verdict.DOUBTFUL), (12.0, Verdict.NO_FIX)])
def test_age_alone_brings_the_verdict_down(age_s: float, verdict: Verdict) -> None:
    assert board_state(FIRM, age_s).verdict is verdict


def test_what_is_old_says_so_first() -> None:
    assert board_state(FIRM, 4.0).reasons[0] == "nothing new for 4 s"


def test_why_shows_every_rule_with_its_thresholds_and_source_where_there_is_room() -> None:
    shown = "\n".join(text(WhyPane(), board_state(FIRM), (160, 60)))
    for rule in RULES:
        assert rule.name in shown
        assert rule.thresholds in shown
        assert rule.source[:40] in shown


def test_why_begins_with_what_holds_the_verdict_down() -> None:
    rows = text(WhyPane(), board_state(FLAT), (78, 12))
    first = next(row for row in rows[rows.index(next(r for r in rows if "thresholds" in r)) + 1 :] if row)
    assert "2D or 3D" in first and "doubtful" in first
    assert "more below" in rows[-1]


def test_the_error_is_called_an_estimate_and_its_basis_is_named() -> None:
    rows = text(WhyPane(), board_state(FIRM))
    assert "estimated from HDOP x 4 m assumed" in " ".join(rows)


def test_signals_stand_by_system_the_strongest_first() -> None:
    rows = text(SignalsPane(), board_state(FIRM), (40, 30))
    names = [row.split()[0] for row in rows if row]
    gps = names[names.index("GPS") + 1 :]
    strengths = [int(found[1]) for row in rows if (found := re.match(r" G\d\d +(\d+)", row))]
    assert strengths == sorted(strengths, reverse=True)
    assert gps and names.index("Galileo") < names.index("GPS")


def test_a_system_over_two_columns_is_named_in_both() -> None:
    rows = text(SignalsPane(), board_state(FIRM), (78, 6))
    assert sum("GPS" in row[at:] for row in rows[:1] for at in (0, 35)) >= 1
    assert "more" in "\n".join(rows)


def test_no_satellites_are_said_to_be_none() -> None:
    assert text(SignalsPane(), board_state(Snapshot()))[0] == " no satellites reported"


def test_a_satellite_without_a_signal_has_no_bar() -> None:
    rows = text(SignalsPane(), board_state(FIRM), (40, 30))
    assert any("not tracked" in row for row in rows)


def test_what_to_do_without_any_satellite_stands_whole_in_80_columns() -> None:
    silent = played(*(Epoch(second=float(n), valid=False, sky=("GPGSV,1,1,00,1",)) for n in range(5)))
    line = text(VerdictLine(), board_state(silent), (80, 1))[0]
    assert line.rstrip().endswith("no satellite is heard  check the antenna and its view of the sky")


def test_charts_draw_what_is_told_and_say_what_is_not() -> None:
    silent = played(*(Epoch(second=float(n), hdop="", used=False) for n in range(5)))
    rows = "\n".join(text(ChartsPane(), board_state(silent), (78, 30)))
    assert all(strip.name in rows for strip in STRIPS)
    assert "not told" in rows


def test_of_what_is_no_longer_told_a_chart_has_no_figure() -> None:
    """The line shows what it was; a figure beside it would be read as what it is."""
    lost = played(
        *(Epoch(second=float(n)) for n in range(12)), *(Epoch(second=float(n), valid=False) for n in range(12, 20))
    )
    for snapshot, figure in ((FIRM, "12 m"), (lost, "-")):
        rows = text(ChartsPane(), board_state(snapshot), (78, 30))
        beside = next(n for n, row in enumerate(rows) if row.startswith(" altitude")) + 1
        assert rows[beside][1:11].strip() == figure


def test_thresholds_stand_whole_as_far_as_there_are_rows() -> None:
    pane = WhyPane()
    for high in range(24, 60):
        rows = text(pane, board_state(FIRM), (98, high))
        assert len(rows) == high
        blank = sum(not row.strip() for row in rows) - 1
        assert not blank or not any(row.rstrip().endswith("~") for row in rows), high


def test_points_are_those_of_the_window() -> None:
    found = points(FIRM.samples, "speed_mps", (FIRM.samples[2].at_s, FIRM.samples[6].at_s))
    assert [share for share, _ in found] == pytest.approx([0.0, 0.25, 0.5, 0.75, 1.0])


@pytest.mark.parametrize(
    ("values", "least", "ends"), [([5.0], 4.0, (3.0, 7.0)), ([0.5], 2.0, (0.0, 2.0)), ([1.0, 9.0], 4.0, (1.0, 9.0))]
)
def test_an_axis_holds_all_and_shows_no_noise_as_news(
    values: list[float], least: float, ends: tuple[float, float]
) -> None:
    assert axis(values, least, 0.0) == ends


def test_events_stand_with_the_newest_first() -> None:
    later = (Epoch(second=float(n), valid=False) for n in range(12, 16))
    rows = text(TimelinePane(), board_state(played(*(Epoch(second=float(n)) for n in range(12)), *later)))
    heading, *kinds = [row for row in rows if row]
    assert heading.split() == ["UTC", "ago", "event", "what", "of", "it"]
    assert "verdict" in kinds[0] and "firm to no fix" in kinds[0]
    assert kinds[1].strip() == "heard strongly but not in the fix", "the reason stands whole, over two rows"
    assert "fix lost" in kinds[2]
    assert "first satellite heard" in kinds[-1]


@pytest.mark.parametrize("size", [(78, 24), (78, 3), (78, 2), (50, 24)])
def test_an_event_is_cut_only_where_there_is_no_room(size: tuple[int, int]) -> None:
    later = (Epoch(second=float(n), valid=False) for n in range(12, 16))
    rows = text(TimelinePane(), board_state(played(*(Epoch(second=float(n)) for n in range(12)), *later)), size)
    whole = size in {(78, 24), (78, 3)}
    assert ("~" not in rows[1]) is whole
    assert (" ".join(" ".join(rows).split()).count("in the fix") > 0) is whole


def test_sources_of_the_rules_are_written_to_be_read() -> None:
    """Faint is for lines and dots: the palettes promise no contrast of it."""
    pane = WhyPane()
    pane.state = board_state(FIRM)
    rows = pane.rows(150, 60)
    assert any("common practice" in span.text for row in rows for span in row)
    assert all(span.ink is not Ink.FAINT for row in rows for span in row)


@pytest.mark.parametrize("pane", [ChartsPane(), SignalsPane()])
def test_pages_without_anything_yet_say_so(pane: CanvasPane) -> None:
    assert re.search("yet|no satellites", " ".join(text(pane, board_state(Snapshot()))))


def test_nothing_has_happened_yet() -> None:
    assert text(TimelinePane(), board_state(Snapshot()))[0] == " nothing has happened yet"


class TestBell:
    def test_it_is_silent_before_the_first_fix(self) -> None:
        bell = FixAlert()
        assert [bell.update(False, Verdict.NO_FIX, float(n)) for n in range(20)] == [""] * 20

    def test_it_rings_once_for_a_loss_and_once_for_the_return(self) -> None:
        bell = FixAlert()
        bell.update(True, Verdict.FIRM, 0.0)
        said = [bell.update(False, Verdict.NO_FIX, 1.0 + n) for n in range(10)]
        assert [one for one in said if one] == ["The fix is lost."]
        assert said.index("The fix is lost.") == LOST_FOR_S
        assert [bell.update(True, Verdict.FIRM, 20.0 + n) for n in range(3)] == ["The fix is back.", "", ""]

    def test_it_rings_when_the_verdict_drops_to_doubtful_and_not_while_it_rises(self) -> None:
        bell = FixAlert()
        words = [Verdict.DOUBTFUL, Verdict.USABLE, Verdict.FIRM, Verdict.USABLE, Verdict.DOUBTFUL, Verdict.DOUBTFUL]
        said = [bell.update(True, word, float(n)) for n, word in enumerate(words)]
        assert [bool(one) for one in said] == [False, False, False, False, True, False]


@pytest.mark.parametrize("page", ["board", "position", "sky", "wire", "why", "signals", "charts", "events"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 20)])
async def test_the_verdict_stands_on_every_page(tmp_path: Path, page: str, size: tuple[int, int]) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, board_state(FIRM))
        app.board.page = page
        await pilot.pause()
        assert screen_rows(app)[1].startswith(" [====] firm  about")


async def test_a_drop_is_told_on_the_board(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        show(app, board_state(FIRM))
        await pilot.pause()
        show(app, replace(board_state(FLAT)))
        await pilot.pause()
        assert "doubtful" in screen_rows(app)[1]


def test_a_rolled_over_date_is_shown_corrected_and_labelled() -> None:
    """7168 days before 2031-05-04 is 2011-09-18."""
    model = FixModel(judgement=Judgement(ErrorModel(), date(2031, 5, 1)))
    for second in range(3):
        model.feed(lines(*Epoch(second=float(second), day="180911").bodies()), float(second))
    snapshot = model.snapshot()
    rows = text(position_pane(), board_state(snapshot))
    assert any("12:00:02  2031-05-04" in row for row in rows)
    assert any("date corrected from 2011-09-18" in row for row in rows)
    assert any("1024 weeks off" in reason for reason in snapshot.trust.reasons)
    # Light goes by the corrected date: September's sun would be another season's.
    right = board_state(played(*(Epoch(second=float(second), day="040531") for second in range(3))))
    wrong = board_state(played(*(Epoch(second=float(second), day="180911") for second in range(3))))
    assert list(light_rows(board_state(snapshot))) == list(light_rows(right)) != list(light_rows(wrong))

"""Every figure that is drawn has its explanation, and the screen shows it with the value of the moment.

Panes are drawn in many states; whatever they write in the ink of labels, or as a figure, is collected as drawn and
looked for in the registry.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from textual.widgets import Input

from core.explanations import explanations
from core.trust_rules import AGE, RULES
from tests.tui.explain_states import RTK, STATES
from tests.tui.support import SETTLED, board_app, board_state, screen_text, show, walked
from tui.canvas.cells import CUT
from tui.canvas.glyphs import PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.canvas.widget import CanvasPane
from tui.explained import Standing, drawn_text, standing, value_of
from tui.explained_figures import ALWAYS, FIGURES, Figure
from tui.panes.averaging import AveragingPane
from tui.panes.banner import BannerLine
from tui.panes.charts import ChartsPane
from tui.panes.clock import ClockPane
from tui.panes.explained_list import ExplainedList
from tui.panes.explained_words import ExplainedWords
from tui.panes.fix import FixPane
from tui.panes.goto import GoToPane
from tui.panes.position import PositionPane, labelled
from tui.panes.signals import SignalsPane
from tui.panes.source_line import SourceLine
from tui.panes.trip import TripPane
from tui.panes.verdict_line import VerdictLine
from tui.panes.what_if import WhatIfPane
from tui.panes.why import WhyPane
from tui.panes.wire import WirePane
from tui.screens.board import PAGES
from tui.screens.explain import PANES_OF, ExplainScreen
from tui.state import BoardState

# What is drawn


class Noted(Grid):
    """Keeps every span in the ink of labels, with its row and column."""

    def __init__(self, width: int, height: int) -> None:
        super().__init__(width, height)
        self.labels: list[tuple[int, int, str]] = []

    def put(self, x: int, y: int, span: Span) -> int:
        if span.ink in {Ink.MUTED, Ink.TITLE} and re.search("[A-Za-z]", span.text):
            self.labels.append((y, x, span.text))
        return super().put(x, y, span)


CONTINUED = 9
"""Blanks at the beginning of a row that goes on with the figure above it."""
TEXT_PANES: dict[str, type[CanvasPane]] = {
    "position": PositionPane, "fix": FixPane, "goto": GoToPane, "wire": WirePane, "why": WhyPane,
    "signals": SignalsPane, "trip": TripPane, "averaging": AveragingPane, "clock": ClockPane, "what-if": WhatIfPane,
    "charts": ChartsPane, "source": SourceLine, "verdict": VerdictLine, "banner": BannerLine,
}  # fmt: skip
PAIR = {"ab", "ab-sky-a", "ab-sky-b", "ab-strip"}
"""Drawn with a second recording: their words are held against the pane in the test below."""


def pane_in(name: str, state: BoardState) -> CanvasPane:
    pane = TEXT_PANES[name](id=name)
    pane.state = state  # type: ignore[attr-defined]  # every pane of the board has one
    if isinstance(pane, WirePane):
        pane.catch_up()
    return pane


REMARKS = {
    "averaging": r"^(?:Same datum|\(1\.8 m, 7 cm|Latitude and longitude on a datum|Many older marks)",
}
"""Rows that are cautions in words, by pane: general figures of the trade, none of this moment."""


def uncovered(pane: CanvasPane) -> Iterator[str]:
    """Rows with a label or a figure that no registered figure stands in."""
    grid = Noted(110, 90)
    pane.paint(grid)
    rows = [grid.row_text(y, PLAIN) for y in range(grid.height)]
    text = "\n".join(("", *(row.strip() for row in rows)))
    covered = {
        text[:at].count("\n") - 1
        for figure in FIGURES[pane.id or ""]
        if figure.pattern is not ALWAYS
        for found in re.finditer(figure.pattern, text, re.MULTILINE)
        for at in range(found.start(), found.end() + 1)
    }
    labelled = {y for y, x, label in grid.labels if rows[y][x + len(label) :].strip()}
    above = False
    for y, row in enumerate(rows):
        goes_on = above and row.startswith(" " * CONTINUED)
        above = y in covered or goes_on
        remark = pane.id in REMARKS and re.search(REMARKS[pane.id], row.strip())
        if not above and not remark and (y in labelled or re.search(r"\d", row)):
            yield row.strip()


@pytest.mark.parametrize("name", TEXT_PANES)
def test_every_row_with_a_label_or_a_figure_is_explained(name: str) -> None:
    if name in {"wire", "banner"}:  # raw sentences, and a row of another pane's words
        return
    missing = {row: state for state in STATES for row in uncovered(pane_in(name, STATES[state]))}
    assert missing == {}


@pytest.mark.parametrize("name", TEXT_PANES)
def test_every_registered_figure_is_drawn_in_some_state(name: str) -> None:
    texts = [drawn_text(pane_in(name, state)) for state in STATES.values()]
    for figure in FIGURES[name]:
        if (figure.key, figure.pattern) not in RARE:
            assert any(value_of(figure, text) is not None for text in texts), figure


RARE = {
    ("date_corrected", r"^date corrected from "),
    ("recording", r"(RECORDING STOPPED)"),
    ("turn_back", r"^((?:TURN BACK|LATE).*)"),
}
"""Drawn in states that other tests make (test_trust_panes, test_source_line, test_trip)."""


def test_a_figure_that_nobody_registered_is_found() -> None:
    class Odd(FixPane):
        def rows(self, width: int, height: int) -> list[Row]:
            return [*super().rows(width, height), labelled("warp", Span("9.5"))]

    pane = Odd(id="fix")
    pane.state = SETTLED
    assert list(uncovered(pane)) == ["warp     9.5"]


def test_every_pane_of_every_page_has_figures_and_every_figure_a_paragraph() -> None:
    for page in PAGES:
        for pane in PANES_OF.get(page, (page,)):
            assert FIGURES[pane], pane
    keys = {figure.key for figures in FIGURES.values() for figure in figures}
    assert keys == set(explanations())


def test_every_rule_of_the_verdict_is_explained() -> None:
    for rule in (AGE, *RULES):
        row = f"{rule.name:<20}{'-':<14}{'firm':<10}{rule.thresholds}"
        assert any(value_of(figure, row) == "-" for figure in FIGURES["why"]), rule.id


def test_values_are_those_that_are_drawn() -> None:
    shown = standing([pane_in("position", SETTLED), pane_in("fix", RTK_STATE)])
    found = {one.explanation.key: one.value for one in shown}
    assert found["position"] == "10.50000° N 020.25000° W"
    assert found["altitude"] == "12.5 m mean sea level"
    assert found["ellipsoid"] == "42.5 m"
    assert found["hdop"] == "1.0"
    assert found["mode"] == "RTK fixed, 3D"
    assert found["in_view"] == "11"


def test_figures_that_stand_side_by_side_are_told_apart() -> None:
    found: dict[str, set[str]] = {}
    for name in ("trip", "fix", "charts"):
        for state in STATES.values():
            for one in standing([pane_in(name, state)]):
                found.setdefault(one.explanation.key, set()).add(one.value)
    assert any(re.fullmatch(r"up \S.* m, down \S.* m", value) for value in found["ascent"])
    assert any(re.fullmatch(r"north \S+, east \S+, up \S+ m", value) for value in found["one_sigma"])
    assert not [value for value in found["trip_distance"] if "gap" in value]
    assert not [value for value in found["chart_time"] if "altitude" in value]
    chart = next(figure.pattern for figure in FIGURES["charts"] if figure.key == "chart_time")
    assert (
        value_of(Figure(chart, "chart_time"), "altitude: mean sea level   5 min 00 s up to now")
        == "5 min 00 s up to now"
    )


def test_what_stands_in_columns_is_named_by_their_headings() -> None:
    shown = [one for state in STATES.values() for one in standing([pane_in("what-if", state)]) if one.is_shown]
    found = {key: {one.value for one in shown if one.explanation.key == key} for key in ("hdop", "tdop")}
    assert any(re.fullmatch(r"own \d\.\d, worked \d\.\d", value) for value in found["hdop"])
    assert any(re.fullmatch(r"own \d\.\d, worked \d\.\d, what if \d\.\d", value) for value in found["hdop"])
    assert any(re.fullmatch(r"clock [A-Z], own -, worked \d\.\d", value) for value in found["tdop"])
    assert all(value.startswith(("own ", "clock ")) for values in found.values() for value in values)


def test_what_is_drawn_large_is_told_with_what_is_written_beside_it() -> None:
    """The clock's page has its second in figures of dots, the date in letters."""
    shown = [one for state in STATES.values() for one in standing([pane_in("clock", state)]) if one.is_shown]
    values = {one.value for one in shown if one.explanation.key == "clock_second"}
    assert values
    assert all(re.fullmatch(r"\d\d:\d\d:\d\d(\.\d+)?  ?(\d{4}-\d\d-\d\d|no date)", value) for value in values), values


RTK_STATE = board_state(walked(12, RTK))


# The screen


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60), (60, 24), (40, 12)])
async def test_the_screen_explains_the_page_and_goes_back(size: tuple[int, int], tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, SETTLED)
        depth = len(app.screen_stack)
        await pilot.press("2", "H")
        await pilot.pause()
        assert isinstance(app.screen, ExplainScreen)
        await pilot.press(*"hdop")
        await pilot.pause()
        chosen = app.screen.query_one(ExplainedList).chosen
        assert chosen is not None
        assert (chosen.explanation.key, chosen.value) == ("hdop", "1.0")
        assert "Horizontal dilution" in screen_text(app)
        if size[1] >= 24:
            assert "Source:" in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert len(app.screen_stack) == depth


SENTENCES = {
    "arrival", "arrival_worth", "chance", "clock_assumes", "leap_seconds", "made_from", "mark_difference",
    "naive_error", "waiting", "walking_time",
}  # fmt: skip
"""Figures that are told in a sentence."""


@cache
def every_standing() -> tuple[Standing, ...]:
    """Each figure of a text with each value that it has in some state."""
    found = [one for name in TEXT_PANES for state in STATES.values() for one in standing([pane_in(name, state)])]
    return tuple(dict.fromkeys(found))


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (160, 50), (200, 60)])
async def test_names_values_and_paragraphs_stand_whole(size: tuple[int, int], tmp_path: Path) -> None:
    """In the list all but whole sentences, as the clock's page has them: they are read beside it, or below."""
    app = board_app(tmp_path)
    async with app.run_test(size=size) as pilot:
        show(app, SETTLED)
        await pilot.press("1", "H")
        await pilot.pause()
        listed, told = app.screen.query_one(ExplainedList), app.screen.query_one(ExplainedWords)
        for one in every_standing():
            row = "".join(span.text for span in listed.row(one, listed.content_size.width, chosen=False))
            assert one.explanation.title in row
            assert CUT not in row or one.explanation.key in SENTENCES, row
            told.show(one)
            rows = told.rows(told.content_size.width, told.content_size.height - 1)
            text = " ".join("".join(span.text for span in row) for row in rows if row)
            for whole in (one.explanation.words, f"Source: {one.explanation.source}.", one.value):
                assert whole in text


async def test_arrows_choose_letters_filter_and_no_key_of_the_board_acts_unseen(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("2", "H", "down")
        await pilot.pause()
        figures = app.screen.query_one(ExplainedList)
        assert figures.chosen is not None
        assert figures.chosen.explanation.key == "dimensions"
        await pilot.press("f8", "pagedown", "up")
        assert isinstance(app.screen, ExplainScreen)
        assert app.board.page == "fix"
        app.screen.query_one("#find", Input).value = "no such figure"
        await pilot.pause()
        assert figures.chosen is None
        assert "None matches" in screen_text(app)


async def test_every_page_has_something_to_explain(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        for page in PAGES:
            app.board.page = page
            await pilot.pause()
            if page == "wire":
                continue  # its key opens a sentence
            await pilot.press("H")
            await pilot.pause()
            assert app.screen.query_one(ExplainedList).chosen is not None, page
            await pilot.press("escape")
            await pilot.pause()


async def test_on_the_page_of_the_raw_sentences_the_key_opens_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        asked: list[str] = []
        # What matters here is that it is called; what it opens has tests of its own.
        monkeypatch.setattr(app, "action_open_sentence", lambda: asked.append("sentence"), raising=False)
        show(app, SETTLED)
        await pilot.press("6", "H")
        await pilot.pause()
        assert asked == ["sentence"]
        assert not isinstance(app.screen, ExplainScreen)

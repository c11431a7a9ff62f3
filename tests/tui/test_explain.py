"""Every figure that is drawn has its explanation, and the screen shows it with the value of the moment.

Panes are drawn in many states; whatever they write in the ink of labels, or as a figure, is collected as drawn and
looked for in the registry.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest
from textual.widgets import Input

from core.benchmark import HeightKind, Mark
from core.explanations import explanations
from core.fix import FixMode, Position
from core.going import Goal, Route
from core.logbook import RecorderState, RecorderStatus
from core.model import FixModel, Snapshot
from core.outing import Outing
from core.places.notation import Notation
from core.return_trail import route_back
from core.sky_memory import SkyMemory
from core.sources.source import SourceKind, SourceState
from core.trust_rules import AGE, RULES
from core.waypoints import Waypoint
from tests.build import lines
from tests.sites import begun, fed, stood
from tests.station import Station, watch
from tests.tui.support import (
    ISLE,
    REPLAYING,
    SETTLED,
    START_S,
    Epoch,
    board_app,
    board_state,
    judging_model,
    played,
    screen_text,
    show,
    walked,
)
from tests.walks import OCEAN, Noise
from tui.canvas.glyphs import PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.canvas.widget import CanvasPane
from tui.explained import drawn_text, standing, value_of
from tui.explained_figures import ALWAYS, FIGURES
from tui.panes.averaging import AveragingPane
from tui.panes.banner import BannerLine
from tui.panes.charts import ChartsPane
from tui.panes.clock import ClockPane
from tui.panes.explained_list import ExplainedList
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
from tui.sky_choice import Layer, SkyChoice
from tui.state import BoardState, Orientation

HELD = replace(REPLAYING, kind=SourceKind.HELD, state=SourceState.HOLDING, name="Isle of Quennet")
METRES_PER_MINUTE_EAST = 109_473.0 / 60
"""At 10.5 degrees north (WGS 84)."""


def east(metres: float) -> str:
    return f"1030.0000,N,020{15.0 - metres / METRES_PER_MINUTE_EAST:07.4f},W"


def hike(seconds: int = 1100, gap: range = range(0)) -> FixModel:
    """Due east at 1.5 m/s, up and down a hill of 60 m; void in the gap."""
    model = judging_model(Outing())
    model.sky_memory = SkyMemory()
    for second in range(seconds):
        height = f"{12.5 + 60 * (1 - abs(2 * second / seconds - 1)):.1f}"
        one = Epoch(float(second), place=east(1.5 * second), altitude=height, valid=second not in gap)
        model.feed(lines(*one.bodies()), START_S + second)
    return model


def towards(route: Route, like: FixModel | None = None) -> Snapshot:
    """A minute on the way."""
    model = like or judging_model(Outing())
    model.navigator.route = route  # as the feed sets it
    start = 0 if like is None else 1100
    for second in range(start, start + 70):
        one = Epoch(float(second), place=east(1.5 * second if like is None else 2 * 1650 - 1.5 * second))
        model.feed(lines(*one.bodies()), START_S + second)
    return model.snapshot()


# States


FINE = Epoch(
    quality="4",
    mode="R",
    more=("GNGST,120000.00,1.0,,,,0.02,0.02,0.03", "GNHDT,200.0,T", "GPDTM,999,,0.0,N,0.0,E,0.0,W84"),
)
RTK = replace(FINE, more=(*FINE.more, "GNVTG,90.0,T,,M,2.9,N,5.4,K,R"))


def corrected(*, status: str = "C") -> Snapshot:
    """Corrections and a station, a caution, a datum, a contradiction."""
    bodies = [
        "GNRMC,120000.00,A,1030.0000,N,02015.0000,W,2.9,90.0,040531,,,D," + status,
        "GNGGA,120000.00,1030.1000,N,02015.0000,W,2,09,0.9,12.5,M,30.0,M,4.0,0123",
        "GNGST,120000.00,1.0,,,,1.5,1.6,2.5",
        "GPDTM,W72,,0.0,N,0.0,E,0.0,W84",
    ]
    model = judging_model()
    model.feed(lines(*bodies), START_S)
    return model.snapshot()


@lru_cache
def on_foot() -> BoardState:
    """A trip with a leg, a gap and a hill."""
    model = hike(600, range(200, 230))
    assert model.outing
    model.outing.new_leg()
    for second in range(600, 1100):
        model.feed(lines(*Epoch(float(second), place=east(1.5 * second), altitude="20.0").bodies()), START_S + second)
    return board_state(model.snapshot())


@lru_cache
def on_a_route() -> BoardState:
    goal = Waypoint("Isle of Quennet", Position(10.5, -20.2), error_95_m=5.0)
    route = Route((Goal(goal.name, goal.position, 5.0), Goal(ISLE.name, ISLE.position)), Position(10.5005, -20.25))
    return board_state(towards(route), target=goal, then=(ISLE,), route=route)


@lru_cache
def arrived() -> BoardState:
    goal = Waypoint("Isle of Quennet", Position(10.5, -20.25), error_95_m=5.0)
    route = Route((Goal(goal.name, goal.position, 5.0),), Position(10.51, -20.25))
    model = judging_model()
    model.navigator.route = route
    for second in range(12):
        model.feed(lines(*Epoch(float(second), knots="0.0").bodies()), START_S + second)
    return board_state(model.snapshot(), target=goal, route=route)


@lru_cache
def by_trail() -> BoardState:
    model = hike()
    assert model.outing
    route = route_back(model.outing.report().track)
    start = Waypoint("start of the trail", route.goals[-1].position)
    return board_state(towards(route, model), target=start, route=route, is_by_trail=True)


@lru_cache
def averaged() -> BoardState:
    site = begun(stood(900, noise=Noise(2.0, 20.0, 0.3)))
    leap = [step._replace(at_s=step.at_s + 900, place=Position(10.5004, -20.25)) for step in stood(2, 3)]
    fed(site, leap)
    back = [step._replace(at_s=step.at_s + 902) for step in stood(300, 4, Noise(2.0, 20.0, 0.3))]
    fed(site, back[:20], usable=False)
    fed(site, back[20:], mode=FixMode.DIFFERENTIAL)
    site.set_mark(Mark("Quennet pillar", OCEAN, 0.5, 0.2, 50.0, HeightKind.ELLIPSOID))
    return board_state(replace(walked(12), site=site.report()))


@lru_cache
def timed() -> BoardState:
    return board_state(replace(walked(12), clock=watch(Station(0.1, 0.2)).last))


def dated(day: str) -> Snapshot:
    return walked(12, Epoch(day=day))


STATES: dict[str, BoardState] = {
    "nothing yet": BoardState(),
    "settled": SETTLED,
    "degrees and minutes": SETTLED.changed(notation=Notation.DEGREES_MINUTES),
    "with seconds": SETTLED.changed(notation=Notation.DEGREES_MINUTES_SECONDS),
    "no fix": board_state(played(Epoch(), Epoch(1.0, valid=False, more=("GPTXT,01,01,02,ANTENNA OPEN",)))),
    "old": board_state(walked(12), age_s=4.0),
    "gone": board_state(walked(12), age_s=60.0),
    "two dimensions": board_state(walked(12, Epoch(dimensions=2, altitude=""))),
    "simulated": board_state(walked(12, Epoch(mode="S", quality="8"))),
    "standing": board_state(walked(12, Epoch(knots="0.0", course=""))),
    "slow": board_state(walked(12, Epoch(knots="1.2"))),
    "in the model's years": board_state(dated("010626")),
    "rolled over": board_state(dated("170907")),
    "RTK": board_state(walked(12, RTK), orientation=Orientation.HEAD_UP),
    "corrected": board_state(corrected()),
    "unsafe": board_state(corrected(status="U")),
    "weak and bunched": board_state(walked(12, Epoch(hdop="7.0", sky=("GPGSV,1,1,02,05,05,090,20,07,05,180,20",)))),
    "held": board_state(status=HELD),
    "a mark far away": SETTLED.changed(target=ISLE),
    "arrived": arrived(),
    "recording": SETTLED.changed(recorder=RecorderStatus(RecorderState.RECORDING, None, 2_500_000, "")),
    "on a route": on_a_route(),
    "by trail": by_trail(),
    "a trip": on_foot(),
    "averaging": averaged(),
    "the clock": timed(),
    "what if": SETTLED.changed(sky=SkyChoice(mask_deg=20, cliff_height_deg=30, street_wall_deg=40)),
    "dropped": SETTLED.changed(sky=SkyChoice(dropped=frozenset({"G05"}), dropped_systems=frozenset({"E"}))),
    **{layer.value: on_foot().changed(sky=SkyChoice(layer=layer)) for layer in Layer},
}


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

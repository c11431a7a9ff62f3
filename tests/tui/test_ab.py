"""Two recordings on the board: opened, compared, and B following every control of A."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from importlib.resources import as_file
from pathlib import Path

import pytest
from textual.pilot import Pilot

import replays
from core.pair_axis import Axis, Basis
from core.pair_other import Other
from core.pair_side import used_names
from core.sources.source import SourceState
from core.timeline import Stretch
from tests.build import lines
from tests.tui.support import (
    REPLAYING,
    Epoch,
    ScriptedOpening,
    ScriptedSource,
    arrivals_of,
    board_app,
    board_state,
    screen_text,
    toasts,
    until,
    walked,
)
from tui.app import FixboardApp
from tui.opening import PairOpening
from tui.panes.ab import PairPane
from tui.panes.ab_state import axis_words, difference_now
from tui.panes.ab_strip import LABEL, scale_words, top_of
from tui.screens.pick import PickScreen

SIZE = (120, 40)
Use = Callable[[FixboardApp, Pilot[None]], object]


def written(path: Path, *epochs: Epoch) -> Path:
    path.write_bytes(b"".join(lines(*epoch.bodies()) for epoch in epochs))
    return path


def a_file(folder: Path, name: str = "a.nmea", first: int = 0, last: int = 120, **like: str) -> Path:
    return written(folder / name, *(Epoch(second=float(n), **like) for n in range(first, last)))  # type: ignore[arg-type]  # texts alone


def other_of(app: FixboardApp) -> Other:
    assert app.state.other is not None
    return app.state.other


async def together(app: FixboardApp, pilot: Pilot[None], at_s: float) -> None:
    """Until both show this moment and B is not behind."""
    await until(pilot, lambda: app.state.now_s >= at_s and other_of(app).is_lined_up)
    await until(pilot, lambda: _stands_where_a_is(app))


def _stands_where_a_is(app: FixboardApp) -> bool:
    app._show()
    state, other = app.state, other_of(app)
    seeking = state.timeline is not None and state.timeline.is_seeking
    return not seeking and abs(other.now_s - state.now_s - other.axis.offset_s) < 1e-6


async def test_the_same_recording_twice_differs_by_nothing(tmp_path: Path) -> None:
    with as_file(replays.path("first_walk")) as path:
        app = board_app(tmp_path)
        async with app.run_test(size=SIZE) as pilot:
            app.open(PairOpening(path, pace=100.0, beside=path))
            await pilot.press("D")
            await until(pilot, lambda: app.state.is_current)
            await pilot.press("space")
            app.seek_to(100.0)  # a moment with a fix: at such a pace a busy machine stops anywhere
            await together(app, pilot, 100.0)
            await until(pilot, lambda: difference_now(app.state, other_of(app)).pair is not None)
            found = difference_now(app.state, other_of(app))
            assert found.pair is not None
            assert found.pair.offset == (0.0, 0.0, 0.0)
            assert found.pair.apart_s == 0.0
            assert other_of(app).axis.basis is Basis.UTC
            await pilot.pause()
            text = screen_text(app)
            for words in (
                "A and B",
                "by UTC",
                "0.00 m",
                "no more than the errors explain",
                "B only      0",
                "Distance",
            ):
                assert words in text, words


async def test_b_is_where_it_is_from_a_and_follows_pause_pace_and_jumps(tmp_path: Path) -> None:
    a = a_file(tmp_path)
    b = a_file(tmp_path, "b.nmea", first=20, place="1030.0100,N,02015.0000,W")
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a, pace=20.0, beside=b))
        await until(pilot, lambda: other_of(app).is_lined_up)
        await pilot.press("D")
        await until(pilot, lambda: app.state.now_s > 30)
        await pilot.press("space")
        await together(app, pilot, 30.0)
        assert other_of(app).status.state is SourceState.PAUSED
        found = difference_now(app.state, other_of(app))
        assert found.pair is not None, found.why
        # 0.01 minutes of latitude at 10.5 degrees: 18.43 m (geographiclib says the same in tests/core).
        assert found.pair.offset.north_m == pytest.approx(18.43, abs=0.02)
        assert abs(found.pair.offset.east_m) < 1e-6
        player = app._player
        assert player is not None
        for at_s in (100.0, 45.0, 5.0, 60.0):
            player.seek(at_s)
            await until(pilot, lambda at_s=at_s: abs(app.state.now_s - at_s) < 1.5)  # type: ignore[misc]  # bound now
            if at_s < 20.0:
                app._show()
                assert other_of(app).begins_in_s == pytest.approx(20.0 - app.state.now_s, abs=1.5)
                await until(pilot, lambda: "B begins in" in difference_now(app.state, other_of(app)).why)
                continue
            await together(app, pilot, at_s - 1.5)
            await until(pilot, lambda: difference_now(app.state, other_of(app)).pair is not None)
        player.step(1)
        await until(pilot, lambda: app.state.now_s > 60.0)
        await together(app, pilot, 60.5)
        player.set_pace(5.0)
        app._show()
        assert other_of(app).status.pace == 5.0


async def test_b_that_is_shorter_ends_and_its_position_does_not_stay(tmp_path: Path) -> None:
    a, b = a_file(tmp_path), a_file(tmp_path, "b.nmea", last=30)
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a, pace=50.0, beside=b))
        await pilot.press("D")
        await until(pilot, lambda: app.state.now_s > 60 and other_of(app).status.state is SourceState.ENDED)
        app._show()
        assert difference_now(app.state, other_of(app)).why == "B has ended"
        await pilot.pause()
        assert "no difference stated" in screen_text(app)


async def test_b_that_is_damaged_plays_up_to_the_damage_and_says_so(tmp_path: Path) -> None:
    a = a_file(tmp_path, last=400)
    whole = gzip.compress(a_file(tmp_path, "whole.nmea", last=1200).read_bytes())
    b = tmp_path / "b.nmea.gz"
    b.write_bytes(whole[: len(whole) // 6])
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a, pace=100.0, beside=b))
        await until(pilot, lambda: other_of(app).status.state is SourceState.FAILED)
        assert "cannot be read beyond this point" in other_of(app).status.detail
        assert app.state.status.state is not SourceState.FAILED


@pytest.mark.parametrize("name", ["no-such.nmea", "."])
async def test_a_second_file_that_cannot_be_opened_is_said_and_a_plays_on(tmp_path: Path, name: str) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a_file(tmp_path), beside=tmp_path / name))
        await until(pilot, lambda: bool(toasts(app)))
        await until(pilot, lambda: app.state.other is None)
        assert app.state.status.state is SourceState.PLAYING


async def test_d_asks_for_the_second_and_again_lets_it_go(tmp_path: Path) -> None:
    a_file(tmp_path, "b.nmea")
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a_file(tmp_path)))
        await pilot.press("D")
        await until(pilot, lambda: isinstance(app.screen, PickScreen))
        assert app.board.page == "ab"
        assert "b.nmea" in screen_text(app)
        await pilot.press("enter")
        await until(pilot, lambda: app.state.other is not None and other_of(app).is_lined_up)
        await pilot.press("D")
        await until(pilot, lambda: isinstance(app.screen, PickScreen))
        await pilot.press("up", "enter")
        await until(pilot, lambda: app.state.other is None)


async def test_without_a_recording_the_page_says_how(tmp_path: Path) -> None:
    app = board_app(tmp_path, ScriptedOpening(ScriptedSource(arrivals_of(Epoch()))))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("D")
        await pilot.pause()
        assert "fixboard replay A --with B" in screen_text(app)
        assert app.screen is app.board


async def test_opening_something_else_ends_the_comparison(tmp_path: Path) -> None:
    a = a_file(tmp_path)
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a, beside=a))
        await until(pilot, lambda: app.state.other is not None and other_of(app).is_lined_up)
        app.open(PairOpening(a))
        await pilot.pause()
        assert app.state.other is None


@pytest.mark.parametrize(("most", "top"), [(0.0, 1.0), (1.0, 1.0), (1.1, 2.0), (4.0, 5.0), (7.0, 10.0), (130.0, 200.0)])
def test_the_strip_s_axis_ends_on_a_round_figure(most: float, top: float) -> None:
    assert top_of([most]) == top


@pytest.mark.parametrize(
    ("value_m", "words"),
    [(0.0, "0 m"), (2.0, "2 m"), (10.0, "10 m"), (500.0, "500 m"), (10_000.0, "10 km"), (20_000_000.0, "20,000 km")],
)
def test_a_figure_of_the_strip_s_axis_stands_left_of_the_line(value_m: float, words: str) -> None:
    assert scale_words(value_m) == words
    assert len(words) <= LABEL - 1


def test_an_axis_without_a_common_time_is_named_in_80_columns() -> None:
    other = Other(REPLAYING, axis=Axis(Basis.FIRST_FIX, 57.0, "they have no time in common"), is_lined_up=True)
    assert axis_words(other) == "from their first fixes, B began 0:00:57 earlier (no time in common)"
    assert len(axis_words(other)) <= 80 - 12


def test_satellites_take_the_rows_that_they_need_and_are_cut_where_there_are_none() -> None:
    state = board_state(walked(3))
    other = Other(REPLAYING, snapshot=state.snapshot, now_s=state.now_s, is_lined_up=True)
    state, pane = state.changed(other=other), PairPane()
    pane.state = state
    names = used_names(state.snapshot, state.now_s) or frozenset()
    whole, low = ("".join(span.text for row in pane.rows(40, high) for span in row) for high in (40, 16))
    assert len(names) > 6
    assert all(name in whole for name in names)
    assert "~" in low
    assert "B only" in low, "the cut ones leave room for the last row"


async def test_b_goes_round_with_a_s_loop(tmp_path: Path) -> None:
    a = a_file(tmp_path)
    app = board_app(tmp_path)
    async with app.run_test(size=SIZE) as pilot:
        app.open(PairOpening(a, pace=20.0, beside=a))
        await until(pilot, lambda: other_of(app).is_lined_up)
        player = app._player
        assert player is not None
        player.set_loop(Stretch(40.0, 50.0))
        await until(pilot, lambda: player.timeline().jumps >= 3)
        player.toggle_pause()
        await together(app, pilot, 39.0)
        assert 39.0 <= other_of(app).now_s <= 50.0
        assert 39.0 <= other_of(app).snapshot.at_s <= 50.0

"""The line on top: what is being watched, whole in every size, on every page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.logbook import RecorderState, RecorderStatus
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.tui.support import REPLAYING, board_app, board_state, drawn, rows_of, screen_rows, show
from tui.canvas.glyphs import BRAILLE
from tui.canvas.inks import Ink, Paper
from tui.canvas.palettes import Depth, palette_for
from tui.panes.source_line import SourceLine
from tui.screens.board import PAGES
from tui.state import BoardState

LONG = "a-recording-with-a-name-that-somebody-thought-about-for-too-long-to-remember.nmea.gz"
WARNED = replace(REPLAYING, warning="no checksums in this file: damage goes unnoticed")


def line(status: SourceStatus, width: int = 80, **more: object) -> str:
    state = BoardState(status=status).changed(**more)
    (row,) = rows_of(drawn(SourceLine(), state, (width, 1)))
    return row


def test_a_recording_that_plays() -> None:
    row = line(REPLAYING)
    assert row.startswith(" REPLAY  quennet.nmea  playing  1x")
    assert row.endswith("0:01:15   25 %")


@pytest.mark.parametrize(
    ("status", "words"),
    [
        (replace(REPLAYING, pace=0.25), "playing  0.25x"),
        (replace(REPLAYING, pace=float("inf")), "playing  as fast as it goes"),
        (replace(REPLAYING, state=SourceState.PAUSED, pace=2.0), "paused  2x"),
        (replace(REPLAYING, state=SourceState.ENDED, pace=2.0), "ended"),
        (replace(REPLAYING, state=SourceState.FAILED, detail="cannot be read on"), "failed  cannot be read on"),
        (WARNED, "no checksums in"),
        (replace(REPLAYING, detail="nothing recorded for 900 s: cut short"), "nothing recorded"),
    ],
)
def test_states(status: SourceStatus, words: str) -> None:
    assert words in line(status)


@pytest.mark.parametrize("kind", SourceKind)
def test_every_kind_has_its_name_and_its_own_paper(kind: SourceKind) -> None:
    row = line(replace(REPLAYING, kind=kind))
    assert row.startswith(f" {kind.value} ")


def test_a_failure_changes_the_banner_s_paper() -> None:
    palette = palette_for("dark", Depth.TRUECOLOR)
    alert = palette.style(Ink.BANNER, Paper.BANNER_ALERT, bold=True)
    failed = replace(REPLAYING, state=SourceState.FAILED)
    for status, loud in ((failed, True), (REPLAYING, False)):
        grid = drawn(SourceLine(), BoardState(status=status), (80, 1))
        text, style, _ = next(iter(grid.strip(0, palette, BRAILLE)))
        assert text == " REPLAY "
        assert (style == alert) is loud


@pytest.mark.parametrize("width", range(20, 131, 10))
@pytest.mark.parametrize("status", [WARNED, replace(WARNED, state=SourceState.PAUSED, name=LONG)])
def test_banner_and_state_are_whole_in_every_width(status: SourceStatus, width: int) -> None:
    row = line(status, width)
    assert row.startswith(" REPLAY ")
    assert f"  {status.state.value}" in row
    assert len(row) <= width


def test_a_long_name_is_cut_and_leaves_room_for_what_matters_more() -> None:
    row = line(replace(WARNED, name=LONG))
    assert "a-recording-with" in row
    assert "~  playing  1x  no checksums" in row
    assert row.endswith("25 %")


def test_progress_goes_before_name_and_state() -> None:
    row = line(REPLAYING, 36)
    assert row == " REPLAY  quennet.nmea  playing  1x"


@pytest.mark.parametrize("width", [30, 40, 80])
def test_the_recorder_s_failure_is_never_cut(width: int) -> None:
    failed = RecorderStatus(RecorderState.FAILED, reason="no room")
    assert "RECORDING STOPPED" in line(replace(REPLAYING, name=LONG), width, recorder=failed)


async def test_it_is_on_every_page_in_every_size(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(40, 5)) as pilot:
        show(app, board_state())
        for size, pages in (((40, 5), PAGES[:1]), ((60, 20), PAGES[:2]), ((80, 24), PAGES)):
            await pilot.resize_terminal(*size)
            for page in pages:
                app.action_page(page)
                await pilot.pause()
                assert screen_rows(app)[0].startswith(" REPLAY  quennet.nmea  playing  1x"), (size, page)

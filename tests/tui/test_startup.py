"""What a board that is opened does not wait for: imported when somebody asks for it. In processes of their own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.tui.support import board_app
from tui.app import FixboardApp
from tui.panes.board_trail import BoardTrail
from tui.screens.board import PAGES
from tui.screens.late_pages import LATE_PAGES

ROOT = Path(__file__).parents[2]
RECEIVERS = ("serial", "core.sources.serial_source", "core.sources.network", "core.sources.line_identity")
FILES = (
    "core.exporting", "core.export_plan", "core.export_trip", "core.formats.track_gpx", "core.formats.track_csv",
    "core.rehearsal.writer", "core.report", "core.sessions", "core.session_summary", "core.epochs", "core.pair_axis",
    "core.station_book", "core.trip_sheet", "csv", "tomlkit", "importlib.metadata",
)  # fmt: skip
PLACES = (
    "core.places.reading", "core.places.mgrs", "core.places.containment", "core.places.magnetic", "core.averaging",
    "core.what_if", "core.map_view", "geographiclib", "pygeomag", "astral", "statistics",
)  # fmt: skip
SCREENS = (
    "tui.screens.help", "tui.screens.logbook", "tui.screens.places", "tui.screens.where", "tui.screens.chooser",
    "tui.screens.stations", "tui.screens.explain", "tui.screens.chapters", "tui.explained_figures", "tui.pair_opening",
    "tui.screens.notice", "tui.screens.guide", "tui.guides", "tui.command_examples", "tui.cli_completion", "shtab",
    "tui.screens.in_words", "tui.in_words", "tui.spoken_rows",
    "tui.screens.settings", "tui.setting_rows", "core.settings.changing",
)  # fmt: skip
PANES = (
    "why", "signals", "charts", "timeline", "trip", "clock", "sky_plot", "what_if", "board_trail", "averaging",
    "scatter", "ab", "large_view", "stage",
)  # fmt: skip
AFTER_THE_FIRST_FRAME = (
    "tui.app", "tui.actions", "tui.opening", "tui.state", "tui.screens.board", "tui.panes.position", "core.fix",
    "core.model", "core.nmea", "core.settings", "core.sources", "core.waypoints", "json", "tomllib", "xml",
)  # fmt: skip
UNWANTED = (*RECEIVERS, *FILES, *PLACES, *SCREENS, *(f"tui.panes.{name}" for name in PANES))
PLAYED = """
from pathlib import Path
from tui.opening import Opening
Opening(Path("replays/first_walk.nmea.gz"), remark="demo").feed(lambda: None).source.close()
"""


def imported(code: str) -> set[str]:
    """The modules that a process has after it."""
    script = f"{code}\nimport sys\nprint(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return set(done.stdout.split())


def test_the_board_and_a_replay_bring_nothing_along_that_they_do_not_need() -> None:
    found = imported("import tui.cli, tui.cli_board, tui.app" + PLAYED)
    assert {"tui.screens.board", "core.model", "core.sources.player"} <= found
    assert sorted(found & set(UNWANTED)) == []


def test_the_first_frame_brings_nothing_of_the_board_along() -> None:
    found = imported("import tui.cli, tui.cli_board, tui.starting")
    assert {"textual.app", "tui.panes.first_frame"} <= found
    assert sorted(found & {*UNWANTED, *AFTER_THE_FIRST_FRAME}) == []


def test_what_must_not_be_imported_exists() -> None:
    """A module that was given another name would not be missed."""
    ours = [name for name in (*UNWANTED, *AFTER_THE_FIRST_FRAME) if name.partition(".")[0] in {"core", "tui"}]
    assert [name for name in ours if not _exists(name)] == []


def _exists(name: str) -> bool:
    path = ROOT.joinpath(*name.split("."))
    return path.with_suffix(".py").is_file() or (path / "__init__.py").is_file()


# Pages that are put up at their first visit


def tops(app: FixboardApp) -> list[str | None]:
    return [pane.id for pane in app.board.query_one("#panes").children]


async def test_pages_are_put_up_when_they_are_visited_and_stay(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        before = tops(app)
        assert before == ["words", "pictures", "wire"]
        for page in ("trip", "board", "trip"):
            app.board.page = page
            await pilot.pause()
        assert tops(app) == [*before, "trip"]


@pytest.mark.parametrize("backwards", [False, True])
async def test_whichever_is_visited_first_they_stand_in_one_order(tmp_path: Path, backwards: bool) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        for page in reversed(PAGES) if backwards else PAGES:
            app.board.page = page
            await pilot.pause()
        assert tops(app)[3:] == [late.top for late in LATE_PAGES.values()]


async def test_the_trail_knows_the_places_at_its_first_visit(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)):
        app.board.page = "trail"
        assert app.board.query_one(BoardTrail)._waypoints is app.session.waypoints


async def test_the_keys_of_the_trail_before_it_was_ever_seen(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("pageup", "left", "up", "home", "end")
        assert app.is_running
        assert not app.board.query(BoardTrail)


async def test_a_first_visit_shows_the_state_at_once(tmp_path: Path) -> None:
    """What reaches the terminal is never a page without its panes, nor a pane without the state."""
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app._show(reference=app.state.reference)
        seen: list[tuple[bool, bool]] = []
        display = app._display

        def watched(screen: object, renderable: object) -> None:
            if app.board.has_class("-page-sky"):
                panes = list(app.board.query("#sky-page CanvasPane"))
                seen.append((len(panes) == 2, all(pane.state is app.state for pane in panes)))  # type: ignore[attr-defined]  # every pane of the board has one
            display(screen, renderable)  # type: ignore[arg-type]  # handed on as it came

        app._display = watched  # type: ignore[method-assign]  # to look at what is written
        app.board.page = "sky"
        await pilot.pause()
        await pilot.pause(0.1)
        assert seen
        assert set(seen) == {(True, True)}

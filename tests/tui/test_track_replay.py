"""A track of a map program on the board: labelled, trusted for nothing, and followed as a way."""

from __future__ import annotations

from pathlib import Path

from core.sources.source import SourceKind
from tests.tui.support import SETTLED, board_app, screen_text, show, toasts, until
from tui.opening import Opening
from tui.screens.pick import PickScreen
from tui.screens.prompt import PromptScreen

GPX = "http://www.topografix.com/GPX/1/1"


def a_track(folder: Path, count: int = 120) -> Path:
    """Eastwards over open ocean, five seconds a point."""
    points = "".join(
        f'<trkpt lat="10.5" lon="{-20.25 + n / 15_000:.6f}"><ele>{12 + n / 10:.1f}</ele>'
        f"<time>2031-05-04T12:{n * 5 // 60:02d}:{n * 5 % 60:02d}Z</time></trkpt>"
        for n in range(count)
    )
    path = folder / "quennet.gpx"
    path.write_text(f'<gpx version="1.1" creator="t" xmlns="{GPX}"><trk><trkseg>{points}</trkseg></trk></gpx>')
    return path


async def test_it_plays_under_its_own_label_and_is_never_a_fix(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open(Opening(a_track(tmp_path), pace=float("inf")))
        await until(pilot, lambda: app.state.snapshot.counts.epochs >= 120)
        await pilot.pause()
        text = screen_text(app)
        assert app.state.status.kind is SourceKind.TRACK
        for words in (
            " REPLAY, POSITIONS ONLY ",
            "positions only, of unknown quality",
            "doubtful",
            "nobody knows how good they are",
            "FROM A FILE",
            "of a file, quality unknown",
        ):
            assert words in text, words
        for words in ("typed in by hand", "firm", "usable", "BY HAND"):
            assert words not in text, words
        assert app.state.trip.totals.distance_m > 800
        assert app.state.trip.track.count > 10


async def test_a_track_can_be_followed_in_either_direction(tmp_path: Path) -> None:
    path = a_track(tmp_path)
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        await pilot.press("t", "f7")
        await until(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "Follow a track" in screen_text(app)
        await pilot.press("down", "down", "enter")
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        await pilot.press(*str(path), "enter")
        await until(pilot, lambda: isinstance(app.screen, PickScreen))
        assert "120 points of quennet.gpx" in screen_text(app)
        await pilot.press("down", "enter")
        await until(pilot, lambda: app.state.target is not None)
        assert app.state.target is not None
        assert app.state.target.name == "End of quennet"
        assert app.state.target.position == (10.5, -20.25), "backwards: to its beginning"
        assert app.state.is_by_trail
        assert app.screen is app.board


async def test_a_file_that_holds_no_track_says_so(tmp_path: Path) -> None:
    path = tmp_path / "no.gpx"
    path.write_text("<gpx></gpx>")
    app = board_app(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, SETTLED)
        app._ask_which_way(path)
        await pilot.pause()
        assert app.state.target is None
        app.open(Opening(path))
        await pilot.pause()
        assert app.state.status.kind is not SourceKind.TRACK
        assert "holds no track" in toasts(app)[-1]

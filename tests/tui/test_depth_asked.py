"""Colours where nobody has said how many there are: the terminal is asked, and the whole application goes by it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.filter import ANSIToTruecolor, Monochrome, NoColor

from core.locations import Locations
from tests.tui.support import SKY, Epoch, board_state, screen_text, show, walked
from tui.app import FixboardApp
from tui.canvas.palettes import THEMES, Depth
from tui.program import asked_depth
from tui.session import Look, Session

WEAK = replace(Epoch(), sky=(SKY[0].replace(",41,", ",09,").replace(",44,", ",21,"), *SKY[1:]))
"""A sky with satellites that are drawn dim."""
ASKED = {
    "linux": ({"TERM": "linux"}, Depth.COLOURS_16),
    "xterm": ({"TERM": "xterm"}, Depth.COLOURS_16),
    "256": ({"TERM": "xterm-256color"}, Depth.COLOURS_256),
    "true": ({"TERM": "xterm-256color", "COLORTERM": "truecolor"}, Depth.TRUECOLOR),
    "none": ({"TERM": "xterm-256color", "NO_COLOR": "1"}, Depth.NONE),
}


@pytest.fixture(params=ASKED)
def depth(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Depth:
    """In such a terminal: the depth that it has."""
    for name in ("COLORTERM", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    said, depth = ASKED[request.param]
    for name, value in said.items():
        monkeypatch.setenv(name, value)
    return depth


def asking(folder: Path, theme: str) -> FixboardApp:
    app = FixboardApp(Session(Locations(folder), Look("braille", theme)), (), None)
    app.animation_level = "none"
    return app


@pytest.mark.parametrize("theme", THEMES)
async def test_every_page_of_a_weak_sky_is_drawn(tmp_path: Path, theme: str, depth: Depth) -> None:
    app = asking(tmp_path, theme)
    async with app.run_test(size=(120, 40)) as pilot:
        show(app, board_state(walked(12, WEAK)))
        for key in ("3", "8", "v", "b"):
            await pilot.press(key)
            await pilot.pause()
            assert "Traceback" not in screen_text(app)
        assert app._exception is None


def test_the_application_goes_by_what_the_terminal_says(tmp_path: Path, depth: Depth) -> None:
    assert asked_depth() is depth
    app = asking(tmp_path, "night")
    names_stay = depth in {Depth.NONE, Depth.COLOURS_16}
    assert app.native_ansi_color is names_stay
    assert [one.enabled for one in app._filters if isinstance(one, ANSIToTruecolor)] == [not names_stay]
    assert [type(one) for one in app._filters if isinstance(one, NoColor | Monochrome)] == (
        [NoColor] if depth is Depth.NONE else []
    )

"""The position handed on: the code read from the terminal's cells by another library, the texts, what is held back."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from aprslib import parse
from textual.geometry import Size

from core.qr import QUIET, qr_modules
from tests.tui.qr_support import GEO, HELD, LIVE, app_with, opened, photographed, pixels, typed
from tests.tui.support import REPLAYING, Epoch, board_app, board_state, played, screen_text, show, toasts, until, walked
from tui.canvas.palettes import Depth
from tui.panes.qr_code import Halves, QrDrawing, QrLook
from tui.screens.qr import code_for
from tui.state import BoardState

# The code


@pytest.mark.parametrize(
    ("theme", "size"),
    [
        *((theme, (80, 24)) for theme in ("dark", "daylight", "night")),
        *(("night", size) for size in ((120, 40), (200, 60))),
    ],
    ids=str,
)
@pytest.mark.parametrize("glyphs", ["braille", "plain"])
@pytest.mark.parametrize("depth", list(Depth))
async def test_a_camera_reads_the_code_from_the_screen(
    tmp_path: Path, *, depth: Depth, theme: str, glyphs: str, size: tuple[int, int]
) -> None:
    app = app_with(tmp_path, depth, glyphs=glyphs, theme=theme)
    async with app.run_test(size=size) as pilot:
        await opened(app, pilot)
        assert photographed(app) == [GEO]


@pytest.mark.parametrize("glyphs", ["braille", "plain"])
@pytest.mark.parametrize("depth", [depth for depth in Depth if depth is not Depth.NONE])
async def test_at_night_nothing_in_the_code_is_lighter_than_a_dim_red(
    tmp_path: Path, *, depth: Depth, glyphs: str
) -> None:
    """White would take from the eyes what they are used to; a camera reads it so too (the test above)."""
    app = app_with(tmp_path, depth, glyphs=glyphs, theme="night")
    async with app.run_test(size=(80, 24)) as pilot:
        drawing = (await opened(app, pilot))._code.drawing
        assert drawing
        colours = {
            colour.get_truecolor()
            for y in range(drawing.size.height)
            for _, style, _ in drawing.row(y)
            if style
            for colour in (style.color, style.bgcolor)
            if colour and not colour.is_default
        }
        assert max(colour.red for colour in colours) in range(120, 180)
        assert {(colour.green, colour.blue) for colour in colours} == {(0, 0)}
        assert "Dim red for the night" in screen_text(app)


@pytest.mark.parametrize("room", [Size(33, 17), Size(66, 33), Size(99, 50), Size(70, 40)], ids=str)
@pytest.mark.parametrize("halves", list(Halves))
@pytest.mark.parametrize("depth", list(Depth))
def test_a_code_is_as_large_as_its_room_and_dark_on_white_with_its_quiet_zone(
    room: Size, halves: Halves, depth: Depth
) -> None:
    modules = qr_modules(GEO)
    drawing = QrDrawing(modules, room, QrLook(halves, depth))
    side = len(modules)
    if halves is Halves.NO and not drawing.is_whole:
        assert min(room.width // (2 * side), room.height // side) == 0
        assert not drawing.fits
        return
    scale = drawing.size.width // side
    if drawing.is_whole:
        assert "".join(segment.text for y in range(drawing.size.height) for segment in drawing.row(y)).isspace()
        assert scale == 2 * min(room.width // (2 * side), room.height // side)
    else:
        assert scale == min(room.width // side, 2 * room.height // side)
    grey = pixels([list(drawing.row(y)) for y in range(drawing.size.height)])
    across = scale
    for y in range(side * scale):
        for x in range(drawing.size.width):
            dark = modules[y // scale][x // across]
            assert grey[y][x] == 0 if dark else grey[y][x] >= 170  # sixteen colours have no values of their own
            if min(x, y) < QUIET * scale or max(x, y) >= (side - QUIET) * scale:
                assert not dark


def test_a_font_without_half_blocks_gets_blanks_where_they_fit() -> None:
    modules = qr_modules(GEO)
    assert QrDrawing(modules, Size(66, 33), QrLook(Halves.UNSURE, Depth.TRUECOLOR)).is_whole
    assert not QrDrawing(modules, Size(65, 33), QrLook(Halves.UNSURE, Depth.TRUECOLOR)).is_whole
    assert not QrDrawing(modules, Size(32, 33), QrLook(Halves.YES, Depth.TRUECOLOR)).fits


@pytest.mark.parametrize("encoding", ["ascii", "iso8859-1"])
def test_a_terminal_that_can_be_sent_no_half_block_gets_none(encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands for it in such a terminal cannot be read by anything."""
    monkeypatch.setattr("sys.__stderr__", io.TextIOWrapper(io.BytesIO(), encoding))
    code = code_for(Depth.TRUECOLOR, "plain")
    assert code.halves is Halves.NO
    modules = qr_modules(GEO)
    assert not QrDrawing(modules, Size(65, 33), QrLook(Halves.NO, Depth.TRUECOLOR)).fits
    assert QrDrawing(modules, Size(66, 33), QrLook(Halves.NO, Depth.TRUECOLOR)).is_whole


def test_a_text_too_long_for_any_code_is_refused() -> None:
    with pytest.raises(ValueError, match="too long"):
        qr_modules("x" * 5000)


async def test_without_room_it_says_so(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(60, 24)) as pilot:
        await opened(app, pilot)
        assert "No room for the QR code" in screen_text(app)
        await pilot.resize_terminal(120, 40)
        await until(pilot, lambda: photographed(app) == [GEO])


# The texts


async def test_texts_stand_beside_the_code_and_are_copied(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        text = screen_text(app)
        for words in ("!1030.00N/02015.00W[090/003/A=000041", "+10.50000-020.25000/", GEO, "licence", "REPLAY"):
            assert words in text
        for key, copied in (
            ("f5", "!1030.00N/02015.00W[090/003/A=000041"),
            ("f6", GEO),
            ("f7", "+10.50000-020.25000/"),
        ):
            await pilot.press(key)
            assert app.clipboard == copied


async def test_a_blurred_position_is_blurred_in_every_form(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        for blank, geo in (
            ("!1030.0 N/02015.0 W[090/003", "geo:10.50083,-20.25083;u="),
            ("!1030.  N/02015.  W[090/003", "geo:10.5083,-20.2583;u="),
            ("!103 .  N/0201 .  W[090/003", "geo:10.583,-20.250;u="),
            ("!10  .  N/020  .  W[090/003", "geo:10.5,-20.5;u="),
        ):
            await pilot.press("right")
            await pilot.pause()
            text = screen_text(app)
            assert blank in text
            assert "/A=" not in text
            assert geo in text
            assert "none: its digits cannot say a box" in text
            assert photographed(app)[0].startswith(geo)
            await pilot.press("f7")
            assert "Not copied" in toasts(app)[-1]
        await pilot.press("right", "f3")
        assert "No APRS text: the compressed form has no ambiguity" in " ".join(screen_text(app).split())


async def test_symbol_form_time_and_comment_are_chosen_and_kept(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        await pilot.press("down", "f4", "f2")
        await typed(app, pilot, "[red]2 of us")
        await pilot.pause()
        assert "/120011h1030.00N/02015.00Wb090/003[red]2" in screen_text(app)
        await pilot.press("f5")
        assert app.clipboard == "/120011h1030.00N/02015.00Wb090/003[red]2 of us /A=000041"
        await pilot.press("f4", "f3", "f5")
        assert app.clipboard.startswith("/041200z/")
        await pilot.press("escape")
        screen = await opened(app, pilot)
        assert screen.choices.is_compressed
        assert screen.choices.comment == "[red]2 of us"


@pytest.mark.parametrize(
    "state",
    [board_state(walked(3, Epoch(valid=False))), board_state(age_s=4.0), board_state(), board_state(age_s=60.0)],
    ids=["void", "stale", "current", "gone"],
)
async def test_a_void_or_stale_position_is_not_handed_on(tmp_path: Path, state: BoardState) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, state)
        assert photographed(app) == ([GEO] if state.is_current else [])
        assert ("Nothing to hand on" in screen_text(app)) != state.is_current
        for key in ("f5", "f6", "f7"):
            await pilot.press(key)
            assert ("Not copied: no current position" in toasts(app)[-1]) != state.is_current


async def test_what_ages_while_the_screen_is_open_is_no_longer_copied(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot)
        show(app, board_state(walked(12), age_s=4.0))
        await pilot.press("f5")
        assert "Not copied" in toasts(app)[-1]
        assert app.clipboard == ""


async def test_a_held_place_is_handed_on_as_what_it_is(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, board_state(walked(12), status=HELD))
        assert "HELD PLACE" in screen_text(app)
        assert "a saved place, no fix" in screen_text(app)
        await pilot.press("f5")
        assert "090/003" not in app.clipboard
        await pilot.press("f3", "f5")
        assert parse(f"QQ1QQX>APRS:{app.clipboard}")["gpsfixstatus"] == 0


@pytest.mark.parametrize(
    ("epoch", "words"),
    [
        (Epoch(mode="S", quality="8"), "simulated position, no satellite fix"),
        (Epoch(mode="E", quality="6"), "estimated position, no satellite fix"),
        (Epoch(), "doubtful"),
    ],
)
async def test_a_position_that_is_no_good_fix_is_called_so(tmp_path: Path, epoch: Epoch, words: str) -> None:
    app = app_with(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, board_state(played(epoch), status=LIVE))
        assert words in screen_text(app)


# Near home


async def test_near_home_nothing_precise_leaves_before_the_warning_is_answered(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('[home]\nplace = "10.501 N 20.25 W"\nradius_m = 500\n')
    app = app_with(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        assert photographed(app) == []
        assert "where you live" in " ".join(screen_text(app).split())
        await pilot.press("f6")
        assert "Near home" in toasts(app)[-1]
        assert app.clipboard == ""
        await pilot.press("enter")
        await pilot.pause()
        assert photographed(app) == [GEO]
        await pilot.press("right", "right")
        await pilot.pause()
        assert photographed(app)[0].endswith("u=1311")
        assert "where you live" not in " ".join(screen_text(app).split())
        await pilot.press("left")
        await pilot.pause()
        assert photographed(app) == []


async def test_a_hostile_source_name_stays_text(tmp_path: Path) -> None:
    app = app_with(tmp_path)
    evil = replace(REPLAYING, name="[bold]\x1b[2J\u202ewalk")
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, board_state(walked(12), status=evil))
        assert "[bold]" in screen_text(app)
        assert "\x1b" not in screen_text(app)
        assert "\u202e" not in screen_text(app)


async def test_a_pole_makes_a_text_and_a_code(tmp_path: Path) -> None:
    app = board_app(tmp_path)
    north = Epoch(place="9000.0000,N,00000.0000,E")
    async with app.run_test(size=(120, 40)) as pilot:
        await opened(app, pilot, board_state(played(north)))
        assert "!8959.99N/00000.00E[" in screen_text(app)
        assert photographed(app) == ["geo:90.00000,0.00000"]

"""The widgets: what they write again, and when."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import App, ComposeResult
from textual.screen import ModalScreen, Screen
from textual.strip import Strip

from tui.canvas.glyphs import BRAILLE, PLAIN
from tui.canvas.grid import Grid, Span
from tui.canvas.inks import Ink
from tui.canvas.palettes import Depth, palette_for
from tui.canvas.rows import Row, RowsPane
from tui.canvas.widget import CanvasPane


class Lines(CanvasPane):
    """Shows its words, one a row, and counts what is asked of it."""

    def __init__(self, words: Sequence[str]) -> None:
        super().__init__()
        self.words = list(words)
        self.painted: list[tuple[int, int]] = []
        self.asked: list[int] = []

    def paint(self, grid: Grid) -> None:
        self.painted.append((grid.width, grid.height))
        for y, word in enumerate(self.words):
            grid.text(0, y, word)
        grid.line((40, 0), (41, 3), Ink.FAINT)

    def render_line(self, y: int) -> Strip:
        self.asked.append(y)
        return super().render_line(y)

    def forget(self) -> None:
        self.painted.clear()
        self.asked.clear()


class Bench(App[None]):
    def __init__(self, pane: CanvasPane) -> None:
        super().__init__()
        self.pane = pane

    def compose(self) -> ComposeResult:
        yield self.pane


def text(pane: CanvasPane) -> list[str]:
    return [pane.render_line(y).text.rstrip() for y in range(pane.content_size.height)]


async def test_the_first_drawing_fills_the_pane() -> None:
    pane = Lines(["one", "two"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        assert pane.painted[-1] == (30, 4)
        assert text(pane)[1:] == ["two", "", ""]


async def test_only_rows_that_changed_are_written_again() -> None:
    pane = Lines(["one", "two", "three", "four"])
    async with Bench(pane).run_test(size=(30, 6)) as pilot:
        await pilot.pause()
        pane.forget()
        pane.words[1], pane.words[3] = "TWO", "FOUR"
        pane.repaint()
        await pilot.pause()
        assert pane.painted == [(30, 6)]
        assert sorted(set(pane.asked)) == [1, 3]
        assert text(pane)[:4] == ["one                 ⢣", "TWO", "three", "FOUR"]


async def test_rows_are_counted_inside_padding_and_border() -> None:
    pane = Lines(["one", "two", "three"])
    async with Bench(pane).run_test(size=(30, 9)) as pilot:
        pane.styles.padding = (1, 2)
        pane.styles.border = ("solid", "red")
        await pilot.pause()
        pane.forget()
        pane.words[2] = "THREE"
        pane.repaint()
        await pilot.pause()
        assert pane.painted == [(24, 5)]
        assert set(pane.asked) == {2}


async def test_a_repaint_without_a_difference_writes_nothing() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        pane.forget()
        pane.repaint()
        await pilot.pause()
        assert (len(pane.painted), pane.asked) == (1, [])


async def test_a_new_size_is_drawn_anew() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        pane.forget()
        await pilot.resize_terminal(50, 7)
        await pilot.pause()
        assert pane.painted[-1] == (50, 7)
        assert {0, 6} <= set(pane.asked)


async def test_a_hidden_pane_draws_when_it_is_shown() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        pane.display = False
        await pilot.pause()
        pane.forget()
        pane.words[0] = "ONE"
        pane.repaint()
        pane.repaint()
        await pilot.pause()
        assert pane.painted == []
        pane.display = True
        await pilot.pause()
        assert text(pane)[0].startswith("ONE")


async def test_a_pane_on_a_screen_below_draws_when_that_comes_back() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        await pilot.app.push_screen(Screen())
        await pilot.pause()
        pane.forget()
        pane.words[0] = "ONE"
        for _ in range(3):
            pane.repaint()
            await pilot.pause()
        assert pane.painted == []
        await pilot.app.pop_screen()
        await pilot.pause()
        assert pane.asked
        assert text(pane)[0].startswith("ONE")


async def test_a_pane_under_a_dialogue_goes_on() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        await pilot.app.push_screen(ModalScreen())
        await pilot.pause()
        pane.forget()
        pane.words[0] = "ONE"
        pane.repaint()
        await pilot.pause()
        assert pane.painted == [(30, 4)]
        assert set(pane.asked) == {0}


async def test_new_colours_and_characters_change_every_row() -> None:
    pane = Lines(["one"])
    async with Bench(pane).run_test(size=(30, 3)) as pilot:
        await pilot.pause()
        before = pane.render_line(0)
        pane.forget()
        pane.palette = palette_for("night", Depth.TRUECOLOR)
        await pilot.pause()
        assert set(pane.asked) == {0, 1, 2}
        assert pane.painted == []
        assert list(pane.render_line(0)) != list(before)
        pane.glyphs = PLAIN
        await pilot.pause()
        assert text(pane)[0].isascii()
        pane.glyphs = BRAILLE
        assert not text(pane)[0].isascii()


async def test_the_caption_takes_the_first_row() -> None:
    pane = Lines(["one"])
    pane.caption, pane.aside = "Position", Span("aged 12 s", Ink.STALE)
    async with Bench(pane).run_test(size=(30, 4)) as pilot:
        await pilot.pause()
        assert pane.painted[-1] == (30, 3)
        assert text(pane)[0] == " Position           aged 12 s"
        assert text(pane)[1].startswith("one")
        pane.aside = Span("a remark that is longer than the row", Ink.STALE)
        pane.repaint()
        assert text(pane)[0] == " Position"
        pane.forget()
        pane.aside = Span("aged 13 s", Ink.STALE)
        pane.repaint()
        await pilot.pause()
        assert set(pane.asked) == {0}


async def test_a_pane_of_rows_writes_what_it_is_given() -> None:
    class Words(RowsPane):
        def rows(self, width: int, height: int) -> Sequence[Row | str]:
            return [(Span("speed", Ink.MUTED), Span(" 1.4 m/s", bold=True)), "plain", "", *(["more"] * height)]

    pane = Words()
    async with Bench(pane).run_test(size=(20, 5)) as pilot:
        await pilot.pause()
        assert text(pane) == [" speed 1.4 m/s", " plain", "", " more", " more"]


async def test_a_bare_pane_is_blank() -> None:
    for pane in (CanvasPane(), RowsPane()):
        async with Bench(pane).run_test(size=(10, 2)) as pilot:
            await pilot.pause()
            assert text(pane) == ["", ""]
            assert pane.render_line(7).text.strip() == ""

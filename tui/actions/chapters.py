"""Actions on the chapters of a recording: read them, list them, make, change and delete some."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.chapters import NO_CHAPTERS
from core.errors import FixboardError
from core.sources.player import Player
from tui.actions.scenes import SceneActions
from tui.canvas.cells import one_cell_each
from tui.opening import Openable, Opening
from tui.own_keys import key_of
from tui.screens.board import PAGES

if TYPE_CHECKING:
    from core.chapter_book import ChapterBook, Removed
    from core.chapter_file import Entry, Typed, When
    from core.chapter_times import Placed
    from tui.chapter_messages import ChapterIntent
    from tui.screens.chapters import ChaptersScreen

BUNDLED = "This recording came with fixboard: copy it and its chapters to a folder of yours, and edit them there."


class ChapterActions(SceneActions):
    """Of whatever recording is open."""

    _book: ChapterBook | None = None
    _is_bundled = False
    _entries: tuple[Entry, ...] = ()
    _placed: tuple[Placed, ...] = ()
    _removed_chapters: tuple[Removed, ...] = ()
    _is_placed = True
    """Whether no time of day is still to be looked for."""
    _chapter_list: ChaptersScreen | None = None

    def _open_chapters(self, opening: Openable) -> None:
        """Those beside a recording. A damaged file is said once, and hinders nothing."""
        from core.chapter_book import ChapterBook
        from tui.offers import DEMO

        self._book = ChapterBook(opening.path, PAGES) if isinstance(opening, Opening) else None
        self._is_bundled = opening.remark == DEMO
        self._removed_chapters = ()
        self._forget_scenes()
        self._take_entries(self._read_entries())

    def _read_entries(self) -> tuple[Entry, ...]:
        try:
            return self._book.entries() if self._book else ()
        except FixboardError as error:
            text = one_cell_each(f"{error}. It plays without them.")
            self.notify(text, title="Chapters", severity="warning", timeout=20, markup=False)
            return ()

    def _take_entries(self, entries: tuple[Entry, ...]) -> None:
        self._entries = entries
        self._place_chapters()

    def _place_chapters(self) -> None:
        """Times of day are found as the recording is read."""
        from core.chapter_times import chapters_of, in_order, placed

        player = self._player
        if player is None:
            self._placed, chapters = (), NO_CHAPTERS
        else:
            is_whole = player.timeline().duration_s is not None
            self._placed = placed(self._entries, player.moment_of, is_whole=is_whole)
            self._is_placed = is_whole or all(entry.when.time_ms is None for entry in self._entries)
            chapters = chapters_of(self._placed)
        if chapters != self.state.chapters:
            self._show(chapters=chapters)
        if self._chapters_screen:
            self._chapters_screen.refill(in_order(self._placed))

    def _watch_chapters(self) -> None:
        """Called with every news: what has been found since, and on stage, what begins."""
        if not self._is_placed:
            self._place_chapters()
        if self._player is not None:
            self._watch_scenes(self._player)

    def action_add_chapter(self) -> None:
        """A chapter at this moment."""
        from core.chapter_file import Typed, length_text

        player = self._editable_player()
        if player is None:
            return
        at_s = float(int(player.timeline().position_s))
        mask = f"{self.state.sky.mask_deg}" if self.board.page == "sky" and self.state.sky.mask_deg else ""
        typed = Typed(length_text(at_s), "", page=self.board.page, mask_deg=mask)
        self._ask_for_chapter("A chapter here", typed, None)

    def action_list_chapters(self) -> None:
        """The list."""
        from core.chapter_times import in_order

        if self._replay() is None or self._book is None or self._chapters_screen:
            return
        # Most sessions never ask for it: a board that is opened does not wait for it.
        from tui.screens.chapters import ChaptersScreen

        self._chapter_list = ChaptersScreen(self.board, in_order(self._placed), self._book.path.name)
        self.push_screen(self._chapter_list)

    def on_chapter_intent(self, message: ChapterIntent) -> None:
        """What is wanted of a chapter of the list."""
        message.stop()
        if message.placed is None:
            {"add": self.action_add_chapter, "undo": self._undo_chapter}[message.intent]()
            return
        {"go": self._go_and_leave_list, "edit": self._edit_chapter, "delete": self._delete_chapter}[message.intent](
            message.placed
        )

    def _editable_player(self) -> Player | None:
        """What is played, where its chapters are the user's to write."""
        player = self._replay()
        if player is not None and (self._is_bundled or self._book is None):
            self._say(BUNDLED, "warning")
            return None
        return player

    def _ask_for_chapter(self, title: str, typed: Typed, old: Placed | None) -> None:
        # As above: only who writes one waits for the form.
        from tui.screens.chapter_sheet import ChapterSheet

        self.push_screen(ChapterSheet(title, typed, lambda written: self._save_chapter(written, old)))

    def _save_chapter(self, typed: Typed, old: Placed | None) -> str:
        """What is wrong; empty once it is saved."""
        from core.chapter_file import entry_typed
        from core.chapter_times import place_for

        book = self._book
        if book is None:
            return "the recording is not open any more"
        try:
            entry = entry_typed(typed, PAGES)
            if old is None:
                entries = book.add(entry, place_for(self._placed, self._moment_s(entry.when)))
            else:
                entries = book.change(old.entry, entry)
        except FixboardError as error:
            return str(error)
        self._take_entries(entries)
        self._choose_chapter(entry)
        self._say(f"Saved: {entry.title}.")
        return ""

    def _moment_s(self, when: When) -> float:
        """Where a new chapter lies; at the end of the file where nobody knows yet."""
        if when.time_ms is None or self._player is None:
            return when.at_s or 0.0
        found = self._player.moment_of(when.time_ms, 0.0)
        return float("inf") if found is None else found

    def _edit_chapter(self, one: Placed) -> None:
        from core.chapter_file import typed_from

        if self._editable_player():
            self._ask_for_chapter("Change this chapter", typed_from(one.entry), one)

    def _delete_chapter(self, one: Placed) -> None:
        if self._editable_player() is None or self._book is None:
            return
        try:
            entries, removed = self._book.remove(one.entry)
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._removed_chapters = (*self._removed_chapters, removed)
        self._take_entries(entries)
        self._say(f"Deleted: {one.entry.title}. {key_of('undo_chapter')} brings it back.")

    def _undo_chapter(self) -> None:
        from core.chapter_times import place_for

        if not self._removed_chapters or self._book is None:
            self._say("No chapter was deleted since this was opened.", "warning")
            return
        removed = self._removed_chapters[-1]
        try:
            entries = self._book.restore(removed, place_for(self._placed, self._moment_s(removed.entry.when)))
        except FixboardError as error:
            self._say(str(error), "error")
            return
        self._removed_chapters = self._removed_chapters[:-1]
        self._take_entries(entries)
        self._choose_chapter(removed.entry)
        self._say("It is back.")

    def _go_and_leave_list(self, one: Placed) -> None:
        chapter = one.chapter
        if chapter is None:
            self._say(f"{one.entry.when} is at no moment that has been read so far.", "warning")
            return
        if self._chapters_screen:
            self._chapters_screen.dismiss(None)
        self._go_to_chapter(chapter)

    def _choose_chapter(self, entry: Entry) -> None:
        from core.chapter_times import in_order

        found = next((one for one in self._placed if one.entry == entry), None)
        if self._chapters_screen and found:
            self._chapters_screen.refill(in_order(self._placed), found)

    @property
    def _chapters_screen(self) -> ChaptersScreen | None:
        """The list, while it is open."""
        return self._chapter_list if self._chapter_list in self.screen_stack else None

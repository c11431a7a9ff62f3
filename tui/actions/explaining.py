"""Explain what is on the open page: its figures, or, on the page of the raw sentences, a sentence."""

from __future__ import annotations

from tui.actions.base import BoardApp


class ExplainActions(BoardApp):
    """One key for both."""

    async def action_explain_page(self) -> None:
        """The figures of the page that is open; a sentence field by field where that is the wire's."""
        if self.board.page == "wire":
            await self.run_action("open_sentence")
            return
        # Most sessions never ask: a board that is opened does not wait for the paragraphs.
        from tui.screens.explain import ExplainScreen

        self.push_screen(ExplainScreen(self.board))

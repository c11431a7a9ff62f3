"""The footer of a list: what can be done in it, and nothing that is cut.

The usual footer goes on beyond the right edge. A list has more keys than 80 cells hold, and half a word, or a key
without its word, is worse than one less: those left out are in the help.
"""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Footer
from textual.widgets._footer import FooterKey

GAP, CLOSE_GAP = 3, 2
"""Cells that an item takes beside its key and its word, as the usual footer and a compact one set them."""


class ListFooter(Footer):
    """Whole items only, closer together where they would not all fit; the first ones stay."""

    def __init__(self) -> None:
        """The palette is not offered: it has its own key in the help."""
        super().__init__(show_command_palette=False)

    def on_resize(self) -> None:
        """Another width holds more of them, or fewer."""
        self.call_after_refresh(self.recompose)

    def compose(self) -> ComposeResult:
        """The usual items as far as they belong to the list and fit."""
        items = [item for item in super().compose() if isinstance(item, FooterKey) and self._is_ours(item)]
        width = self.app.size.width
        self.set_reactive(Footer.compact, _needed(items, GAP) > width)
        self.set_class(self.compact, "-compact", update=False)
        gap = CLOSE_GAP if self.compact else GAP
        for n, item in enumerate(items, 1):
            if _needed(items[:n], gap) <= width:
                yield item

    def _is_ours(self, item: FooterKey) -> bool:
        """The board's own keys act on a board that is out of sight; only the help is at hand everywhere."""
        active = self.screen.active_bindings.get(item.key)
        return item.action == "help" or (active is not None and active.node is not self.app)


def _needed(items: list[FooterKey], gap: int) -> int:
    return sum(len(item.key_display) + len(item.description) + gap for item in items)

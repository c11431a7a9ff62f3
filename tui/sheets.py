"""Stylesheets that are read when they are first needed: each rule costs a start-up that does without it."""

from __future__ import annotations

from pathlib import Path

from textual.css.stylesheet import Stylesheet

FOLDER = Path(__file__).parent
FIRST, LATER = "board.tcss", ("pages.tcss", "screens.tcss")
"""What the board's first picture needs; what is read when it stands, before a key is obeyed."""


def add_sheet(sheet: Stylesheet, name: str) -> None:
    """Have the rules of a file of this folder applied to all that is put up from now on. Twice is once.

    Textual's own way for a screen that brings a file (`CSS_PATH`) reads every rule of the application anew.
    """
    path = FOLDER / name
    if not sheet.has_source(str(path)):
        sheet.add_source(path.read_text(encoding="utf-8"), read_from=(str(path), ""))

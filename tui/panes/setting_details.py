"""One setting: what it does, what it is and may be, and where it stands in the file."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import NamedTuple

from core.settings.changing import SettingsFile
from core.settings.reading import line_of
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.position import LABEL_WIDTH, labelled
from tui.setting_rows import Setting, counts, wanted, with_unit

SPARE = ("example", "usual", "counts", "value")
"""What is left out where rows are few, the first first: what is wanted says as much as an example, and value, and by
its last word whether that is the usual one, stand in the list."""


class SettingView(NamedTuple):
    """What the pane shows."""

    setting: Setting | None = None
    file: SettingsFile | None = None


class SettingDetailsPane(RowsPane):
    """The setting under the cursor; above it what is wrong with the file, which concerns all of them."""

    caption = "Chosen"

    def __init__(self) -> None:
        super().__init__(id="setting-details")
        self._view = SettingView()

    def show(self, view: SettingView) -> None:
        """Show this one."""
        if view != self._view:
            self._view = view
            self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """What is wrong first: nothing below it may count. Rows that there is no room for are those of least need."""
        setting, file = self._view
        if setting is None or file is None:
            return []
        facts, spare = _facts(setting, file), list(SPARE)
        rows = [*_faults(file, width), *_rows(setting, facts, width)]
        while len(rows) > height and spare:
            facts.pop(spare.pop(0))
            rows = [*_faults(file, width), *_rows(setting, facts, width)]
        return rows


def _faults(file: SettingsFile, width: int) -> Iterator[Row]:
    for fault in (file.damage, *file.wrong):
        # Which file it is stands below.
        for line in _wrapped(fault.removeprefix(f"{file.path}, "), width - 2):
            yield (Span(line, Ink.ALERT),)


def _facts(setting: Setting, file: SettingsFile) -> dict[str, str]:
    return {
        "value": with_unit(setting.value, setting.key),
        "usual": with_unit(setting.usual, setting.key),
        "wanted": wanted(setting.key),
        "example": setting.key.example,
        "counts": counts(setting.key),
        "wrong": setting.wrong,
        "stands": _stands(setting, file),
    }


def _rows(setting: Setting, facts: dict[str, str], width: int) -> Iterator[Row]:
    yield (Span(setting.id, Ink.TARGET, bold=True),)
    for line in _wrapped(setting.words, width - 2):
        yield (Span(line),)
    for label, text in facts.items():
        for number, line in enumerate(_wrapped(text, width - 2 - LABEL_WIDTH)):
            yield labelled("" if number else label, Span(line, Ink.ALERT if label == "wrong" else Ink.TEXT))


def _stands(setting: Setting, file: SettingsFile) -> str:
    if file.damage:
        return f"nobody can say: {file.path} is damaged"
    if setting.found is None:
        return f"not in {file.path}"
    return f"line {line_of(file.text, *setting.place)} of {file.path}"


def _wrapped(text: str, width: int) -> list[str]:
    return wrap(one_cell_each(text), max(10, width))

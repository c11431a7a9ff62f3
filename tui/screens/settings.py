"""The settings: all of them, found by letters, changed one by one, saved and in effect at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.widgets import Input

from core.errors import UsageError
from core.settings.changing import SettingsFile
from core.settings.key import Value
from core.settings.table import parse
from tui.commands import SETTING_COMMANDS, bindings
from tui.panes.setting_details import SettingDetailsPane, SettingView
from tui.panes.setting_list import SettingListPane
from tui.panes.source_line import SourceLine
from tui.panes.verdict_line import VerdictLine
from tui.screens.board import BoardScreen
from tui.screens.help import EVERY_COMMAND
from tui.screens.list_footer import ListFooter
from tui.screens.listing import FindingScreen
from tui.screens.pick import Choice, PickScreen
from tui.screens.setting_prompt import SettingPrompt
from tui.setting_rows import Setting, matches, settings_in, with_unit

FIND = "type to find a setting; Enter changes it, Left and Right step"
NOTHING_FOUND = "None matches: change the words, or delete them."
NOT_CHANGED = "Nothing was changed."
LOOK_S = 3.0
"""How often the file is read anew: the user may have it open in an editor beside the board."""


class SettingsDesk(NamedTuple):
    """What the screen needs of the application."""

    look: Callable[[SettingsFile | None], SettingsFile]
    """The file as it is; what it was before comes back where nothing has changed."""
    change: Callable[[tuple[str, str], Value | None], str]
    """Save a value at table and key, and obey it; what was wrong, empty for nothing."""


class SettingsScreen(FindingScreen):
    """Looks on as the board does; writes nothing itself."""

    # One above the other as long as beside the details the list would have no room for its longest values.
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-mid"), (140, "-wide")]  # noqa: RUF012 - declared so by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(SETTING_COMMANDS),
        Binding("left", "step(-1)", show=False, priority=True),
        Binding("right", "step(1)", show=False, priority=True),
    ]

    def __init__(self, board: BoardScreen, desk: SettingsDesk) -> None:
        """`board`: whose state, colours and glyphs this screen shares."""
        super().__init__(board)
        self._desk = desk
        self._file = desk.look(None)
        self._before: list[tuple[Setting, Value | None]] = []

    def compose(self) -> ComposeResult:
        """What is watched stands above, as on the board."""
        yield SourceLine(id="source")
        yield VerdictLine(id="verdict")
        yield Input(placeholder=FIND, id="find", compact=True)
        with Container(id="setting-panes"):
            yield SettingListPane()
            yield SettingDetailsPane()
        yield ListFooter()

    def on_mount(self) -> None:
        """Begin with all of them."""
        self._watch_board()
        self.set_interval(LOOK_S, self.look_again)
        self._refill()
        # At once, and not when the application comes to it: letters are on their way that are meant for this line.
        self.set_focus(self._find_line)

    @property
    def chosen(self) -> Setting | None:
        """The one under the cursor."""
        return self._list.chosen

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Once something is typed, left and right move in it."""
        del parameters
        return action != "step" or not self.is_mounted or not self._find_line.value

    def look_again(self) -> None:
        """Show the file as it is now."""
        file = self._desk.look(self._file)
        if file != self._file:
            self._file = file
            self._refill()

    def action_step(self, by: int) -> None:
        """The next of the values there are, where they can be counted."""
        if self.chosen is not None and self.chosen.steps:
            self._change(self.chosen, self.chosen.step(by))

    def action_change_setting(self) -> None:
        """A switch is thrown, a choice picked, all else typed."""
        setting = self.chosen
        if setting is None:
            return
        if self._file.damage:
            self._complain(self._file.damage)
        elif setting.key.kind == "switch":
            self.action_step(1)
        elif setting.steps:
            self._pick(setting)
        else:
            self.app.push_screen(SettingPrompt(setting, lambda text: self._typed(setting, text)))

    def action_reset_setting(self) -> None:
        """Out of the file."""
        setting = self.chosen
        if setting is None:
            return
        if setting.found is None and not self._file.damage:
            self.notify(f"{setting.id} is as usual already: it is not in the file.", markup=False)
        else:
            self._change(setting, None)

    def action_undo_setting(self) -> None:
        """Back to before the last change."""
        if not self._before:
            self.notify("Nothing to undo: no setting was changed here.", markup=False)
            return
        setting, value = self._before[-1]
        if self._save(setting, value):
            self._before.pop()
            self._list.choose(setting.id)
            self._tell()

    def action_leave_settings(self) -> None:
        """Back to the board."""
        self.dismiss(None)

    def _pick(self, setting: Setting) -> None:
        def picked(number: int | None) -> None:
            if number is not None:
                self._change(setting, setting.steps[number])

        choices = [Choice(with_unit(one, setting.key), _remark(setting, one)) for one in setting.steps]
        self.app.push_screen(PickScreen(f"{setting.id}: {setting.words}", choices, ""), picked)

    def _typed(self, setting: Setting, text: str) -> str:
        """What is wrong with it; empty where it is saved."""
        try:
            value = parse(setting.key, text)
        except UsageError as error:
            return str(error)
        return self._try(setting, value)

    def _change(self, setting: Setting, value: Value | None) -> None:
        wrong = self._try(setting, value)
        if wrong:
            self._complain(wrong)

    def _try(self, setting: Setting, value: Value | None) -> str:
        """Save it, so that it can be undone."""
        self.look_again()
        before = self._file.value(setting.place)
        wrong = self._desk.change(setting.place, value)
        if not wrong:
            self._before.append((setting, before))
        self.look_again()
        return wrong

    def _save(self, setting: Setting, value: Value | None) -> bool:
        wrong = self._desk.change(setting.place, value)
        if wrong:
            self._complain(wrong)
        self.look_again()
        return not wrong

    def _complain(self, why: str) -> None:
        text = f"{why}. {NOT_CHANGED}"
        self.notify(text, title="Not changed", severity="error", timeout=20, markup=False)

    @property
    def _list(self) -> SettingListPane:
        return self.query_one(SettingListPane)

    def _act(self) -> None:
        self.action_change_setting()

    def _find(self) -> None:
        self._list.first()
        self._refill()

    def _refill(self) -> None:
        every = settings_in(self._file, EVERY_COMMAND)
        found = [one for one in every if matches(one, self._find_line.value)]
        self._list.caption = f"Settings{self._faults()}"
        self._list.aside = self._list.aside._replace(text=f"{len(found)} of {len(every)}")
        self._list.fill(found, NOTHING_FOUND)
        self._tell()

    def _faults(self) -> str:
        if self._file.damage:
            return ": the file is damaged"
        return f", {len(self._file.wrong)} wrong in the file" if self._file.wrong else ""

    def _tell(self) -> None:
        self.query_one(SettingDetailsPane).show(SettingView(self.chosen, self._file))


def _remark(setting: Setting, value: Value | None) -> str:
    marks = ("now" if value == setting.value else "", "usual" if value == setting.usual else "")
    return ", ".join(mark for mark in marks if mark)

"""The user's settings on the board: at its start, and at once when they change."""

from __future__ import annotations

from textual.binding import Binding

from core.before_dark import Reserve
from core.settings import Settings
from core.settings.table import CHART_SPANS, PANES
from core.sources.source import SourceKind
from core.track_rule import TrackRule
from core.units import METRIC, use
from tui.actions.looks import LookActions
from tui.actions.watching import SourceActions
from tui.bearings import Reference
from tui.canvas.widget import CanvasPane
from tui.commands import KEY_NAMES
from tui.own_keys import wear
from tui.session import Session
from tui.state import BoardState, Orientation

PANES_SHEET = "panes.tcss"
"""Where panes stand when some are left out; read when some are."""


class SettingsActions(LookActions, SourceActions):
    """What is set, taken up."""

    def _begin_as_set(self) -> None:
        """Before there is a board to see: units, keys, panes."""
        settings = self.session.settings
        use(settings.units)
        if settings.keys:
            self.set_keymap(wear(settings.keys))
        self._show_panes(settings.board.panes)

    def _end_as_set(self) -> None:
        """What is the process's goes back: tests run many boards in one."""
        use(METRIC)
        wear({})

    def apply_settings(self, settings: Settings) -> None:
        """Take up settings that have just been changed, all at once: theme, units, notation, panes, keys, margins ...

        What the user chose by key stays, but for the keys of the settings that are others than before. Assumed errors
        and how to record count from the next source, or recording, on; so does the track's rule in a replay.
        """
        before, self.session.settings = self.session.settings, settings
        self.session.forget_folders()
        use(settings.units)
        if settings.keys != before.keys:
            self.set_keymap(wear(settings.keys))
        self._recorder.set_up(self.session.recordings, settings.recorder)
        self._keep_track_by(settings.track)
        if settings.board.theme != before.board.theme:
            self._wear(settings.board.theme or self.session.theme)  # also where --theme was given before
        if settings.board.panes != before.board.panes:
            self._show_panes(settings.board.panes)
        self._show(**self._changed(before, settings))
        for pane in self.query(CanvasPane):
            pane.repaint()  # words that were made before may be in other units

    def _keep_track_by(self, rule: TrackRule) -> None:
        """Of what is received now. A replay goes on as it began: after a jump all is as if it had been played there."""
        outing = self._feed.outing if self._feed and self.state.status.kind is SourceKind.LIVE else None
        if outing is not None:
            outing.use_rule(rule)

    def _changed(self, before: Settings, settings: Settings) -> dict[str, object]:
        """Of the board's state."""
        chosen = as_set(settings, self.session)
        of_board = ("notation", "bearings", "orientation", "chart_span")
        same = {name for name in of_board if getattr(before.board, name) == getattr(settings.board, name)}
        left = {"reference" if name == "bearings" else name for name in same}
        return {name: value for name, value in chosen.items() if name not in left}

    def _show_panes(self, panes: tuple[str, ...]) -> None:
        if set(panes) != set(PANES):
            from tui.sheets import add_sheet

            add_sheet(self.stylesheet, PANES_SHEET)
        self.board.choose_panes(panes)

    def get_key_display(self, binding: Binding) -> str:
        """In the footer: keys by the names that help has for them."""
        return binding.key_display or KEY_NAMES.get(binding.key) or super().get_key_display(binding)


def as_set(settings: Settings, session: Session) -> dict[str, object]:
    """The fields of the board's state that the settings have a say in."""
    board = settings.board
    return {
        "units": settings.units,
        "reserve": Reserve(settings.before_dark.factor, settings.before_dark.margin_min),
        "pins_digits": settings.position.pin_digits,
        "notation": session.notation,
        "reference": Reference(board.bearings or "true"),
        "orientation": Orientation(board.orientation or "north-up"),
        "chart_span": CHART_SPANS.index(board.chart_span) if board.chart_span else BoardState().chart_span,
    }

"""Actions on the settings screen: the key, and what its screen saves."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import FixboardError
from core.locations import Locations
from tui.actions.settings import SettingsActions

if TYPE_CHECKING:
    # Start-up time: few sessions need it.
    from core.settings.changing import SettingsFile
    from core.settings.key import Value


class SettingScreenActions(SettingsActions):
    """One key."""

    def action_settings(self) -> None:
        """All of them, with what the file says."""
        from tui.screens.settings import SettingsDesk, SettingsScreen  # start-up time: few sessions need it

        self.push_screen(SettingsScreen(self.board, SettingsDesk(self._settings_file, self._change_setting)))

    @property
    def _settings_path(self) -> Path:
        return Locations(self.session.data).settings

    def _settings_file(self, before: SettingsFile | None) -> SettingsFile:
        from core.settings.changing import look  # the same
        from tui.own_keys import screens  # the same

        return look(self._settings_path, screens(), before)

    def _change_setting(self, place: tuple[str, str], value: Value | None) -> str:
        """Saved and in effect; what was wrong, and then it is neither."""
        from core.settings.changing import change  # the same
        from tui.own_keys import screens  # the same

        try:
            settings = change(self._settings_path, place, value, screens())
        except FixboardError as error:
            return str(error)
        self.apply_settings(settings)
        return ""

"""Actions on saving power: by key, or by itself on battery where the settings say so.

What costs is drawing, so that is done once a second, with the newest there is: the feed keeps its news back until they
are taken, so snapshots that nobody sees are not made either. The receiver is read, recorded and judged as ever.
"""

from __future__ import annotations

import sys
from typing import Literal

from core.power import UNKNOWN_POWER, Power, power
from tui.actions.looks import LookActions
from tui.actions.pairing import OtherNews
from tui.actions.watching import SourceActions
from tui.messages import News

LOOK_EVERY = 30
"""Seconds between two looks at the battery."""
GROUP = "power"
BEGINS = "Saving power: drawn once a second, the compass jumps, no charts. Y again: as usual."
ENDS = "No longer saving power: everything is drawn as it comes."


class PowerActions(LookActions, SourceActions):
    """Saving."""

    _asked_to_save: bool | None = None
    """By key; None: as the battery and the settings have it."""
    _is_saving = False
    _is_behind = False
    """Whether there are news that have not been drawn."""
    _power: Power = UNKNOWN_POWER
    _ticks = 0
    _usual_animation: Literal["none", "basic", "full"] = "full"

    def action_toggle_saving(self) -> None:
        """Save power, or draw everything as it comes."""
        self._asked_to_save = not self._is_saving
        self._save_or_not()
        self._say(BEGINS if self._is_saving else ENDS)

    def on_news(self, message: News) -> None:
        """While saving, news wait for the tick: the base, which would draw them, is not asked."""
        if self._is_saving:
            message.prevent_default()
            message.stop()
            self._is_behind = True

    def on_other_news(self, message: OtherNews) -> None:
        """Those of a second recording wait too; the tick draws it."""
        if self._is_saving:
            message.prevent_default()
            message.stop()

    def action_page(self, page: str) -> None:
        """Show one page; charts, which change from end to end with every epoch, not while saving."""
        if self._is_saving and page == "charts":
            self._say("No charts while power is saved: Y ends that.", "warning")
        else:
            super().action_page(page)

    def _show(self, **changes: object) -> None:
        """Whatever is drawn, is drawn with the newest."""
        if self._is_behind and self._feed:
            self._is_behind = False
            changes = {"snapshot": self._feed.take(), **changes}
        super()._show(**{"is_saving": self._is_saving, "power": self._power, **changes})

    def _tick(self) -> None:
        was_behind = self._is_behind
        if self._is_saving and self.board.page == "charts":  # by a chapter's wish
            self.board.page = "board"
        super()._tick()
        if was_behind:
            self._watch_going()
        if self._ticks % LOOK_EVERY == 0 and self.session.settings.power.saving_on_battery:
            self.run_worker(self._look_at_battery, thread=True, group=GROUP, exclusive=True, exit_on_error=False)
        self._ticks += 1

    def _look_at_battery(self) -> None:
        """In a thread: some computers take their time to answer."""
        self.call_from_thread(self.take_power, power(sys.platform))

    def take_power(self, found: Power) -> None:
        """What runs this computer now. Plugging in or out ends what the key had asked for."""
        before, self._power = self._power, found
        if not self.session.settings.power.saving_on_battery:
            return
        if before.on_battery is not found.on_battery and before.on_battery is not None:
            self._asked_to_save = None
        was_saving = self._is_saving
        self._save_or_not()
        if self._is_saving and not was_saving:
            self._say(f"On battery. {BEGINS}")
        elif was_saving and not self._is_saving:
            self._say(ENDS)

    def _save_or_not(self) -> None:
        by_itself = self.session.settings.power.saving_on_battery and self._power.on_battery is True
        wanted = by_itself if self._asked_to_save is None else self._asked_to_save
        if wanted == self._is_saving:
            return
        self._is_saving = wanted
        if wanted:
            self._usual_animation = self.animation_level
            self.animation_level = "none"
            if self.board.page == "charts":
                self.board.page = "board"
        else:
            self.animation_level = self._usual_animation
        self._show()

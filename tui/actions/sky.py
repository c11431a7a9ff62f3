"""Keys of the sky's page: what is imagined, and which layer is shown. On other pages they do what they do there."""

from __future__ import annotations

from tui.actions.wire import WireActions
from tui.sky_choice import SkyChoice


class SkyActions(WireActions):
    """Before those of the trail and the charts."""

    @property
    def _on_sky(self) -> bool:
        return self.board.page == "sky"

    def _imagine(self, choice: SkyChoice) -> None:
        """On a narrow screen the panel comes before the plot when it is worked on."""
        self._show(sky=choice._replace(panel_first=True))

    def _turn_layer(self, by: int) -> None:
        self._show(sky=self.state.sky.next_layer(by)._replace(panel_first=False))

    def action_trail_up(self) -> None:
        """The row above, or the map north."""
        if self._on_sky:
            self._move(-1)
        else:
            super().action_trail_up()

    def action_trail_down(self) -> None:
        """The row below, or the map south."""
        if self._on_sky:
            self._move(1)
        else:
            super().action_trail_down()

    def action_charts_back(self) -> None:
        """Less of the chosen row, or the charts back, the map west."""
        if self._on_sky:
            self._imagine(self.state.sky.stepped(-1))
        else:
            super().action_charts_back()

    def action_charts_on(self) -> None:
        """More of the chosen row, or the charts on, the map east."""
        if self._on_sky:
            self._imagine(self.state.sky.stepped(1))
        else:
            super().action_charts_on()

    def action_zoom_in(self) -> None:
        """The layer before, or the map nearer."""
        if self._on_sky:
            self._turn_layer(-1)
        else:
            super().action_zoom_in()

    def action_zoom_out(self) -> None:
        """The next layer, or the map farther."""
        if self._on_sky:
            self._turn_layer(1)
        else:
            super().action_zoom_out()

    def action_trail_follow(self) -> None:
        """The sky as received, or the map with the position."""
        if self._on_sky:
            self._imagine(self.state.sky.as_received)
        else:
            super().action_trail_follow()

    def action_drop(self) -> None:
        """The chosen row out, or in again."""
        if self._on_sky:
            self._imagine(self.state.sky.toggled())
        else:
            self._say("On the sky's page (3) this drops a satellite, a system or a wall, in a what-if.")

    def _move(self, by: int) -> None:
        from tui.panes.what_if_view import panel

        self._imagine(self.state.sky.moved(panel(self.state).rows, by))

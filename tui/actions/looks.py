"""Actions on how the board looks: theme, notation, orientation, wire, charts."""

from __future__ import annotations

from core.places.notation import Form, Notation, write
from tui.actions.base import NOTICE_S
from tui.actions.trail_view import TrailViewActions
from tui.bearings import Reference
from tui.canvas.cells import one_cell_each
from tui.canvas.glyphs import glyphs_for
from tui.themes import palette_name

THEME_ORDER = ("dark", "daylight", "night")
_BOUNDS = {
    Reference.TRUE: "",
    Reference.MAGNETIC: " where the model reaches (2025 to 2029) and a compass works, else true",
    Reference.GRID: " (UTM)",
}


class LookActions(TrailViewActions):
    """Themes and pages."""

    def _dress(self) -> None:
        self.theme_changed_signal.subscribe(self, lambda _: self._recolour())
        self.board.glyphs = glyphs_for(self.session.look.glyphs)
        self.set_class(self.session.look.glyphs == "plain", "-plain", update=False)
        self._recolour()

    def _recolour(self) -> None:
        self.board.palette = self.palette

    def action_cycle_theme(self) -> None:
        """The next of dark, daylight, night."""
        now = palette_name(self.theme)
        following = THEME_ORDER[(THEME_ORDER.index(now) + 1) % len(THEME_ORDER)] if now in THEME_ORDER else "dark"
        self._wear(following)
        self._keep(theme=following)

    def action_page(self, page: str) -> None:
        """Show one pane alone, or the board."""
        self.board.page = page

    def action_cycle_notation(self) -> None:
        """The next way of writing the position."""
        forms = list(Notation)
        following = forms[(forms.index(self.state.notation) + 1) % len(forms)]
        self._show(notation=following)
        self._keep(notation=following.name)

    def action_turn_compass(self) -> None:
        """North-up, course-up, and head-up where there is a heading."""
        self._show(orientation=self.state.next_orientation)

    def action_cycle_reference(self) -> None:
        """The next north for bearings in words."""
        norths = list(Reference)
        following = norths[(norths.index(self.state.reference) + 1) % len(norths)]
        self._show(reference=following)
        self._say(f"Bearings in words are {following.value}{_BOUNDS[following]}; the rose stays true.")

    def action_copy_position(self) -> None:
        """By the terminal (OSC 52), and in words, since not every terminal does it and none says so."""
        from core.places.forms import digits_for

        position = self.state.position
        if position is None or not self.state.is_current:
            self._say("No current position: nothing to copy.", "warning")
            return
        digits = digits_for(self.state.digits_error_m, Form[self.state.notation.name])
        text = " ".join(write(position, self.state.notation, digits))
        self.copy_to_clipboard(text)
        what = f": the held place {self.state.status.name}" if self.state.is_held else ""
        # In a row of its own: else the message may break before the last letter, which says east or west.
        head = one_cell_each(f"Copied, if the terminal allows it{what}")
        self.notify(one_cell_each(text), title=head, markup=False, timeout=NOTICE_S)

    def action_charts_back(self) -> None:
        """Earlier, by a quarter of the axis, but not beyond the oldest sample; on the trail, west."""
        from tui.panes.charts import SPANS_S

        if self.board.page == "trail":
            self._pan(-1, 0)
            return
        samples = self.state.snapshot.samples
        oldest_s = samples[-1].at_s - samples[0].at_s if samples else 0.0
        step_s = SPANS_S[self.state.chart_span] / 4
        self._show(chart_back_s=min(self.state.chart_back_s + step_s, oldest_s))

    def action_charts_on(self) -> None:
        """Later, up to now; on the trail, east."""
        from tui.panes.charts import SPANS_S

        if self.board.page == "trail":
            self._pan(1, 0)
            return
        step_s = SPANS_S[self.state.chart_span] / 4
        self._show(chart_back_s=max(0.0, self.state.chart_back_s - step_s))

    def action_charts_span(self) -> None:
        """The next length of the axis."""
        from tui.panes.charts import SPANS_S

        self._show(chart_span=(self.state.chart_span + 1) % len(SPANS_S))

"""How the fix came about, by the receiver's own account."""

from __future__ import annotations

from collections.abc import Iterator

from textual.reactive import reactive

from core.aged import Freshness
from core.fix import SATELLITE_FIX_MODES, FixMode
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.position import aged_span, labelled, spaced
from tui.state import BoardState


class FixPane(RowsPane):
    """Mode, satellites, dilution of precision, age."""

    caption = "Fix"
    state: reactive[BoardState] = reactive(BoardState(), repaint=False, init=False)

    def watch_state(self) -> None:
        """Draw the new state."""
        self.repaint()

    def rows(self, width: int, height: int) -> list[Row]:
        """What decides first, what explains later."""
        state = self.state
        return spaced([list(_mode(state)), list(_geometry(state)), list(_remarks(state))], height)


def _mode(state: BoardState) -> Iterator[Row]:
    yield labelled("mode", *mode_spans(state))
    values = state.snapshot.values
    view = (
        len([s for s in state.snapshot.sky.value if s.azimuth_deg is not None or s.cno_dbhz or not s.in_fix])
        if state.snapshot.sky
        else None
    )
    count = (
        f"{values.in_fix.value} of {view} in view"
        if values.in_fix and view
        else f"{values.in_fix.value}"
        if values.in_fix
        else ""
    )
    yield labelled("in fix", *aged_span(values.in_fix, count, state.now_s))
    position = values.position
    yield labelled(
        "age",
        *(
            (Span(wording.age(position.age_s(state.now_s))),)
            if position and state.position
            else (Span(wording.UNKNOWN, Ink.MUTED),)
        ),
    )


def mode_spans(state: BoardState) -> tuple[Span, ...]:
    """The mode and dimensions; loud when it is no satellite fix."""
    mode = state.snapshot.values.mode
    if mode is None or mode.freshness(state.now_s) is Freshness.GONE:
        return (Span("nothing heard", Ink.MUTED),)
    if not state.is_current:
        return (Span("no fix", Ink.ALERT, bold=True),)
    how = wording.MODE_WORDS[mode.value.mode]
    dimensions = f", {mode.value.dimensions}D" if mode.value.dimensions else ""
    if mode.value.mode not in SATELLITE_FIX_MODES:
        return (Span(how, Ink.WARN, bold=True),)
    return (Span(how + dimensions, Ink.WARN if mode.value.dimensions == 2 else Ink.TEXT),)


def _geometry(state: BoardState) -> Iterator[Row]:
    dops = state.snapshot.values.dops
    shown = dops if state.position else None
    yield labelled("HDOP", *aged_span(shown, f"{dops.value.hdop:.1f}" if dops else "", state.now_s))
    if dops and shown and dops.value.pdop is not None and dops.value.vdop is not None:
        yield labelled("", Span(f"PDOP {dops.value.pdop:.1f}  VDOP {dops.value.vdop:.1f}", Ink.MUTED))
    noise = state.snapshot.values.noise
    if noise and state.position and noise.freshness(state.now_s) is Freshness.FRESH:
        north, east, up = noise.value.latitude_m, noise.value.longitude_m, noise.value.altitude_m
        figures = ", ".join(wording.UNKNOWN if sigma is None else f"{sigma:.1f}" for sigma in (north, east, up))
        yield labelled("1 sigma", Span(f"{figures} m", Ink.TEXT))
        yield labelled("", Span("N, E, up; by the receiver", Ink.MUTED))


def _remarks(state: BoardState) -> Iterator[Row]:
    fix = state.snapshot.fix
    age = state.snapshot.values.correction_age_s
    if age and age.freshness(state.now_s) is Freshness.FRESH:
        station = f", station {fix.correction_station}" if fix.correction_station else ""
        yield labelled("corrected", Span(f"{age.value:.0f} s ago{station}"))
    for contradiction in fix.contradictions:
        yield (Span(contradiction, Ink.WARN),)
    if fix.navigational_status in {"C", "U"}:
        yield (Span({"C": "receiver says: caution", "U": "receiver says: unsafe"}[fix.navigational_status], Ink.WARN),)
    if fix.datum and fix.datum not in {"W84", "999"}:
        yield (Span(f"datum {fix.datum}: not WGS 84", Ink.WARN),)
    if fix.mode is FixMode.NONE and state.snapshot.texts:
        yield (Span(f"receiver: {state.snapshot.texts[-1]}", Ink.MUTED),)

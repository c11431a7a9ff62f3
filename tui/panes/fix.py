"""How the fix came about, by the receiver's own account."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from textual.reactive import reactive

from core.aged import Freshness
from core.fix import SATELLITE_FIX_MODES, Fix, FixMode
from core.history import Dops
from core.units import UNITS, in_use
from tui import wording
from tui.canvas.cells import one_cell_each
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row, RowsPane
from tui.panes.position import aged_span, fix_span, labelled, spaced
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
        return spaced([list(_mode(state)), list(_geometry(state)), list(_remarks(state, width))], height)


def _mode(state: BoardState) -> Iterator[Row]:
    yield labelled("mode", *mode_spans(state))
    yield labelled("in fix", *_in_fix(state))
    position = state.snapshot.values.position
    if position and state.position and not state.is_held:
        yield labelled("age", Span(wording.age(position.age_s(state.now_s)), _ink(state)))
    else:
        yield labelled("age", Span(wording.UNKNOWN, Ink.MUTED))


def _ink(state: BoardState) -> Ink:
    return Ink.TEXT if state.is_current else Ink.STALE


def _in_fix(state: BoardState) -> tuple[Span, ...]:
    """None in the fix is news even without a position; any other number belongs to one."""
    aged, view = state.snapshot.values.in_fix, _in_view(state)
    if aged is None or not aged.value:
        return aged_span(aged, f"0 of {view} in view" if view else "0", state.now_s)
    of = f" of {view} in view" if view >= aged.value else f", {view} in view" if view else ""
    return fix_span(state, aged, f"{aged.value}{of}")


def _in_view(state: BoardState) -> int:
    """Those that GSV reports, not those that are only listed as used; 0 where nothing is reported."""
    sky = state.snapshot.sky
    if sky is None or sky.freshness(state.now_s) is Freshness.GONE:
        return 0
    return sum(1 for one in sky.value if one.azimuth_deg is not None or one.cno_dbhz or not one.in_fix)


def mode_spans(state: BoardState) -> tuple[Span, ...]:
    """The mode and dimensions; loud when it is no satellite fix."""
    if state.is_held:
        return (Span("held place, no receiver", Ink.WARN, bold=True),)
    mode = state.snapshot.values.mode
    if mode is None or mode.freshness(state.now_s) is Freshness.GONE:
        return (Span("not reported", Ink.MUTED),)
    if not state.is_current:
        return (Span("no fix", Ink.ALERT, bold=True),)
    if state.is_positions_only:
        return (Span("of a file, quality unknown", Ink.WARN, bold=True),)
    how = wording.MODE_WORDS[mode.value.mode]
    dimensions = f", {mode.value.dimensions}D" if mode.value.dimensions else ""
    if mode.value.mode not in SATELLITE_FIX_MODES:
        return (Span(how, Ink.WARN, bold=True),)
    return (Span(how + dimensions, Ink.WARN if mode.value.dimensions == 2 else Ink.TEXT),)


def _geometry(state: BoardState) -> Iterator[Row]:
    dops = state.snapshot.values.dops
    yield labelled("HDOP", *fix_span(state, dops, f"{dops.value.hdop:.1f}" if dops else ""))
    if dops and state.position and dops.freshness(state.now_s) is not Freshness.GONE:
        yield from _other_dops(dops.value)
    noise = state.snapshot.values.noise
    if noise and state.is_current and noise.freshness(state.now_s) is Freshness.FRESH:
        north, east, up = noise.value.latitude_m, noise.value.longitude_m, noise.value.altitude_m
        unit = UNITS[in_use().short]
        known = (None if sigma is None else sigma / unit.size for sigma in (north, east, up))
        figures = ", ".join(wording.UNKNOWN if sigma is None else f"{sigma:.1f}" for sigma in known)
        yield labelled("1 sigma", Span(f"{figures} {unit.name}", Ink.TEXT))
        yield labelled("", Span("N, E, up; by the receiver", Ink.MUTED))


def _other_dops(dops: Dops) -> Iterator[Row]:
    if dops.pdop is not None and dops.vdop is not None:
        yield labelled("", Span(f"PDOP {dops.pdop:.1f}  VDOP {dops.vdop:.1f}", Ink.MUTED))


def _remarks(state: BoardState, width: int) -> Iterator[Row]:
    fix, values = state.snapshot.fix, state.snapshot.values
    age = values.correction_age_s
    if age and state.is_current and age.freshness(state.now_s) is Freshness.FRESH:
        station = f", station {fix.correction_station}" if fix.correction_station else ""
        yield labelled("corr age", Span(f"{age.value:.0f} s{station}"))
    if values.mode and values.mode.freshness(state.now_s) is not Freshness.GONE:
        yield from _cautions(fix)
    if fix.mode is FixMode.NONE and state.snapshot.texts:
        for line in wrap(one_cell_each(f"receiver: {state.snapshot.texts[-1]}"), max(10, width - 2)):
            yield (Span(line, Ink.MUTED),)


def _cautions(fix: Fix) -> Iterator[Row]:
    """What the newest epoch itself says against the fix."""
    for contradiction in fix.contradictions:
        yield (Span(contradiction, Ink.WARN),)
    if fix.navigational_status in {"C", "U"}:
        yield (Span({"C": "receiver says: caution", "U": "receiver says: unsafe"}[fix.navigational_status], Ink.WARN),)
    if fix.datum and fix.datum not in {"W84", "999"}:
        yield (Span(f"datum {fix.datum}: not WGS 84", Ink.WARN),)

"""The whole state as plain lines, for screen readers and logs: `name: value unit`, one fact a line, no drawing.

The words are those of the panes, taken from their own rows, so that the two cannot say different things.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, tzinfo
from typing import NamedTuple

from core.aged import Freshness
from core.fix import Satellite
from core.logbook import RecorderState
from core.safe_text import one_line
from core.site import SiteState
from tui import wording
from tui.canvas.grid import Span
from tui.canvas.inks import Ink
from tui.canvas.rows import Row
from tui.own_keys import own_words
from tui.panes import ab, averaging_rows, clock
from tui.panes.ab_state import axis_words, b_state, difference_now
from tui.panes.averaging import HELD as NOTHING_TO_AVERAGE
from tui.panes.banner import banner_words
from tui.panes.fix import FixPane
from tui.panes.goto import CAUTION, GoToPane
from tui.panes.position import PositionPane, unmeasured
from tui.panes.sky import strongest_first
from tui.panes.trip import TripPane
from tui.panes.verdict_line import error_words
from tui.spoken_rows import NOT_CURRENT, NOT_KNOWN, WIDE, Manner, blocks, line, pane_rows, said, spoken
from tui.state import BoardState

EVENTS, MESSAGES = 20, 10
"""Of the newest: a page that is listened to has an end."""
ONE_SIGMA, AXES = "1 sigma", "N, E, up; by the receiver"
"""Two rows of the fix that are one fact: three figures, and which is which."""

_POSITION = Manner(
    "position",
    {
        "degrees": "position in degrees",
        "and min": "position in degrees and minutes",
        "and sec": "position in degrees, minutes and seconds",
        "UTM": "position in UTM",
        "MGRS": "position in MGRS",
        "ISO 6709": "position in ISO 6709",
        "geo URI": "position as geo URI",
        "UTC": "time UTC",
        "local": "time local",
        "altitude": "height",
        "square": "locator square",
        "magnetic": "magnetic north",
    },
    going_on={"twilight": "sun"},
)
_FIX = Manner("remark on the fix", {"mode": "fix", "in fix": "satellites in the fix", "age": "age of the position",
                                    "corr age": "age of corrections", ONE_SIGMA: "noise, one sigma"})  # fmt: skip
_GOING = Manner(
    "remark on the way", {"arrival": "counts as arrived", "beside": "cross-track", "closing": "closing speed"}
)
_TRIP = Manner("remark on the trip", {"trip": "trip", "turn back at the latest": "turn back at the latest"}, "trip ")
_AVERAGING = Manner("averaging", before="averaging ")
_CLOCK = Manner("remark on the clock", {
    "computer": "computer's clock", "offset": "offset of the computer's clock", "slot modes": "good for slot modes",
    "note": "note on the clock", "certain": "the computer's clock is for certain", "to set it": "to set the clock",
    "take care": "take care in setting it", "made from": "clock compared by", "GPS time": "GPS time",
    "bytes": "bytes for the clock", "assumes": "the comparison assumes",
})  # fmt: skip
_PAIR = Manner("remark on A and B", {
    "distance": "distance of B from A", "height": "heights of A and B", "satellites": "satellites of A and B",
    "in A and B": "satellites in A and B", "A only": "satellites in A only", "B only": "satellites in B only",
})  # fmt: skip


class Asked(NamedTuple):
    """When the page was asked for, and where."""

    at: datetime
    """By this computer's clock, with its zone."""
    zone: tzinfo | None = None
    """For the local time; None is that of this computer."""


def state_lines(state: BoardState, asked: Asked) -> list[str]:
    """All of it, in the order in which one asks for it, each a line of safe text; a blank one between subjects."""
    found: list[str] = []
    for subject in _SUBJECTS:
        told = [one_line(text) for text in subject(state, asked)]
        found += [*([""] if found and told else []), *told]
    return found


def _moment(state: BoardState, asked: Asked) -> Iterator[str]:
    """The first line says of when all of this is: such a page is read later."""
    yield line("state at", f"{asked.at.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC by this computer's clock")
    notice = banner_words(state)
    if notice:
        yield line("notice", notice)


def _source(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    status = state.status
    yield line("source", f"{status.kind.value}, {status.name}")
    yield line("source is", status.state.value)
    for name, value in (("source says", status.detail), ("source warning", status.warning)):
        if value:
            yield line(name, value)
    yield line("source has run for", wording.clock(status.elapsed_s))
    if status.pace is not None:
        yield line("replay pace", wording.pace(status.pace))
    if state.timeline is not None:
        long = state.timeline.duration_s
        yield line("replay at", wording.clock(state.timeline.position_s))
        yield line("replay length", "" if long is None else wording.clock(long))
        chapter = state.chapters.at(state.timeline.position_s)
        if chapter is not None:
            yield line("chapter", chapter.title)
    if state.other is not None:
        yield line("second recording", state.other.status.name)


def _verdict(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    yield line("verdict", "HELD PLACE, a saved place and not a measurement" if state.is_held else state.verdict.words)
    for reason in state.reasons:
        yield line("reason", reason)
    yield line("error", error_words(state))
    vertical_m = state.snapshot.trust.error.vertical_m if state.is_current and not state.is_held else None
    yield line("error of the height", "" if vertical_m is None else f"about {wording.metres(vertical_m)} (95 %)")
    if state.advice:
        yield line("advice", state.advice)


def _position(state: BoardState, asked: Asked) -> Iterator[str]:
    """The pane's own first block is the position in one notation: here it is told in all of them."""
    place, time, *others = blocks(pane_rows(PositionPane(zone=asked.zone), state))
    if state.position is None:
        yield line("position", ", ".join((NOT_KNOWN, *(said(row) for row in place[1:2]))))
        if place[2:]:
            yield line("what to do", " ".join(said(row) for row in place[2:]))
    else:
        yield line("position", ", ".join(part for part in (_age(state), unmeasured(state)) if part))
        yield line("datum", _datum(state))
    yield from spoken(time, _POSITION)
    moment = state.utc.datetime() if state.utc else None
    yield line("time zone", "" if moment is None else _zone(moment, asked.zone))
    for block in others:
        yield from spoken(block, _POSITION)
    if state.heading_deg is not None:
        yield line("heading", state.bearing(state.heading_deg))


def _age(state: BoardState) -> str:
    aged = state.snapshot.values.position
    if state.is_current or aged is None:
        return "current"
    return f"{NOT_CURRENT}, {wording.age(aged.age_s(state.now_s))} old"


def _datum(state: BoardState) -> str:
    told = state.snapshot.fix.datum
    return "WGS 84, no other is named" if told is None or state.is_held else f"{told}, named by the receiver"


def _zone(moment: datetime, zone: tzinfo | None) -> str:
    try:
        local = moment.astimezone(zone)
    except (OverflowError, OSError, ValueError):
        return ""
    return f"{local:%Z}, UTC{local:%z}"


def _fix(state: BoardState, asked: Asked) -> Iterator[str]:
    """Without the receiver's message: messages have lines of their own."""
    del asked
    told: list[Row] = []
    for row in pane_rows(FixPane(), state):
        if row and row[-1].text.startswith("PDOP "):
            told += _dilutions(row, state)
        elif row and row[0].text.startswith(ONE_SIGMA):
            told.append((row[0], Span(_axes(row[-1].text))))
        elif _is_axes(row):
            continue
        elif not any(_is(row, f"receiver: {text}") for text in state.snapshot.texts[-1:]):
            told.append(row)
    yield from spoken(told, _FIX)


def _dilutions(row: Row, state: BoardState) -> Iterator[Row]:
    """A row each of `PDOP 2.0  VDOP 1.7`."""
    for part in row[-1].text.split("  "):
        name, _, value = part.partition(" ")
        yield Span(name, Ink.MUTED), Span(value, Ink.TEXT if state.is_current else Ink.STALE)


def _is_axes(row: Row) -> bool:
    """Which figure is which, below them on the screen."""
    return bool(row) and row[-1].text == AXES


def _axes(text: str) -> str:
    """Each of `0.6, 0.5, 1.2 m` with its axis and unit."""
    figures, _, unit = text.rpartition(" ")
    told = (
        f"{axis} {NOT_KNOWN}" if figure == wording.UNKNOWN else f"{axis} {figure} {unit}"
        for axis, figure in zip(("north", "east", "up"), figures.split(", "), strict=True)
    )
    return f"{', '.join(told)}, by the receiver"


def _going(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    if state.target is None:
        yield line("target", "none")
        return
    yield line("target", state.target.name)
    yield from spoken((row for row in pane_rows(GoToPane(), state) if not _is(row, CAUTION)), _GOING)


def _is(row: Row, text: str) -> bool:
    return len(row) == 1 and row[0].text == text


def _sky(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    sky = state.snapshot.sky
    if sky is None or sky.freshness(state.now_s) is Freshness.GONE:
        yield line("sky", "")
        return
    old = "" if sky.freshness(state.now_s) is Freshness.FRESH else f", {wording.age(sky.age_s(state.now_s))} old"
    yield line("sky", f"{len(sky.value)} satellites{old}")
    for one in strongest_first(sky.value):
        yield line(f"satellite {one.name}", ", ".join(_satellite(one)))


def _satellite(one: Satellite) -> Iterator[str]:
    yield "elevation " + (NOT_KNOWN if one.elevation_deg is None else f"{one.elevation_deg}°")
    yield "azimuth " + (NOT_KNOWN if one.azimuth_deg is None else wording.bearing(one.azimuth_deg))
    yield "not tracked" if one.cno_dbhz is None else f"C/N0 {one.cno_dbhz} dB-Hz"
    yield "in the fix" if one.in_fix else "not in the fix"


def _trip(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    yield from spoken(pane_rows(TripPane(), state), _TRIP)


def _averaging(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    report = state.snapshot.site
    if state.is_held or report.state is SiteState.NONE:
        yield line("averaging", own_words(NOTHING_TO_AVERAGE) if state.is_held else report.state.value)
        return
    yield from spoken(averaging_rows.state_rows(report, WIDE), _AVERAGING)
    found = report.average
    if found is not None:
        yield from spoken(averaging_rows.mean_rows(state, report, found, WIDE), _AVERAGING)
        yield from spoken(averaging_rows.mark_rows(report, WIDE), _AVERAGING)
        yield from spoken(averaging_rows.spread_rows(found, WIDE), _AVERAGING)
        yield from spoken(averaging_rows.memory_rows(report, found, WIDE), _AVERAGING)
    yield line("averaging caution", averaging_rows.NEVER)


def _clock(state: BoardState, asked: Asked) -> Iterator[str]:
    """The page in its order; the bar on it draws what its words say."""
    del asked
    if state.is_held:
        yield line("computer's clock", clock.NOTHING_TO_COMPARE)
        return
    report = state.snapshot.clock
    if report.recorded:
        yield line("clock compared", clock.RECORDED)
    utc, is_present = clock.newest_second(state)
    named = "" if utc is None else f"{utc.clock()} UTC, {utc.day.isoformat() if utc.day else 'no date'}"
    old = f", {NOT_CURRENT}" if named and not is_present else ""
    yield line("newest second named", f"{named}{old}")
    for rows in (clock.answer_rows(report, WIDE), clock.verdict_rows(report, WIDE), *clock.rest_blocks(report, WIDE)):
        yield from spoken(rows, _CLOCK)


def _pair(state: BoardState, asked: Asked) -> Iterator[str]:
    """Two columns as two lines a fact."""
    del asked
    other = state.other
    if other is None:
        yield line("A and B", "no second recording is open")
        return
    both = (("A", state), ("B", b_state(state, other)))
    yield line("A and B side by side", axis_words(other))
    for label, cell in ab.CELLS:
        for letter, one in both:
            value = one.verdict.words if label == "verdict" else said((cell(one),))
            yield line(f"{label} of {letter}", value)
    yield from spoken(ab.difference_rows(difference_now(state, other), WIDE), _PAIR)
    yield from spoken(ab.satellite_rows(state, other, WIDE), _PAIR)


def _program(state: BoardState, asked: Asked) -> Iterator[str]:
    """What leaves this computer or is kept on it, and what runs it."""
    del asked
    recorder, feed, power = state.recorder, state.feeding, state.power
    yield line("recorder", recorder.state.value)
    if recorder.state is not RecorderState.OFF:
        yield line("recorder file", str(recorder.path or ""))
        yield line("recorder has written", f"{recorder.bytes_written / 1e6:.1f} MB")
    if recorder.reason:
        yield line("recorder says", recorder.reason)
    yield line("feed", feed.state.value)
    for where in feed.where:
        yield line("feed to", where)
    if feed.where:
        yield line(
            "feed can be read by", "anybody who reaches this computer" if feed.is_open else "this computer alone"
        )
        yield line("feed readers", "" if feed.clients is None else str(feed.clients))
    if feed.reason:
        yield line("feed says", feed.reason)
    yield line("position texts", state.sending or "none written")
    yield line("power", {True: "battery", False: "mains", None: ""}[power.on_battery])
    yield line("battery", "" if power.percent is None else f"{power.percent} %")
    yield line("saving power", "yes" if state.is_saving else "no")


def _messages(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    for text in reversed(state.snapshot.texts[-MESSAGES:]):
        yield line("receiver says", text)
    if not state.snapshot.texts:
        yield line("receiver says", "nothing")


def _events(state: BoardState, asked: Asked) -> Iterator[str]:
    del asked
    for event in reversed(state.snapshot.events[-EVENTS:]):
        clock = f"{event.utc.clock()} UTC" if event.utc else "no time"
        ago = wording.clock(max(0.0, state.now_s - event.at_s))
        yield line("event", ", ".join(part for part in (clock, f"{ago} ago", event.kind.value, event.text) if part))
    if not state.snapshot.events:
        yield line("event", "nothing has happened yet")


def _caution(state: BoardState, asked: Asked) -> Iterator[str]:
    del state, asked
    yield line("caution", CAUTION)


_SUBJECTS: tuple[Callable[[BoardState, Asked], Iterator[str]], ...] = (
    _moment, _source, _verdict, _position, _fix, _going, _sky, _trip,
    _averaging, _clock, _pair, _program, _messages, _events, _caution,
)  # fmt: skip

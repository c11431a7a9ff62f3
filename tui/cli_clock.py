"""`fixboard clock`: this computer's clock against satellite time, and what sets it. No screen, and no import of one."""

from __future__ import annotations

import json
import os
import sys
import time
from argparse import Namespace
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import NamedTuple

from core.clock import ClockMeter, ClockSetup
from core.clock_report import NO_CLOCK, ClockReport
from core.errors import InputError, NoFixInTime, UsageError
from core.latency import Latency, learned, stated
from core.latency_file import LatencyFile, LearnedLatencies
from core.locations import Locations, own_locations
from core.model import FixModel
from core.set_clock import CAUTIONS, Right, command, why_not
from core.settings import read_settings
from core.sources import clocks
from core.sources.names import Sort, SourceName, source_name
from core.sources.pipe import POLL_S, Pipe, is_file
from core.sources.recording import Recording
from core.sources.source import Source, SourceState, SourceStatus
from core.trust import Verdict
from tui.cli_queries import open_named, open_standard_input, standard_input
from tui.clock_words import ASSUMPTIONS, at_most_words, computer_words, gps_words, made_from_words, offset_words
from tui.opening import LiveOpening, live_judgement, live_meter
from tui.speaking import complain, is_terminal, printable, tell

LABEL = 14
TYPED = "set"


class _Found(NamedTuple):
    report: ClockReport
    verdict: Verdict
    """On the fix."""
    status: SourceStatus | None = None
    """Of a live source."""


def clock(options: Namespace) -> int:
    """`fixboard clock`: exit 3 where no second of a satellite fix came to compare with."""
    latency = stated(options.latency) if options.latency is not None else None
    name = source_name(options.source) if options.source else None
    _check(options, recorded=_is_recording(name))
    if _is_recording(name):
        found = _of_recording(*_open(options, name), latency)
    else:
        found = _of_live_source(options, name, latency)
    _show(found.report, as_json=options.json)
    if not found.report.epochs:
        raise _nothing_came(found, options.wait)
    if options.learn:
        _learn(found.report)
    if options.sets:
        _set(found)
    return 0


def _check(options: Namespace, *, recorded: bool) -> None:
    """All that can be refused before waiting for a minute."""
    if recorded and (options.sets or options.learn):
        raise UsageError("a recording says nothing of the clock now: --set and --learn need a receiver")
    if options.sets and (options.json or not is_terminal("stdin")):
        raise UsageError("--set asks before it sets: it needs a terminal, and no --json")
    if options.learn and not options.computer_is_right:
        keeps = clocks.network_keeps_time()
        if not keeps:
            why = "says that network time does not keep" if keeps is False else "cannot say whether network time keeps"
            raise InputError(f"the system {why} this clock; if you know that it is right, add --computer-is-right")


def _is_recording(name: SourceName | None) -> bool:
    if name is None or name.sort not in {Sort.FILE, Sort.STANDARD_INPUT}:
        return False
    return name.sort is Sort.FILE or is_file(standard_input())


def _open(options: Namespace, name: SourceName | None) -> tuple[Recording, bool]:
    if name is not None and name.sort is Sort.FILE:
        options.file = name.text
        return open_named(options)
    return open_standard_input(options)


def _of_recording(recording: Recording, required: bool, latency: Latency | None) -> _Found:
    model = FixModel(required)
    meter = model.clock = ClockMeter(ClockSetup(stated=latency, require_checksum=required))
    try:
        for block in recording.blocks():
            model.feed(block, 0.0)
    finally:
        recording.close()
    model.finish()
    return _Found(meter.report(), Verdict.NO_FIX)


def _of_live_source(options: Namespace, name: SourceName | None, latency: Latency | None) -> _Found:
    piped = name is not None and name.sort is Sort.STANDARD_INPUT
    source: Source = (
        Pipe(standard_input(), time.monotonic) if piped else LiveOpening(name, options.baud, options.checksums).source()
    )
    required = options.checksums != "allow"
    known = LearnedLatencies(LatencyFile(_places().latencies))
    model = FixModel(required, judgement=live_judgement(read_settings(_places().settings).errors))
    meter = model.clock = live_meter(source, known, latency, require_checksum=required)
    try:
        for _ in _fed(source, model, time.monotonic() + options.wait):
            if meter.report().key is not None:
                break
        status = source.status()
    finally:
        source.close()
        source.read(0.0)
    if known.trouble:
        complain(known.trouble)
    return _Found(meter.report(), model.snapshot().trust.verdict, status)


def _fed(source: Source, model: FixModel, until_s: float) -> Iterator[None]:
    """Read until a time or the end of the source; once after each reading."""
    while source.now_s() < until_s and source.status().state is not SourceState.ENDED:
        arrival = source.read(max(0.0, min(POLL_S, until_s - source.now_s())))
        if arrival is not None:
            model.feed(arrival.data, arrival.at_s)
            yield
    if source.status().state is SourceState.ENDED:
        model.finish()


def _places() -> Locations:
    return own_locations(os.environ, sys.platform)


def _nothing_came(found: _Found, wait_s: float) -> InputError | NoFixInTime:
    """A source that was never found is unusable (exit 1); one that worked had no second to compare with (exit 3)."""
    status, report = found.status, found.report
    if status is None:
        why = "it holds no satellite fix with a time" if report.reasons == NO_CLOCK.reasons else report.reasons[0]
        return NoFixInTime(why)
    if status.state is SourceState.SEARCHING:
        return InputError(f"nothing to read from {status.name} within {wait_s:g} s: {status.detail}")
    why = status.detail or "stand in the open, or wait longer (--wait)"
    return NoFixInTime(f"no second of a satellite fix from {status.name} within {wait_s:g} s: {why}")


# What is said


def _show(report: ClockReport, *, as_json: bool) -> None:
    tell(json.dumps(report.as_json(), allow_nan=False) if as_json else "\n".join(map(printable, _lines(report))))


def _lines(report: ClockReport) -> Iterator[str]:
    """In words: the offset, what it is worth, what it rests on, and the command that would set the clock."""
    then = " (when it was recorded)" if report.recorded else ""
    yield _labelled("computer" + then, offset_words(report))
    yield _labelled("slot modes", f"{report.verdict}: {'; '.join(report.reasons)}")
    for guard in report.guards:
        yield _labelled("take care", guard.words)
    for note in (*report.notes, *(jump.words for jump in report.jumps)):
        yield _labelled("note", note)
    if not report.epochs:
        return
    if report.at_most_s is not None:
        yield _labelled("certain", at_most_words(report))
    yield _labelled("latency", report.latency.words)
    yield _labelled("made from", made_from_words(report))
    yield _labelled("", report.worth)
    yield _labelled("", ASSUMPTIONS)
    named = f"{report.utc.iso() if report.utc else '-'} when this computer said {computer_words(report)}"
    yield _labelled("last second", named)
    for line in gps_words(report):
        yield _labelled("", line)
    yield from _command_lines(report)


def _command_lines(report: ClockReport) -> Iterator[str]:
    if report.offset_s is None or not report.settable or report.low_s is None or report.high_s is None:
        return
    if report.low_s <= 0.0 <= report.high_s:
        yield _labelled("to set it", "nothing to gain: the clock is right as far as the bounds tell")
        return
    yield _labelled("to set it", "this moves the clock by the middle of the bounds, whenever it is typed:")
    yield f"  {command(sys.platform, report.offset_s)}"
    for caution in CAUTIONS:
        yield _labelled("take care", caution)


def _labelled(label: str, words: str) -> str:
    return f"{label:<{LABEL}}{words}" if len(label) < LABEL else f"{label}  {words}"


# What is done


def _learn(report: ClockReport) -> None:
    if report.key is None or report.delay_s is None or report.guards:
        raise InputError(f"nothing was learned: {report.reasons[0]}")
    found = learned(report.delay_s, f"{datetime.now(tz=UTC):%Y-%m-%d}")
    LatencyFile(_places().latencies).keep(report.key, found)
    complain(f"learned for {report.key.text}: {found.words}")


def _set(found: _Found) -> None:
    report = found.report
    refused = why_not(report, found.verdict, Right(os.geteuid() if hasattr(os, "geteuid") else None))
    if refused or report.offset_s is None:
        raise InputError(f"the clock was not set: {refused}")
    if not clocks.CAN_SET:
        raise InputError("the clock was not set: this system has no call for it; use the command above")
    if input(f"Type {TYPED} to move the clock by {-report.offset_s:+.2f} s, anything else to leave it: ") != TYPED:
        raise InputError("the clock was left as it is")
    try:
        clocks.move_clock(-report.offset_s)
    except OSError as error:
        raise InputError(f"the clock was not set ({error.strerror or error}): use the command above") from error
    complain(f"the clock was moved by {-report.offset_s:+.2f} s; run fixboard clock again to see where it stands")

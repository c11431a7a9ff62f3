"""The one-shot commands: one fix, one digest. No screen, and no import of one."""

from __future__ import annotations

import json
import os
import sys
import time
from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple

from core.digest import digest as work_out
from core.errors import FixboardError, InputError, NoFixInTime
from core.judgement import Judgement
from core.locations import own_locations
from core.model import FixModel, Snapshot
from core.now import now_json
from core.safe_text import padded
from core.settings import Settings, read_settings
from core.sources.names import Sort, SourceName, source_name
from core.sources.pipe import Pipe, first_fix, is_file
from core.sources.ports import ports as list_ports
from core.sources.recording import Recording, carry_checksums, has_checksums, open_recording, recording_of
from core.sources.source import Source, SourceState, SourceStatus
from tui.opening import LiveOpening, live_judgement
from tui.progress import reading_bar
from tui.speaking import complain, printable, tell

NO_CHECKSUMS = "none of the first sentences has a checksum: read without, so damage goes unnoticed"


def digest(options: Namespace) -> int:
    """`fixboard digest FILE`."""
    recording, required = open_named(options)
    try:
        with reading_bar(recording) as tick:
            result = work_out(recording.blocks(), required, tick, _settings().errors)
    finally:
        recording.close()
    show(result, options.json)
    return 0


class AskedFix(NamedTuple):
    """What a source had to say."""

    snapshot: Snapshot | None
    """At the fix: of a live source the first satellite fix, of a file the last one; None where none came."""
    now_s: float
    """The source's clock when it was left."""
    label: str
    trouble: FixboardError | None
    """Why there is no fix, and the exit code of that."""


def now(options: Namespace) -> int:
    """`fixboard now`: of a live source the first satellite fix, of a file the last one. Exit 3 where none came."""
    asked = asked_fix(options)
    show(now_json(asked.snapshot or Snapshot(at_s=asked.now_s), asked.now_s, asked.label), options.json)
    if asked.trouble:
        raise asked.trouble
    return 0


def asked_fix(options: Namespace) -> AskedFix:
    """One fix of `options.source`, None being the receiver; live ones wait `options.wait`. Raises FixboardError."""
    name = source_name(options.source) if options.source else None
    if name is not None and name.sort is Sort.FILE:
        options.file = name.text
        return _fix_of_recording(*open_named(options))
    if name is not None and name.sort is Sort.STANDARD_INPUT and is_file(standard_input()):
        return _fix_of_recording(*open_standard_input(options))
    source = _live_source(options, name)
    found = first_fix(
        source,
        FixModel(options.checksums != "allow", judgement=live_judgement(_settings().errors, steady=False)),
        time.monotonic() + options.wait,
    )
    label = source.status().name
    now_s = source.now_s() if found else 0.0
    source.close()
    source.read(0.0)
    return AskedFix(found, now_s, label, None if found else _no_fix(label, options.wait, source.status()))


def _live_source(options: Namespace, name: SourceName | None) -> Source:
    if name is not None and name.sort is Sort.STANDARD_INPUT:
        return Pipe(standard_input(), time.monotonic)
    return LiveOpening(name, options.baud, options.checksums).source()


def standard_input() -> BinaryIO:
    """As bytes. Raises InputError where it has been closed."""
    if getattr(sys, "stdin", None) is None:
        raise InputError("there is no standard input: it has been closed")
    return sys.stdin.buffer


def _no_fix(label: str, wait_s: float, status: SourceStatus) -> FixboardError:
    """A source that was never found is unusable (exit 1); one that worked had no fix in time (exit 3)."""
    if status.state is SourceState.SEARCHING:
        return InputError(f"nothing to read from {label} within {wait_s:g} s: {status.detail}")
    why = status.detail or "stand in the open, or wait longer (--wait)"
    return NoFixInTime(f"no satellite fix from {label} within {wait_s:g} s: {why}")


def ports(options: Namespace) -> int:
    """`fixboard ports`."""
    found = [port.as_json() for port in list_ports()]
    if options.json:
        tell(json.dumps({"ports": found}))
        return 0
    lines = [_port_line(port) for port in found]
    tell("\n".join(lines) if lines else "no serial port: plug the receiver in")
    return 0


def _port_line(port: dict[str, object]) -> str:
    identity = f"USB {port['usb_vendor']}:{port['usb_product']}" if port["usb_vendor"] else "not USB"
    known = (port["description"], port["serial_number"] and f"serial number {port['serial_number']}")
    device = padded(printable(str(port["device"])), 16)
    return printable("  ".join([device, f"{identity:<14}", *(str(text) for text in known if text)]))


def _fix_of_recording(recording: Recording, required: bool) -> AskedFix:
    model = FixModel(required, judgement=Judgement(_settings().errors))
    end_s = 0.0
    try:
        for piece in recording.pieces():
            model.feed(piece.data, piece.at_s)
            end_s = piece.at_s
    finally:
        recording.close()
    model.finish()
    found = model.last_fix_snapshot()
    trouble = None if found else NoFixInTime(f"{recording.path} holds no satellite fix")
    return AskedFix(found, end_s, str(recording.path), trouble)


def _settings() -> Settings:
    return read_settings(own_locations(os.environ, sys.platform).settings)


def open_named(options: Namespace) -> tuple[Recording, bool]:
    """The recording, and whether its sentences must have checksums (contract.md, Checksums)."""
    path = Path(options.file)
    if options.checksums is not None:
        return open_recording(path), options.checksums == "require"
    required = has_checksums(path)
    _warn_unless(required, path)
    return open_recording(path), required


def open_standard_input(options: Namespace) -> tuple[Recording, bool]:
    """A file sent into standard input is a file like any other, from where it stands."""
    stream, name = standard_input(), Path("standard input")
    begin, size = stream.tell(), os.fstat(stream.fileno()).st_size
    required = options.checksums != "allow"
    if options.checksums is None:
        required = carry_checksums(recording_of(stream, name, size).blocks(), str(name))
        stream.seek(begin)
        _warn_unless(required, name)
    return recording_of(stream, name, size), required


def _warn_unless(required: bool, path: Path) -> None:
    if not required:
        complain(f"{path}: {NO_CHECKSUMS}")


def show(result: dict[str, Any], as_json: bool) -> None:
    """One JSON object, or a line a value."""
    # ASCII: a file's name need not be UTF-8, and its stray bytes have no other way to stand in JSON.
    tell(json.dumps(result, allow_nan=False) if as_json else "\n".join(_lines(result)))


def _lines(result: dict[str, Any], indent: str = "") -> Iterable[str]:
    """One line a value, names as in the JSON; a dash for what is unknown."""
    for name, value in result.items():
        if isinstance(value, dict) and value:
            yield f"{indent}{name}"
            yield from _lines(value, indent + "  ")
        else:
            shown = printable("; ".join(map(str, value)) if isinstance(value, list) else str(value))
            shown = "-" if value is None or value in ({}, []) else shown
            yield f"{indent}{name:<{26 - len(indent)}}{shown}"

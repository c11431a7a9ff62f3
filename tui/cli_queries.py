"""The one-shot commands: one fix, one digest. No screen, and no import of one."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from core.digest import digest as work_out
from core.errors import NoFixInTime, UsageError
from core.model import FixModel, Snapshot
from core.now import now_json
from core.sources.recording import Recording, has_checksums, open_recording

NO_CHECKSUMS = "none of the first sentences has a checksum: read without, so damage goes unnoticed"


def digest(options: Namespace) -> int:
    """`fixboard digest FILE`."""
    recording, required = _open(options)
    try:
        with _progress(recording) as tick:
            result = work_out(recording.blocks(), required, tick)
    finally:
        recording.close()
    _print(result, options.json)
    return 0


def now(options: Namespace) -> int:
    """`fixboard now --from FILE`: the last satellite fix in it. Exit 3 where there is none."""
    if options.source is None:
        raise UsageError("name the source: fixboard now --from FILE")
    options.file = options.source
    recording, required = _open(options)
    model = FixModel(required)
    end_s = 0.0
    try:
        for piece in recording.pieces():
            model.feed(piece.data, piece.at_s)
            end_s = piece.at_s
    finally:
        recording.close()
    model.finish()
    found = model.last_fix_snapshot()
    _print(now_json(found or Snapshot(at_s=end_s), end_s, str(recording.path)), options.json)
    if found is None:
        raise NoFixInTime(f"{recording.path} holds no satellite fix")
    return 0


def _open(options: Namespace) -> tuple[Recording, bool]:
    """The recording, and whether its sentences must have checksums (contract.md, Checksums)."""
    path = Path(options.file)
    if options.checksums is not None:
        return open_recording(path), options.checksums == "require"
    required = has_checksums(path)
    if not required:
        print(f"fixboard: {path}: {NO_CHECKSUMS}", file=sys.stderr)
    return open_recording(path), required


@contextmanager
def _progress(recording: Recording) -> Iterator[Callable[[], None]]:
    """A bar on standard error where that is a terminal, else nothing."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(recording.path.name, total=1.0)
        yield lambda: bar.update(task, completed=recording.fraction)


def _print(result: dict[str, Any], as_json: bool) -> None:
    if as_json:
        print(json.dumps(result, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join(_lines(result)))


def _lines(result: dict[str, Any], indent: str = "") -> Iterable[str]:
    """One line a value, names as in the JSON; a dash for what is unknown."""
    for name, value in result.items():
        if isinstance(value, dict) and value:
            yield f"{indent}{name}"
            yield from _lines(value, indent + "  ")
        else:
            yield f"{indent}{name:<{26 - len(indent)}}{'-' if value is None or value == {} else value}"

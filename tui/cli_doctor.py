"""`fixboard doctor`: is everything here that a board needs, and what to do where it is not."""

from __future__ import annotations

import os
import sys
import time
from argparse import Namespace
from datetime import datetime
from itertools import groupby
from textwrap import fill

from core.doctor.examination import examine, worst
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.listening import LISTEN_S, Ears
from core.sources.ports import ports
from core.sources.serial_source import RealHost
from tui.cli_queries import show
from tui.own_files import own_files
from tui.speaking import complain, is_terminal, printable, tell

_SIGNS = {Grade.FINE: "ok  ", Grade.NOTE: "note", Grade.MEND: "MEND"}
INDENT = 8
"""Columns before what was found."""
UNBROKEN = 10_000
"""Columns where it goes to a file or another program."""
_ENDS = {
    Grade.FINE: "All is well.",
    Grade.NOTE: "It works; the notes say what could be better.",
    Grade.MEND: "Something does not work: see MEND.",
}


def doctor(options: Namespace) -> int:
    """Print what was found; exit code 0 unless something must be mended, then 1."""
    here = _surroundings()
    if options.listen and here.ports:
        complain(f"listening, up to {LISTEN_S:.0f} s a port")
    findings = examine(here, Ears(RealHost(), time.monotonic) if options.listen else None)
    if options.json:
        show({"findings": [finding.as_json() for finding in findings]}, True)
    else:
        tell("\n".join(_lines(findings, here.size[0] if here.size else UNBROKEN)))
    return 1 if worst(findings) is Grade.MEND else 0


def _surroundings() -> Surroundings:
    return Surroundings(
        os.environ,
        sys.platform,
        sys.version_info[:3],
        getattr(sys.stdout, "encoding", None) or "",
        _size(),
        own_files(quietly=True),
        tuple(ports()),
        datetime.now().astimezone(),
    )


def _size() -> tuple[int, int] | None:
    if not is_terminal("stdout"):
        return None
    try:
        columns, rows = os.get_terminal_size(sys.stdout.fileno())
    except OSError:
        return None
    return columns, rows


def _lines(findings: tuple[Finding, ...], width: int) -> list[str]:
    """At most `width` columns wide, what is broken standing under its own words."""
    lines: list[str] = []
    for subject, group in groupby(findings, key=lambda finding: finding.subject):
        lines.append(subject.capitalize())
        for finding in group:
            lines.append(_hanging(f"  {_SIGNS[finding.grade]}  {printable(finding.found)}", width))
            if finding.remedy:
                lines.append(_hanging(f"{'':{INDENT}}{printable(finding.remedy)}", width))
    return [*lines, "", _ENDS[worst(findings)]]


def _hanging(line: str, width: int) -> str:
    return fill(line, max(width, 2 * INDENT), subsequent_indent=" " * INDENT, break_on_hyphens=False)

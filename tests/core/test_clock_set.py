"""What must hold before a clock is set, and the command that sets it. No test sets one."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.clock_guards import Guard
from core.clock_report import ClockReport, SlotVerdict
from core.set_clock import CAUTIONS, Right, command, why_not
from core.trust import Verdict

WRONG = ClockReport(low_s=3.1, high_s=3.4, epochs=70, verdict=SlotVerdict.NO, reasons=("ahead",), settable=True)
ROOT = Right(0)


def test_a_bounded_offset_a_firm_fix_and_the_right_to_are_enough() -> None:
    assert why_not(WRONG, Verdict.FIRM, ROOT) == ""


@pytest.mark.parametrize(("report", "verdict", "words"), [
    (replace(WRONG, recorded=True), Verdict.FIRM, "recording"),
    (replace(WRONG, low_s=None), Verdict.FIRM, "not bounded: ahead"),
    (replace(WRONG, guards=(Guard("leap", "leap seconds", withholds=False),)), Verdict.FIRM, "leap seconds"),
    (replace(WRONG, settable=False), Verdict.FIRM, "date"),
    (WRONG, Verdict.USABLE, "usable"),
    (replace(WRONG, low_s=-0.1), Verdict.FIRM, "nothing to gain"),
])  # fmt: skip
def test_each_of_them_is_needed(report: ClockReport, verdict: Verdict, words: str) -> None:
    assert words in why_not(report, verdict, ROOT)


def test_without_the_right_the_command_is_named(tmp_path: Path) -> None:
    assert "this user may not" in why_not(WRONG, Verdict.FIRM, Right(1000, tmp_path / "none"))


@pytest.mark.parametrize(("effective", "given"), [
    ("0000000002000000", True), ("0000000001ffffff", False), ("0000000000000000", False), ("ffffffffffffffff", True),
])  # fmt: skip
def test_the_right_to_set_the_clock_alone_is_read_from_the_system(tmp_path: Path, effective: str, given: bool) -> None:
    status = tmp_path / "status"
    status.write_text(f"Name:\tq\nCapPrm:\tffffffffffffffff\nCapEff:\t{effective}\n", encoding="ascii")
    assert Right(1000, status).is_given == given
    assert Right(None, status).is_given == given


@pytest.mark.parametrize(("platform", "offset_s", "text"), [
    ("linux", 3.25, 'sudo date -u -s "-3.250 seconds"'),
    ("linux", -0.5, 'sudo date -u -s "+0.500 seconds"'),
    ("win32", 3.25, "Set-Date -Adjust ([TimeSpan]::FromMilliseconds(-3250))"),
    ("darwin", 3.25,
     'sudo python3 -c "import time; time.clock_settime(time.CLOCK_REALTIME, time.time() + (-3.250))"'),
])  # fmt: skip
def test_the_command_moves_the_clock_back_where_the_computer_is_ahead(
    platform: str, offset_s: float, text: str
) -> None:
    assert command(platform, offset_s) == text


@pytest.mark.skipif(
    not sys.platform.startswith("linux") or shutil.which("date") is None, reason="the command is that of GNU date"
)
@pytest.mark.parametrize("offset_s", [3.25, -7000.5, 0.125])
def test_gnu_date_understands_the_command_by_showing_what_it_would_set(offset_s: float) -> None:
    moved = command("linux", offset_s).split('"')[1]
    ask = ["date", "-u", "-d", moved, "+%s.%N"]
    before = datetime.now(tz=UTC).timestamp()
    shown = subprocess.run(ask, capture_output=True, check=False, env={**os.environ, "LC_ALL": "C"})
    if shown.returncode != 0:
        pytest.skip("this date is not GNU's")
    after = datetime.now(tz=UTC).timestamp()
    assert before - offset_s - 0.01 <= float(shown.stdout) <= after - offset_s + 0.01


def test_the_usual_cautions_are_there() -> None:
    text = " ".join(CAUTIONS)
    for word in ("logs", "licence", "transmits", "network time"):
        assert word in text

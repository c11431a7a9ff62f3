"""`fixboard clock` as scripts and users meet it: its JSON, its exit codes, what it refuses. No test sets a clock."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from dataclasses import replace
from pathlib import Path

import pytest

from core.clock_report import ClockReport, SlotVerdict
from core.latency import ReceiverKey
from core.latency_file import LatencyFile
from core.nmea.tagging import tag_block
from core.sources import clocks
from core.trust import Verdict
from tests.build import gga, line, lines, rmc
from tests.cli.running import Ask, asker, check_civil, fixboard
from tests.contract import is_a_figure, numbers
from tui import cli_clock

NOON_MS = 1_935_662_400_000
"""2031-05-04 12:00 UTC."""
CONTRACT = ("offset_s", "low_s", "high_s", "latency_assumed_s", "epochs", "verdict")
WRONG = ClockReport(
    low_s=3.1,
    high_s=3.4,
    at_most_s=3.45,
    epochs=70,
    verdict=SlotVerdict.NO,
    reasons=("ahead",),
    settable=True,
    delay_s=0.21,
    key=ReceiverKey("usb 1234:0001 Q7", 9600, "GGA RMC"),
)


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    return asker(capfdbinary)


@pytest.fixture
def moved(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """By how much the clock would have been moved."""
    found: list[float] = []
    monkeypatch.setattr(clocks, "move_clock", found.append)
    monkeypatch.setattr(clocks, "CAN_SET", True)
    return found


def recording(folder: Path, offset_ms: int = 300, seconds: int = 75) -> Path:
    path = folder / "with-times.nmea"
    stamps = [tag_block(NOON_MS + 1000 * n + offset_ms + 217) for n in range(seconds)]
    bursts = [stamp + line(rmc(43_200 + n)) + stamp + line(gga(43_200 + n)) for n, stamp in enumerate(stamps)]
    path.write_bytes(b"".join(bursts))
    return path


def test_the_json_is_the_contract_s_and_bounds_the_offset_of_then(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "clock", "--from", recording(tmp_path), "--json")
    check_civil(run)
    assert (run.code, run.err) == (0, b"")
    found = json.loads(run.out)
    assert set(CONTRACT) <= set(found)
    assert found["low_s"] <= 0.3 <= found["high_s"]
    assert found["offset_s"] == pytest.approx((found["low_s"] + found["high_s"]) / 2, abs=0.001)
    assert (found["verdict"], found["latency_assumed_s"]) == ("yes", 0.325)
    assert found["epochs"] > 60
    assert all(map(is_a_figure, numbers(found)))


def test_a_stated_latency_narrows_the_bounds(ask: Ask, tmp_path: Path) -> None:
    run = ask("clock", "--from", recording(tmp_path), "--latency", "0.2", "--json")
    found = json.loads(run.out)
    assert found["low_s"] <= 0.3 <= found["high_s"]
    assert found["high_s"] - found["low_s"] < 0.15
    assert found["latency"] == {"low_s": 0.15, "high_s": 0.25, "basis": "stated"}


def test_in_words_the_bounds_come_with_what_they_rest_on_and_no_command_for_a_recording(
    ask: Ask, tmp_path: Path
) -> None:
    run = ask("clock", "--from", recording(tmp_path, 2500))
    check_civil(run)
    shown = run.out.decode()
    assert "when it was recorded" in shown
    assert "assumed (common practice)" in shown
    assert "previous second" in shown
    assert "date -u" not in shown


def test_a_recording_without_times_is_an_object_and_exit_code_3_with_the_reason(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "bare.nmea"
    path.write_bytes(lines(*(rmc(43_200 + n) for n in range(70))))
    run = ask("clock", "--from", path, "--json")
    found = json.loads(run.out)
    assert (run.code, found["offset_s"], found["verdict"], found["epochs"]) == (3, None, "unknown", 0)
    assert "no times of arrival" in run.complaint


@pytest.mark.parametrize("flag", ["--set", "--learn"])
def test_a_recording_sets_and_teaches_nothing(ask: Ask, tmp_path: Path, moved: list[float], flag: str) -> None:
    run = ask("clock", "--from", recording(tmp_path), flag)
    assert (run.code, moved) == (2, [])
    assert "recording" in run.complaint


@pytest.mark.parametrize("arguments", [("--set", "--json"), ("--set",)])
def test_setting_needs_a_terminal_and_no_script(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    run = fixboard(tmp_path, "clock", *arguments)
    check_civil(run)
    assert run.code == 2
    assert "terminal" in run.complaint


def test_a_latency_that_is_none_is_refused_at_once(ask: Ask) -> None:
    run = ask("clock", "--latency", "fast")
    assert run.code == 1
    assert "0.1-0.3" in run.complaint


@pytest.mark.parametrize(("keeps", "words"), [(False, "does not keep"), (None, "cannot say")])
def test_nothing_is_learned_from_a_clock_that_nobody_vouches_for(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, keeps: bool | None, words: str
) -> None:
    monkeypatch.setattr(clocks, "network_keeps_time", lambda: keeps)
    run = ask("clock", "--learn", "--wait", "0")
    assert run.code == 1
    assert words in run.complaint
    assert "--computer-is-right" in run.complaint


# A receiver, pretended


def given(monkeypatch: pytest.MonkeyPatch, report: ClockReport, verdict: Verdict = Verdict.FIRM) -> None:
    found = cli_clock._Found(report, verdict)

    def pretended(options: Namespace, *_: object) -> cli_clock._Found:
        del options
        return found

    monkeypatch.setattr(cli_clock, "_of_live_source", pretended)


def test_what_is_learned_is_kept_under_the_receiver(ask: Ask, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    given(monkeypatch, WRONG)
    run = ask("clock", "--learn", "--computer-is-right")
    assert run.code == 0
    assert WRONG.key is not None
    kept = LatencyFile(tmp_path / "data" / "latency.json").find(WRONG.key)
    assert kept is not None
    assert kept[:2] == pytest.approx((0.11, 0.31))


def test_without_bounds_nothing_is_learned(ask: Ask, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    given(monkeypatch, replace(WRONG, delay_s=None, reasons=("the line never rests",)))
    run = ask("clock", "--learn", "--computer-is-right")
    assert run.code == 1
    assert "the line never rests" in run.complaint
    assert not (tmp_path / "data" / "latency.json").exists()


def test_the_command_for_this_computer_is_printed_with_its_cautions(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    given(monkeypatch, WRONG)
    monkeypatch.setattr(sys, "platform", "linux")
    shown = ask("clock").out.decode()
    assert 'sudo date -u -s "-3.250 seconds"' in shown
    assert "licence" in shown


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli_clock, "is_terminal", lambda _: True)
    monkeypatch.setattr("os.geteuid", lambda: 0, raising=False)


@pytest.mark.usefixtures("terminal")
@pytest.mark.parametrize("typed", ["set", "", "yes", "SET"])
def test_only_the_word_itself_sets_the_clock(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, moved: list[float], typed: str
) -> None:
    given(monkeypatch, WRONG)
    monkeypatch.setattr("builtins.input", lambda _: typed)
    run = ask("clock", "--set")
    assert (run.code, moved) == ((0, [-3.25]) if typed == "set" else (1, []))


@pytest.mark.usefixtures("terminal")
@pytest.mark.parametrize("found", [
    (WRONG, Verdict.USABLE), (replace(WRONG, settable=False), Verdict.FIRM), (replace(WRONG, low_s=None), Verdict.FIRM),
])  # fmt: skip
def test_what_must_hold_is_asked_before_the_user_is(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, moved: list[float], found: tuple[ClockReport, Verdict]
) -> None:
    given(monkeypatch, *found)
    monkeypatch.setattr("builtins.input", lambda _: pytest.fail("the user was asked"))
    run = ask("clock", "--set")
    assert (run.code, moved) == (1, [])
    assert "the clock was not set" in run.complaint


@pytest.mark.usefixtures("terminal")
def test_a_system_that_refuses_is_reported(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(by_s: float) -> None:
        raise PermissionError(1, f"not permitted {by_s}")

    given(monkeypatch, WRONG)
    monkeypatch.setattr(clocks, "move_clock", refuse)
    monkeypatch.setattr(clocks, "CAN_SET", True)
    monkeypatch.setattr("builtins.input", lambda _: "set")
    run = ask("clock", "--set")
    assert run.code == 1
    assert "not permitted" in run.complaint


def test_nothing_to_read_from_is_exit_code_1(ask: Ask) -> None:
    run = ask("clock", "--from", "tcp://127.0.0.1:9", "--wait", "0.1")
    check_civil(run)
    assert run.code == 1
    assert "nothing to read" in run.complaint

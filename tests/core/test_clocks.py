"""The computer's clocks, and the system's own word on them: asked for by commands that may not be there."""

from __future__ import annotations

import sys
import time

import pytest

from core.sources import clocks
from core.sources.clocks import move_clock, network_keeps_time, run


def python(code: str) -> tuple[str, ...]:
    return (sys.executable, "-I", "-c", code)


def test_what_a_command_prints_is_given() -> None:
    assert run(python("print('yes')")) == "yes\n"


@pytest.mark.parametrize(
    "command",
    [
        ("no-such-command-of-any-system",),
        python("raise SystemExit(1)"),
        python(r"import os; os.write(1, b'\xff\xfe')"),
    ],
    ids=["not there", "fails", "prints what is no text"],
)
def test_a_command_that_does_not_answer_in_words_says_nothing(command: tuple[str, ...]) -> None:
    assert run(command) is None


def test_a_command_that_hangs_is_waited_for_no_longer_than_was_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clocks, "ASK_S", 0.05)
    assert run(python("import time; time.sleep(3600)")) is None


@pytest.mark.parametrize(
    ("answer", "kept"), [("yes\n", True), ("no\n", False), ("", None), ("perhaps\n", None), (None, None)]
)
def test_only_a_plain_answer_counts(answer: str | None, kept: bool | None) -> None:
    assert network_keeps_time(lambda _: answer) is kept


@pytest.mark.skipif(not clocks.CAN_SET, reason="this system's clock is set by a printed command")
def test_the_clock_is_moved_from_where_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[tuple[int, float]] = []
    monkeypatch.setattr(time, "time", lambda: 1000.0)
    monkeypatch.setattr(time, "clock_settime", lambda which, at_s: told.append((which, at_s)))
    move_clock(-2.5)
    assert told == [(time.CLOCK_REALTIME, 997.5)]


def test_both_clocks_are_read_at_one_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    """The steady one before and after the other: the middle is nearest to it."""
    steady = iter([50.0, 50.5])
    monkeypatch.setattr(time, "monotonic", lambda: next(steady))
    monkeypatch.setattr(time, "time", lambda: 1000.0)
    assert clocks.read_clocks() == (1000.0, 50.25)

"""The plug is pulled at every moment, and put in again: under the same name, another name, beside a twin."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

import pytest

from core.model import FixModel
from core.sources.feed import Feed
from core.sources.line import Line
from core.sources.ports import Port, find_again
from core.sources.source import SourceState
from tests.live.rig import Computer, hurried, on_serial, runs, until, watching
from tests.wire import PtyReceiver, burst

T = TypeVar("T")
FAST = 100.0
MADE: dict[str, Any] = {"vid": 0x1D50, "pid": 0x00AA, "serial_number": "Q1"}
UNNUMBERED: dict[str, Any] = {"vid": 0x1D50, "pid": 0x00BB}
"""Invented makes."""


def half_a_sentence() -> Iterator[bytes]:
    """Whole bursts, then one that ends in the middle of a sentence, then nothing."""
    yield from (burst(n) for n in range(6))
    yield burst(6)[:40]
    while True:
        yield b""


def test_hang_up_in_the_middle_of_a_sentence() -> None:
    computer = Computer()
    receiver = PtyReceiver(9600, FAST, half_a_sentence)
    computer.plug("here", receiver, **MADE)
    with watching(on_serial(computer)) as watch:
        until(lambda: watch.received().endswith(burst(6)[:40]))
        computer.pull("here")
        watch.until_state(SourceState.LOST)
        assert "here is gone (unplugged?): plug it in again" in watch.detail
        with PtyReceiver(9600, FAST) as again:
            computer.plug("here", again, **MADE)
            watch.until_state(SourceState.RECEIVING)
            watch.until_fixes()
            until(lambda: watch.newest.counts.epochs > 6)
            assert sum(watch.newest.counts.rejected.values()) == 1, "the half sentence, and nothing else"


def test_found_again_under_another_name() -> None:
    computer = Computer()
    computer.plug("USB0", PtyReceiver(38400, FAST), **MADE)
    with watching(on_serial(computer)) as watch:
        watch.until_fixes()
        computer.pull("USB0")
        watch.until_state(SourceState.LOST)
        with PtyReceiver(38400, FAST) as again:
            computer.plug("USB1", again, **MADE)
            watch.until_state(SourceState.RECEIVING)
            watch.until_fixes()
            assert watch.feed.status().name == "USB1 38400 baud"
        assert computer.opened[-1] == ("USB1", 38400), "the speed is remembered"


def test_a_port_asked_for_by_name_is_found_again_under_another() -> None:
    computer = Computer()
    computer.plug("USB0", PtyReceiver(9600, FAST), **MADE)
    with watching(on_serial(computer, "USB0", 9600)) as watch:
        watch.until_fixes()
        computer.pull("USB0")
        watch.until_state(SourceState.LOST)
        with PtyReceiver(9600, FAST) as again:
            computer.plug("USB7", again, **MADE)
            watch.until_fixes()
            assert watch.feed.status().name == "USB7 9600 baud"


def test_unplugged_twice_in_a_row() -> None:
    computer = Computer()
    with watching(on_serial(computer)) as watch:
        for name in ("USB0", "USB1", "USB0"):
            computer.plug(name, PtyReceiver(9600, FAST), **MADE)
            watch.until_state(SourceState.RECEIVING)
            watch.until_fixes()
            assert watch.feed.status().name == f"{name} 9600 baud"
            computer.pull(name)
            watch.until_state(SourceState.LOST)
        assert watch.newest.counts.epochs_with_fix >= 6


def test_pulled_again_before_it_has_said_anything() -> None:
    computer = Computer()
    computer.plug("USB0", PtyReceiver(9600, FAST), **MADE)
    with watching(on_serial(computer)) as watch:
        watch.until_fixes()
        computer.pull("USB0")
        watch.until_state(SourceState.LOST)
        mute = PtyReceiver(9600, FAST)
        mute.silent.set()
        computer.plug("USB0", mute, **MADE)
        watch.until_state(SourceState.WAITING)
        computer.pull("USB0")
        watch.until_state(SourceState.LOST)
        with PtyReceiver(9600, FAST) as again:
            computer.plug("USB0", again, **MADE)
            watch.until_fixes()


def test_pulled_while_its_speed_is_sought() -> None:
    computer = Computer()
    receiver = PtyReceiver(19200, 5.0)
    computer.plug("here", receiver)
    with watching(on_serial(computer)) as watch:
        watch.until_told("trying")
        computer.pull("here")
        until(lambda: watch.state in {SourceState.LOST, SourceState.SEARCHING})
        with PtyReceiver(9600, FAST) as again:
            computer.plug("here", again)
            watch.until_fixes()


class PulledWhen:
    """A line whose plug is pulled at a certain call."""

    def __init__(self, line: Line, call: str, pull: Callable[[], None]) -> None:
        self._line, self._call, self._pull = line, call, pull

    def read(self, timeout_s: float) -> bytes:
        """As the line."""
        return self._at("read", lambda: self._line.read(timeout_s))

    def set_baud(self, baud: int) -> None:
        """As the line."""
        self._at("set_baud", lambda: self._line.set_baud(baud))

    def cancel(self) -> None:
        """As the line."""
        self._line.cancel()

    def close(self) -> None:
        """As the line."""
        self._line.close()

    def _at(self, name: str, call: Callable[[], T]) -> T:
        if name == self._call:
            self._pull()
        return call()


@pytest.mark.parametrize("call", ["read", "set_baud"])
def test_pulled_at_the_call_itself(call: str, monkeypatch: pytest.MonkeyPatch) -> None:
    computer = Computer()
    computer.plug("here", PtyReceiver(19200, FAST))
    really_open = computer.open

    def pull() -> None:
        if "here" in computer.plugged:
            computer.pull("here")

    monkeypatch.setattr(computer, "open", lambda device, baud: PulledWhen(really_open(device, baud), call, pull))
    with watching(on_serial(computer)) as watch:
        until(lambda: "here" not in computer.plugged)
        until(lambda: watch.state in {SourceState.LOST, SourceState.SEARCHING})
        monkeypatch.setattr(computer, "open", really_open)
        with PtyReceiver(9600, FAST) as again:
            computer.plug("here", again)
            watch.until_fixes()


def test_pulled_while_it_is_opened() -> None:
    """The list still has it when the device behind it has gone."""
    computer = Computer()
    gone = PtyReceiver(9600, FAST)
    computer.plug("here", gone)
    gone.unplug()
    with watching(on_serial(computer)) as watch:
        until(lambda: computer.opened)
        watch.until_state(SourceState.SEARCHING)
        with PtyReceiver(9600, FAST) as again:
            computer.plug("here", again)
            watch.until_fixes()


def test_without_an_identity_the_name_is_all_there_is() -> None:
    computer = Computer()
    computer.plug("S0", PtyReceiver(9600, FAST))
    with watching(on_serial(computer)) as watch, PtyReceiver(9600, FAST) as other, PtyReceiver(9600, FAST) as again:
        watch.until_fixes()
        computer.pull("S0")
        watch.until_state(SourceState.LOST)
        before = len(computer.opened)
        computer.plug("S1", other)
        until(lambda: len(computer.opened) > before + 2)
        assert {device for device, _ in computer.opened[before:]} == {"S0"}
        assert watch.state is SourceState.LOST
        computer.plug("S0", again)
        watch.until_fixes()
        assert watch.feed.status().name == "S0 9600 baud"


def test_two_of_a_kind_are_told_apart_by_their_socket() -> None:
    """The twin stays plugged in, and is not taken for the one that was pulled out."""
    computer = Computer()
    with PtyReceiver(9600, FAST) as twin, PtyReceiver(9600, FAST) as again:
        computer.plug("USB0", PtyReceiver(9600, FAST), **UNNUMBERED, location="1-1")
        computer.plug("USB1", twin, **UNNUMBERED, location="1-2")
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            computer.pull("USB0")
            watch.until_state(SourceState.LOST)
            end = hurried() + 3.0
            until(lambda: hurried() > end)
            assert watch.state is SourceState.LOST
            computer.plug("USB2", again, **UNNUMBERED, location="1-1")
            watch.until_fixes()
            assert watch.feed.status().name == "USB2 9600 baud"
        assert not any(device == "USB1" for device, _ in computer.opened)


def test_one_without_a_number_is_found_in_another_socket() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as twin, PtyReceiver(9600, FAST) as again:
        computer.plug("USB0", PtyReceiver(9600, FAST), **UNNUMBERED, location="1-1")
        computer.plug("USB1", twin, **UNNUMBERED, location="1-2")
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            computer.pull("USB0")
            watch.until_state(SourceState.LOST)
            computer.plug("USB2", again, **UNNUMBERED, location="1-3")
            watch.until_fixes()
            assert watch.feed.status().name == "USB2 9600 baud"


ONE = Port("A", vid=1, pid=2, serial_number="Q1", location="1-1")
OTHER_NUMBER = Port("B", vid=1, pid=2, serial_number="Q2", location="1-1")
BARE, BARE_ELSEWHERE = Port("C", vid=1, pid=3, location="1-1"), Port("D", vid=1, pid=3, location="1-4")


@pytest.mark.parametrize(
    ("known", "present", "before", "found"),
    [
        (ONE, [OTHER_NUMBER], [ONE], None),
        (ONE, [OTHER_NUMBER, Port("Z", vid=1, pid=2, serial_number="Q1", location="9")], [ONE], "Z"),
        (BARE, [BARE_ELSEWHERE], [BARE], "D"),
        (BARE, [BARE_ELSEWHERE], [BARE, BARE_ELSEWHERE], None),
        (BARE, [Port("E", vid=1, pid=4, location="1-1")], [BARE], None),
        (Port("S0"), [Port("S1")], [Port("S0")], None),
        (Port("S0"), [Port("S1"), Port("S0")], [], "S0"),
    ],
)
def test_who_counts_as_the_same(known: Port, present: list[Port], before: list[Port], found: str | None) -> None:
    again = find_again(known, present, before)
    assert (again and again.device) == found


@pytest.mark.parametrize("when", ["nothing", "silent", "noise", "reading", "lost", "never started"])
def test_stopping_never_hangs(when: str) -> None:
    computer = Computer()
    receiver = PtyReceiver(19200 if when == "noise" else 9600, 5.0 if when == "noise" else FAST)
    if when == "silent":
        receiver.silent.set()
    if when != "nothing":
        computer.plug("here", receiver)
    feed = Feed(on_serial(computer), FixModel(), lambda: None)
    try:
        if when != "never started":
            feed.start()
            until(lambda: computer.opened or when == "nothing")
        if when == "lost":
            computer.pull("here")
        feed.stop()
        until(lambda: not runs(feed))
        if when not in {"nothing", "lost"}:
            can_be_opened_again(receiver.device)
    finally:
        receiver.unplug()


def can_be_opened_again(device: str) -> None:
    """Exclusively: whoever had it has let it go."""
    import serial

    serial.Serial(device, exclusive=True).close()


def test_stopping_wakes_a_read_that_waits() -> None:
    """Also where the read would wait for longer than a poll."""
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        receiver.silent.set()
        computer.plug("here", receiver)
        source = on_serial(computer, "here", 9600)
        source.read(0.0)
        until(lambda: computer.opened)
        reader = threading.Thread(target=source.read, args=(3600.0,), daemon=True)
        reader.start()
        time.sleep(0.05)
        source.close()
        reader.join(30.0)
        assert not reader.is_alive()


def test_a_listener_that_never_takes_holds_nothing_up() -> None:
    """News are told once; the reader goes on, and the newest snapshot is there when somebody looks."""
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        told: list[int] = []
        feed = Feed(on_serial(computer), FixModel(), lambda: told.append(1))
        arrived: list[object] = []
        feed.tap = arrived.append
        feed.start()
        until(lambda: told)
        seen = len(arrived)
        until(lambda: len(arrived) > seen + 40)
        assert len(told) == 1
        feed.take()
        until(lambda: len(told) == 2)
        assert feed.take().counts.epochs > 5
        feed.stop()


def test_a_line_that_is_entered_in_the_middle_of_a_burst_is_shown_all_the_same() -> None:
    """Its epochs never look complete, and at 20 Hz it never pauses: the board must not wait for either."""
    computer = Computer()
    with PtyReceiver(9600, 20.0, entered_late) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here", 9600)) as watch:
            watch.until_fixes(10)


def entered_late() -> Iterator[bytes]:
    """First the end of a burst, without the sentences that say its time."""
    yield b""
    yield burst(0)[burst(0).index(b"$GNGSA") :]
    yield from (burst(n) for n in range(1, 10**6))

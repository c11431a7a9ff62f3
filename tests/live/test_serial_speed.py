"""Finding the port and the speed: ptys that send noise unless they are listened to at their speed."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from core.sources.baud import BAUDS
from core.sources.line import SerialLine
from core.sources.serial_source import NO_NMEA, SILENT
from core.sources.source import SourceState
from tests.live.rig import Computer, on_serial, until, watching
from tests.wire import SPEEDS, PtyReceiver, burst, sentence, walk

USB = {"vid": 0x1D50, "pid": 0x00AA}
"""Invented."""
FAST = 100.0
"""Bursts a second: enough noise for a wrong speed to be given up soon."""


def binary() -> Iterator[bytes]:
    """A binary protocol, invented: a sync pattern and noise."""
    noise = random.Random(7)
    return (b"\xd3\x5a" + noise.randbytes(198) for _ in range(10**6))


@pytest.mark.parametrize("baud", sorted(BAUDS))
def test_each_speed_is_found(baud: int) -> None:
    computer = Computer()
    with PtyReceiver(baud, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            assert watch.state is SourceState.RECEIVING
            assert watch.feed.status().name == f"here {baud} baud"
            assert receiver.heard_at() == baud


def test_the_speeds_are_those_that_a_pty_can_tell_apart() -> None:
    assert set(SPEEDS.values()) == set(BAUDS)


def test_what_was_heard_while_finding_the_speed_is_not_lost() -> None:
    computer = Computer()
    with PtyReceiver(38400, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            until(lambda: len(receiver.sent) > 3 and receiver.sent[3] in watch.received())
            # The first one sent at the right speed may have been thrown away with what came at the wrong one.
            assert watch.received().index(receiver.sent[1]) <= len(receiver.sent[0])


def test_a_speed_that_was_asked_for_is_not_left() -> None:
    computer = Computer()
    with PtyReceiver(38400, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here", 4800)) as watch:
            watch.until_told("no NMEA 0183 at 4800 baud")
            assert "leave --baud away" in watch.detail
            assert watch.state is SourceState.WAITING
            assert receiver.heard_at() == 4800
            assert watch.fixes() == 0


def test_a_speed_that_was_asked_for_is_used_at_once() -> None:
    computer = Computer()
    with PtyReceiver(230400, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here", 230400)) as watch:
            watch.until_fixes()
        assert computer.opened == [("here", 230400)]


def test_of_several_ports_the_last_has_the_receiver() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as dumb, PtyReceiver(9600, FAST, binary) as other, PtyReceiver(38400, FAST) as right:
        dumb.silent.set()
        computer.plug("dumb", dumb)
        computer.plug("other", other)
        computer.plug("right", right)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            assert watch.feed.status().name == "right 38400 baud"
        assert {device for device, _ in computer.opened} == {"dumb", "other", "right"}
        assert not dumb.heard and not other.heard and not right.heard


def test_a_named_port_is_the_only_one_opened() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as first, PtyReceiver(9600, FAST) as second:
        computer.plug("first", first)
        computer.plug("second", second)
        with watching(on_serial(computer, "second")) as watch:
            watch.until_fixes()
        assert {device for device, _ in computer.opened} == {"second"}


def test_no_port_at_all_is_said_with_what_to_do() -> None:
    with watching(on_serial(Computer())) as watch:
        watch.until_told("no serial port with a receiver on it: plug it in")
        assert watch.state is SourceState.SEARCHING


def test_silent_and_binary_ports_are_told_apart() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as dumb, PtyReceiver(9600, FAST, binary) as other:
        dumb.silent.set()
        computer.plug("dumb", dumb)
        computer.plug("other", other)
        with watching(on_serial(computer)) as watch:
            until(lambda: "dumb is silent" in watch.detail and f"other {NO_NMEA}" in watch.detail, watch.feed.status)
            assert watch.state is SourceState.SEARCHING


def test_the_troubles_of_a_port_go_with_it() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as dumb:
        dumb.silent.set()
        computer.plug("dumb", dumb)
        with watching(on_serial(computer)) as watch:
            watch.until_told("dumb is silent")
            computer.pull("dumb")
            watch.until_told("no serial port with a receiver on it")


def test_a_named_port_that_is_silent_is_waited_for() -> None:
    computer = Computer()
    with PtyReceiver(115200, FAST) as receiver:
        receiver.silent.set()
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here")) as watch:
            watch.until_told(SILENT)
            assert watch.state is SourceState.WAITING
            receiver.silent.clear()
            watch.until_fixes()
            assert watch.feed.status().name == "here 115200 baud"


def test_a_named_port_with_a_binary_protocol_is_called_that() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST, binary) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here")) as watch:
            watch.until_told("a binary protocol?")
            assert watch.state is SourceState.WAITING


def test_a_port_that_appears_later_is_found() -> None:
    computer = Computer()
    with watching(on_serial(computer)) as watch, PtyReceiver(9600, FAST) as receiver:
        watch.until_told("plug it in")
        computer.plug("late", receiver, **USB)
        watch.until_fixes()
        assert watch.feed.status().name == "late 9600 baud"


def test_a_named_port_that_appears_later_is_opened() -> None:
    computer = Computer()
    with watching(on_serial(computer, "late")) as watch, PtyReceiver(9600, FAST) as receiver:
        watch.until_told("there is no such port")
        computer.plug("late", receiver)
        watch.until_fixes()


def test_sentences_among_binary_are_enough() -> None:
    computer = Computer()

    def mixed() -> Iterator[bytes]:
        return (next(binary()) + burst(n) for n in range(10**6))

    with PtyReceiver(57600, FAST, mixed) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            assert watch.feed.status().name == "here 57600 baud"


def test_a_speed_changed_under_way_is_found_again() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            receiver.baud = 115200
            watch.until_told("looking for the speed again")
            assert watch.state is SourceState.WAITING
            watch.until_state(SourceState.RECEIVING)
            watch.until_fixes()
            assert watch.feed.status().name == "here 115200 baud"


def test_a_pause_is_said_and_ends_by_itself() -> None:
    computer = Computer()
    with PtyReceiver(9600, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            receiver.silent.set()
            watch.until_state(SourceState.WAITING)
            watch.until_told("nothing has come for")
            receiver.silent.clear()
            watch.until_state(SourceState.RECEIVING)
            watch.until_fixes()
        assert len(computer.opened) == 1


def test_a_line_too_slow_for_its_receiver_gives_fixes_still() -> None:
    """4800 baud with ten epochs a second: nine bytes of ten are lost, sentences are cut, and nothing raises."""
    computer = Computer()
    with PtyReceiver(4800, 10.0, walk(10.0), limited=True) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer, "here", 4800)) as watch:
            watch.until_fixes(2)
            until(lambda: sum(watch.newest.counts.rejected.values()) > 0)
            assert watch.state is SourceState.RECEIVING
            assert 10 * sum(map(len, receiver.sent)) > 15 * watch.newest.counts.verified * 40


def test_nothing_is_ever_written_to_a_receiver() -> None:
    """Through search, speeds, reading, a pause and the end: the far end hears not one byte."""
    computer = Computer()
    with PtyReceiver(19200, FAST) as receiver:
        computer.plug("here", receiver)
        with watching(on_serial(computer)) as watch:
            watch.until_fixes()
            receiver.silent.set()
            watch.until_told("nothing has come for")
        assert receiver.sent
        assert receiver.heard == b""


def test_a_line_has_no_way_to_write() -> None:
    assert not [name for name in dir(SerialLine) if "write" in name or "send" in name or "break" in name]


def test_the_far_end_would_hear_a_byte() -> None:
    """The check above can fail."""
    import serial

    with PtyReceiver(9600, FAST) as receiver, serial.Serial(receiver.device, 9600) as port:
        port.write(sentence("PQXX,1"))
        until(lambda: sentence("PQXX,1") in receiver.heard)

"""The feed over real TCP sockets: who is slow, stuck, late or gone costs nobody else anything."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from contextlib import ExitStack
from functools import partial

import pytest

from core.feed import MOST_OFFERED, Feeder
from core.feed_status import FeedState
from core.feeding.plan import feed_plan
from core.feeding.tcp_outlet import MOST_CLIENTS, TcpOutlet
from core.feeding.wish import FeedWish
from core.sources.wall import anchor_now
from tests.live.feeding import LIVE, Client, deaf, feeding, have_all, offer, slam, together
from tests.live.rig import Computer, on_serial, until, watching
from tests.live.test_network import free_port
from tests.wire import PtyReceiver, burst, walk

CLIENTS = 10
AT_ONCE = 10
"""Epochs offered before everybody is waited for: two seconds of a second's bursts at 10 Hz must never be too much."""
MUCH = 10_000_000
"""Bytes that no system takes for a client that does not read."""


def test_ten_clients_one_stuck_one_leaving_in_mid_write_and_nothing_lost_for_the_rest() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        good = [stack.enter_context(Client(port)) for _ in range(CLIENTS - 2)]
        stuck, leaver = deaf(port), deaf(port)
        together(feeder, CLIENTS)
        sent = b""

        def go_on(enough: Callable[[], bool]) -> None:
            """A second at 10 Hz at once, and again when those that read have got it."""
            nonlocal sent
            while not enough():
                begin = sent.count(b"RMC")
                sent += offer(feeder, *(burst((begin + n) / 10) for n in range(AT_ONCE)))
                until(partial(have_all, good, len(sent)), lambda: feeder.status)
                assert len(sent) < MUCH, feeder.status

        go_on(lambda: waits_for_both(feeder))
        assert feeder.status.clients == CLIENTS
        slam(leaver)
        together(feeder, CLIENTS - 1)
        assert feeder.status.dropped == 0
        go_on(lambda: feeder.status.clients == CLIENTS - 2)
        assert feeder.status.dropped == 1
        before = len(sent)
        go_on(lambda: len(sent) > 2 * before)
        assert [bytes(one.got) == sent for one in good] == [True] * len(good)
        assert feeder.status.clients == len(good)
        assert feeder.status.sentences == sent.count(b"\n")
        stuck.close()
    assert feeder.status.state is FeedState.OFF
    until(lambda: all(one.ended.is_set() for one in good))


def waits_for_both(feeder: Feeder) -> bool:
    """Whether something waits for the two that do not read: they are in the middle of being written to."""
    (outlet,) = feeder._outlets
    assert isinstance(outlet, TcpOutlet)
    return sum(len(waiting) > 0 for waiting in [*outlet._clients.values()]) == 2


@pytest.mark.slow
def test_the_same_at_ten_hertz_for_a_minute() -> None:
    """As above by the clock: 600 epochs of a real line at 10 Hz, one client stuck, one leaving after half of it."""
    port, computer = free_port(), Computer()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        with PtyReceiver(115200, 10.0, walk(10.0)) as receiver:
            computer.plug("/dev/ttyQ0", receiver)
            with watching(on_serial(computer, "/dev/ttyQ0", 115200)) as watch:
                good = [stack.enter_context(Client(port)) for _ in range(CLIENTS - 2)]
                stuck, leaver = deaf(port), deaf(port)
                together(feeder, CLIENTS)
                watch.feed.outlet = feeder.offer
                begun_s = time.monotonic()
                while time.monotonic() - begun_s < 60.0:
                    if time.monotonic() - begun_s > 30.0 and leaver.fileno() >= 0:
                        slam(leaver)
                    time.sleep(0.1)
                watch.feed.outlet = None
        until(lambda: len({len(one.got) for one in good}) == 1)
        got = [bytes(one.got) for one in good]
        assert len(set(got)) == 1
        times = [line.split(b",")[1] for line in got[0].splitlines() if line[3:6] == b"RMC"]
        tenths = [round(float(t[:2]) * 36000 + float(t[2:4]) * 600 + float(t[4:]) * 10) for t in times]
        assert len(tenths) > 550
        assert tenths == list(range(tenths[0], tenths[0] + len(tenths)))
        stuck.close()


def test_a_client_that_comes_later_begins_with_a_whole_sentence() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, Client(port) as first:
        together(feeder, 1)
        half = burst(0)[:100]
        offer(feeder, half)
        until(lambda: len(first.got) > 50)
        with Client(port) as second:
            together(feeder, 2)
            rest = offer(feeder, burst(0)[100:], burst(1))
            until(lambda: second.got.endswith(burst(1)))
            assert second.got.startswith(b"$")
            assert bytes(second.got) in half + rest
            assert bytes(first.got) == half + rest


def test_who_has_left_is_not_counted_any_more() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder:
        assert feeder.status.clients in {None, 0}
        client = Client(port)
        together(feeder, 1)
        client.leave()
        with Client(port):
            together(feeder, 1)
        together(feeder, 0)
        assert feeder.status.dropped == 0


def test_what_clients_send_is_read_and_thrown_away() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        client._socket.sendall(b"GET / HTTP/1.1\r\n" + b"x" * 300_000)
        sent = offer(feeder, burst(0))
        until(lambda: bytes(client.got) == sent)


def test_there_is_an_end_to_how_many_are_let_in() -> None:
    port = free_port()
    with feeding(f"tcp:{port}") as feeder, ExitStack() as stack:
        clients = [stack.enter_context(Client(port)) for _ in range(MOST_CLIENTS + 3)]
        until(lambda: sum(one.ended.is_set() for one in clients) == 3)
        together(feeder, MOST_CLIENTS)
        sent = offer(feeder, burst(0))
        until(lambda: sum(bytes(one.got) == sent for one in clients) == MOST_CLIENTS)


def test_the_tap_never_waits_and_never_fills_the_memory() -> None:
    """The feed's thread has not begun, as if it hung: a source goes on offering."""
    plan = feed_plan(FeedWish((f"tcp:{free_port()}",)))
    feeder = Feeder(plan, LIVE, anchor_now(), time.monotonic)
    for end in (feeder._woken, feeder._wake):
        end.setblocking(False)
    offer(feeder, *[burst(0)] * (MOST_OFFERED + 500))
    assert len(feeder._offered) == MOST_OFFERED
    assert feeder.status.dropped == 500
    feeder.stop()


def test_the_address_is_free_again_after_the_end() -> None:
    port = free_port()
    for _ in range(3):
        with feeding(f"tcp:{port}") as feeder, Client(port):
            together(feeder, 1)


def test_several_outlets_of_one_feed() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", "pty", f"udp:{free_port(socket.SOCK_DGRAM)}") as feeder, Client(port) as client:
        together(feeder, 1)
        sent = offer(feeder, burst(0))
        until(lambda: bytes(client.got) == sent)
        assert [one.split(":")[0] for one in feeder.status.where[::2]] == ["tcp", "udp"]

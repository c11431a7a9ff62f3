"""What a feed says of where it comes from, and whether a second board makes the same of it."""

from __future__ import annotations

import os
import time

import pytest

from core.feeding.plan import Origin
from core.fix import Position
from core.held import HeldPlace
from core.model import FixModel
from core.sources.network import TcpSource
from core.sources.source import SourceKind
from tests.live.feeding import LIVE, REPLAY, Client, feeding, offer, together
from tests.live.rig import Computer, on_serial, until, watching
from tests.live.test_network import HERE, free_port
from tests.wire import PtyReceiver, burst, walk

# What it says it is


def test_a_replay_is_simulated_and_says_so_to_each_client_that_comes() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", origin=REPLAY) as feeder, Client(port) as first:
        together(feeder, 1)
        offer(feeder, burst(0), burst(1), burst(2))  # so fast that some may be left out, but never the newest
        until(lambda: b"$GNRMC,120002.00,V," in first.got, lambda: bytes(first.got))
        with Client(port) as second:
            until(lambda: b"REPLAY OF A RECORDING" in second.got)
            assert second.got.startswith(b"$GNTXT,01,01,01,REPLAY")
        assert first.got.startswith(b"$GNTXT,01,01,01,REPLAY")
        assert b",A*" not in first.got


def test_whoever_opens_the_pseudo_terminal_of_a_replay_is_told_first() -> None:
    with feeding("pty", origin=REPLAY) as feeder:
        for _ in range(2):
            far = os.open(feeder.status.where[0], os.O_RDWR | os.O_NOCTTY)
            together(feeder, 1)
            offer(feeder, burst(0))
            assert os.read(far, 4096).startswith(b"$GNTXT,01,01,01,REPLAY")
            os.close(far)
            together(feeder, 0)


def test_a_raw_replay_has_the_same_notice() -> None:
    port = free_port()
    with feeding(f"tcp:{port}", origin=REPLAY, form="raw") as feeder, Client(port) as client:
        together(feeder, 1)
        offer(feeder, burst(0))
        until(lambda: client.got.endswith(burst(0)))
        assert client.got.startswith(b"$GNTXT,01,01,01,REPLAY")


def test_clients_stay_when_the_board_turns_to_something_else() -> None:
    port = free_port()
    held = Origin(SourceKind.HELD, "Isle", held=HeldPlace("Isle", Position(10.5, -20.25), 12.0))
    with feeding(f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        offer(feeder, burst(0))
        until(lambda: bytes(client.got) == burst(0))
        feeder.feed_from(held)
        offer(feeder, b"\n", b"\n")
        until(lambda: client.got.count(b",M,V*") == 2, lambda: bytes(client.got))
        since = bytes(client.got[len(burst(0)) :])
        assert since.startswith(b"$GNTXT,01,01,01,HELD PLACE")
        assert b"1030.00000,N,02015.00000,W" in since
        model = FixModel()
        model.feed(since, 0.0)
        assert not model.snapshot().fix.is_satellite_fix
        feeder.feed_from(LIVE)
        offer(feeder, burst(7))
        until(lambda: client.got.endswith(burst(7)))
        assert feeder.status.clients == 1


# A second board


@pytest.mark.parametrize("form", ["raw", "rebuilt"])
def test_a_second_board_on_the_first_one_s_feed_agrees(form: str) -> None:
    port, computer = free_port(), Computer()
    with feeding(f"tcp:{port}", form=form) as feeder, PtyReceiver(115200, 10.0, walk(10.0)) as receiver:
        computer.plug("/dev/ttyQ0", receiver)
        with (
            watching(on_serial(computer, "/dev/ttyQ0", 115200)) as first,
            watching(TcpSource(HERE, port, time.monotonic)) as second,
        ):
            together(feeder, 1)
            first.feed.outlet = feeder.offer
            second.until_fixes(20)
            first.feed.outlet = None
        before, after = finished(first.received()), finished(second.received())
        assert len(after) > 10
        for utc, what in after.items():
            assert before[utc] == what


def finished(data: bytes) -> dict[object, tuple[object, ...]]:
    """By time: place, mode, satellites and speed of each epoch that has come whole."""
    model = FixModel()
    found = model.feed(data, 0.0)
    return {
        fix.utc: (
            fix.position and tuple(round(one, 7) for one in fix.position),
            fix.mode,
            fix.used,
            None if fix.speed_mps is None else round(fix.speed_mps, 3),
            {one.name for one in fix.satellites},
        )
        for fix in found
        if fix.is_satellite_fix
    }

"""The feed over datagrams, a pseudo-terminal and a wire: what they cannot carry, and what becomes of the rest."""

from __future__ import annotations

import os
import socket
from contextlib import suppress
from functools import partial
from pathlib import Path

import pytest

from core.errors import InputError
from core.feed_status import FeedState
from core.model import FixModel
from tests.live.feeding import Client, feeding, have_all, offer, together
from tests.live.rig import Computer, until
from tests.live.test_network import HERE, free_port
from tests.wire import burst

# UDP


def test_datagrams_hold_a_sentence_each() -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as listener:
        listener.bind((HERE, 0))
        listener.settimeout(30.0)
        with feeding(f"udp:{listener.getsockname()[1]}") as feeder:
            sent = offer(feeder, burst(0), burst(1))
            found = [listener.recv(2000) for _ in range(sent.count(b"\n"))]
            assert b"".join(found) == sent
            assert feeder.status.clients is None


def test_datagrams_that_nobody_takes_end_nothing() -> None:
    with feeding(f"udp:{free_port(socket.SOCK_DGRAM)}") as feeder:
        for n in range(20):
            offer(feeder, burst(n))
            until(lambda: not feeder._offered)
        assert feeder.status.state is FeedState.ON


# A pseudo-terminal


def test_a_pseudo_terminal_is_read_like_a_serial_port() -> None:
    computer = Computer()
    with feeding("pty") as feeder:
        (device,) = feeder.status.where
        offer(feeder, burst(0))  # nobody reads: it is not kept
        until(lambda: feeder.status.sentences > 0)
        far = os.open(device, os.O_RDWR | os.O_NOCTTY)
        together(feeder, 1)
        sent = offer(feeder, burst(1), burst(2))
        got = b""
        while len(got) < len(sent):
            got += os.read(far, 4096)
        assert got == sent
        os.write(far, b"\xb5\x62 a command for a receiver\r\n")
        os.close(far)
        together(feeder, 0)
    del computer


def test_a_reader_of_it_that_is_stuck_gets_the_newest_once_it_reads_again() -> None:
    with feeding("pty") as feeder:
        far = os.open(feeder.status.where[0], os.O_RDWR | os.O_NOCTTY)
        together(feeder, 1)
        second = 0
        while feeder.status.dropped == 0:
            offer(feeder, *(burst(second + n) for n in range(20)))
            second += 20
            until(lambda: not feeder._offered)
        os.set_blocking(far, False)
        newest, got = burst(86_000), b""
        offer(feeder, newest)

        def has_newest() -> bool:
            nonlocal got
            with suppress(BlockingIOError):
                got += os.read(far, 65_536)
            return got.endswith(newest)

        until(has_newest, lambda: got[-200:])
        model = FixModel()
        model.feed(got, 0.0)
        assert model.snapshot().counts.rejected == {}
        os.close(far)


def test_a_link_to_it_is_made_and_removed_and_replaces_nothing(tmp_path: Path) -> None:
    link = tmp_path / "ttyQ"
    with feeding(f"pty:{link}") as feeder:
        assert feeder.status.where == (str(link),)
        assert link.is_symlink()
        assert link.readlink().exists()
    assert not link.is_symlink()
    link.symlink_to(tmp_path / "gone")  # as a crash leaves it
    with feeding(f"pty:{link}"):
        assert link.readlink() != tmp_path / "gone"
    link.write_text("somebody's file")
    with pytest.raises(InputError, match="there is something of the name"), feeding(f"pty:{link}"):
        pass
    assert link.read_text() == "somebody's file"
    with pytest.raises(InputError, match="cannot be opened"), feeding("pty:~nobodyofthatname/ttyQ"):
        pass


# A wire


def test_a_serial_port_gets_it_and_nobody_else_may_open_the_port() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}@38400") as feeder:
        sent = offer(feeder, burst(0), burst(1))
        until(lambda: wire.read() == sent, lambda: wire.got)
        with pytest.raises(InputError, match="is in use"), feeding(f"serial:{wire.device}"):
            pass
    wire.close()


def test_what_a_wire_cannot_carry_is_left_out_by_whole_sentences() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}@4800") as feeder:
        for n in range(300):
            offer(feeder, burst(n))
            until(lambda: not feeder._offered)
        until(lambda: feeder.status.dropped > 0, lambda: feeder.status)
        newest = burst(9000)
        offer(feeder, newest)
        until(lambda: wire.read().endswith(newest), lambda: wire.got[-200:])
        model = FixModel()
        model.feed(bytes(wire.got), 0.0)
        assert model.snapshot().counts.rejected == {}
    wire.close()


def test_a_wire_that_is_pulled_out_is_said_and_the_other_outlets_go_on() -> None:
    wire, port = Wire(), free_port()
    with feeding(f"serial:{wire.device}", f"tcp:{port}") as feeder, Client(port) as client:
        together(feeder, 1)
        wire.close()
        sent = b""
        while not feeder.status.reason:
            sent += offer(feeder, burst(0))
            until(partial(have_all, [client], len(sent)))
        assert "plug it in again" in feeder.status.reason
        assert feeder.status.state is FeedState.ON
        sent += offer(feeder, burst(1))
        until(lambda: bytes(client.got) == sent)


def test_without_any_outlet_left_it_has_failed_and_says_why() -> None:
    wire = Wire()
    with feeding(f"serial:{wire.device}") as feeder:
        wire.close()

        def failed() -> bool:
            offer(feeder, burst(0))
            return feeder.status.state is FeedState.FAILED

        until(failed)
        assert wire.device in feeder.status.reason


class Wire:
    """A pty that stands for a serial line with somebody at its other end."""

    def __init__(self) -> None:
        self._master, self._far = os.openpty()
        self.device = os.ttyname(self._far)
        os.set_blocking(self._master, False)
        self.got = bytearray()

    def read(self) -> bytes:
        """All that has come."""
        try:
            self.got += os.read(self._master, 65_536)
        except OSError:
            return bytes(self.got)
        return bytes(self.got)

    def close(self) -> None:
        """Pull it out."""
        for end in (self._master, self._far):
            if end >= 0:
                os.close(end)
        self._master = self._far = -1

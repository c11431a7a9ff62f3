"""What listens is this computer's own unless the user says otherwise, and whoever connects is kept within bounds.

What a process has open is read from `/proc`, as the system has it, not from what the board says of itself.
"""

from __future__ import annotations

import errno
import os
import re
import resource
import socket
import struct
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from typing import NamedTuple

import pytest

from core.feed import Feeder
from core.feeding.tcp_outlet import MOST_CLIENTS
from core.feeding.waiting import MOST_BYTES
from core.model import FixModel
from core.sources.network import TcpSource, UdpSource
from core.sources.source import SourceState
from tests.faults.full_board import full_board
from tests.faults.wires import HERE, Listener, Wire, bursts, has, loopback_port, whole
from tests.live.feeding import feeding, offer
from tests.live.rig import hurried, until, watching
from tests.wire import burst

linux = pytest.mark.skipif(not Path("/proc/net/tcp").exists(), reason="sockets are read from /proc: Linux only")
LISTEN, UNCONNECTED = "0A", "07"
"""States in /proc/net (tcp_states.h of Linux; of UDP, one that takes datagrams from anybody)."""
PACKED = {"tcp": LISTEN, "tcp6": LISTEN, "udp": UNCONNECTED, "udp6": UNCONNECTED}


class Open(NamedTuple):
    """A socket that others can reach."""

    kind: str
    address: IPv4Address | IPv6Address
    port: int


def reachable(pid: int) -> set[Open]:
    """All of a process's sockets that wait for somebody."""
    own = {found[1] for name in names(pid) if (found := re.fullmatch(r"socket:\[(\d+)\]", name))}
    return {one for kind, state in PACKED.items() for one in listed(pid, kind, state, own)}


def names(pid: int) -> Iterator[str]:
    for one in Path(f"/proc/{pid}/fd").iterdir():
        with suppress(OSError):
            yield str(one.readlink())


def listed(pid: int, kind: str, state: str, own: set[str]) -> Iterator[Open]:
    table = Path(f"/proc/{pid}/net/{kind}")
    for line in table.read_text(encoding="ascii").splitlines()[1:] if table.exists() else ():
        words = line.split()
        if words[3] == state and words[9] in own:
            address, port = words[1].split(":")
            yield Open(kind.rstrip("6"), in_order(address), int(port, 16))


def in_order(text: str) -> IPv4Address | IPv6Address:
    """The kernel writes words of four bytes in the computer's own order."""
    words = struct.unpack(f">{len(text) // 8}I", bytes.fromhex(text))
    return ip_address(struct.pack(f"={len(words)}I", *words))


@linux
def test_the_search_finds_what_listens() -> None:
    with socket.create_server((HERE, 0)) as one, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("", 0))
        found = reachable(os.getpid())
        assert Open("tcp", ip_address(HERE), one.getsockname()[1]) in found
        assert Open("udp", ip_address("0.0.0.0"), other.getsockname()[1]) in found


@linux
def test_a_board_with_every_outlet_listens_on_this_computer_alone(tmp_path: Path) -> None:
    """Also the socket that datagrams go out by: it was open to answers from any network."""
    with Wire() as wire, full_board(tmp_path / "data", wire.device) as board:
        board.shows("listening at", "recording")
        with Listener(board.port) as listener:
            wire.send(*bursts(4))
            board.shows("receiving", "feed 1 client", "alone can read it.")
            until(lambda: bytes(listener.got) == whole(bytes(wire.sent)))
            found = reachable(board.pid)
            assert {one.port for one in found if one.kind == "tcp"} == {board.port}
            assert [one for one in found if not one.address.is_loopback] == []
        board.quit()


@linux
def test_a_source_that_listens_does_so_on_this_computer_alone() -> None:
    source = UdpSource("", loopback_port(), hurried)
    port = source._socket.getsockname()[1]
    assert Open("udp", ip_address(HERE), port) in reachable(os.getpid())
    assert source.status().warning == ""
    source.close()
    source.read(0.0)


@linux
def test_wider_only_when_told_and_then_with_a_warning(tmp_path: Path) -> None:
    with Wire() as wire:
        wide = loopback_port()
        with full_board(tmp_path / "data", wire.device, f"--feed=tcp:0.0.0.0:{wide}") as board:
            board.shows("OPEN FEED")
            until(lambda: b"NETWORK" in board.ever_drawn)  # the warning in full, however it is wrapped
            assert Open("tcp", ip_address("0.0.0.0"), wide) in reachable(board.pid)
            board.quit()


def test_a_source_that_listens_to_all_networks_says_so() -> None:
    """Whoever reaches it can have the board show any place."""
    source = UdpSource("0.0.0.0", loopback_port(), hurried)
    assert "anybody" in source.status().warning
    source.close()
    source.read(0.0)


# Clients of a feed


@contextmanager
def room_for_files() -> Iterator[None]:
    """As many as the system allows: both ends of each connection are in this process."""
    before = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (before[1], before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, before)


def connected(port: int, stack: ExitStack) -> socket.socket:
    """A client that only connects."""
    client = stack.enter_context(socket.socket())
    client.settimeout(30.0)
    client.connect((HERE, port))
    return client


@linux
@pytest.mark.parametrize("count", [150, pytest.param(3000, marks=pytest.mark.slow)])
def test_any_number_of_connections_leaves_as_many_as_there_may_be_and_the_first_hears_all(count: int) -> None:
    """The system itself makes those that come too fast wait: thousands take minutes."""
    port = loopback_port()
    with room_for_files(), feeding(f"tcp:{port}") as feeder, Listener(port) as listener, ExitStack() as stack:
        until(lambda: feeder.status.clients == 1)
        for _ in range(count):
            connected(port, stack)
        until(lambda: feeder.status.clients == MOST_CLIENTS, lambda: feeder.status)
        until(lambda: feeder.status.dropped == count + 1 - MOST_CLIENTS, lambda: feeder.status)
        sent = offer(feeder, *bursts(3))
        until(lambda: bytes(listener.got) == sent)
        assert len(clients_of(feeder)) == MOST_CLIENTS
        stack.close()
        until(lambda: feeder.status.clients == 1, lambda: feeder.status)


def clients_of(feeder: Feeder) -> dict[socket.socket, object]:
    """What the outlet keeps of each."""
    found: dict[socket.socket, object] = feeder._outlets[0]._clients  # type: ignore[attr-defined]
    return found


@linux
def test_without_a_file_left_nobody_is_let_in_and_nobody_loses_anything() -> None:
    """The limit of open files is the process's: the recorder opens its next file with what the feed left it."""
    port = loopback_port()
    before = resource.getrlimit(resource.RLIMIT_NOFILE)
    with feeding(f"tcp:{port}") as feeder, Listener(port) as listener, ExitStack() as stack:
        until(lambda: feeder.status.clients == 1)
        taken = [stack.enter_context(socket.socket()) for _ in range(10)]
        try:
            resource.setrlimit(resource.RLIMIT_NOFILE, (max(one.fileno() for one in taken) + 1, before[1]))
            for client in taken:
                client.connect((HERE, port))
            sent = offer(feeder, *bursts(2))
            until(lambda: bytes(listener.got) == sent)
        finally:
            resource.setrlimit(resource.RLIMIT_NOFILE, before)
        until(lambda: feeder.status.clients == 11, lambda: feeder.status)


def test_a_client_that_sends_without_end_a_byte_at_a_time_and_reads_nothing_is_only_dropped() -> None:
    port = loopback_port()
    with feeding(f"tcp:{port}") as feeder, Listener(port) as listener, ExitStack() as stack:
        slow = connected(port, stack)
        slow.setblocking(False)
        until(lambda: feeder.status.clients == 2)
        sent, second = b"", 0
        while feeder.status.clients == 2:
            with suppress(BlockingIOError, ConnectionError):
                slow.send(b"x")
            sent += offer(feeder, *bursts(10, second))
            second += 10
            until(has(lambda: listener.got, sent), lambda: feeder.status)
            assert all(len(one) <= MOST_BYTES + 10_000 for one in clients_of(feeder).values())  # type: ignore[arg-type]
        assert feeder.status.dropped == 1


def test_what_a_client_sends_changes_nothing_that_others_get() -> None:
    """No command is understood: there is none."""
    port = loopback_port()
    with feeding(f"tcp:{port}") as feeder, Listener(port) as listener, ExitStack() as stack:
        talker = connected(port, stack)
        until(lambda: feeder.status.clients == 2)
        for words in (b"GET / HTTP/1.1\r\n\r\n", b"$PUBX,40*00\r\n", bytes(range(256)) * 100, b"\x04\x1a\x03"):
            talker.sendall(words)
        sent = offer(feeder, *bursts(3))
        until(lambda: bytes(listener.got) == sent)
        assert feeder.status.clients == 2


# Network sources


@contextmanager
def server() -> Iterator[socket.socket]:
    with socket.create_server((HERE, 0)) as listening:
        listening.settimeout(30.0)
        yield listening


def resets(connection: socket.socket) -> None:
    """Ends it as a computer does that knows nothing of it any more (RST)."""
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    connection.close()


def test_a_server_that_resets_again_and_again_is_gone_back_to_and_nothing_whole_is_lost() -> None:
    with server() as listening:
        source = TcpSource(HERE, listening.getsockname()[1], hurried)
        with watching(source) as watch:
            sent = b""
            for number in range(3):
                connection = listening.accept()[0]
                piece = burst(number) + burst(number)[:50]
                connection.sendall(piece)
                sent += piece
                until(has(watch.received, sent))
                resets(connection)
                watch.until_state(SourceState.LOST)
                watch.until_told("the connection broke")
            last = listening.accept()[0]
            last.sendall(burst(9))
            watch.until_state(SourceState.RECEIVING)
            until(lambda: watch.newest.counts.verified == (sent + burst(9)).count(b"\n"), lambda: watch.newest.counts)
            last.close()


def test_a_line_that_never_ends_fills_no_memory() -> None:
    with server() as listening:
        source = TcpSource(HERE, listening.getsockname()[1], hurried)
        model = FixModel()
        with watching(source, model) as watch:
            watch.arrived = []
            connection = listening.accept()[0]
            held: list[int] = []
            for _ in range(200):
                connection.sendall(b"$GNTXT," + b"A" * 50_000)
                held.append(kept_by(model))
            connection.sendall(b"\r\n" + burst(1))
            until(lambda: watch.fixes() >= 0 and watch.newest.counts.verified >= 4, watch.feed.status)
            assert max(held) < 100_000
            connection.close()


def kept_by(model: FixModel) -> int:
    """Bytes of a line that has not ended yet."""
    return sum(len(value) for value in vars(model._framer).values() if isinstance(value, bytes | bytearray))


def test_a_server_that_says_nothing_is_called_silent_and_asked_nothing() -> None:
    with server() as listening:
        source = TcpSource(HERE, listening.getsockname()[1], hurried)
        with watching(source) as watch:
            connection = listening.accept()[0]
            watch.until_told("nothing has come for")
            assert watch.state is SourceState.WAITING
            connection.setblocking(False)
            with pytest.raises(BlockingIOError):
                connection.recv(1)
            connection.close()


def test_a_board_on_a_server_that_floods_binary_goes_on_recording_and_ends_by_its_key(tmp_path: Path) -> None:
    with server() as listening:
        address = f"tcp://{HERE}:{listening.getsockname()[1]}"
        with full_board(tmp_path / "data", address) as board:
            connection = listening.accept()[0]
            noise = os.urandom(100_000)
            for _ in range(20):
                connection.sendall(noise)
            connection.sendall(b"\r\n" + b"".join(bursts(4)))
            board.shows("receiving", "recording")
            sent = noise * 20 + b"\r\n" + b"".join(bursts(4))
            until(lambda: board.recorded == sent, lambda: (len(board.recorded), len(sent)))
            board.quit()
            connection.close()


def test_an_error_that_the_system_gives_again_and_again_does_not_spin() -> None:
    """A refused datagram is told to the listener as an error of its own, each time it is asked."""
    source = UdpSource("", loopback_port(), time.monotonic)
    reads: list[float] = []

    class Failing:
        """A socket that fails at once."""

        def settimeout(self, seconds: float) -> None:
            reads.append(seconds)

        def recv(self, count: int) -> bytes:
            raise OSError(errno.ECONNREFUSED, str(count))

        def close(self) -> None:
            """Nothing."""

    source._socket.close()
    source._socket = Failing()  # type: ignore[assignment]
    waited: list[float] = []
    source._closing.wait = waited.append  # type: ignore[method-assign, assignment]
    for _ in range(5):
        source.read(0.25)
    assert waited == reads == [0.25] * 5

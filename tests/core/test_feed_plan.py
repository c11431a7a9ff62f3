"""What a feed may be asked, how much waits for a client, what goes round in circles, what is refused."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from core.errors import InputError, UsageError
from core.feeding.address import FeedAddress, feed_address
from core.feeding.echo import comes_back
from core.feeding.outlet import open_outlets
from core.feeding.plan import feed_plan
from core.feeding.refusals import refused
from core.feeding.waiting import LONGEST_S, MOST_BYTES, Waiting
from core.feeding.wish import FeedWish
from core.settings import read_settings
from core.sources.source import SourceKind, SourceState, SourceStatus
from tests.feeds import plan

# Addresses and plans


@pytest.mark.parametrize(
    ("text", "address", "is_open"),
    [
        ("tcp:10110", FeedAddress("tcp", "127.0.0.1", 10110), False),
        ("TCP://10110/", FeedAddress("tcp", "127.0.0.1", 10110), False),
        ("tcp:0.0.0.0:10110", FeedAddress("tcp", "0.0.0.0", 10110), True),
        ("tcp:localhost:1", FeedAddress("tcp", "localhost", 1), False),
        ("tcp:[::1]:65535", FeedAddress("tcp", "::1", 65535), False),
        ("tcp:[::]:10110", FeedAddress("tcp", "::", 10110), True),
        ("udp:10110", FeedAddress("udp", "127.0.0.1", 10110), False),
        ("udp://192.0.2.7:10110", FeedAddress("udp", "192.0.2.7", 10110), True),
        ("pty", FeedAddress("pty"), False),
        ("pty:/quennet/ttyQ", FeedAddress("pty", device="/quennet/ttyQ"), False),
        ("serial:/dev/ttyUSB1", FeedAddress("serial", device="/dev/ttyUSB1"), False),
        ("serial:COM7@38400", FeedAddress("serial", device="COM7", baud=38400), False),
    ],
)
def test_addresses(text: str, address: FeedAddress, is_open: bool) -> None:
    found = feed_address(text)
    assert (found, found.is_open) == (address, is_open)
    assert feed_address(found.text) == found


@pytest.mark.parametrize(
    "text",
    ["", "tcp", "tcp:", "tcp:0", "tcp:65536", "tcp:a:b:1", "tcp:1e3", "tcp:²", "udp:host", "http:80", "serial:",
     "serial:/dev/x@99", "tcp:10110\n", "tcp:\x1b[2J:1", "pty:\x00", "tcp:" + "1" * 300, "10110"],
)  # fmt: skip
def test_what_is_no_address_is_refused_with_what_would_be_right(text: str) -> None:
    with pytest.raises(UsageError, match="write"):
        feed_address(text)


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (FeedWish(form="cooked"), "raw, rebuilt or auto"),
        (FeedWish(rate_hz=0.0), "0.01 to 50"),
        (FeedWish(rate_hz=float("nan")), "0.01 to 50"),
        (FeedWish(rate_hz=float("inf")), "0.01 to 50"),
        (FeedWish(types="RMC,$"), "no type of sentence"),
        (FeedWish(form="rebuilt", types="RMC,PUBX"), "PUBX cannot be rebuilt: RMC, VTG, GGA"),
        (FeedWish(form="raw", talker="GP"), "raw sentences keep their talker"),
        (FeedWish(talker="PQ"), "P begins a maker's own"),
        (FeedWish(talker="G"), "two letters"),
        (FeedWish(to=("tcp:1", "tcp:127.0.0.1:1")), "stands twice"),
    ],
)
def test_wishes_that_cannot_be_met_are_refused(wish: FeedWish, said: str) -> None:
    with pytest.raises(UsageError, match=said.replace("$", r"\$")):
        feed_plan(wish)


def test_without_an_address_it_is_the_usual_port_of_this_computer_alone() -> None:
    found = feed_plan(FeedWish())
    assert found.addresses == (FeedAddress("tcp", "127.0.0.1", 10110),)
    assert not found.is_open
    assert plan(to=("tcp:1", "udp:192.0.2.7:1")).is_open


# Settings


def test_settings_of_the_feed_and_of_power(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(
        '[feed]\nto = ["tcp:10110", "pty"]\nrate_hz = 1\ntypes = "RMC"\n[power]\nsaving_on_battery = true\n'
    )
    found = read_settings(path)
    assert found.feed == FeedWish(("tcp:10110", "pty"), "auto", "RMC", 1.0, "")
    assert found.power.saving_on_battery
    path.write_text('[feed]\nto = "udp:10110"\n')
    assert read_settings(path).feed.to == ("udp:10110",)
    assert not read_settings(path).power.saving_on_battery


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[feed]\nto = 10110\n", "line 2: to is 10110: an address is wanted"),
        ('[feed]\nto = ["tcp:1", 2]\n', "an address is wanted"),
        ('[feed]\nto = "tcp:0"\n', "line 2: to is not understood: 'tcp:0' is no address"),
        ("[feed]\nrate_hz = true\n", "line 2: rate_hz is True"),
        ("[feed]\nrate_hz = 0\n", "0.01 to 50"),
        ("[feed]\ntypes = 3\n", "line 2: types is 3: words are wanted"),
        ("[feed]\nrate = 1\n", "did you mean rate_hz?"),
        ("[power]\nsaving_on_battery = 1\n", "true or false is wanted"),
    ],
)
def test_wrong_settings_are_named(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    with pytest.raises(InputError) as error:
        read_settings(path)
    assert said in str(error.value)


# What waits for a client


def takes(most: int) -> tuple[list[bytes], Callable[[bytes], int]]:
    taken: list[bytes] = []

    def write(data: bytes) -> int:
        taken.append(data[:most])
        return min(most, len(data))

    return taken, write


def test_a_client_gets_every_byte_in_order_however_little_it_takes_at_a_time() -> None:
    waiting, out = Waiting(), b""
    taken, write = takes(7)
    for n in range(50):
        waiting.add(b"line %d\r\n" % n, n / 10)
        waiting.send(write, n / 10)
    while len(waiting):
        waiting.send(write, 5.0)
    out = b"".join(taken)
    assert out == b"".join(b"line %d\r\n" % n for n in range(50))


def test_a_client_is_stuck_when_too_much_waits_or_nothing_moves_for_long() -> None:
    full = Waiting()
    full.add(b"x" * MOST_BYTES, 0.0)
    assert not full.is_stuck(0.0)
    full.add(b"x", 0.0)
    assert full.is_stuck(0.0)
    slow = Waiting()
    slow.add(b"x\r\n", 0.0)
    assert not slow.is_stuck(LONGEST_S)
    assert slow.is_stuck(LONGEST_S + 0.1)
    slow.send(lambda _: 1, LONGEST_S + 0.1)
    assert not slow.is_stuck(LONGEST_S + 0.2)
    assert not Waiting().is_stuck(1e9)


def test_what_is_shed_never_leaves_half_a_line_behind() -> None:
    waiting = Waiting()
    waiting.add(b"first\r\nsecond\r\n", 0.0)
    waiting.send(lambda _: 3, 0.0)
    waiting.shed(0.0)
    out, write = takes(100)
    waiting.send(write, 0.0)
    assert out == [b"st\r\n"]
    waiting.add(b"third\r\n", 0.0)
    waiting.shed(0.0)
    assert len(waiting) == 0


def test_the_newest_takes_the_place_of_what_waits_too_long_or_is_too_much() -> None:
    waiting = Waiting()
    assert not waiting.add_newest(b"first\r\n", 0.0, 19)
    waiting.send(lambda _: 2, 0.0)
    assert not waiting.add_newest(b"second\r\n", 0.0, 19)
    assert waiting.add_newest(b"third\r\n", 0.0, 19)
    assert waiting.add_newest(b"fourth\r\n", LONGEST_S + 0.1, 100)
    out, write = takes(100)
    waiting.send(write, LONGEST_S + 0.1)
    assert out == [b"rst\r\nfourth\r\n"]
    assert not waiting.add_newest(b"more at once than may wait\r\n", 99.0, 9)


# Going round in circles


@pytest.mark.parametrize(
    ("feed", "source", "back"),
    [
        ("tcp:10110", "tcp://127.0.0.1:10110", True),
        ("tcp:0.0.0.0:10110", "tcp://localhost:10110", True),
        ("tcp:10110", "tcp://192.0.2.7:10110", False),
        ("tcp:10111", "tcp://127.0.0.1:10110", False),
        ("udp:10110", "udp://127.0.0.1:10110", True),
        ("udp:10110", "udp://0.0.0.0:10110", True),
        ("udp:192.0.2.7:10110", "udp://127.0.0.1:10110", False),
        ("udp:10110", "tcp://127.0.0.1:10110", False),
        ("serial:/dev/ttyQ0@9600", "/dev/ttyQ0 9600 baud", True),
        ("serial:/dev/ttyQ1", "/dev/ttyQ0 9600 baud", False),
        ("pty", "/dev/ttyQ0 9600 baud", False),
    ],
)
def test_a_feed_that_would_come_back_is_known(feed: str, source: str, back: bool) -> None:
    assert comes_back(feed_address(feed), SourceStatus(SourceKind.LIVE, source, SourceState.RECEIVING)) is back


# Refusals


def test_a_port_in_use_is_said_with_what_to_do() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=rf"port {port} is in use .*choose another port"):
            open_outlets((feed_address(f"tcp:{port}"),))


def test_what_was_opened_before_a_refusal_is_let_go() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        free = probe.getsockname()[1]
        probe.close()
        wanted = (feed_address(f"tcp:{free}"), feed_address(f"tcp:{taken.getsockname()[1]}"))
        with pytest.raises(InputError):
            open_outlets(wanted)
        open_outlets(wanted[:1])[0].close()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tcp:192.0.2.7:10110", "192.0.2.7 is no address of this computer: leave it out .* 0.0.0.0 for all"),
        ("pty:/nowhere/at/all/ttyQ", "the folder for /nowhere/at/all/ttyQ is not there"),
        ("serial:/dev/ttyQuennet9", "there is no such port"),
    ],
)
def test_real_refusals(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        open_outlets((feed_address(text),))


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        (
            "tcp:80",
            PermissionError(errno.EACCES, "denied"),
            "port 80 needs administrator rights: choose one above 1023",
        ),
        ("tcp:10110", PermissionError(errno.EACCES, "denied"), "not allowed on this computer"),
        ("udp:quennet.invalid:10110", socket.gaierror(-2, "unknown"), "no computer of the name quennet.invalid"),
        ("tcp:quennet.invalid:10110", socket.gaierror(-2, "unknown"), "no address of this computer"),
        ("serial:/dev/ttyQ0", PermissionError(errno.EACCES, "denied"), "dialout"),
        ("serial:/dev/ttyQ0", OSError(errno.EBUSY, "busy"), "is in use by"),
        ("pty", OSError(errno.ENOSYS, "none"), "use tcp:10110"),
        ("tcp:10110", OSError(errno.EIO, "odd"), "it cannot be opened (odd)"),
    ],
)
def test_every_refusal_says_what_to_do(text: str, error: OSError, said: str) -> None:
    told = str(refused(feed_address(text), error))
    assert told.startswith(f"feed {feed_address(text).text}: ")
    assert said in told

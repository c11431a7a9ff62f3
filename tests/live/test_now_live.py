"""`fixboard now` and `ports` as scripts run them: real processes, pipes, sockets, ptys; exit codes of contract.md."""

from __future__ import annotations

import gzip
import json
import os
import socket
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any, BinaryIO

import pytest

from tests.live.rig import until
from tests.live.test_network import HERE, Server, free_port
from tests.wire import PtyReceiver, burst, sentence, walk
from tui.cli import main

ROOT = Path(__file__).parents[2]
FIXBOARD = [sys.executable, "-m", "tui"]
VOID = burst(0, fix=False)
DONE, UNUSABLE, WRONG, NO_FIX = 0, 1, 2, 3


def run(*arguments: str, given: bytes | BinaryIO | None = b"", cwd: Path = ROOT) -> tuple[int, str, str]:
    """Exit code, output, complaints."""
    feeding: dict[str, Any] = {"input": given} if isinstance(given, bytes) else {"stdin": given}
    ended = subprocess.run([*FIXBOARD, *arguments], capture_output=True, timeout=60, check=False, cwd=cwd, **feeding)
    return ended.returncode, ended.stdout.decode(), ended.stderr.decode()


def now(*arguments: str, given: bytes | BinaryIO | None = b"") -> tuple[int, dict[str, Any], str]:
    """`fixboard now --json`, its object taken apart."""
    code, out, complaints = run("now", "--json", *arguments, given=given)
    assert out.count("\n") == 1
    found: dict[str, Any] = json.loads(out)
    return code, found, complaints


@pytest.fixture
def kept_open() -> Any:
    """A pipe whose writing end the test holds: reading end, writing end."""
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as reader, os.fdopen(writing, "wb", buffering=0) as writer:
        yield reader, writer


def test_a_pipe_gives_its_first_satellite_fix(kept_open: tuple[BinaryIO, BinaryIO]) -> None:
    """At once: the other side need not close."""
    reader, writer = kept_open
    writer.write(VOID + burst(1) + burst(2) + burst(3) + burst(4))
    code, found, complaints = now("--from", "-", given=reader)
    assert (code, found["utc"], complaints) == (DONE, "2031-05-04T12:00:01.000Z", "")
    assert (found["latitude"], found["longitude"]) == (-47.300008333, -12.703333333)
    assert (found["altitude_m"], found["satellites_in_fix"], found["satellites_in_view"]) == (31.0, 8, 8)
    assert found["source"] == "standard input"


def test_a_pipe_that_pauses_gives_the_one_fix_it_has(kept_open: tuple[BinaryIO, BinaryIO]) -> None:
    reader, writer = kept_open
    writer.write(burst(7))
    code, found, _ = now("--from", "-", given=reader)
    assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:07.000Z")


def test_a_long_pipe_gives_its_first_fix_too() -> None:
    """However much of it comes at once."""
    code, found, _ = now("--from", "-", given=VOID * 3 + b"".join(burst(n) for n in range(1, 2000)))
    assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:01.000Z")


@pytest.mark.parametrize("given", [b"", VOID, b"\xff\x00noise" * 100, burst(1)[:40]])
def test_a_pipe_closed_before_a_fix(given: bytes) -> None:
    code, found, complaints = now("--from", "-", given=given)
    assert code == NO_FIX
    assert found["latitude"] is None and found["age_s"] is None
    assert "the other side has closed the pipe" in complaints


def test_a_pipe_that_never_brings_a_fix_is_waited_for(kept_open: tuple[BinaryIO, BinaryIO]) -> None:
    reader, writer = kept_open
    writer.write(VOID)
    code, found, complaints = now("--from", "-", "--wait", "0.5", given=reader)
    assert (code, found["mode"]) == (NO_FIX, "none")
    assert "no satellite fix from standard input within 0.5 s" in complaints


def test_a_pipe_needs_checksums_unless_told_otherwise() -> None:
    bare = b"".join(line.split(b"*")[0] + b"\r\n" for line in burst(1).splitlines())
    assert now("--from", "-", given=bare)[0] == NO_FIX
    assert now("--from", "-", "--checksums", "allow", given=bare)[0] == DONE


def test_a_file_on_standard_input_is_a_file(tmp_path: Path) -> None:
    """contract.md: of a file, the last fix in it."""
    file = tmp_path / "walk.nmea"
    file.write_bytes(burst(1) + burst(2) + VOID)
    with file.open("rb") as given:
        code, found, _ = now("--from", "-", given=given)
    assert (code, found["utc"], found["source"]) == (DONE, "2031-05-04T12:00:02.000Z", "standard input")
    by_name = now("--from", str(file))[1]
    assert {**found, "source": None} == {**by_name, "source": None}


def test_a_compressed_file_on_standard_input(tmp_path: Path) -> None:
    file = tmp_path / "walk.nmea.gz"
    file.write_bytes(gzip.compress(burst(1) + burst(2)))
    with file.open("rb") as given:
        code, found, _ = now("--from", "-", given=given)
    assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:02.000Z")


def test_a_file_without_checksums_on_standard_input(tmp_path: Path) -> None:
    file = tmp_path / "bare.nmea"
    file.write_bytes(b"".join(line.split(b"*")[0] + b"\r\n" for line in (burst(1) + burst(2)).splitlines()))
    with file.open("rb") as given:
        code, found, complaints = now("--from", "-", given=given)
    assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:02.000Z")
    assert "none of the first sentences has a checksum" in complaints
    with file.open("rb") as given:
        assert now("--from", "-", "--checksums", "require", given=given)[0] == NO_FIX


def test_the_rest_of_a_file_on_standard_input(tmp_path: Path) -> None:
    """A program before this one has read the beginning."""
    file = tmp_path / "walk.nmea"
    file.write_bytes(burst(1) + burst(2) + VOID)
    with file.open("rb", buffering=0) as given:
        given.seek(len(burst(1) + burst(2)))
        assert now("--from", "-", given=given)[0] == NO_FIX


def test_standard_input_that_is_closed() -> None:
    shell = f"{' '.join(FIXBOARD)} now --from - <&-"
    ended = subprocess.run(shell, shell=True, capture_output=True, text=True, cwd=ROOT, check=False)
    assert (ended.returncode, ended.stderr) == (UNUSABLE, "fixboard: there is no standard input: it has been closed\n")


def test_from_a_server() -> None:
    with Server() as server:

        def serve() -> None:
            with server.accept() as connection:
                connection.sendall(VOID + burst(1) + burst(2) + burst(3))
                connection.recv(1)

        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        code, found, _ = now("--from", f"tcp://{HERE}:{server.port}")
        assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:01.000Z")
        assert found["source"] == f"tcp://{HERE}:{server.port}"
        thread.join(30.0)


def test_from_a_server_without_a_fix() -> None:
    with Server() as server:
        threading.Thread(target=lambda: server.accept().sendall(VOID), daemon=True).start()
        code, found, complaints = now("--from", f"tcp://{HERE}:{server.port}", "--wait", "1")
        assert (code, found["latitude"]) == (NO_FIX, None)
        assert "within 1 s" in complaints


def test_a_server_that_is_not_there_is_unusable() -> None:
    code, found, complaints = now("--from", f"tcp://{HERE}:{free_port()}", "--wait", "0.3")
    assert (code, found["utc"]) == (UNUSABLE, None)
    assert "is the other program running" in complaints


def test_from_a_port_with_its_speed_found() -> None:
    with PtyReceiver(38400, 20.0, walk(20.0, without=3)) as receiver:
        code, found, _ = now("--from", receiver.device)
        assert (code, found["mode"]) == (DONE, "autonomous")
        assert found["source"] == f"{receiver.device} 38400 baud"
        assert receiver.heard == b""


def test_from_a_port_at_a_speed_that_is_given() -> None:
    with PtyReceiver(115200, 20.0) as receiver:
        code, found, _ = now("--from", receiver.device, "--baud", "115200")
        assert (code, found["satellites_in_fix"]) == (DONE, 8)


@pytest.mark.parametrize(("device", "words"), [("/dev/ttyQUENNET", "no such port"), ("/dev/null", "not a serial port")])
def test_a_port_that_cannot_be_used(device: str, words: str) -> None:
    code, _, complaints = now("--from", device, "--wait", "0.3")
    assert code == UNUSABLE
    assert words in complaints


@pytest.mark.parametrize(
    "arguments", [("--from", "tcp://nowhere"), ("--from", "udp://"), ("--wait", "soon"), ("--baud", "fast")]
)
def test_wrong_usage(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    try:
        code: object = main(["now", *arguments])
    except SystemExit as left:
        code = left.code
    assert (code, capsys.readouterr().out) == (WRONG, "")


def test_ports_as_json_are_a_list() -> None:
    code, out, _ = run("ports", "--json")
    assert code == DONE
    found = json.loads(out)
    assert list(found) == ["ports"]
    assert isinstance(found["ports"], list)


def test_live_refuses_what_is_not_live(tmp_path: Path) -> None:
    for name in ("-", str(tmp_path / "walk.nmea")):
        code, out, complaints = run("live", name)
        assert (code, out) == (WRONG, "")
        assert "is no live source" in complaints


def test_live_says_at_once_that_an_address_is_taken() -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind((HERE, 0))
        code, _, complaints = run("live", f"udp://:{other.getsockname()[1]}")
        assert code == UNUSABLE
        assert "another program listens" in complaints


def test_datagrams() -> None:
    port = free_port(socket.SOCK_DGRAM)
    stop = threading.Event()

    def send() -> None:
        second = 0
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
            while not stop.wait(0.05):
                sender.sendto(burst(second), (HERE, port))
                second += 1

    thread = threading.Thread(target=send)
    thread.start()
    try:
        code, found, _ = now("--from", f"udp://:{port}")
    finally:
        stop.set()
        thread.join()
    assert (code, found["source"]) == (DONE, f"udp://127.0.0.1:{port}")


def test_a_sentence_of_another_sort_changes_nothing() -> None:
    code, found, _ = now("--from", "-", given=sentence("PQXX,1") + burst(3) + sentence("GNTXT,01,01,02,invented"))
    assert (code, found["utc"]) == (DONE, "2031-05-04T12:00:03.000Z")


def test_waiting_can_be_interrupted() -> None:
    with PtyReceiver(9600, 10.0, walk(10.0, without=10**6)) as receiver:
        process = subprocess.Popen([*FIXBOARD, "now", "--from", receiver.device], cwd=ROOT, stderr=subprocess.PIPE)
        until(lambda: receiver.sent and receiver.heard_at() == 9600)
        process.send_signal(2)
        _, complaints = process.communicate(timeout=30)
        assert (process.returncode, complaints) == (130, b"")

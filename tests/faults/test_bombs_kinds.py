"""Files that are none, and names that hold anything, through every command that takes a file: words, and exit code 1.

One process a kind of file runs all commands in turn, so that one which waits for ever is found by its limit and the
suite does not start a hundred processes.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.running import LIMIT_S, Run, check_civil, environment, posix

pytestmark = posix
COMMANDS = (
    ("digest", "{}"), ("digest", "{}", "--json"), ("export", "{}", "--to", "gpx", "-o", "out.gpx"),
    ("export", "{}", "--to", "nmea"), ("report", "{}", "-o", "out.html"), ("chapters", "{}"),
    ("chapters", "{}", "--write"), ("now", "--from", "{}", "--wait", "0"), ("clock", "--from", "{}", "--wait", "0"),
    ("say", "--from", "{}", "--wait", "0"), ("position-text", "--from", "{}", "--wait", "0"), ("stations", "{}"),
    ("nearest", "10 N 20 W", "--list", "{}"), ("nearest", "--from", "{}", "--wait", "0"),
    ("rehearse", "{}", "-o", "out.nmea"), ("log", "show", "{}"), ("log", "at", "14:32", "--session", "{}"),
    ("replay", "{}"),
)  # fmt: skip
DRIVER = """
import json, os, sys
from tui.cli import main
for words in json.loads(sys.argv[1]):
    try:
        code = main([os.fsdecode(bytes.fromhex(word)) for word in words])
    except SystemExit as ended:
        code = ended.code
    sys.stdout.flush()
    print(f"<{code}>", file=sys.stderr, flush=True)
"""
"""Arguments come as figures: a name need not be UTF-8."""


def run_all(data: Path, name: bytes) -> list[tuple[tuple[str, ...], Run]]:
    """Every command with this name."""
    words = [[(name if word == "{}" else word.encode()).hex() for word in one] for one in COMMANDS]
    done = subprocess.run(
        [sys.executable, "-c", DRIVER, json.dumps(words)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        env=environment(data),
        cwd=data,
        timeout=LIMIT_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    runs: list[Run] = []
    said: list[bytes] = []
    for line in done.stderr.splitlines():
        if line.startswith(b"<") and line.endswith(b">"):
            runs.append(Run(int(line[1:-1]), b"", b"\n".join(said)))
            said = []
        else:
            said.append(line)
    check_civil(Run(0, done.stdout, done.stderr))
    return list(zip(COMMANDS, runs, strict=True))


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(path))


def _linked_pipe(path: Path) -> None:
    os.mkfifo(f"{path}.pipe")
    path.symlink_to(f"{path.name}.pipe")


KINDS: dict[str, Callable[[Path], object]] = {
    "a folder": Path.mkdir,
    "a pipe": os.mkfifo,
    "a socket": _socket,
    "a link to itself": lambda path: path.symlink_to(path.name),
    "a link to nowhere": lambda path: path.symlink_to("nowhere"),
    "a link to a pipe": _linked_pipe,
    "a link to an endless device": lambda path: path.symlink_to("/dev/zero"),
    "a link to a full device": lambda path: path.symlink_to("/dev/full"),
    "nothing": lambda path: path,
}


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_no_file_is_refused_by_every_command(tmp_path: Path, kind: str) -> None:
    KINDS[kind](tmp_path / "walk.csv")
    for words, run in run_all(tmp_path, b"walk.csv"):
        # A device may be a receiver: one that says nothing in time is contract.md's 3.
        assert run.code == 1 or (run.code == 3 and "device" in kind), (words, run.complaint)
        assert run.complaint, words
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("out")]


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/null", "/dev/full", "/dev", "/proc/self/mem", ""])
def test_a_device_is_refused_by_every_command(tmp_path: Path, name: str) -> None:
    for words, run in run_all(tmp_path, name.encode()):
        assert run.code in {1, 2, 3}, (words, run.complaint)
        assert run.complaint, words


NAMES = [
    b"a\nb.csv",
    b"\x1b[31mred\x1b]0;t\x07.csv",
    b"\xff\xfe\x80.csv",
    "\u202egpx.csv".encode(),
    b" ",
    b"x" * 255,
    b"'\"$(x).csv",
]


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_a_file_of_any_name_is_read_and_its_name_obeyed_by_no_terminal(tmp_path: Path, name: bytes) -> None:
    (Path(os.fsdecode(bytes(tmp_path) + b"/" + name))).write_bytes(
        b"$GPRMC,143210.00,A,1030.0000,N,02015.0000,W,1.2,90.0,040531,,,A*74\r\n" * 3
    )
    runs = dict(run_all(tmp_path, name))
    assert runs["digest", "{}"].code == 0
    assert runs["export", "{}", "--to", "nmea"].code == 0
    assert runs["report", "{}", "-o", "out.html"].code == 0
    assert runs["stations", "{}"].code == 1


TEXTS = {
    "utf-16": "call,lat,lon\r\nQX1ABC,10,20\r\n".encode("utf-16"),
    "utf-16 without a mark": "call,lat,lon\r\nQX1ABC,10,20\r\n".encode("utf-16-be"),
    "utf-32": "call,lat,lon\r\nQX1ABC,10,20\r\n".encode("utf-32"),
    "two marks": b"\xef\xbb\xbf\xef\xbb\xbfcall,lat,lon\nQX1ABC,10,20\n",
    "nul": b"call,lat,lon\0\nQX1\0ABC,10,20\n",
    "cr": b"call,lat,lon\rQX1ABC,10,20\r",
}


@pytest.mark.parametrize("kind", TEXTS)
def test_a_list_in_any_dress_is_read(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(TEXTS[kind])
    done = subprocess.run(
        [sys.executable, "-m", "tui", "stations", str(path), "--json"],
        stdin=subprocess.DEVNULL, capture_output=True, env=environment(tmp_path), timeout=LIMIT_S, check=False,
    )  # fmt: skip
    check_civil(Run(done.returncode, done.stdout, done.stderr))
    assert (done.returncode, json.loads(done.stdout)["lists"][0]["stations"]) == (0, 1), kind

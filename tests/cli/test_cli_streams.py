"""Outputs that are full, closed or gone, and file names that are not text."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import pytest

from tests.build import gga, lines, rmc
from tests.cli.running import asker, check_civil, command, environment, fixboard, posix

pytestmark = posix

FULL_DISK = Path("/dev/full")
WALK = Path(__file__).parents[1] / "data" / "synthetic" / "equator.nmea"
needs_full_disk = pytest.mark.skipif(not FULL_DISK.exists(), reason="no device here that is always full")


@needs_full_disk
@pytest.mark.parametrize(
    "arguments",
    [["digest", WALK, "--json"], ["digest", WALK], ["now", "--from", WALK, "--json"], ["--help"], ["now", "--help"]],
    ids=lambda arguments: " ".join(map(str, arguments[:1])),
)
def test_a_full_disk_is_exit_code_1_and_said(tmp_path: Path, arguments: list[str | Path]) -> None:
    with FULL_DISK.open("wb") as full:
        run = fixboard(tmp_path, *arguments, stdout=full)
    check_civil(run)
    assert run.code == 1
    assert run.complaint == "fixboard: the output could not be written (No space left on device): is there room?\n"


@needs_full_disk
def test_unbuffered_it_is_the_same(tmp_path: Path) -> None:
    with FULL_DISK.open("wb") as full:
        run = fixboard(tmp_path, "digest", WALK, stdout=full, env={"PYTHONUNBUFFERED": "1"})
    check_civil(run)
    assert run.code == 1
    assert "is there room?" in run.complaint


@needs_full_disk
def test_without_a_fix_a_full_disk_still_says_what_happened(tmp_path: Path) -> None:
    (tmp_path / "empty").write_bytes(b"")
    with FULL_DISK.open("wb") as full:
        run = fixboard(tmp_path, "now", "--json", "--from", tmp_path / "empty", stdout=full)
    check_civil(run)
    assert run.code == 1


@pytest.mark.parametrize(
    "arguments", [["digest", WALK], ["now", "--from", WALK, "--json"], ["--help"]], ids=["digest", "now", "help"]
)
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_reader_that_has_left_is_no_failure(tmp_path: Path, arguments: list[str | Path], unbuffered: str) -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        run = fixboard(tmp_path, *arguments, stdout=write_end, env={"PYTHONUNBUFFERED": unbuffered})
    finally:
        os.close(write_end)
    check_civil(run)
    assert (run.code, run.err) == (0, b"")


def closed(tmp_path: Path, redirection: str, *arguments: str | Path) -> tuple[int, bytes]:
    """Run with a stream closed as a shell closes it; exit code and what the two outputs had together."""
    shell = ["/bin/sh", "-c", f'exec "$@" {redirection}', "sh", *command(arguments)]
    done = subprocess.run(
        shell, env=environment(tmp_path), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False, timeout=120
    )
    return done.returncode, done.stdout


def test_a_closed_standard_error_leaves_the_output_clean(tmp_path: Path) -> None:
    code, out = closed(tmp_path, "2>&-", "digest", WALK, "--json")
    assert code == 0
    assert set(json.loads(out)) >= {"epochs"}
    (tmp_path / "empty").write_bytes(b"")
    code, out = closed(tmp_path, "2>&-", "now", "--from", tmp_path / "empty", "--json")
    assert code == 3
    assert json.loads(out)["latitude"] is None


def test_a_closed_standard_output_is_no_traceback(tmp_path: Path) -> None:
    assert closed(tmp_path, ">&-", "digest", WALK, "--json") == (0, b"")


def test_a_closed_standard_input_is_said(tmp_path: Path) -> None:
    code, out = closed(tmp_path, "<&-", "demo")
    assert code == 1
    assert b"the board needs a terminal" in out


# Names


def named(tmp_path: Path, name: bytes) -> bytes:
    """A recording of that name, where the file system allows it."""
    path = os.fsencode(tmp_path) + b"/" + name
    try:
        with open(path, "wb") as stream:  # noqa: PTH123  # pathlib has no names of bytes
            stream.write(lines(rmc(1), gga(1)))
    except OSError:
        pytest.skip("this file system has no such names")
    return path


NAMES = [
    b"caf\xe9.nmea",
    b"\xff\xfe",
    b"\x1b[31mred.nmea",
    b"two\nlines",
    b"\xc2\x9b31m",
    "h\u00fctte 山.nmea".encode(),
]


@pytest.mark.parametrize(("name", "locale"), [*((name, "C.UTF-8") for name in NAMES), (NAMES[0], "C")], ids=ascii)
def test_any_name_stands_in_the_json_and_can_be_had_back(tmp_path: Path, name: bytes, locale: str) -> None:
    path = named(tmp_path, name)
    run = fixboard(tmp_path, "now", "--json", "--from", path, env={"LC_ALL": locale})
    check_civil(run)
    assert (run.code, run.err) == (0, b"")
    assert run.out.isascii()
    assert os.fsencode(json.loads(run.out)["source"]) == path


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_any_name_can_be_shown(tmp_path: Path, name: bytes, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    ask, path = asker(capfdbinary), named(tmp_path, name)
    run = ask("now", "--from", path)
    check_civil(run)
    assert run.code == 0
    assert sum(text.startswith(b"source ") for text in run.out.splitlines()) == 1
    run.out.decode("utf-8", "strict")
    assert b"\xc2\x9b" not in run.out
    run = ask("digest", path + b" not there")
    check_civil(run)
    assert run.code == 1
    assert run.complaint.count("\n") == 1
    assert "there is no file" in run.complaint


def test_a_name_that_is_no_text_reaches_a_real_terminal_line_clean(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "now", "--from", named(tmp_path, NAMES[2] + NAMES[0]))
    check_civil(run)
    assert run.code == 0
    assert b"?[31mred" in run.out


def test_an_output_that_cannot_take_a_name_gets_a_stand_in(tmp_path: Path) -> None:
    path = named(tmp_path, "h\u00fctte.nmea".encode())
    run = fixboard(tmp_path, "now", "--from", path, env={"PYTHONIOENCODING": "ascii"})
    check_civil(run)
    assert run.code == 0
    assert b"h\\xfctte.nmea" in run.out

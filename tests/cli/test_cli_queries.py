"""`digest` and `now` as scripts use them: one JSON object or nothing, words on standard error, exit codes."""

from __future__ import annotations

import gzip
import json
import os
from pathlib import Path
from typing import Any

import pytest

from tests.build import gga, line, lines, rmc
from tests.cli.running import DEMO, Ask, Run, asker, check_civil, fixboard, posix
from tests.contract import check_digest, check_now

BARE = b"$GNGGA,000001.00,1030.0000,N,02015.0000,W,1,08,1.1,12.5,M,30.0,M,,\r\n"
FULL = lines(rmc(1), gga(1))


def object_of(run: Run) -> dict[str, Any]:
    """The one JSON object on standard output."""
    check_civil(run)
    assert run.out.endswith(b"\n")
    assert run.out.count(b"\n") == 1
    found: dict[str, Any] = json.loads(run.out)
    return found


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes]) -> Ask:
    return asker(capfdbinary)


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    path = tmp_path / "walk.nmea"
    path.write_bytes(FULL)
    return path


# What they print


@pytest.mark.parametrize("command", ["now", "digest"])
def test_the_ranging_error_that_is_set_counts(tmp_path: Path, walk: Path, command: str) -> None:
    arguments = ("now", "--from", walk, "--json") if command == "now" else ("digest", walk, "--json")

    def horizontal() -> float:
        error = object_of(fixboard(tmp_path, *arguments))["error_95_m"]
        return float(error["horizontal" if command == "now" else "median"])

    usual = horizontal()
    (tmp_path / "settings.toml").write_text("[ranging_error_m]\nautonomous = 8.0\n", encoding="utf-8")
    assert horizontal() == pytest.approx(2 * usual, rel=0.02)


def test_wrong_settings_are_named_and_end_the_command(tmp_path: Path, walk: Path) -> None:
    (tmp_path / "settings.toml").write_text("[ranging_error_m]\nautonomus = 8.0\n", encoding="utf-8")
    run = fixboard(tmp_path, "now", "--from", walk)
    assert run.code == 1
    assert "line 2: autonomus is not known: did you mean autonomous?" in run.complaint


def test_the_digest_of_the_demo(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "digest", DEMO, "--json")
    found = object_of(run)
    check_digest(found)
    assert (run.code, run.err) == (0, b"")
    assert found["epochs_with_fix"] > 700
    assert found["sentences"]["bad_checksum"] == 0


def test_the_last_fix_of_the_demo(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "now", "--from", DEMO, "--json")
    found = object_of(run)
    check_now(found)
    assert (run.code, run.err) == (0, b"")
    assert found["source"] == str(DEMO)
    assert found["mode"] == "autonomous"


def test_without_json_each_value_has_a_line_and_a_dash_is_unknown(ask: Ask, walk: Path) -> None:
    run = ask("now", "--from", walk)
    check_civil(run)
    shown = dict(text.split(maxsplit=1) for text in run.out.decode().splitlines() if len(text.split()) > 1)
    assert run.code == 0
    assert (shown["latitude"], shown["satellites_in_view"]) == ("10.5", "-")
    assert "[" not in run.out.decode()  # reasons: one after the other, as people write them
    run = ask("digest", walk)
    check_civil(run)
    assert run.code == 0
    assert b"epochs                    1\n" in run.out


def test_no_fix_is_exit_code_3_and_an_object_all_the_same(ask: Ask, walk: Path) -> None:
    walk.write_bytes(lines(rmc(1, status="V", more="N")))
    run = ask("now", "--from", walk, "--json")
    found = object_of(run)
    check_now(found)
    assert run.code == 3
    assert (found["latitude"], found["age_s"], found["mode"]) == (None, None, "none")
    assert run.complaint == f"fixboard: {walk} holds no satellite fix\n"


# What is no recording


@pytest.mark.parametrize(
    "content", [b"", bytes(range(256)) * 400, b"no sentence\n" * 50], ids=["empty", "binary", "text"]
)
def test_a_file_of_something_else_holds_nothing(ask: Ask, walk: Path, content: bytes) -> None:
    walk.write_bytes(content)
    run = ask("digest", walk, "--json")
    assert run.code == 0
    assert object_of(run)["epochs"] == 0
    run = ask("now", "--from", walk, "--json")
    assert run.code == 3
    assert object_of(run)["latitude"] is None


def unusable(tmp_path: Path, kind: str) -> Path:
    path = tmp_path / "file.nmea.gz"
    if kind == "folder":
        path.mkdir()
    elif kind == "gzip garbage":
        path.write_bytes(b"\x1f\x8b" + bytes(range(256)))
    elif kind == "half a gzip":
        path.write_bytes(gzip.compress(os.urandom(1000) + FULL)[:-200])
    elif kind == "pipe":
        os.mkfifo(path)
    return path


@posix
@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("missing", "there is no file"),
        ("folder", "is a folder"),
        ("gzip garbage", "is the file damaged?"),
        ("half a gzip", "is the file damaged?"),
        ("pipe", "is a pipe or device"),
    ],
)
def test_what_cannot_be_read_is_exit_code_1_with_words_and_no_output(
    ask: Ask, tmp_path: Path, kind: str, words: str
) -> None:
    path = unusable(tmp_path, kind)
    run = ask("digest", path, "--json")
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert run.complaint.startswith("fixboard: ")
    assert run.complaint.count("\n") == 1
    assert words in run.complaint
    assert str(path) in run.complaint


@pytest.mark.parametrize("kind", ["missing", "half a gzip"])
def test_now_says_the_same(ask: Ask, tmp_path: Path, kind: str) -> None:
    run = ask("now", "--json", "--from", unusable(tmp_path, kind))
    check_civil(run)
    assert (run.code, run.out) == (1, b"")
    assert str(tmp_path / "file.nmea.gz") in run.complaint


# Checksums, as the contract has them


@pytest.mark.parametrize(
    ("content", "option", "epochs", "warned"),
    [
        (BARE * 3, None, 1, True),
        (BARE * 3, "allow", 1, False),
        (BARE * 3, "require", 0, False),
        (BARE * 50 + FULL, None, 1, True),
        (BARE * 49 + line(gga(1)), None, 1, False),
        (BARE * 49 + line("GNTXT,01,01,02,hello"), None, 0, False),
        (BARE * 49 + line("GNTXT,01,01,02,hello"), "allow", 1, False),
    ],
)
def test_checksums_are_required_unless_the_first_fifty_have_none_or_the_user_allows(
    ask: Ask, walk: Path, *, content: bytes, option: str | None, epochs: int, warned: bool
) -> None:
    walk.write_bytes(content)
    run = ask("digest", walk, "--json", *(["--checksums", option] if option else []))
    found = object_of(run)
    assert run.code == 0
    assert found["epochs"] == epochs
    assert found["sentences"]["no_checksum"] == content.count(BARE)
    assert bool(run.err) is warned
    assert warned is ("none of the first sentences has a checksum" in run.complaint)


def test_now_warns_too_and_its_output_stays_clean(ask: Ask, walk: Path) -> None:
    walk.write_bytes(BARE)
    run = ask("now", "--json", "--from", walk)
    assert object_of(run)["latitude"] == 10.5
    assert run.code == 0
    assert "checksum" in run.complaint

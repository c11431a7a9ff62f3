"""Files made to fill a memory or to keep a reader busy for ever: refused in words, in a memory that is bounded.

Each command runs in a process of its own that may have no more than `MOST_BYTES` of addresses. What a file of the real
size takes (gigabytes unpacked) is marked slow; the suite has smaller ones of the same shape.
"""

from __future__ import annotations

import gzip
import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.cli.running import LIMIT_S, Run, check_civil, command, environment, posix

pytestmark = posix
MOST_BYTES = 700 * 1024 * 1024
"""Of addresses, libraries included: a command that does nothing has some 150 MB."""
GPX = b'<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="x">'
SENTENCE = b"$GPRMC,143210.00,A,1030.0000,N,02015.0000,W,1.2,90.0,040531,,,A*74\r\n"
MB = 1024 * 1024


def confined(data: Path, *arguments: str | Path, most: int = MOST_BYTES) -> Run:
    """A command with so many bytes of addresses at most."""
    return _run(data, command(arguments), most)


def read_by(data: Path, reader: str, path: Path) -> Run:
    """A function of the core, `module:name`, on a path, confined likewise: 1 and words where it refuses."""
    module, _, name = reader.partition(":")
    program = (
        f"import sys\nfrom pathlib import Path\nfrom core.errors import InputError\nfrom {module} import {name}\n"
        f"try:\n    {name}(Path(sys.argv[1]))\nexcept InputError as error:\n    sys.exit(f'refused: {{error}}')\n"
    )
    return _run(data, [sys.executable, "-c", program, str(path)], MOST_BYTES)


def _run(data: Path, words: list[str], most: int) -> Run:
    import resource

    done = subprocess.run(
        words,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        env=environment(data),
        cwd=data,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (most, most)),
        timeout=LIMIT_S,
        check=False,
    )
    return Run(done.returncode, done.stdout, done.stderr)


def gzipped(path: Path, block: bytes, times: int) -> None:
    """Packed piece by piece: what it unpacks to is never in a memory."""
    packer = zlib.compressobj(9, wbits=31)
    with path.open("wb") as stream:
        for _ in range(times):
            stream.write(packer.compress(block))
        stream.write(packer.flush())


class Bomb(NamedTuple):
    """One file."""

    name: str
    make: Callable[[Path], object]
    words: str
    """In the refusal."""


def of_bytes(name: str, content: Callable[[], bytes], words: str) -> Bomb:
    return Bomb(name, lambda path: path.write_bytes(content()), words)


XML = [
    of_bytes("laughs.gpx", lambda: _laughs(11), "document type"),
    of_bytes("outside.gpx", lambda: b'<!DOCTYPE gpx SYSTEM "file:///etc/hostname">' + GPX + b"</gpx>", "document type"),
    of_bytes("parameter.gpx", lambda: b'<!DOCTYPE gpx [<!ENTITY % a SYSTEM "x"> %a;]>' + GPX, "document type"),
    of_bytes("deep.gpx", lambda: GPX + b"<a>" * 100_000, "elements deep"),
    of_bytes("attributes.gpx", lambda: GPX + b"<wpt " + _attributes(1_000_000) + b"/></gpx>", "1000 attributes"),
    of_bytes("elements.gpx", lambda: GPX + b"<trk>" + b"<a/>" * 3_100_000, "3,000,000 elements"),
    of_bytes("half.gpx", lambda: GPX + b"<wpt lat='1' lon='2'><name>" + b"x" * 20_000_000, "not well-formed"),
    of_bytes(
        "odd.gpx", lambda: b'<?xml version="1.0" encoding="unicode_escape"?>' + GPX + b"\\ud800</gpx>", "encoding"
    ),
    of_bytes("nul.gpx", lambda: GPX + b"\0" * 1_000_000 + b"</gpx>", "not well-formed"),
    Bomb("gigabyte.gpx", lambda path: _sparse(path, GPX, 1024 * MB), "larger than 64 MB"),
]
JSON = [
    of_bytes(
        "brackets.geojson", lambda: b'{"type":"FeatureCollection","features":' + b"[" * 100_000, "nests too deeply"
    ),
    of_bytes(
        "lists.geojson", lambda: b'{"type":"FeatureCollection","features":[' + b"[]," * 9_000_000, "8,000,000 values"
    ),
    of_bytes("digits.geojson", lambda: b'{"type":"Point","coordinates":[1,' + b"9" * 1_000_000 + b"]}", "digits"),
    of_bytes("cut.geojson", lambda: b'{"type":"Point","coordinates":"' + b"x" * 30_000_000, "no JSON"),
    Bomb("gigabyte.geojson", lambda path: _sparse(path, b'{"type":"Point"', 1024 * MB), "larger than 64 MB"),
]
LISTS = [
    of_bytes("commas.csv", lambda: b"call,lat,lon\n" + b"," * 50_000_000, "too long"),
    of_bytes("cell.csv", lambda: b"call,lat,lon\nQX1ABC," + b"9" * 50_000_000, "too long"),
    of_bytes("columns.csv", lambda: b",".join(b"c%d" % n for n in range(100_000)) + b"\n" + b"1," * 100_000, "headers"),
    of_bytes("nothing.csv", lambda: b"\0" * 50_000_000, "headers"),
    Bomb("gigabyte.csv", lambda path: _sparse(path, b"call,lat,lon\n", 1024 * MB), "larger than 64 MB"),
]
TOML = [
    of_bytes("arrays.toml", lambda: b"title = " + b"[" * 100_000, "no TOML"),
    of_bytes("tables.toml", lambda: b"title = " + b"{a=" * 100_000, "no TOML"),
    of_bytes("dots.toml", lambda: b"a." * 200_000 + b"a = 1", "100 names"),
    of_bytes("header.toml", lambda: b"[" + b"a." * 200_000 + b"a]", "100 names"),
    of_bytes("key.toml", lambda: b"a" * 900_000 + b" = 1", "is not known"),
    of_bytes("number.toml", lambda: b"rate_hz = " + b"9" * 900_000, "digits"),
    of_bytes("hex.toml", lambda: b"rate_hz = 0x" + b"f" * 900_000, ""),
    of_bytes("wide.toml", lambda: "title = 'x'".encode("utf-16"), "cannot be read"),
    Bomb("gigabyte.toml", lambda path: _sparse(path, b"title = 'x'\n", 1024 * MB), "more than"),
]


def _laughs(rounds: int) -> bytes:
    entities = b"".join(b'<!ENTITY l%d "%b">' % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, rounds + 1))
    return b'<!DOCTYPE gpx [<!ENTITY l0 "ha">' + entities + b"]>" + GPX + b"&l%d;</gpx>" % rounds


def _attributes(count: int) -> bytes:
    return b" ".join(b'a%d="1"' % n for n in range(count))


def _sparse(path: Path, begin: bytes, size: int) -> None:
    """As large as it says, and on the disk as good as nothing."""
    with path.open("wb") as stream:
        stream.write(begin)
        stream.truncate(size)


def refused(run: Run, words: str) -> None:
    """In words, with exit code 1, in its memory."""
    check_civil(run)
    assert run.code == 1, run.complaint
    assert words in run.complaint
    assert len(run.complaint) < 1500
    assert "sys.set_int_max_str_digits" not in run.complaint


def laid(tmp_path: Path, bomb: Bomb) -> Path:
    path = tmp_path / bomb.name
    bomb.make(path)
    return path


@pytest.mark.parametrize("bomb", [*XML, *JSON, *LISTS], ids=lambda bomb: bomb.name)
def test_a_list_of_stations_that_is_a_bomb(tmp_path: Path, bomb: Bomb) -> None:
    refused(confined(tmp_path, "stations", laid(tmp_path, bomb)), bomb.words)


@pytest.mark.parametrize("bomb", [*XML[:4], XML[8], *JSON[:2], XML[-1], JSON[-1]], ids=lambda bomb: bomb.name)
def test_a_track_that_is_a_bomb(tmp_path: Path, bomb: Bomb) -> None:
    refused(read_by(tmp_path, "core.formats.given_track:read_track", laid(tmp_path, bomb)), bomb.words)


@pytest.mark.parametrize("bomb", [XML[0], XML[3], XML[5], XML[-1]], ids=lambda bomb: bomb.name)
def test_waypoints_that_are_a_bomb_are_said_and_left_as_they_are(tmp_path: Path, bomb: Bomb) -> None:
    path = laid(tmp_path, bomb._replace(name="waypoints.gpx"))
    size = path.stat().st_size
    refused(confined(tmp_path, "export", "--waypoints", "--to", "gpx", "-o", tmp_path / "out.gpx"), bomb.words)
    assert path.stat().st_size == size
    assert not (tmp_path / "out.gpx").exists()


@pytest.mark.parametrize("bomb", TOML, ids=lambda bomb: bomb.name)
def test_a_scenario_that_is_a_bomb(tmp_path: Path, bomb: Bomb) -> None:
    refused(confined(tmp_path, "rehearse", laid(tmp_path, bomb), "-o", tmp_path / "out.nmea"), bomb.words)
    assert not (tmp_path / "out.nmea").exists()


@pytest.mark.parametrize("bomb", [TOML[0], TOML[2], TOML[4], TOML[-1]], ids=lambda bomb: bomb.name)
def test_settings_that_are_a_bomb(tmp_path: Path, bomb: Bomb) -> None:
    laid(tmp_path, bomb._replace(name="settings.toml"))
    recording = tmp_path / "walk.nmea"
    recording.write_bytes(SENTENCE * 10)
    refused(confined(tmp_path, "report", recording, "-o", tmp_path / "out.html"), bomb.words)
    assert not (tmp_path / "out.html").exists()


# Packed recordings


@pytest.mark.parametrize("name", ["walk.nmea.gz", "walk.gpx", "walk.csv"])
@pytest.mark.parametrize("to", ["csv", "gpx"])
def test_a_packed_nothing_of_a_gigabyte_is_no_recording(tmp_path: Path, name: str, to: str) -> None:
    gzipped(tmp_path / name, bytes(MB), 1024)
    assert (tmp_path / name).stat().st_size < 2 * MB
    run = confined(tmp_path, "export", tmp_path / name, "--to", to, "-o", tmp_path / "out")
    refused(run, "64 MB without a sentence")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("words", [("digest",), ("chapters",), ("now", "--from"), ("clock", "--from")])
def test_every_command_says_so(tmp_path: Path, words: tuple[str, ...]) -> None:
    gzipped(tmp_path / "walk.nmea.gz", bytes(MB), 100)
    refused(confined(tmp_path, *words, tmp_path / "walk.nmea.gz"), "without a sentence")


def test_packed_in_packed_in_packed_is_no_recording_and_is_unpacked_once(tmp_path: Path) -> None:
    gzipped(tmp_path / "inner.gz", bytes(MB), 200)
    path = tmp_path / "walk.nmea.gz"
    path.write_bytes(gzip.compress(gzip.compress((tmp_path / "inner.gz").read_bytes())))
    run = confined(tmp_path, "digest", path, "--json")
    check_civil(run)
    assert run.code == 0
    assert b'"good": 0' in run.out


def test_a_logbook_with_bombs_in_it_is_listed(tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    folder.mkdir()
    (folder / "2031-05-04_120000_a.nmea").write_bytes(SENTENCE * 10)
    gzipped(folder / "2031-05-04_130000_b.nmea.gz", bytes(MB), 300)
    (folder / "summaries.json").write_bytes(b"[" * 1_000_000)
    (folder / "logbook.json").write_bytes(b'{"a":' * 1_000_000)
    run = confined(tmp_path, "log")
    check_civil(run)
    assert run.code == 0
    assert b"2031-05-04" in run.out
    assert b"holds no sentence" in run.out


def test_a_line_without_end_takes_no_memory(tmp_path: Path) -> None:
    gzipped(tmp_path / "walk.nmea.gz", b"$GPRMC," + b"9" * MB, 60)
    run = confined(tmp_path, "digest", tmp_path / "walk.nmea.gz", "--json")
    check_civil(run)
    assert run.code == 0
    assert b'"good": 0' in run.out


@pytest.mark.slow
def test_sentences_of_a_gigabyte_are_read_in_the_same_memory(tmp_path: Path) -> None:
    """A real day of a fast receiver has as much: it is no bomb, and takes its time."""
    gzipped(tmp_path / "walk.nmea.gz", SENTENCE * 15_000, 200)
    run = confined(tmp_path, "digest", tmp_path / "walk.nmea.gz", "--json", most=400 * MB)
    check_civil(run)
    assert run.code == 0


def test_a_quote_that_never_closes_swallows_no_row_of_a_long_list(tmp_path: Path) -> None:
    path = tmp_path / "quote.csv"
    path.write_bytes(b'call,lat,lon\n"QX1ABC,1,2\n' + b"QX2ABC,1,2\n" * 40_000)
    run = confined(tmp_path, "stations", path)
    check_civil(run)
    assert run.code == 0
    assert b"40001 stations" in run.out.replace(b"40,001", b"40001")
    assert b"a quote is not closed rightly" in run.out

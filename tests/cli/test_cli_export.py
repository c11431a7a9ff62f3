"""`fixboard export` as a shell runs it: files whole or not at all, bytes alone on standard output, words beside."""

from __future__ import annotations

import gzip
import signal
import subprocess
import time
from pathlib import Path

import gpxpy
import pytest

from core.fix import Position
from core.waypoint import Waypoint
from core.waypoints import Waypoints
from tests.cli.running import DEMO, Ask, asker, check_civil, command, environment, fixboard, posix
from tests.exported import fix_lines, recorded
from tests.walks import OCEAN, straight

FORMATS = ("gpx", "kml", "geojson", "csv", "nmea")


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    return asker(capfdbinary)


@pytest.fixture
def walk(tmp_path: Path) -> Path:
    return recorded(tmp_path / "walk.nmea", straight(OCEAN, 0.0, 60))


@pytest.mark.parametrize("to", FORMATS)
def test_a_file_is_written_and_said(ask: Ask, walk: Path, tmp_path: Path, to: str) -> None:
    out = tmp_path / f"out.{to}"
    run = ask("export", walk, "--to", to, "-o", out)
    check_civil(run)
    assert run.code == 0
    assert out.stat().st_size > 1000
    said = "122 sentences" if to == "nmea" else "61 points, 1 segment"
    assert run.out.decode().strip() == f"{out}: {said}"


@pytest.mark.parametrize("dash", [(), ("-o", "-")])
@pytest.mark.parametrize("to", FORMATS)
def test_without_a_file_the_bytes_alone_go_to_standard_output(
    ask: Ask, walk: Path, to: str, dash: tuple[str, ...]
) -> None:
    out = walk.with_name("out")
    ask("export", walk, "--to", to, "-o", out)
    run = ask("export", walk, "--to", to, *dash)
    assert run.code == 0
    assert run.out == out.read_bytes()
    assert "points" in run.complaint or "sentences" in run.complaint


def test_a_name_that_ends_in_gz_is_compressed(ask: Ask, walk: Path, tmp_path: Path) -> None:
    ask("export", walk, "--to", "gpx", "-o", tmp_path / "a.gpx.gz")
    ask("export", walk, "--to", "gpx", "-o", tmp_path / "a.gpx")
    assert gzip.decompress((tmp_path / "a.gpx.gz").read_bytes()) == (tmp_path / "a.gpx").read_bytes()


def test_what_is_there_stays_unless_force_says_otherwise(ask: Ask, walk: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gpx"
    out.write_bytes(b"mine")
    run = ask("export", walk, "--to", "gpx", "-o", out)
    assert (run.code, out.read_bytes()) == (1, b"mine")
    assert "--force" in run.complaint
    assert ask("export", walk, "--to", "gpx", "-o", out, "--force").code == 0
    assert out.read_bytes().startswith(b"<?xml")


def test_neither_the_recording_nor_what_fixboard_keeps_can_be_written_over(
    ask: Ask, walk: Path, tmp_path: Path
) -> None:
    places = tmp_path / "data" / "waypoints.gpx"
    Waypoints(places).add(Waypoint("Hut", Position(1.0, 2.0)))
    link = tmp_path / "link.nmea"
    link.hardlink_to(walk)
    other = tmp_path / "data" / "recordings" / "other.nmea"
    other.parent.mkdir()
    other.write_bytes(b"somebody's day")
    for out in (walk, link, places, other):
        before = out.read_bytes()
        run = ask("export", walk, "--to", "gpx", "-o", out, "--force")
        assert (run.code, out.read_bytes()) == (1, before)
        assert "choose another name" in run.complaint


def test_nothing_to_export_leaves_no_file_and_says_why(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "void.nmea"
    path.write_bytes(fix_lines(0.0, OCEAN, "0") + fix_lines(1.0, OCEAN, "7"))
    run = ask("export", path, "--to", "gpx", "-o", tmp_path / "out.gpx")
    check_civil(run)
    assert run.code == 1
    assert "put in by hand" in run.complaint
    assert [one.name for one in tmp_path.iterdir() if one.is_file()] == ["void.nmea"]
    assert ask("export", path, "--to", "gpx").out == b""


def test_a_failed_export_leaves_what_was_there_even_with_force(ask: Ask, tmp_path: Path) -> None:
    path, out = tmp_path / "void.nmea", tmp_path / "out.gpx"
    path.write_bytes(fix_lines(0.0, OCEAN, "0"))
    out.write_bytes(b"mine")
    assert ask("export", path, "--to", "gpx", "-o", out, "--force").code == 1
    assert out.read_bytes() == b"mine"


def test_a_recording_that_breaks_off_leaves_no_half_export(ask: Ask, tmp_path: Path) -> None:
    whole = gzip.compress(b"".join(fix_lines(s, OCEAN) for s in range(5000)))
    path = tmp_path / "torn.nmea.gz"
    path.write_bytes(whole[: len(whole) // 2])
    run = ask("export", path, "--to", "gpx", "-o", tmp_path / "out.gpx", "--checksums", "require")
    check_civil(run)
    assert run.code == 1
    assert "damaged" in run.complaint
    assert not [one for one in tmp_path.iterdir() if "out.gpx" in one.name]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--to", "nmea", "--simplify", "5m"), "measurements"),
        (("--to", "gpx", "--every", "ten"), "write 10s"),
        (("--to", "gpx", "--trim-ends", "10s"), "no distance"),
        (("--to", "gpx", "--since", "noon"), "write 14:32"),
        (("--to", "gpx", "--since", "2031-05-05", "--until", "2031-05-04"), "before --since"),
        (("--to", "nmea", "--waypoints"), "own sentences"),
        (("--to", "csv", "--waypoints"), "one table"),
        (("--to", "docx"), "invalid choice"),
        (("--to", "gpx", "--only", "doubtful"), "invalid choice"),
        ((), "--to"),
    ],
)
def test_wrong_usage_is_2_and_says_what_would_be_right(ask: Ask, walk: Path, more: tuple[str, ...], words: str) -> None:
    run = ask("export", walk, *more)
    check_civil(run)
    assert run.code == 2
    assert words in run.complaint
    assert not run.out


def test_without_a_recording_only_waypoints_can_be_exported(ask: Ask) -> None:
    assert ask("export", "--to", "gpx").code == 2
    run = ask("export", "--to", "gpx", "--waypoints")
    assert (run.code, run.out) == (1, b"")
    assert "no waypoints" in run.complaint
    assert ask("export", "--to", "gpx", "--waypoints", "--every", "10s").code == 2


@pytest.mark.parametrize("to", ["gpx", "kml", "geojson", "csv"])
def test_waypoints_alone_go_into_every_format_that_has_places(ask: Ask, tmp_path: Path, to: str) -> None:
    Waypoints(tmp_path / "data" / "waypoints.gpx").add(Waypoint("Hut & <7>", Position(1.0, 2.0), note="warm"))
    run = ask("export", "--waypoints", "--to", to)
    assert run.code == 0
    assert b"Hut" in run.out
    assert b"warm" in run.out
    if to == "gpx":
        [found] = gpxpy.parse(run.out.decode()).waypoints
        assert (found.name, found.latitude, found.longitude) == ("Hut & <7>", 1.0, 2.0)


def test_waypoints_beside_a_track(ask: Ask, walk: Path, tmp_path: Path) -> None:
    Waypoints(tmp_path / "data" / "waypoints.gpx").add(Waypoint("Hut", Position(1.0, 2.0)))
    run = ask("export", walk, "--waypoints", "--to", "gpx", "--every", "10s")
    found = gpxpy.parse(run.out.decode())
    assert (len(found.waypoints), len(list(found.walk()))) == (1, 7)


@pytest.mark.parametrize(
    ("name", "words"), [("nowhere.nmea", "no file"), ("data", "folder")], ids=["missing", "folder"]
)
def test_a_recording_that_cannot_be_read_is_1(ask: Ask, tmp_path: Path, name: str, words: str) -> None:
    (tmp_path / "data").mkdir()
    run = ask("export", tmp_path / name, "--to", "gpx")
    check_civil(run)
    assert run.code == 1
    assert words in run.complaint


def test_a_place_that_cannot_be_written_is_1(ask: Ask, walk: Path, tmp_path: Path) -> None:
    for out in (tmp_path / "no" / "such" / "out.gpx", tmp_path, tmp_path / "nul\0l"):
        run = ask("export", walk, "--to", "gpx", "-o", out)
        check_civil(run)
        assert run.code == 1


def test_a_file_without_checksums_is_read_with_a_warning(ask: Ask, tmp_path: Path) -> None:
    path = tmp_path / "bare.nmea"
    path.write_bytes(b"$GNGGA,000001.00,1030.0000,N,02015.0000,W,1,08,1.1,12.5,M,30.0,M,,\r\n")
    run = ask("export", path, "--to", "csv")
    assert run.code == 0
    assert "checksum" in run.complaint
    assert run.out.count(b"\r\n") == 2


def test_a_rehearsal_says_so_in_its_export(ask: Ask) -> None:
    ferry = DEMO.with_name("ferry.nmea.gz")
    assert b"<name>REHEARSAL: ferry" in ask("export", ferry, "--to", "gpx", "--every", "1h").out


@posix
def test_a_reader_that_leaves_is_no_error(tmp_path: Path) -> None:
    with subprocess.Popen(
        command(["export", DEMO, "--to", "csv"]),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(tmp_path),
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline().startswith(b"segment,")
        process.stdout.close()
        errors = process.stderr.read()
        assert process.wait(60) == 0
    assert b"Traceback" not in errors


@posix
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_is_said(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        run = fixboard(tmp_path, "export", DEMO, "--to", "csv", stdout=full)
    check_civil(run)
    assert run.code == 1
    assert "room" in run.complaint


@posix
def test_interrupted_nothing_is_left(tmp_path: Path) -> None:
    long = tmp_path / "long.nmea"
    one_day = b"".join(fix_lines(float(s), OCEAN) for s in range(0, 86_400))
    long.write_bytes(one_day)
    folder = tmp_path / "out"
    folder.mkdir()
    process = subprocess.Popen(
        command(["export", long, "--to", "gpx", "-o", folder / "out.gpx"]),
        stderr=subprocess.PIPE,
        env=environment(tmp_path),
    )
    ends = time.monotonic() + 60
    while not any(one.stat().st_size for one in folder.iterdir()) and time.monotonic() < ends:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert b"Traceback" not in errors
    assert not list(folder.iterdir())


def test_a_track_of_another_program_is_told_from_a_recording(ask: Ask, walk: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gpx"
    ask("export", walk, "--to", "gpx", "-o", out)
    run = ask("export", out, "--to", "kml")
    assert run.code == 1
    assert "a track already" in run.complaint

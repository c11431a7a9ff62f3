"""`fixboard report`: a recording in, one page out, and nothing that was there before lost."""

from __future__ import annotations

import gzip
import os
from pathlib import Path

import pytest

from core.rehearsal.run import rehearse
from core.rehearsal.scenario import read_scenario
from core.report.model import Report
from core.report.page import page
from tests.cli.running import Ask, check_civil, fixboard, posix
from tests.rehearsed import AT_THE_GATE
from tests.reports import At, Read, north, read_as_xml, recorded
from tui import cli_report

WALK = recorded(lambda second: At(north(1.49 * second), 2.9), range(120))


@pytest.fixture
def walk(tmp_path: Path, data_apart: None) -> Path:
    path = tmp_path / "walk.nmea"
    path.write_bytes(WALK)
    return path


def test_a_recording_becomes_a_page(walk: Path, tmp_path: Path) -> None:
    """As from a shell."""
    out = tmp_path / "walk.html"
    run = fixboard(tmp_path, "report", walk, "-o", out)
    check_civil(run)
    assert (run.code, run.err) == (0, b"")
    assert f"{out}: {out.stat().st_size} bytes".encode() in run.out
    assert b"where you were" in run.out
    found = out.read_text("utf-8")
    read_as_xml(found)
    assert "Session report: walk.nmea" in Read(found).text
    assert str(tmp_path) not in found


def test_packed_or_not_it_is_the_same_page_but_for_its_name(walk: Path, tmp_path: Path, ask: Ask) -> None:
    packed = tmp_path / "walk.nmea.gz"
    packed.write_bytes(gzip.compress(WALK))
    pages = [tmp_path / "a.html", tmp_path / "b.html"]
    for path, out in zip((walk, packed), pages, strict=True):
        assert ask("report", path, "-o", out).code == 0
    first, second = (out.read_text("utf-8") for out in pages)
    assert second.replace("walk.nmea.gz", "walk.nmea") == first


def test_a_rehearsal_is_called_one(walk: Path, tmp_path: Path, ask: Ask) -> None:
    path, out = tmp_path / "gate.nmea", tmp_path / "gate.html"
    path.write_bytes(b"".join(rehearse(read_scenario(AT_THE_GATE, "gate.toml"))))
    assert ask("report", path, "-o", out).code == 0
    assert "REHEARSAL: Session report" in Read(out.read_text("utf-8")).text


def test_what_is_there_is_left_alone_unless_forced(walk: Path, tmp_path: Path, ask: Ask) -> None:
    out = tmp_path / "walk.html"
    assert ask("report", walk, "-o", out).code == 0
    first = out.read_bytes()
    run = ask("report", walk, "-o", out)
    assert (run.code, run.out) == (1, b"")
    assert "--force" in run.complaint
    assert ask("report", walk, "-o", out, "--force").code == 0
    assert out.read_bytes() == first


@pytest.mark.parametrize("content", [b"my notes", WALK, b"", b"<!DOCTYPE html>\n<title>mine</title>"])
def test_force_replaces_nothing_but_a_report(walk: Path, tmp_path: Path, ask: Ask, content: bytes) -> None:
    out = tmp_path / "notes.html"
    out.write_bytes(content)
    run = ask("report", walk, "-o", out, "--force")
    assert run.code == 1
    assert "no report" in run.complaint
    assert out.read_bytes() == content


def test_the_recording_itself_is_never_the_page(walk: Path, ask: Ask) -> None:
    assert ask("report", walk, "-o", walk, "--force").code == 1
    assert walk.read_bytes() == WALK


def test_a_folder_is_no_page(walk: Path, tmp_path: Path, ask: Ask) -> None:
    (tmp_path / "folder").mkdir()
    for more in ([], ["--force"]):
        run = ask("report", walk, "-o", tmp_path / "folder", *more)
        assert run.code == 1
        check_civil(run)


def test_a_folder_that_is_not_there_is_said_and_nothing_is_left(walk: Path, tmp_path: Path, ask: Ask) -> None:
    before = sorted(tmp_path.rglob("*"))
    run = ask("report", walk, "-o", tmp_path / "none" / "walk.html")
    assert run.code == 1
    assert "could not be written" in run.complaint
    assert sorted(tmp_path.rglob("*")) == before


def test_a_file_that_comes_meanwhile_is_not_replaced(
    walk: Path, tmp_path: Path, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "walk.html"

    def slow(report: Report, version: str) -> str:
        out.write_bytes(b"somebody else's")
        return page(report, version)

    monkeypatch.setattr(cli_report, "page", slow)
    run = ask("report", walk, "-o", out)
    assert run.code == 1
    assert out.read_bytes() == b"somebody else's"


def test_a_damaged_file_leaves_no_page(walk: Path, tmp_path: Path, ask: Ask) -> None:
    packed, out = tmp_path / "cut.nmea.gz", tmp_path / "cut.html"
    packed.write_bytes(gzip.compress(WALK)[:-2000])
    run = ask("report", packed, "-o", out)
    check_civil(run)
    assert run.code == 1
    assert "damaged" in run.complaint
    assert not out.exists()


@pytest.mark.parametrize(
    "usage",
    [(["report"], 2), (["report", "walk.nmea"], 2), (["report", "none.nmea", "-o", "x.html"], 1)],
)
def test_wrong_usage_and_missing_files_have_their_codes(
    walk: Path, ask: Ask, monkeypatch: pytest.MonkeyPatch, usage: tuple[list[str], int]
) -> None:
    arguments, code = usage
    monkeypatch.chdir(walk.parent)
    run = ask(*arguments)
    check_civil(run)
    assert run.code == code
    assert not Path("x.html").exists()


@pytest.mark.parametrize("content", [b"", b"\x00\xff" * 500, b"<gpx/>", b"$GPGGA,damaged*00\r\n"])
def test_what_holds_no_sentence_is_no_recording(walk: Path, tmp_path: Path, ask: Ask, content: bytes) -> None:
    path, out = tmp_path / "x.gpx", tmp_path / "x.html"
    path.write_bytes(content)
    run = ask("report", path, "-o", out)
    check_civil(run)
    assert run.code == 1
    assert "no sentence" in run.complaint
    assert not out.exists()


@posix
def test_a_name_of_any_bytes_stays_text(walk: Path, tmp_path: Path, ask: Ask) -> None:
    name = b"<b>\xff\x1b[2J\xe2\x80\xae.nmea"
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
    try:
        path.write_bytes(WALK)
    except OSError:
        pytest.skip("this file system takes no such name")
    out = tmp_path / "odd.html"
    run = ask("report", path, "-o", out)
    check_civil(run)
    assert run.code == 0
    read = Read(out.read_text("utf-8"))
    assert not read.all("b")
    assert "<b>\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER}[2J\N{REPLACEMENT CHARACTER}.nmea" in read.text

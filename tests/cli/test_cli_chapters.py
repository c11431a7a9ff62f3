"""`fixboard chapters`: proposals on the screen, as JSON, in a file; and nothing that was there before lost."""

from __future__ import annotations

import gzip
import json
from datetime import timedelta
from pathlib import Path

import pytest

from core.chapter_file import read_entries
from tests.cli.running import DEMO, Ask, check_civil, fixboard
from tests.logbooks import NOON, epoch
from tui.screens.board import PAGES

WALK = b"".join(epoch(NOON + timedelta(seconds=n), n, fix=not 60 <= n < 100) for n in range(200))


@pytest.fixture
def walk(tmp_path: Path, data_apart: None) -> Path:
    path = tmp_path / "walk.nmea"
    path.write_bytes(WALK)
    return path


def test_it_prints_what_it_would_write(walk: Path, tmp_path: Path) -> None:
    """As from a shell."""
    run = fixboard(tmp_path, "chapters", walk)
    check_civil(run)
    assert (run.code, run.err) == (0, b"")
    out = tmp_path / "walk.chapters.toml"
    assert not out.exists()
    out.write_bytes(run.out)
    titles = [entry.title for entry in read_entries(out, PAGES)]
    assert "Fix lost for 40 s" in titles


def test_written_it_is_beside_the_recording_packed_or_not(walk: Path, tmp_path: Path, ask: Ask) -> None:
    packed = tmp_path / "packed.nmea.gz"
    packed.write_bytes(gzip.compress(WALK))
    for path, name in ((walk, "walk"), (packed, "packed")):
        run = ask("chapters", path, "--write")
        assert run.code == 0
        assert f"{name}.chapters.toml".encode() in run.out
    first, second = (read_entries(tmp_path / f"{name}.chapters.toml", PAGES) for name in ("walk", "packed"))
    assert first == second != ()


def test_json_is_one_object_with_null_for_what_is_not_given(walk: Path, ask: Ask) -> None:
    found = json.loads(ask("chapters", walk, "--json").out)
    assert sorted(found) == ["chapters", "duration_s", "written"]
    assert found["duration_s"] == 199.0
    assert found["written"] is None
    assert all(sorted(one) == ["at_s", "mask_deg", "pace", "page", "title", "words"] for one in found["chapters"])
    assert {one["mask_deg"] for one in found["chapters"]} == {None}
    assert [one["at_s"] for one in found["chapters"] if "lost" in one["title"]] == [57.0]


def test_your_own_are_left_alone_unless_forced_and_kept_even_then(walk: Path, ask: Ask) -> None:
    out = walk.with_name("walk.chapters.toml")
    out.write_text("# mine\n")
    run = ask("chapters", walk, "--write")
    assert run.code == 1
    assert "exists already" in run.complaint
    assert out.read_text() == "# mine\n"
    assert ask("chapters", walk, "--write", "--force").code == 0
    assert read_entries(out, PAGES)
    assert walk.with_name("walk.chapters.toml.bak").read_text() == "# mine\n"


def test_force_without_write_is_wrong_usage(walk: Path, ask: Ask) -> None:
    run = ask("chapters", walk, "--force")
    assert run.code == 2
    assert "--write" in run.complaint


def test_a_folder_in_its_place_is_no_chapter_file(walk: Path, ask: Ask) -> None:
    walk.with_name("walk.chapters.toml").mkdir()
    assert "exists already" in ask("chapters", walk, "--write").complaint
    assert "folder" in ask("chapters", walk, "--write", "--force").complaint


@pytest.mark.parametrize("content", [b"", b"\x1b[2J\xff\x00" * 3000], ids=["nothing", "binary"])
def test_what_holds_nothing_is_refused(tmp_path: Path, ask: Ask, content: bytes) -> None:
    path = tmp_path / "x.nmea"
    path.write_bytes(content)
    run = ask("chapters", path, "--write")
    check_civil(run)
    assert run.code == 1
    assert not path.with_name("x.chapters.toml").exists()


def test_what_is_not_there_is_said(tmp_path: Path, ask: Ask) -> None:
    run = ask("chapters", tmp_path / "none.nmea")
    assert run.code == 1
    assert "no file" in run.complaint


def test_the_demo_has_its_moments(ask: Ask) -> None:
    found = json.loads(ask("chapters", DEMO, "--json").out)
    assert {"First fix", "Fix lost for 42 s", "Fix back"} <= {one["title"] for one in found["chapters"]}

"""The user's units in the shell where they were missing: the page of a report, remarks on a position text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.units import METRIC, use
from tests.cli.running import Ask, asker
from tests.reports import At, Read, north, recorded

WALK = recorded(lambda second: At(north(1.49 * second), 2.9), range(120))


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Ask]:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    (tmp_path / "data").mkdir()
    yield asker(capfdbinary)
    use(METRIC)


def set_units(folder: Path, system: str) -> None:
    (folder / "data" / "settings.toml").write_text(f'[units]\nsystem = "{system}"\n', encoding="utf-8")


def test_a_report_speaks_the_user_s_units(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "walk.nmea").write_bytes(WALK)
    found = {}
    for system in ("metric", "statute"):
        set_units(tmp_path, system)
        out = tmp_path / f"{system}.html"
        assert ask("report", tmp_path / "walk.nmea", "-o", out).code == 0
        found[system] = Read(out.read_text("utf-8")).text
    assert "5.4 km/h" in found["metric"]
    assert "3.3 mph" in found["statute"]
    assert "km/h" not in found["statute"]


def test_remarks_on_a_position_text_speak_them_and_the_text_stays(ask: Ask, tmp_path: Path) -> None:
    said = {}
    for system in ("metric", "statute"):
        set_units(tmp_path, system)
        said[system] = ask("position-text", "--at", "60 N 10 W", "--ambiguity", "2")
    assert "east by 1853 m" in said["metric"].complaint
    assert "west to east by 60" in said["statute"].complaint
    assert " ft" in said["statute"].complaint
    assert said["statute"].out == said["metric"].out != b""


@pytest.mark.parametrize(("level", "words"), [("2", "by 1853 m"), ("4", "by 111.2 km")])
def test_a_box_is_told_to_the_metre_while_that_can_be_read(ask: Ask, tmp_path: Path, level: str, words: str) -> None:
    set_units(tmp_path, "metric")
    assert words in ask("position-text", "--at", "60 N 10 W", "--ambiguity", level).complaint

"""Settings in the shell: units for people and SI for programs, folders elsewhere, slips that are said."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.units import METRIC, use
from tests.cli.running import Ask, asker

STATIONS = "call,name,output,lat,lon\nQX1AA,Ridge,145.6,41.10000,179.90000\n"


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Ask]:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path / "data"))
    yield asker(capfdbinary)
    use(METRIC)


def settings(folder: Path, text: str) -> None:
    (folder / "data").mkdir(exist_ok=True)
    (folder / "data" / "settings.toml").write_text(text, encoding="utf-8")


def test_tables_are_in_the_user_s_units_and_json_is_si(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "mine.csv").write_text(STATIONS)
    near = ("nearest", "41.0 N 179.9 E", "--list", tmp_path / "mine.csv")
    before = ask(*near, "--json").out
    assert b" km" in ask(*near).out
    settings(tmp_path, '[units]\nsystem = "nautical"\n')
    assert b"6.00 NM" in ask(*near).out  # six minutes of latitude
    assert ask(*near, "--json").out == before


def test_the_beam_s_sheet_is_in_the_user_s_units(ask: Ask, tmp_path: Path) -> None:
    settings(tmp_path, '[units]\ndistance = "mi"\n')
    run = ask("beam", "41.0 N 179.9 E", "43.0 N 170.0 E")
    assert b" mi" in run.out
    assert json.loads(ask("beam", "41.0 N 179.9 E", "43.0 N 170.0 E", "--json").out)["distance_m"] > 800_000


def test_lists_of_stations_are_read_where_the_settings_say(ask: Ask, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.mkdir()
    (there / "mine.csv").write_text(STATIONS)
    assert ask("nearest", "41.0 N 179.9 E").code == 1
    settings(tmp_path, f"[folders]\nstations = '{there}'\n")
    assert b"QX1AA" in ask("nearest", "41.0 N 179.9 E").out


def test_recordings_elsewhere_are_listed_and_not_written_over(ask: Ask, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.mkdir()
    settings(tmp_path, f"[folders]\nrecordings = '{there}'\n")
    kept = there / "2031-05-04T12-00-00Z_x.nmea"
    kept.write_bytes(b"$GNZDA,120000.00,04,05,2031,00,00*76\r\n")
    run = ask("export", "--to", "gpx", "--force", "-o", kept, kept)
    assert run.code != 0
    assert kept.read_bytes().startswith(b"$GNZDA")
    assert ask("log").code == 0


@pytest.mark.parametrize("command", [("log",), ("nearest", "41.0 N 179.9 E")])
def test_a_slip_in_the_settings_is_said_with_its_line(ask: Ask, tmp_path: Path, command: tuple[str, ...]) -> None:
    settings(tmp_path, '[units]\nsystem = "statut"\n')
    run = ask(*command)
    assert run.code == 1
    assert run.complaint.count("line 2: system is 'statut': did you mean statute?") == 1

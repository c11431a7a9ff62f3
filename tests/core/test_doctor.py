"""The doctor: each trouble that keeps a board from running is named with its remedy, and nothing is changed."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.doctor.computer import computer
from core.doctor.examination import examine, worst
from core.doctor.files import files
from core.doctor.finding import Finding, Grade, Surroundings
from core.doctor.serial_ports import serial_ports
from core.doctor.terminal import terminal
from core.locations import NO_HOME, Locations
from core.sources.ports import Port

AT = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
"""An invented day."""


def surroundings(folder: Path, **changes: object) -> Surroundings:
    usual = Surroundings({"TERM": "xterm-256color"}, "linux", (3, 12, 1), "utf-8", (120, 40), Locations(folder), (), AT)
    return usual._replace(**changes)  # type: ignore[arg-type]  # as the fields have it


def found(findings: list[Finding], words: str) -> Finding:
    return next(one for one in findings if words in one.found)


# Terminal


def test_a_usual_terminal_is_fine(tmp_path: Path) -> None:
    assert {one.grade for one in terminal(surroundings(tmp_path))} == {Grade.FINE}


@pytest.mark.parametrize("term", ["dumb", ""])
def test_a_terminal_that_only_prints_is_sent_to_now(tmp_path: Path, term: str) -> None:
    (only,) = terminal(surroundings(tmp_path, environment={"TERM": term}))
    assert only.grade is Grade.MEND
    assert "fixboard now" in only.remedy


def test_a_console_of_windows_needs_no_term(tmp_path: Path) -> None:
    assert worst(tuple(terminal(surroundings(tmp_path, environment={}, platform="win32")))) is Grade.FINE


def test_no_terminal_is_said(tmp_path: Path) -> None:
    (only,) = terminal(surroundings(tmp_path, size=None))
    assert only.grade is Grade.NOTE


@pytest.mark.parametrize(
    ("changes", "words", "remedy"),
    [
        ({"size": (60, 20)}, "60 columns, 20 rows", "80 by 24"),
        ({"encoding": "ascii"}, "ascii", "LANG=C.UTF-8"),
        ({"environment": {"TERM": "linux"}}, "linux console", "--glyphs plain"),
    ],
)
def test_what_could_be_better_is_noted(tmp_path: Path, changes: dict[str, object], words: str, remedy: str) -> None:
    finding = found(list(terminal(surroundings(tmp_path, **changes))), words)
    assert finding.grade is Grade.NOTE
    assert remedy in finding.remedy


@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"TERM": "xterm", "COLORTERM": "truecolor"}, "16 million"),
        ({"TERM": "tmux-256color"}, "256"),
        ({"TERM": "xterm"}, "16 colours"),
        ({"TERM": "xterm", "NO_COLOR": "1"}, "NO_COLOR"),
    ],
)
def test_colours_are_told(tmp_path: Path, environment: dict[str, str], words: str) -> None:
    assert found(list(terminal(surroundings(tmp_path, environment=environment))), words).grade is Grade.FINE


# Ports


def test_no_port_says_what_to_do(tmp_path: Path) -> None:
    (only,) = serial_ports(surroundings(tmp_path))
    assert only.grade is Grade.NOTE
    assert "plug" in only.remedy


def test_a_port_that_may_be_opened_is_fine(tmp_path: Path) -> None:
    leader, follower = os.openpty()
    try:
        device = os.ttyname(follower)
        (only,) = serial_ports(surroundings(tmp_path, ports=(Port(device, "Quill receiver"),)))
        assert only.grade in {Grade.FINE, Grade.NOTE}  # somebody else's process may look at it
        assert device in only.found
        assert "Quill receiver" in only.found
    finally:
        os.close(leader)
        os.close(follower)


def test_a_port_of_others_names_the_group_to_join(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    device = tmp_path / "ttyQ0"
    device.touch(mode=0o640)
    monkeypatch.setattr("core.doctor.serial_ports.os.access", lambda *_: False)
    monkeypatch.setattr("core.doctor.serial_ports._group", lambda _: "dialout")
    (only,) = serial_ports(surroundings(tmp_path, ports=(Port(str(device)),)))
    assert only.grade is Grade.MEND
    assert "usermod -aG dialout" in only.remedy


def test_a_port_that_has_gone_is_no_crash(tmp_path: Path) -> None:
    (only,) = serial_ports(surroundings(tmp_path, ports=(Port(str(tmp_path / "gone")),)))
    assert only.grade is Grade.MEND


# Files


def test_a_folder_not_made_yet_is_fine_and_not_made(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "yet"
    assert found(list(files(surroundings(folder))), "when something is first kept").grade is Grade.FINE
    assert not folder.parent.exists()


def test_a_file_in_the_place_of_the_folder_is_to_be_mended(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("in the way")
    finding = found(list(files(surroundings(tmp_path / "data"))), "is not a folder")
    assert finding.grade is Grade.MEND
    assert "FIXBOARD_DATA" in finding.remedy
    assert [one for one in files(surroundings(tmp_path / "data")) if "free" in one.found] == []


def test_a_folder_for_recordings_that_the_settings_name_is_tried_too(tmp_path: Path) -> None:
    (tmp_path / "stick").touch()
    places = Locations(tmp_path / "data", recordings_at=tmp_path / "stick" / "walks")
    wrong = [one for one in files(surroundings(tmp_path, locations=places)) if one.grade is Grade.MEND]
    assert [(str(tmp_path / "stick") in one.found, "settings" in one.remedy) for one in wrong] == [(True, True)]


def test_who_has_no_home_is_told_which_variable_names_a_folder() -> None:
    (only,) = files(surroundings(NO_HOME / ".local" / "share" / "fixboard"))
    assert only.grade is Grade.MEND
    assert "no home folder" in only.found
    assert "FIXBOARD_DATA" in only.remedy


def test_a_slip_in_the_settings_is_named_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[recorder]\nallways = true\n")
    finding = found(list(files(surroundings(tmp_path))), "line 2")
    assert finding.grade is Grade.MEND
    assert "always" in finding.found


def test_waypoints_are_counted_and_damage_points_to_the_generation_before(tmp_path: Path) -> None:
    path = tmp_path / "waypoints.gpx"
    path.write_text(
        '<gpx version="1.1" creator="Q" xmlns="http://www.topografix.com/GPX/1/1">'
        '<wpt lat="10" lon="20"><name>Thornby car park</name></wpt></gpx>'
    )
    assert found(list(files(surroundings(tmp_path))), "1 waypoint").grade is Grade.FINE
    path.write_text("<gpx><wpt>")
    finding = next(one for one in files(surroundings(tmp_path)) if one.grade is Grade.MEND)
    assert "waypoints.gpx.bak" in finding.remedy


def test_looking_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[recorder]\nalways = true\n")
    before = sorted(path.name for path in tmp_path.iterdir())
    examine(surroundings(tmp_path))
    assert sorted(path.name for path in tmp_path.iterdir()) == before


# Computer


def test_an_old_python_and_a_clock_before_the_program_are_to_be_mended(tmp_path: Path) -> None:
    findings = list(computer(surroundings(tmp_path, python=(3, 10, 2), now=datetime(2019, 1, 1, tzinfo=UTC))))
    assert found(findings, "Python 3.10.2").grade is Grade.MEND
    assert found(findings, "before this program was made").grade is Grade.MEND


def test_a_newer_python_than_tested_is_noted(tmp_path: Path) -> None:
    assert found(list(computer(surroundings(tmp_path, python=(3, 15, 0)))), "3.15.0").grade is Grade.NOTE


def test_libraries_and_bundled_sessions_are_there(tmp_path: Path) -> None:
    findings = list(computer(surroundings(tmp_path)))
    assert "textual" in found(findings, "libraries").found
    assert found(findings, "bundled sessions").grade is Grade.FINE


def test_the_worst_finding_counts() -> None:
    fine, note, mend = (Finding("x", grade, "") for grade in Grade)
    assert worst(()) is Grade.FINE
    assert worst((fine, note)) is Grade.NOTE
    assert worst((note, mend, fine)) is Grade.MEND


WANTED = ["textual<9,>=8.2", 'quillwort>=1; sys_platform == "win32"', "quince>=2; extra == 'test'"]
"""As the package's metadata has them; two of the names are invented."""


@pytest.mark.parametrize(("platform", "missing"), [("linux", None), ("win32", "not installed: quillwort")])
def test_only_libraries_that_are_wanted_on_this_platform_are_missed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str, missing: str | None
) -> None:
    monkeypatch.setattr("core.doctor.computer.metadata.requires", lambda _: WANTED)
    told = [one.found for one in computer(surroundings(tmp_path, platform=platform)) if "not installed" in one.found]
    assert told == ([missing] if missing else [])

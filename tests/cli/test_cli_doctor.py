"""`fixboard doctor` as a user runs it: in a process of its own, with a folder, settings or a terminal that is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import Run, check_civil, command, environment, fixboard, posix
from tests.cli.terminal import Terminal


def findings(run: Run) -> list[dict[str, str | None]]:
    check_civil(run)
    result = json.loads(run.out)
    assert list(result) == ["findings"]
    found: list[dict[str, str | None]] = result["findings"]
    return found


def to_mend(run: Run) -> list[dict[str, str | None]]:
    return [one for one in findings(run) if one["grade"] == "mend" and one["subject"] != "ports"]


def without_ports_to_mend(run: Run) -> bool:
    return not any(one["grade"] == "mend" for one in findings(run) if one["subject"] == "ports")


def test_json_is_a_list_of_findings_with_subject_grade_what_was_found_and_remedy(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "doctor", "--json")
    found = findings(run)
    assert {tuple(one) for one in found} == {("subject", "grade", "found", "remedy")}
    assert {one["subject"] for one in found} == {"terminal", "ports", "files", "computer"}
    assert {one["grade"] for one in found} <= {"fine", "note", "mend"}
    assert all(one["found"] for one in found)
    assert all(one["remedy"] for one in found if one["grade"] != "fine")
    assert all(one["remedy"] is None for one in found if one["grade"] == "fine")


def test_where_all_is_well_the_exit_code_is_0_and_nothing_is_written(tmp_path: Path) -> None:
    run = fixboard(tmp_path / "data", "doctor", "--json")
    assert to_mend(run) == []
    assert run.code == 0 or not without_ports_to_mend(run)  # a computer's own ports may be closed to its user
    assert not (tmp_path / "data").exists()


def test_in_words_each_room_has_a_heading_and_the_end_sums_up(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "doctor")
    check_civil(run)
    lines = run.out.decode().splitlines()
    assert [line for line in lines if line in {"Terminal", "Ports", "Files", "Computer"}] == [
        "Terminal",
        "Ports",
        "Files",
        "Computer",
    ]
    assert lines[-1].endswith(".")


def test_a_slip_in_the_settings_is_named_with_its_line_and_is_exit_code_1(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("[recorder]\nallways = true\n", encoding="utf-8")
    run = fixboard(tmp_path, "doctor", "--json")
    assert run.code == 1
    (wrong,) = to_mend(run)
    assert "line 2" in str(wrong["found"])
    assert wrong["remedy"]


def test_a_folder_that_cannot_be_made_is_named_with_the_variable_that_names_another(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    run = fixboard(tmp_path / "file" / "below", "doctor", "--json")
    assert run.code == 1
    (wrong,) = to_mend(run)
    assert wrong["subject"] == "files"
    assert "FIXBOARD_DATA" in str(wrong["remedy"])


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs a folder that nobody may write: /proc of Linux")
def test_a_folder_that_may_not_be_written_is_found_by_trying(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "doctor", "--json", env={"FIXBOARD_DATA": "/proc"})
    assert run.code == 1
    assert any("cannot be written" in str(one["found"]) for one in to_mend(run))


def on_a_terminal(tmp_path: Path, term: str) -> Run:
    terminal = Terminal(command(["doctor"]), environment(tmp_path, TERM=term))
    try:
        return terminal.run()
    finally:
        terminal.close()


@posix
def test_a_terminal_that_only_prints_lines_is_to_be_mended(tmp_path: Path) -> None:
    run = on_a_terminal(tmp_path, "dumb")
    assert run.code == 1
    assert b"MEND  TERM is dumb" in run.out
    assert b"fixboard now" in run.out


@posix
def test_a_usual_terminal_is_described(tmp_path: Path) -> None:
    run = on_a_terminal(tmp_path, "xterm-256color")
    assert b"120 columns, 40 rows: all panes show" in run.out
    assert b"256 colours" in run.out
    assert b"MEND  TERM" not in run.out


def test_hostile_text_in_the_environment_reaches_no_terminal(tmp_path: Path) -> None:
    run = fixboard(tmp_path, "doctor", env={"TERM": "x\x1b[31m", "FIXBOARD_DATA": str(tmp_path / "a\x1b]0;b\x07")})
    check_civil(run)


@posix
def test_lines_are_broken_where_the_terminal_ends_and_hang(tmp_path: Path) -> None:
    """To a file each finding is one line."""
    lines = on_a_terminal(tmp_path, "xterm-256color").out.decode().replace("\r", "").split("\n")
    assert max(map(len, lines)) <= 120
    (libraries,) = [n for n, line in enumerate(lines) if "libraries: " in line]
    assert lines[libraries + 1].startswith("        ")
    assert "tomlkit" in lines[libraries + 1]
    whole = fixboard(tmp_path, "doctor").out.decode().splitlines()
    assert [line for line in whole if "libraries: " in line and "tomlkit" in line]

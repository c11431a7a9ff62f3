"""`log`, `log show` and `log at` as scripts and people use them. Names and places are invented, in open ocean."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from core.session_notes import SessionNotes, Words
from core.session_reading import open_session
from core.sources.recording import Recording
from tests.cli.running import Ask, asker, check_civil, fixboard
from tests.logbooks import LATER, LATITUDE_DEG, LONGITUDE_DEG, NOON, aged, epoch, latitude, record, walk

SESSION_KEYS = {
    "number", "name", "file", "begins", "ends", "duration_s", "distance_m", "locator", "epochs", "epochs_with_fix",
    "bytes", "note", "problem",
}  # fmt: skip
AT_KEYS = {"asked", "utc", "latitude", "longitude", "locator", "error_95_m", "age_s", "how"}
"""contract of the logbook's JSON."""


@pytest.fixture(autouse=True)
def in_utc(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "UTC")
    if hasattr(time, "tzset"):
        time.tzset()
    yield
    monkeypatch.undo()
    if hasattr(time, "tzset"):
        time.tzset()


@pytest.fixture
def ask(capfdbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    monkeypatch.setenv("FIXBOARD_DATA", str(tmp_path))
    return asker(capfdbinary)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With a walk of a minute at noon, and two hours later one without any fix."""
    found = tmp_path / "recordings"
    record(found, NOON, walk(NOON, 60))
    record(found, NOON + timedelta(hours=2), walk(NOON + timedelta(hours=2), 20, gap=(0, 20)))
    return found


def object_of(ask: Ask, *arguments: str) -> dict[str, Any]:
    run = ask(*arguments, "--json")
    check_civil(run)
    assert run.code == 0, run.complaint
    found: dict[str, Any] = json.loads(run.out)
    return found


def text_of(ask: Ask, *arguments: str) -> str:
    run = ask(*arguments)
    check_civil(run)
    assert run.code == 0, run.complaint
    return run.out.decode()


def test_all_sessions_with_what_they_hold(ask: Ask, folder: Path) -> None:
    found = object_of(ask, "log")
    first, second = found["sessions"]
    assert set(first) >= SESSION_KEYS
    assert (first["number"], first["name"], first["note"], first["problem"]) == (1, None, None, None)
    assert first["file"] == str(folder / "2031-05-04_120000_gps.nmea")
    assert (first["begins"], first["ends"]) == ("2031-05-04T12:00:00.000Z", "2031-05-04T12:00:59.000Z")
    assert (first["duration_s"], first["epochs"], first["epochs_with_fix"]) == (59.0, 60, 60)
    assert first["locator"] == "HK90vm"
    assert first["bytes"] == (folder / "2031-05-04_120000_gps.nmea").stat().st_size
    assert (second["epochs_with_fix"], second["distance_m"], second["locator"]) == (0, None, None)
    assert found["disk"]["sessions_bytes"] == first["bytes"] + second["bytes"]
    assert found["sessions"] == object_of(ask, "log")["sessions"]


def test_the_list_in_words(ask: Ask, folder: Path) -> None:
    SessionNotes(folder).write("2031-05-04_120000_gps.nmea", Words("Round the isle", "fog\nuntil noon"), LATER)
    head, first, second, disk = text_of(ask, "log").splitlines()
    assert head.startswith("no")
    assert first.split()[:3] == ["1", "2031-05-04", "12:00"]
    assert "2031-05-04 12:00 UTC+0000" in first
    assert "HK90vm" in first
    assert "Round the isle; fog" in first
    assert "until noon" not in first
    assert "no fix at all" in second
    assert "in sessions" in disk


def test_one_session_by_number_name_and_file(ask: Ask, folder: Path) -> None:
    SessionNotes(folder).write("2031-05-04_120000_gps.nmea", Words("Round the isle"), LATER)
    by_number = object_of(ask, "log", "show", "1")
    assert set(by_number) >= SESSION_KEYS
    assert sum(by_number["verdicts"].values()) == 60
    assert by_number == object_of(ask, "log", "show", "round the ISLE")
    assert by_number == object_of(ask, "log", "show", "2031-05-04_120000_gps.nmea")
    assert by_number == json.loads(ask("log", "--json", "show", "1").out)
    assert "Round the isle" in text_of(ask, "log", "show", "1")


def test_a_session_that_is_not_there_or_is_several_is_refused(ask: Ask, folder: Path) -> None:
    for key in ("2031-05-04_120000_gps.nmea", "2031-05-04_140000_gps.nmea"):
        SessionNotes(folder).write(key, Words("Round the isle"), LATER)
    for name, said in (("3", "there is no session '3'"), ("Round the isle", "several sessions"), ("", "no session")):
        run = ask("log", "show", name)
        check_civil(run)
        assert (run.code, run.out) == (1, b"")
        assert said in run.complaint


def test_where_one_was_in_the_session_that_holds_the_time(ask: Ask, folder: Path) -> None:
    found = object_of(ask, "log", "at", "12:00:30", "12:00:30.5,13:00")
    exact, between, outside = found["at"]
    assert [one["number"] for one in found["sessions"]] == [1]
    assert [one["session"] for one in found["at"]] == [1, 1, 1]
    assert set(exact) >= AT_KEYS
    assert exact["latitude"] == pytest.approx(latitude(30), abs=1e-7)
    assert exact["longitude"] == pytest.approx(LONGITUDE_DEG, abs=1e-9)
    assert (exact["asked"], exact["utc"]) == ("12:00:30", "2031-05-04T12:00:30.000Z")
    assert (exact["locator"], exact["age_s"]) == ("HK90vm", 0.0)
    assert between["latitude"] == pytest.approx(latitude(30.5), abs=1e-7)
    assert [outside[key] for key in ("latitude", "longitude", "locator", "error_95_m", "age_s")] == [None] * 5
    assert outside["how"].startswith("after this session")


def test_times_of_several_days_are_looked_up_in_their_sessions_and_answered_in_order(ask: Ask, folder: Path) -> None:
    later = NOON + timedelta(days=3)
    record(folder, later, walk(later, 60))
    found = object_of(ask, "log", "at", "2031-05-07 12:00:20", "2031-05-04 12:00:30", "2031-05-07 12:00:10")
    assert [one["session"] for one in found["at"]] == [3, 1, 3]
    assert [one["latitude"] for one in found["at"]] == pytest.approx([latitude(n) for n in (20, 30, 10)], abs=1e-7)
    assert sorted(one["number"] for one in found["sessions"]) == [1, 3]


def test_once_a_session_is_known_any_number_of_times_is_one_pass(
    ask: Ask, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder.exists()
    ask("log")
    read: list[str] = []
    really = open_session

    def counted(paths: Sequence[Path]) -> Recording:
        read.extend(path.name for path in paths)
        return really(paths)

    monkeypatch.setattr("core.session_question.open_session", counted)
    monkeypatch.setattr("core.session_summary.open_session", counted)
    assert len(object_of(ask, "log", "at", "12:00:10", "12:00:20", "12:00:30,12:00:40")["at"]) == 4
    assert read == ["2031-05-04_120000_gps.nmea"]


@pytest.mark.parametrize(
    "times",
    [("2031-05-04", "12:00:30"), ("2031-05-04 12:00:30",), ("2031-05-04T12:00:30Z",), ("12:00:30", "local"),
     ("2031-05-04", "12:00:30", "local"), ("12:00:30,",)],
)  # fmt: skip
def test_a_time_may_be_written_in_words_of_its_own(ask: Ask, folder: Path, times: tuple[str, ...]) -> None:
    assert folder.exists()
    (found,) = object_of(ask, "log", "at", *times)["at"]
    assert found["latitude"] == pytest.approx(latitude(30), abs=1e-7)


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this system sets no zone for one program")
def test_local_is_this_computers_zone(ask: Ask, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """POSIX writes zones west of Greenwich: XXX-5:30 is five and a half hours ahead."""
    assert folder.exists()
    monkeypatch.setenv("TZ", "XXX-5:30")
    time.tzset()
    (found,) = object_of(ask, "log", "at", "17:30:30", "local")["at"]
    assert found["utc"] == "2031-05-04T12:00:30.000Z"
    assert found["latitude"] == pytest.approx(latitude(30), abs=1e-7)
    assert "2031-05-04 17:30 UTC+0530" in text_of(ask, "log")


def test_in_words_each_time_is_a_line_to_copy(ask: Ask, folder: Path) -> None:
    assert folder.exists()
    head, line = text_of(ask, "log", "at", "12:00:30").splitlines()
    assert head == "session 1: 2031-05-04_120000_gps.nmea, 2031-05-04 12:00 UTC"
    assert line == (
        f"12:00:30           2031-05-04T12:00:30Z  {latitude(30):.5f} {LONGITUDE_DEG:.5f}  HK90vm  6.9 m (95 %)"
        "  a fix of that moment"
    )


def test_any_recording_can_be_asked_and_a_number_comes_before_a_file(
    ask: Ask, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert folder.exists()
    foreign = tmp_path / "1"
    foreign.write_bytes(epoch(NOON + timedelta(hours=5)))
    aged(foreign, NOON)
    monkeypatch.chdir(tmp_path)
    assert object_of(ask, "log", "at", "12:00:30", "--session", "1")["at"][0]["latitude"] is not None
    found = object_of(ask, "log", "at", "17:00", "--session", str(foreign))
    assert found["at"][0]["latitude"] == pytest.approx(LATITUDE_DEG, abs=1e-7)
    assert found["at"][0]["session"] == 0


@pytest.mark.parametrize(
    ("arguments", "ends"),
    [
        (("at", "noon"), (2, "is no time")),
        (("at", "2031-05-04"), (2, "is no time")),
        (("at",), (2, "TIME")),
        (("at", "12:00", "--session", "9"), (1, "there is no session '9'")),
        (("at", "12:00", "--session", "2"), (0, "")),
        (("show",), (2, "N|NAME")),
        (("burn",), (2, "PART")),
    ],
)
def test_wrong_usage_and_unusable_input(
    ask: Ask, folder: Path, arguments: tuple[str, ...], ends: tuple[int, str]
) -> None:
    assert folder.exists()
    run = ask("log", *arguments)
    check_civil(run)
    assert (run.code, ends[1] in run.complaint) == (ends[0], True)


def test_without_recordings_it_says_how_to_make_one(ask: Ask) -> None:
    assert "records" in text_of(ask, "log")
    found = object_of(ask, "log")
    assert found["sessions"] == []
    run = ask("log", "at", "12:00")
    assert run.code == 1
    assert "no session" in run.complaint


def test_hostile_names_notes_and_files_stay_in_their_line(tmp_path: Path) -> None:
    """As another process, whose output a terminal would obey."""
    folder = tmp_path / "recordings"
    record(folder, NOON, walk(NOON, 5))
    (folder / "\x1b]0;x\x07[b]\u202e.nmea").write_bytes(b"")
    SessionNotes(folder).write(
        "2031-05-04_120000_gps.nmea", Words("\x1b[31mred[/b]\u202e\n\n", "a\tb\r\x1b[2J" + "x" * 10_000), LATER
    )
    for arguments in (("log",), ("log", "show", "1"), ("log", "show", "2"), ("log", "--json"), ("log", "at", "12:00")):
        run = fixboard(tmp_path, *arguments)
        check_civil(run)
        assert run.code == 0, run.complaint
        assert "\u202e" not in run.out.decode()
    assert len(fixboard(tmp_path, "log").out.decode().splitlines()) == 4


def test_damaged_names_and_notes_are_said_and_left(ask: Ask, folder: Path) -> None:
    (folder / "logbook.json").write_text("{")
    run = ask("log", "--json")
    assert len(json.loads(run.out)["sessions"]) == 2
    assert "names and notes are not shown" in run.complaint
    assert (folder / "logbook.json").read_text() == "{"


def test_a_rolled_over_or_undated_session_says_so(ask: Ask, tmp_path: Path) -> None:
    folder = tmp_path / "recordings"
    record(folder, NOON, walk(NOON - timedelta(days=7168), 60))
    run = ask("log", "at", "2031-05-04 12:00:30")
    assert "1024 weeks early" in run.complaint
    assert b"2031-05-04T12:00:30Z" in run.out

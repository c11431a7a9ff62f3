"""Sessions of the recordings folder: which files belong together, what they hold, what is wrong with other files."""

from __future__ import annotations

import gzip
import json
import os
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from core.accuracy import ErrorModel
from core.fix import FixMode
from core.session_cache import SummaryCache
from core.session_clock import Dates
from core.session_files import CACHE, NOTES, session_of, sessions_in
from core.session_summary import Summary, from_json, summarise
from core.sessions import Entry, Logbook
from core.trust import BETTER_AFTER_S
from tests.logbooks import LATER, LATITUDE_DEG, LONGITUDE_DEG, NOON, aged, epoch, latitude, record, walk

MIDNIGHT = datetime(2031, 5, 5, tzinfo=NOON.tzinfo)


def listed(folder: Path) -> tuple[Entry, ...]:
    """With all summaries worked out."""
    book = Logbook(folder)
    book.work_out(book.entries(LATER), lambda _: True)
    return book.entries(LATER)


def summary_of(folder: Path) -> Summary:
    (entry,) = listed(folder)
    assert entry.summary is not None
    return entry.summary


def epochs_of(path: Path) -> str:
    """The first time of day in a file: they grow from file to file of a session."""
    return path.read_text("latin-1").split("RMC,")[1][:9]


# What a session holds


def test_a_walk_is_summed_up(tmp_path: Path) -> None:
    """Sixty seconds at 1.5 m/s due north; a verdict is believed after eight of them. HK90vm is worked out by hand."""
    record(tmp_path, NOON, walk(NOON, 60))
    found = summary_of(tmp_path)
    assert found.begins_ms == NOON.timestamp() * 1000
    assert found.ends_ms == (NOON + timedelta(seconds=59)).timestamp() * 1000
    assert found.duration_s == 59.0
    assert found.distance_m == pytest.approx((59 - BETTER_AFTER_S) * 1.5, abs=1.6)
    assert (found.epochs, found.epochs_with_fix, sum(found.verdicts)) == (60, 60, 60)
    assert found.verdicts[0] == 0
    assert found.first == pytest.approx((LATITUDE_DEG, LONGITUDE_DEG), abs=1e-7)
    assert found.last == pytest.approx((latitude(59), LONGITUDE_DEG), abs=1e-7)
    assert found.locator == "HK90vm"
    assert (found.dates, found.problem) == (Dates.RECEIVER, "")


def test_without_any_fix_nothing_is_made_up(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 20, gap=(0, 20)))
    found = summary_of(tmp_path)
    assert (found.epochs, found.epochs_with_fix, found.verdicts) == (20, 0, (20, 0, 0, 0))
    assert (found.distance_m, found.first, found.locator, found.last_locator) == (None, None, None, None)
    assert found.duration_s == 19.0


def test_a_session_that_learns_its_date_late_begins_when_it_began(tmp_path: Path) -> None:
    began = MIDNIGHT - timedelta(seconds=10)
    heard = [(float(n), epoch(began + timedelta(seconds=n), n, day=n >= 20)) for n in range(30)]
    foreign = tmp_path / "old.nmea"
    foreign.write_bytes(b"".join(data for _, data in heard))
    aged(foreign, NOON)
    found = summary_of(tmp_path)
    assert found.begins_ms == began.timestamp() * 1000
    assert found.dates is Dates.RECEIVER


def test_a_session_without_dates_is_dated_by_the_recorders_name_for_it(tmp_path: Path) -> None:
    began = MIDNIGHT - timedelta(seconds=10)
    record(tmp_path, began, walk(began, 20, day=False))
    found = summary_of(tmp_path)
    assert found.dates is Dates.COMPUTER
    assert found.begins_ms == began.timestamp() * 1000
    assert found.ends_ms == (began + timedelta(seconds=19)).timestamp() * 1000


def test_a_file_of_others_without_dates_has_times_of_day_only(tmp_path: Path) -> None:
    foreign = tmp_path / "old.nmea"
    foreign.write_bytes(b"".join(data for _, data in walk(MIDNIGHT - timedelta(seconds=10), 20, day=False)))
    (entry,) = listed(tmp_path)
    found = entry.as_json()
    assert (found["begins"], found["ends"]) == ("T23:59:50.000Z", "T00:00:09.000Z")
    assert found["duration_s"] == 19.0
    assert found["dates"] == "none"


def test_a_date_1024_weeks_early_is_moved_and_said(tmp_path: Path) -> None:
    """7168 days (check-values gps_time.json)."""
    early = NOON - timedelta(days=7168)
    record(tmp_path, NOON, walk(early, 10))
    found = summary_of(tmp_path)
    assert found.dates is Dates.MENDED
    assert found.begins_ms == NOON.timestamp() * 1000


# Which files belong together


def test_files_split_at_their_limit_are_one_session(tmp_path: Path) -> None:
    limit = 8000
    made = record(tmp_path, NOON, walk(NOON, 120), largest=limit)
    assert len(made) > 2
    (session,) = sessions_in(tmp_path, LATER, largest=limit)
    assert sorted(session.paths) == made
    assert [epochs_of(path) for path in session.paths] == sorted(epochs_of(path) for path in session.paths)
    whole = summarise(session)
    assert (whole.epochs, whole.epochs_with_fix, whole.duration_s) == (120, 120, 119.0)
    assert whole.distance_m == pytest.approx((119 - BETTER_AFTER_S) * 1.5, abs=1.6)


@pytest.mark.parametrize("compress", [False, True])
def test_a_session_over_midnight_is_one(tmp_path: Path, compress: bool) -> None:
    began = MIDNIGHT - timedelta(seconds=30)
    made = record(tmp_path, began, walk(began, 60), compress=compress)
    assert len(made) == 2
    if compress:  # the packer stamps its own time; in life that is the moment at which the page was turned
        for path in made:
            content = bytearray(path.read_bytes())
            content[4:8] = int(MIDNIGHT.timestamp()).to_bytes(4, "little")
            path.write_bytes(content)
    (entry,) = listed(tmp_path)
    assert entry.session.key == "2031-05-04_235930_gps.nmea"
    assert entry.summary
    assert (entry.summary.epochs, entry.summary.duration_s) == (60, 59.0)


def test_two_sessions_of_one_day_stay_two_and_so_do_two_receivers(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    record(tmp_path, NOON + timedelta(seconds=8), walk(NOON, 5))
    record(tmp_path, NOON, walk(NOON, 5), label="other")
    assert len(sessions_in(tmp_path, LATER)) == 3


def test_a_day_later_is_another_session(tmp_path: Path) -> None:
    began = MIDNIGHT - timedelta(seconds=30)
    record(tmp_path, began, walk(began, 20))
    record(tmp_path, MIDNIGHT + timedelta(hours=1), walk(MIDNIGHT + timedelta(hours=1), 20))
    assert len(sessions_in(tmp_path, LATER)) == 2


def test_a_file_that_a_crash_left_twice_is_one_and_both_go_when_it_is_deleted(tmp_path: Path) -> None:
    (path,) = record(tmp_path, NOON, walk(NOON, 5))
    path.with_name(path.name + ".gz").write_bytes(b"\x1f\x8b")
    book = Logbook(tmp_path)
    (entry,) = book.entries(LATER)
    assert entry.session.paths == (path,)
    book.delete(entry, LATER)
    assert [one.name for one in tmp_path.iterdir() if not one.name.startswith(".")] == ["deleted"]
    book.undo()
    assert path.exists()
    assert path.with_name(path.name + ".gz").exists()


def test_what_is_being_recorded_is_marked_and_not_kept_in_the_cache(tmp_path: Path) -> None:
    (path,) = record(tmp_path, NOON, walk(NOON, 5))
    book = Logbook(tmp_path)
    assert book.entries(LATER, recording=path)[0].session.growing
    just_now = NOON + timedelta(seconds=29)
    assert book.entries(just_now)[0].session.growing
    assert not book.entries(NOON + timedelta(seconds=31))[0].session.growing
    book.work_out(book.entries(just_now), lambda _: True)
    assert book.entries(LATER)[0].summary is None


# What is wrong with files of others


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("empty.nmea", b"", "is empty"),
        ("picture.jpg", bytes(range(256)) * 40, "no sentence of NMEA 0183"),
        ("cut.nmea.gz", b"\x1f\x8b\x08\x00damaged", "cannot be read beyond this point"),
        ("2031-05-04_120000_gps.nmea.gz.part", b"half", "compression that was broken off"),
    ],
)
def test_files_that_are_no_recordings_are_listed_with_the_reason(
    tmp_path: Path, name: str, content: bytes, said: str
) -> None:
    (tmp_path / name).write_bytes(content)
    aged(tmp_path / name, NOON)
    (entry,) = listed(tmp_path)
    assert said in entry.as_json()["problem"]
    assert str(tmp_path) not in entry.as_json()["problem"]


def test_what_a_damaged_file_holds_before_the_damage_counts(tmp_path: Path) -> None:
    (path,) = record(tmp_path, NOON, walk(NOON, 2000), compress=True)
    path.write_bytes(path.read_bytes()[:-2000])
    found = summary_of(tmp_path)
    assert "cannot be read beyond this point" in found.problem
    assert 100 < found.epochs < 2000
    assert found.locator is not None


@pytest.mark.skipif(os.name != "posix", reason="pipes and links as on POSIX")
def test_pipes_and_broken_links_are_listed_and_never_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.nmea")
    (tmp_path / "gone.nmea").symlink_to(tmp_path / "nowhere")
    assert sorted(entry.as_json()["problem"] for entry in listed(tmp_path)) == [
        "cannot be looked at (No such file or directory)",
        "is a pipe or a device, not a recording",
    ]


def test_a_film_in_the_folder_is_not_read_whole_packed_or_not(tmp_path: Path) -> None:
    """Half a gigabyte of nothing, in a sparse file and in half a megabyte of gzip: asked for progress it would say."""
    with (tmp_path / "film.bin").open("wb") as film:
        film.truncate(500_000_000)
    with gzip.open(tmp_path / "packed.nmea.gz", "wb", compresslevel=9) as packed:
        for _ in range(50):
            packed.write(bytes(1_000_000))
    for file in tmp_path.iterdir():
        read: list[float] = []
        found = summarise(session_of(file, LATER), progress=read.append)
        assert found.problem == "holds no sentence of NMEA 0183"
        assert read == []


def test_two_sessions_begun_in_one_second_are_two(tmp_path: Path) -> None:
    first = record(tmp_path, NOON, walk(NOON, 5))
    second = record(tmp_path, NOON, walk(NOON, 5))
    assert second[0].name == "2031-05-04_120000_gps-2.nmea"
    assert [session.paths for session in sessions_in(tmp_path, LATER)] == [tuple(first), tuple(second)]


def test_no_folder_is_no_session(tmp_path: Path) -> None:
    assert Logbook(tmp_path / "none").entries(LATER) == ()


# The cache


def test_the_second_time_nothing_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    first = listed(tmp_path)

    def refuse(*_: object) -> Summary:
        raise AssertionError("read again")

    monkeypatch.setattr("core.sessions.summarise", refuse)
    assert listed(tmp_path) == first


def test_a_file_that_has_changed_is_read_again(tmp_path: Path) -> None:
    (path,) = record(tmp_path, NOON, walk(NOON, 5))
    assert summary_of(tmp_path).epochs == 5
    path.write_bytes(path.read_bytes() + epoch(NOON + timedelta(seconds=5), 5))
    aged(path, NOON)
    assert summary_of(tmp_path).epochs == 6


def test_another_ranging_error_is_another_summary(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    (entry,) = listed(tmp_path)
    other = ErrorModel({**ErrorModel().ranging_error_m, FixMode.AUTONOMOUS: 40.0})
    assert SummaryCache(tmp_path).find(entry.session) == entry.summary
    assert SummaryCache(tmp_path, other).find(entry.session) is None


@pytest.mark.parametrize("content", ["", "[]", "{", '{"version":1}', "\x00" * 50, "[" * 100_000])
def test_a_damaged_cache_is_made_anew(tmp_path: Path, content: str) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    before = listed(tmp_path)
    (tmp_path / CACHE).write_text(content)
    assert Logbook(tmp_path).entries(LATER)[0].summary is None
    assert listed(tmp_path) == before
    assert json.loads((tmp_path / CACHE).read_text())["sessions"]


def test_a_summary_survives_json() -> None:
    whole = Summary(1, 2, Dates.MENDED, 3.5, 4.5, first=None, verdicts=(1, 2, 3, 4), problem="x")
    assert from_json(json.loads(json.dumps(whole.as_json()))) == whole
    for name in whole.as_json():
        broken = {key: value for key, value in whole.as_json().items() if key != name}
        with pytest.raises(KeyError):
            from_json(broken)


def test_the_books_themselves_are_no_sessions(tmp_path: Path) -> None:
    record(tmp_path, NOON, walk(NOON, 5))
    (entry,) = listed(tmp_path)
    book = Logbook(tmp_path)
    book.write(entry, replace(entry.words, name="Round the isle"), LATER)
    book.write(entry, replace(entry.words, name="Round it again"), LATER)
    assert (tmp_path / NOTES).exists()
    assert (tmp_path / CACHE).exists()
    assert len(book.entries(LATER)) == 1


def test_numbers_count_from_the_oldest_and_hundreds_are_listed(tmp_path: Path) -> None:
    for n in range(300):
        moment = NOON + timedelta(hours=n)
        path = tmp_path / f"{moment:%Y-%m-%d_%H%M%S}_gps.nmea"
        path.write_bytes(epoch(moment))
        aged(path, moment)
    entries = listed(tmp_path)
    assert [entry.number for entry in entries] == list(range(1, 301))
    assert [entry.session.began for entry in entries] == [NOON + timedelta(hours=n) for n in range(300)]
    assert all(entry.summary and entry.summary.epochs == 1 for entry in entries)

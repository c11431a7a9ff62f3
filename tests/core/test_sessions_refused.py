"""A logbook on a disk or in a folder that refuses: said in words, and nothing of the user's is lost by it."""

from __future__ import annotations

import errno
import io
import os
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import NoReturn

import pytest

from core import session_bin, session_notes
from core.errors import InputError
from core.session_bin import SessionBin
from core.session_cache import SummaryCache
from core.session_files import BIN, CACHE, NOTES, SessionFile, session_of, sessions_in
from core.session_notes import SessionNotes, Words
from core.session_reading import open_session
from core.session_summary import Summary
from core.sessions import Entry, Logbook
from tests.logbooks import LATER, NOON, aged, epoch

KEY = "2031-05-04_120000_gps.nmea"


def refusing(number: int) -> Callable[..., NoReturn]:
    def refuse(*_: object, **__: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    return refuse


def session(folder: Path, name: str = KEY) -> Entry:
    path = folder / name
    path.write_bytes(epoch(NOON))
    aged(path, NOON)
    return next(one for one in Logbook(folder).entries(LATER) if one.session.files[0].path == path)


# Names and notes


def test_a_file_far_too_long_for_notes_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(session_notes, "LARGEST", 100)
    (tmp_path / NOTES).write_text('{"x": {"name": "' + "y" * 100 + '"}}')
    notes = SessionNotes(tmp_path)
    assert notes.all() == {}
    assert "is far too long for names and notes" in notes.trouble


def test_a_damaged_file_that_cannot_be_moved_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / NOTES).write_bytes(b"{damaged")
    monkeypatch.setattr(session_notes, "move_aside", refusing(errno.EPERM))
    with pytest.raises(InputError, match="is damaged and cannot be moved away"):
        SessionNotes(tmp_path).write(KEY, Words("Round the isle"), LATER)
    assert (tmp_path / NOTES).read_bytes() == b"{damaged"


@pytest.mark.parametrize("number", [errno.EIO, errno.EMFILE])
def test_a_trouble_of_the_moment_sets_nothing_aside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    notes = SessionNotes(tmp_path)
    notes.write(KEY, Words("Round the isle"), LATER)
    with monkeypatch.context() as troubled:
        troubled.setattr(session_notes, "read_plain", refusing(number))
        with pytest.raises(InputError, match="cannot be read"):
            notes.write(KEY, Words("another"), LATER)
        assert notes.all() == {}
    assert SessionNotes(tmp_path).all() == {KEY: Words("Round the isle")}


# Deleting


def test_where_no_bin_can_be_made_nothing_is_deleted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entry = session(tmp_path)
    monkeypatch.setattr(session_bin, "make_folder", refusing(errno.ENOSPC))
    with pytest.raises(InputError, match="nothing was deleted"):
        Logbook(tmp_path).delete(entry, LATER)
    assert entry.session.paths[0].exists()


def test_what_cannot_be_moved_is_where_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entry = session(tmp_path)
    with monkeypatch.context() as refused:
        refused.setattr(session_bin, "move_file", refusing(errno.EPERM))
        with pytest.raises(InputError, match="could not be moved"):
            Logbook(tmp_path).delete(entry, LATER)
    assert entry.session.paths[0].exists()
    assert [path.name for path in (tmp_path / BIN).iterdir() if path.is_dir()] == []
    assert Logbook(tmp_path).undo() is None


def test_what_cannot_be_removed_for_good_is_said_and_can_still_be_brought_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = session(tmp_path)
    book = Logbook(tmp_path)
    book.delete(entry, LATER)
    with monkeypatch.context() as refused:
        refused.setattr(Path, "unlink", refusing(errno.EACCES))
        with pytest.raises(InputError, match="could not be removed"):
            book.empty_bin()
    assert book.undo() is not None
    assert entry.session.paths[0].exists()


def test_a_thousand_deletions_of_one_second_are_enough(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folders of a program that runs wild are not counted through for ever."""
    entry = session(tmp_path)
    monkeypatch.setattr(Path, "mkdir", refusing_names(Path.mkdir))
    with pytest.raises(InputError, match="holds a thousand deletions of this second already"):
        SessionBin(tmp_path).delete(entry.session, LATER)
    assert entry.session.paths[0].exists()


def refusing_names(real: Callable[..., None]) -> Callable[..., None]:
    """Every name within a bin is taken."""

    def mkdir(path: Path, mode: int = 0o777, parents: bool = False, exist_ok: bool = False) -> None:
        if path.parent.name == BIN:
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
        real(path, mode, parents, exist_ok)

    return mkdir


# Listing and summing up


def test_a_folder_that_cannot_be_read_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    session(tmp_path)
    monkeypatch.setattr(os, "scandir", refusing(errno.EACCES))
    monkeypatch.setattr(os, "listdir", refusing(errno.EACCES))
    with pytest.raises(InputError, match=r"cannot be read \(Permission denied\): look at its permissions"):
        Logbook(tmp_path).entries(LATER)


def test_a_session_that_goes_away_between_two_looks_is_listed_with_the_reason(tmp_path: Path) -> None:
    entry = session(tmp_path)
    entry.session.paths[0].unlink()
    book = Logbook(tmp_path)
    told: list[Entry] = []

    def take(one: Entry) -> bool:
        told.append(one)
        return True

    book.work_out([entry], take)
    (only,) = told
    assert only.summary is not None
    assert only.summary.problem


def test_the_room_left_is_unknown_where_the_disk_does_not_say(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entry = session(tmp_path)
    monkeypatch.setattr(shutil, "disk_usage", refusing(errno.ENOSYS))
    use = Logbook(tmp_path).disk_use([entry])
    assert (use[0], use[1], use[2]) == (entry.session.size, 0, None)


def test_summaries_are_saved_now_and_then_and_who_stops_keeps_what_was_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("core.sessions.SAVE_EVERY", 2)
    for hour in range(5):
        session(tmp_path, f"{NOON + timedelta(hours=hour):%Y-%m-%d_%H%M%S}_gps.nmea")
    book = Logbook(tmp_path)
    done: list[bool] = []

    def three(_: Entry) -> bool:
        done.append((tmp_path / CACHE).exists())
        return len(done) < 3

    book.work_out(book.entries(LATER), three)
    assert done == [False, False, True]
    assert sum(one.summary is not None for one in book.entries(LATER)) == 3


def test_a_cache_that_names_what_no_file_can_be_called_is_put_right(tmp_path: Path) -> None:
    """And one that cannot be written costs nothing but time."""
    entry = session(tmp_path)
    cache = SummaryCache(tmp_path)
    cache.keep(entry.session, Summary())
    cache._fresh["x" * 300] = cache._fresh[entry.session.key]
    cache.save()
    assert SummaryCache(tmp_path).find(entry.session) == Summary()
    assert "xxx" not in (tmp_path / CACHE).read_text()
    (tmp_path / CACHE).unlink()
    (tmp_path / CACHE).mkdir()
    again = SummaryCache(tmp_path)
    again.keep(entry.session, Summary())
    again.save()
    assert again.find(entry.session) == Summary()


def test_a_file_of_the_users_own_must_be_there_and_no_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no file"):
        session_of(tmp_path / "gone.nmea", LATER)
    with pytest.raises(InputError, match="is a folder"):
        session_of(tmp_path, LATER)


@pytest.mark.parametrize("name", ["2031-13-04_120000_gps.nmea", "2031-02-30_120000_gps.nmea", "mine.nmea"])
def test_a_name_that_only_looks_like_the_recorders_tells_no_time(tmp_path: Path, name: str) -> None:
    session(tmp_path, name)
    (only,) = sessions_in(tmp_path, LATER)
    assert only.files[0].stamp is None


# Several files as one


@pytest.fixture
def three(tmp_path: Path) -> list[Path]:
    paths = [tmp_path / f"{number}.nmea" for number in range(3)]
    for number, path in enumerate(paths):
        path.write_bytes(epoch(NOON + timedelta(seconds=number), number))
    return paths


def test_files_that_go_on_from_each_other_can_be_read_from_anywhere(three: list[Path]) -> None:
    whole = b"".join(path.read_bytes() for path in three)
    recording = open_session(three)
    stream = recording._stream
    try:
        assert stream.seekable()
        for at in (len(whole) - 10, 3, len(whole) // 2, len(whole) // 2 + 1, 0, len(whole) - 1):
            assert stream.seek(at) == at
            assert stream.read() == whole[at:]
        assert stream.seek(len(whole) + 100) == len(whole), "there is nothing beyond the end"
        assert stream.read() == b""
    finally:
        recording.close()


def test_only_the_distance_from_the_beginning_is_known(three: list[Path]) -> None:
    recording = open_session(three)
    try:
        with pytest.raises(io.UnsupportedOperation):
            recording._stream.seek(0, io.SEEK_END)
    finally:
        recording.close()


def test_a_session_whose_end_has_gone_is_said_when_it_is_opened(three: list[Path]) -> None:
    three[2].unlink()
    with pytest.raises(InputError, match="and what belongs to it cannot be opened"):
        open_session(three)


def test_a_session_opened_again_is_the_whole_of_it(three: list[Path]) -> None:
    recording = open_session(three)
    again = recording.again()
    assert again is not None
    recording.close()
    try:
        assert b"".join(again.blocks()) == b"".join(path.read_bytes() for path in three)
    finally:
        again.close()


def test_a_name_without_its_packing_is_the_key(tmp_path: Path) -> None:
    plain, packed = (SessionFile(tmp_path / name, 1, 0) for name in (KEY, f"{KEY}.gz"))
    assert plain.key == packed.key == KEY

"""The user's words on sessions, and deleting with undo: nothing that was saved is ever lost."""

from __future__ import annotations

import json
import threading
from datetime import timedelta
from pathlib import Path

import pytest

from core.errors import InputError
from core.session_files import BIN, NOTES
from core.session_notes import NO_WORDS, SessionNotes, Words
from core.sessions import Entry, Logbook
from tests.logbooks import LATER, NOON, aged, epoch, record, walk

KEY = "2031-05-04_120000_gps.nmea"
HOSTILE = [
    "\x1b[31mred\x1b]0;title\x07",
    "[b]bold[/b] [link=x]y[/]",
    "two\nlines\r\n\tand a tab",
    "x" * 10_000,
    "\N{SMILING FACE WITH OPEN MOUTH}\N{ZERO WIDTH JOINER}\N{REGIONAL INDICATOR SYMBOL LETTER Q}",
    "\N{RIGHT-TO-LEFT OVERRIDE}back\N{POP DIRECTIONAL FORMATTING}",
    '"}]}\\ \0',
]


def sessions(folder: Path, *hours: int) -> tuple[Entry, ...]:
    """Short ones, so many hours after noon."""
    for hour in hours:
        moment = NOON + timedelta(hours=hour)
        path = folder / f"{moment:%Y-%m-%d_%H%M%S}_gps.nmea"
        path.write_bytes(epoch(moment))
        aged(path, moment)
    return Logbook(folder).entries(LATER)


def names(folder: Path) -> list[str]:
    return [entry.session.key for entry in Logbook(folder).entries(LATER)]


# Names and notes


def test_words_belong_to_the_session_whatever_becomes_of_its_file(tmp_path: Path) -> None:
    (path,) = record(tmp_path, NOON, walk(NOON, 5))
    content = path.read_bytes()
    book = Logbook(tmp_path)
    book.write(book.entries(LATER)[0], Words("Round the isle", "fog until noon"), LATER)
    assert path.read_bytes() == content
    path.rename(path.with_name(path.name + ".gz"))
    (entry,) = Logbook(tmp_path).entries(LATER)
    assert (entry.name, entry.words.note) == ("Round the isle", "fog until noon")


@pytest.mark.parametrize("text", HOSTILE)
def test_any_words_come_back_as_they_were(tmp_path: Path, text: str) -> None:
    SessionNotes(tmp_path).write(KEY, Words(text, text[::-1]), LATER)
    assert SessionNotes(tmp_path).all() == {KEY: Words(text, text[::-1])}
    assert (tmp_path / NOTES).read_bytes().isascii()


def test_what_others_keep_in_the_file_stays(tmp_path: Path) -> None:
    theirs = {KEY: {"name": "old", "mood": ["good"]}, "other.nmea": {"note": "kept"}, "odd": 3}
    (tmp_path / NOTES).write_text(json.dumps(theirs))
    notes = SessionNotes(tmp_path)
    assert notes.all() == {KEY: Words("old"), "other.nmea": Words("", "kept"), "odd": NO_WORDS}
    notes.write(KEY, Words("new", "n"), LATER)
    found = json.loads((tmp_path / NOTES).read_text())
    assert found == {**theirs, KEY: {"name": "new", "mood": ["good"], "note": "n"}}


@pytest.mark.parametrize("content", [b"{", b"[]", b"\xff\xfe", b"3", b"[" * 100_000])
def test_a_damaged_file_is_set_aside_and_said_and_only_when_something_is_written(
    tmp_path: Path, content: bytes
) -> None:
    (tmp_path / NOTES).write_bytes(content)
    notes = SessionNotes(tmp_path)
    assert notes.all() == {}
    assert NOTES in notes.trouble
    assert (tmp_path / NOTES).read_bytes() == content
    notes.write(KEY, Words("new"), LATER)
    (aside,) = tmp_path.glob("logbook.2031*.json")
    assert aside.read_bytes() == content
    assert aside.name in notes.trouble
    assert SessionNotes(tmp_path).all() == {KEY: Words("new")}
    (tmp_path / NOTES).write_bytes(b"damaged again")
    SessionNotes(tmp_path).write(KEY, Words("newer"), LATER)
    assert len(list(tmp_path.glob("logbook.2031*.json"))) == 2
    assert names(tmp_path) == []  # none of them is taken for a recording


def test_two_programs_at_once_lose_nothing(tmp_path: Path) -> None:
    def write(who: int) -> None:
        for n in range(15):
            SessionNotes(tmp_path).write(f"{who}-{n}", Words(f"{who} {n}"), LATER)

    threads = [threading.Thread(target=write, args=(who,)) for who in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = SessionNotes(tmp_path).all()
    assert found == {f"{who}-{n}": Words(f"{who} {n}") for who in range(3) for n in range(15)}


# Deleting, and undo


def test_deleted_sessions_come_back_one_by_one_the_last_first_also_in_another_run(tmp_path: Path) -> None:
    first, second, third = sessions(tmp_path, 0, 1, 2)
    content = second.session.paths[0].read_bytes()
    Logbook(tmp_path).delete(second, LATER)
    Logbook(tmp_path).delete(first, LATER)
    assert names(tmp_path) == [third.session.key]
    undone = Logbook(tmp_path).undo()
    assert undone
    assert undone.names == (first.session.key,)
    assert Logbook(tmp_path).undo()
    assert names(tmp_path) == [one.session.key for one in (first, second, third)]
    assert second.session.paths[0].read_bytes() == content
    assert Logbook(tmp_path).undo() is None


def test_a_dozen_deleted_in_one_second_come_back_in_order(tmp_path: Path) -> None:
    entries = sessions(tmp_path, *range(12))
    for entry in entries:
        Logbook(tmp_path).delete(entry, LATER)
    back = [Logbook(tmp_path).undo() for _ in entries]
    assert [one.names[0] for one in back if one] == [entry.session.key for entry in reversed(entries)]


def test_a_session_of_several_files_goes_and_comes_whole(tmp_path: Path) -> None:
    midnight = NOON + timedelta(hours=12)
    began = midnight - timedelta(seconds=10)
    made = record(tmp_path, began, walk(began, 20))
    book = Logbook(tmp_path)
    deleted = book.delete(book.entries(LATER)[0], LATER)
    assert sorted(deleted.names) == [path.name for path in made]
    assert [path for path in made if path.exists()] == []
    book.undo()
    assert [path.exists() for path in made] == [True, True]
    assert not any((tmp_path / BIN).iterdir())


def test_undo_never_writes_over_a_file(tmp_path: Path) -> None:
    (entry,) = sessions(tmp_path, 0)
    path = entry.session.paths[0]
    book = Logbook(tmp_path)
    book.delete(entry, LATER)
    path.write_bytes(b"another")
    with pytest.raises(InputError, match="is there by now"):
        book.undo()
    assert path.read_bytes() == b"another"
    assert len(book.deleted()) == 1


def test_a_deletion_that_a_crash_broke_off_can_be_undone(tmp_path: Path) -> None:
    """Between its two steps, a link under the new name and the old name taken away, the file has both."""
    (entry,) = sessions(tmp_path, 0)
    path = entry.session.paths[0]
    content = path.read_bytes()
    book = Logbook(tmp_path)
    deleted = book.delete(entry, LATER)
    path.hardlink_to(deleted.folder / path.name)
    book.undo()
    assert path.read_bytes() == content
    assert book.deleted() == ()


def test_what_is_being_recorded_is_not_deleted(tmp_path: Path) -> None:
    (entry,) = sessions(tmp_path, 0)
    path = entry.session.paths[0]
    book = Logbook(tmp_path)
    with pytest.raises(InputError, match="is being recorded"):
        book.delete(book.entries(LATER, recording=path)[0], LATER)
    assert path.exists()


def test_of_two_programs_that_delete_one_session_the_second_is_told_and_one_undo_brings_it_back(tmp_path: Path) -> None:
    (entry,) = sessions(tmp_path, 0)
    Logbook(tmp_path).delete(entry, LATER)
    with pytest.raises(InputError, match="has gone"):
        Logbook(tmp_path).delete(entry, LATER + timedelta(seconds=1))
    assert len(list((tmp_path / BIN).iterdir())) == 1
    assert Logbook(tmp_path).undo()
    assert names(tmp_path) == [entry.session.key]


def test_the_disk_is_shared_out_and_only_emptying_frees_it(tmp_path: Path) -> None:
    entries = sessions(tmp_path, 0, 1)
    sizes = [entry.session.size for entry in entries]
    book = Logbook(tmp_path)
    assert book.disk_use(entries)[:2] == (sum(sizes), 0)
    book.delete(entries[0], LATER)
    left = book.entries(LATER)
    used = book.disk_use(left)
    assert used[:2] == (sizes[1], sizes[0])
    assert used.free
    assert used.free > 0
    assert book.empty_bin() == sizes[0]
    assert book.disk_use(left)[:2] == (sizes[1], 0)
    assert book.undo() is None
    assert names(tmp_path) == [entries[1].session.key]

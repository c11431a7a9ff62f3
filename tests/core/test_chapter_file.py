"""Chapter files: written by hand, edited by the board, damaged by anybody. Everything in them is invented."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.chapter_blocks import BEGINNING, cut, written_out
from core.chapter_book import ChapterBook
from core.chapter_file import (
    LARGEST,
    MOST,
    TITLE_LIMIT,
    WORDS_LIMIT,
    Entry,
    Typed,
    When,
    chapters_path,
    entry_of,
    entry_typed,
    length_text,
    parse_entries,
    parse_when,
    read_entries,
    typed_from,
)
from core.chapters import Chapter
from core.errors import InputError

PAGES = ("board", "sky", "signals")
HAND = '''# Club evening, third Tuesday

# The beginning: do not rush it.
[[chapter]]
at    = "0:00:20"   # three seconds before
title = 'First "fix"'
words = """
One sentence.
Another.
"""

# Ask them first what they expect!
[[chapter]]
at = "09:14:00Z"
title = "By the clock"
page = "sky"
mask_deg = 25
pace = 0.5

# Left out for want of time:
# at = "0:30:00"
'''


def book(folder: Path, text: str | None = None) -> ChapterBook:
    found = ChapterBook(folder / "walk.nmea", PAGES)
    if text is not None:
        found.path.write_text(text, "utf-8")
    return found


def complaint(text: str) -> str:
    with pytest.raises(InputError) as raised:
        parse_entries(text, "walk.chapters.toml", PAGES)
    return str(raised.value)


# Names and times


@pytest.mark.parametrize(
    ("recording", "file"),
    [
        ("walk.nmea", "walk.chapters.toml"),
        ("walk.nmea.gz", "walk.chapters.toml"),
        ("WALK.NMEA", "WALK.chapters.toml"),
        ("walk.gpx", "walk.gpx.chapters.toml"),
        ("walk.log", "walk.log.chapters.toml"),
        ("walk.log.gz", "walk.log.gz.chapters.toml"),
        ("walk.nmea.old", "walk.nmea.old.chapters.toml"),
        ("2031-05-04", "2031-05-04.chapters.toml"),
    ],
)
def test_a_recording_and_its_file(tmp_path: Path, recording: str, file: str) -> None:
    assert chapters_path(tmp_path / recording) == tmp_path / file


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("0:04:10", When(at_s=250.0)),
        ("4:10", When(at_s=250.0)),
        ("90:00", When(at_s=5400.0)),
        ("26:00:00.5", When(at_s=93_600.5)),
        (" 0:00:00 ", When(at_s=0.0)),
        ("14:32:10Z", When(time_ms=52_330_000)),
        ("00:00:00.25Z", When(time_ms=250)),
        ("23:59:59.999Z", When(time_ms=86_399_999)),
    ],
)
def test_times_are_read(text: str, when: When) -> None:
    assert parse_when(text) == when
    assert parse_when(str(when)) == when


@pytest.mark.parametrize(
    "text",
    ["", "4", "0:60:00", "0:00:60", "24:00:00Z", "1:02Z", "-0:00:01", "٤:10", "0:00:01Z", "9999:00:00", "1e3:00"],
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="want"):
        parse_when(text)


@given(st.integers(0, 8_640_000_000))
def test_every_length_is_written_as_it_is_read(ms: int) -> None:
    assert parse_when(length_text(ms / 1000)).at_s == pytest.approx(ms / 1000, abs=0.0005)


# Reading


def test_what_a_person_writes_is_read(tmp_path: Path) -> None:
    path = book(tmp_path, HAND).path
    first, second = read_entries(path, PAGES)
    assert first == Entry(When(at_s=20.0), 'First "fix"', "One sentence. Another.")
    assert second == Entry(When(time_ms=33_240_000), "By the clock", "", "sky", 25.0, 0.5)
    assert second.at(7.0) == Chapter(7.0, "By the clock", "", "sky", 25.0, 0.5)
    assert entry_of(Chapter(250.0, "x")).when == When(at_s=250.0)


def test_no_file_is_no_chapters(tmp_path: Path) -> None:
    assert book(tmp_path).entries() == ()


def test_a_mark_that_some_editors_put_first_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "walk.chapters.toml"
    path.write_bytes(b"\xef\xbb\xbf" + HAND.encode())
    assert len(read_entries(path, PAGES)) == 2


ONE = '[[chapter]]\nat = "0:01:00"\ntitle = "x"\n'


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (f"{ONE}{ONE}tittle = 'y'\n", 7, "did you mean title?"),
        (f"{ONE}page = 'skye'\n", 4, "did you mean sky?"),
        (f"{ONE}mask_deg = 61\n", 4, "from 0 to 60"),
        (f"{ONE}mask_deg = nan\n", 4, "from 0 to 60"),
        (f"{ONE}pace = '2x'\n", 4, "from 0.1 to 100"),
        (f"{ONE}pace = true\n", 4, "from 0.1 to 100"),
        (f"{ONE}[[chapter]]\nat = 00:04:10\ntitle = 'x'\n", 5, "in quotes"),
        (f"{ONE}[[chapter]]\nat = 250\ntitle = 'x'\n", 5, "0:04:10"),
        (f"{ONE}[[chapter]]\nat = 'noon'\ntitle = 'x'\n", 5, "14:32:10Z"),
        (f"{ONE}[[chapter]]\ntitle = 'x'\n", 4, "at is missing"),
        (f"{ONE}[[chapter]]\nat = '0:02:00'\n", 4, "title is missing"),
        (f"{ONE}[[chapter]]\nat = '0:02:00'\ntitle = ' '\n", 6, "a few words"),
        (f"{ONE}[[chapter]]\nat = '0:02:00'\ntitle = '{'x' * (TITLE_LIMIT + 1)}'\n", 6, "at most"),
        (f"{ONE}words = '{'x' * (WORDS_LIMIT + 1)}'\n", 4, "at most"),
        ("[[chapters]]\nat = '0:02:00'\n", 1, "did you mean chapter?"),
        ("chapter = 3\n", 1, "[[chapter]]"),
    ],
)
def test_a_mistake_is_named_with_its_line(text: str, line: int, words: str) -> None:
    found = complaint(text)
    assert found.startswith(f"walk.chapters.toml, line {line}: ")
    assert words in found


@pytest.mark.parametrize("text", ["[[chapter]\n", "a = [" * 5000, "x = " + "9" * 5000, "[[chapter]]\nat = 'a\n"])
def test_what_is_no_toml_is_said_to_be_none(text: str) -> None:
    assert "is no TOML" in complaint(text)


def test_sizes_are_bounded(tmp_path: Path) -> None:
    assert str(MOST) in complaint(ONE * (MOST + 1))
    path = tmp_path / "walk.chapters.toml"
    path.write_bytes(b"#" * (LARGEST + 1))
    with pytest.raises(InputError, match="too long"):
        read_entries(path, PAGES)


def test_what_is_no_text_is_named_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "walk.chapters.toml"
    path.write_bytes(b"# a\n# b \xff\n")
    with pytest.raises(InputError, match="line 2: no UTF-8"):
        read_entries(path, PAGES)


@given(st.text(alphabet="[]chapter=\"'# \n\r\t:0129Z", max_size=120))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        parse_entries(text, "x", PAGES)
    except InputError:
        return


# Editing


NEW = Entry(When(at_s=300.0), 'Two\x1b "things"', "It's done.", "signals", 20.0, 2.0)


def test_the_parts_of_a_text_are_the_text() -> None:
    for text in (HAND, HAND.replace("\n", "\r\n"), "", "# only\n", ONE, ONE + ONE, HAND.rstrip("\n")):
        assert str(cut(text)) == text


def test_a_new_one_stands_in_its_place_and_every_other_line_stays(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    before = found.entries()
    assert found.add(NEW, 1) == (before[0], NEW, before[1])
    text = found.path.read_text("utf-8")
    assert found.entries() == (before[0], NEW, before[1])
    assert text.replace(f"{written_out(NEW)}\n", "") == HAND
    assert 'expect!\n[[chapter]]\nat = "09:14:00Z"' in text
    assert "\x1b" not in text
    assert (tmp_path / "walk.chapters.toml.bak").read_text("utf-8") == HAND


def test_the_first_of_all_begins_a_file_that_explains_itself(tmp_path: Path) -> None:
    found = book(tmp_path)
    found.add(NEW, 0)
    text = found.path.read_text("utf-8")
    assert text.startswith(BEGINNING)
    assert found.entries() == (NEW,)
    assert tomllib.loads(text)["chapter"][0]["mask_deg"] == 20


def test_a_change_keeps_comments_and_what_is_not_changed(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    old = found.entries()[0]
    new = Entry(When(at_s=21.0), old.title, old.words, "board")
    found.change(old, new)
    text = found.path.read_text("utf-8")
    expected = HAND.replace('"0:00:20"', '"0:00:21"').replace('Another.\n"""\n', 'Another.\n"""\npage = "board"\n')
    assert text == expected
    found.change(new, old)
    assert found.path.read_text("utf-8") == HAND.replace('at    = "0:00:20"', 'at    = "0:00:20"')


def test_a_value_that_is_taken_away_goes_from_the_file(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    old = found.entries()[1]
    found.change(old, Entry(old.when, old.title))
    assert "mask_deg" not in found.path.read_text("utf-8")
    assert "Left out for want of time" in found.path.read_text("utf-8")


def test_deleted_and_brought_back_with_its_comments(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    first, second = found.entries()
    left, removed = found.remove(first)
    assert left == found.entries() == (second,)
    text = found.path.read_text("utf-8")
    assert "do not rush" not in text
    assert "Ask them first" in text
    assert "third Tuesday" in text
    assert found.restore(removed, 0) == (first, second)
    assert [line for line in found.path.read_text("utf-8").splitlines() if line] == [
        line for line in HAND.splitlines() if line
    ]


def test_line_ends_of_the_file_stay_what_they_are(tmp_path: Path) -> None:
    found = book(tmp_path)
    found.path.write_bytes(HAND.replace("\n", "\r\n").encode())
    found.add(NEW, 2)
    data = found.path.read_bytes()
    assert data.count(b"\n") == data.count(b"\r\n")


def test_a_damaged_file_is_never_written_to(tmp_path: Path) -> None:
    found = book(tmp_path, HAND + "[[chapter\n")
    with pytest.raises(InputError, match="no TOML"):
        found.add(NEW, 0)
    assert found.path.read_text("utf-8") == HAND + "[[chapter\n"


@pytest.mark.parametrize(
    "text",
    [
        'chapter = [{at = "0:01:00", title = "inline"}]\n',
        '[[chapter]]\nat = "0:01:00"\ntitle = "x"\nwords = """\n[[chapter]]\n"""\n',
    ],
)
def test_what_cannot_be_edited_safely_is_left_alone(tmp_path: Path, text: str) -> None:
    found = book(tmp_path, text)
    assert len(found.entries()) == 1
    with pytest.raises(InputError, match="by hand"):
        found.add(NEW, 0)
    assert found.path.read_text("utf-8") == text


def test_one_that_somebody_else_has_changed_is_not_changed_blindly(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    old = found.entries()[0]
    other = HAND.replace("Another.", "Other.")
    found.path.write_text(other, "utf-8")
    for act in (lambda: found.change(old, NEW), lambda: found.remove(old)):
        with pytest.raises(InputError, match="look again"):
            act()
    assert found.path.read_text("utf-8") == other


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_where_the_folder_may_not_be_written_that_is_said(tmp_path: Path) -> None:
    found = book(tmp_path, HAND)
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(InputError, match="could not be saved"):
            found.add(NEW, 0)
    finally:
        tmp_path.chmod(0o700)


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = book(tmp_path, HAND)

    def fails(*_: object) -> None:
        raise InputError("walk.chapters.toml could not be saved (no room)")

    monkeypatch.setattr("core.chapter_book.replace_file", fails)
    with pytest.raises(InputError, match="no room"):
        found.add(NEW, 0)
    assert found.path.read_text("utf-8") == HAND


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=30).map(lambda text: " ".join(text.split()))
ENTRIES = st.builds(
    Entry,
    st.integers(0, 10**7).map(lambda ms: When(at_s=ms / 1000)),
    WORDS.filter(bool),
    WORDS,
    st.sampled_from(("", *PAGES)),
    st.none() | st.floats(0, 60),
    st.none() | st.floats(0.1, 100),
)
Act = Callable[[ChapterBook, tuple[Entry, ...], Entry], object]
ACTS: tuple[Act, ...] = (
    lambda found, entries, new: found.add(new, len(entries) // 2),
    lambda found, entries, new: found.change(entries[0], new) if entries else None,
    lambda found, entries, _: found.remove(entries[-1]) if entries else None,
)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(range(len(ACTS))), ENTRIES), min_size=1, max_size=6))
def test_any_edits_of_any_texts_are_read_back_as_they_were_meant(
    tmp_path_factory: pytest.TempPathFactory, acts: list[tuple[int, Entry]]
) -> None:
    found = book(tmp_path_factory.mktemp("edits"), HAND)
    for number, new in acts:
        done = ACTS[number](found, found.entries(), new)
        if done is not None:
            assert found.entries() == (done[0] if number == 2 else done)  # type: ignore[index]  # of remove alone
    assert "third Tuesday" in found.path.read_text("utf-8")
    assert "Left out for want of time" in found.path.read_text("utf-8")


# Typed into a form


def test_what_was_typed_is_taken_by_the_rules_of_the_file() -> None:
    assert entry_typed(Typed("4:10", " Fix  lost ", page="sky", mask_deg="20", pace="0.5"), PAGES) == Entry(
        When(at_s=250.0), "Fix lost", "", "sky", 20.0, 0.5
    )
    assert entry_typed(typed_from(NEW), PAGES) == NEW


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (Typed("soon", "x"), "time is 'soon'"),
        (Typed("0:01:00", ""), "title is empty"),
        (Typed("0:01:00", "x", page="skye"), "did you mean sky?"),
        (Typed("0:01:00", "x", mask_deg="high"), "mask is 'high'"),
        (Typed("0:01:00", "x", pace="inf"), "from 0.1 to 100"),
    ],
)
def test_a_mistake_in_a_form_is_named_by_its_line(typed: Typed, words: str) -> None:
    with pytest.raises(InputError, match=words.replace("?", r"\?")) as raised:
        entry_typed(typed, PAGES)
    assert "line 1" not in str(raised.value)

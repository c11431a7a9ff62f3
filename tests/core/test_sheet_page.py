"""The paper: lines that keep within their room whatever stands in them, and pages that lose nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.safe_text import cells
from core.sheet_page import LINES, WIDTH, Block, cut, pages, printed, title, wrapped

LETTERS = st.sampled_from("abcÄß- \t\n−°漢字한e\u0301")
"""Narrow, wide (two columns each), and a mark that takes none."""
TEXTS = st.text(LETTERS, max_size=120)


@given(TEXTS, st.integers(4, 40), st.sampled_from(["", "  "]))
def test_wrapped_nothing_is_lost_and_no_line_is_longer_than_its_room(text: str, room: int, indent: str) -> None:
    lines = [*wrapped(text, indent, room + len(indent))]
    assert all(line.startswith(indent) and cells(line) <= room + len(indent) for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_word_longer_than_a_line_is_cut_through() -> None:
    assert [*wrapped("ab " + "x" * 10 + " c", "", 4)] == ["ab", "xxxx", "xxxx", "xx c"]
    assert [*wrapped("漢字漢字漢", "", 5)] == ["漢字", "漢字", "漢"]


def test_a_letter_wider_than_the_room_stands_alone() -> None:
    assert [*wrapped("漢字", "", 1)] == ["漢", "字"]


@given(TEXTS.map(lambda text: " ".join(text.split())), st.integers(4, 40))
def test_cut_a_text_keeps_its_beginning_and_says_that_it_was_cut(text: str, room: int) -> None:
    found = cut(text, room)
    assert cells(found) <= room
    if cells(text) <= room:
        assert found == text
    else:
        assert found.endswith("...")
        assert text.startswith(found[:-3])
        assert cells(found) >= room - 1, "a wide letter at most may be missing"


@pytest.mark.parametrize("text", ["Way", "漢字"])
def test_a_heading_is_as_wide_as_the_paper(text: str) -> None:
    assert cells(title(text)) == WIDTH


def body_of(page: list[str], head: list[str]) -> list[str]:
    return [line for line in page[len(head) + 1 :] if line]


@given(st.lists(st.integers(1, 3 * LINES), min_size=1, max_size=8))
def test_blocks_of_any_length_fill_pages_in_their_order(sizes: list[int]) -> None:
    head = ["Sheet"]
    blocks = [Block(tuple(f"{number}.{line}" for line in range(size))) for number, size in enumerate(sizes)]
    found = pages(head, blocks)
    assert all(len(page) <= LINES for page in found)
    assert [line for page in found for line in body_of(page, head)] == [
        line for block in blocks for line in block.lines
    ]
    assert all(page[0].endswith(f"page {number} of {len(found)}") for number, page in enumerate(found, 1))
    assert {cells(page[0]) for page in found} == {WIDTH}


def test_a_table_that_is_cut_has_its_heading_on_every_page() -> None:
    rows = tuple(f"row {number}" for number in range(2 * LINES))
    found = pages(["Sheet"], [Block(("time   place", *rows), 1)])
    assert len(found) > 2
    assert [page[2] for page in found] == ["time   place"] * len(found)
    assert [line for page in found for line in page[3:]] == [*rows]


def test_a_block_that_does_not_fit_any_more_begins_the_next_page() -> None:
    long, short = tuple("x" * 5 for _ in range(LINES - 10)), tuple("y" * 5 for _ in range(20))
    first, second = pages(["Sheet"], [Block(long), Block(short)])
    assert "yyyyy" not in first
    assert second[2:] == [*short]


def test_printed_there_are_no_blanks_at_line_ends_and_one_break_between_pages() -> None:
    assert printed([["a  ", ""], ["b"]], "\f") == "a\n\n\fb\n"
    assert printed([["a"]], "\f") == "a\n"

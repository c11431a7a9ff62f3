"""The one function: every character there is, every payload, and that the house has no second one."""

from __future__ import annotations

import ast
import re
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from rich.cells import cell_len
from wcwidth import wcswidth

from core.report.markup import STRANGE, clean, text
from core.safe_text import CUT, cells, laid_out, one_cell_each, one_line, padded, quoted
from core.sheet_page import clean as on_paper
from core.spelled import as_ascii, spelled, stand_in
from tests.faults.hostile_text import LONG, PAYLOADS, columns, plain
from tui.canvas.cells import fitted
from tui.speaking import printable

ROOT = Path(__file__).parents[2]
each = pytest.mark.parametrize("payload", PAYLOADS.values(), ids=PAYLOADS)
ALL = [chr(code) for code in (*range(0x20000), *range(0x20000, 0x110000, 257), *range(0xE0000, 0xE0200))]
"""Every character of the planes that are of many kinds, samples of the others."""
JOINING = [char for char in ALL if unicodedata.category(char)[0] in "MCZ" and unicodedata.category(char) != "Cn"]


@pytest.mark.parametrize(
    ("before", "chars"),
    [("", ALL), ("a", JOINING), ("世", JOINING), (" ", JOINING), ("a\u0301", JOINING)],
    ids=["alone", "after a letter", "after a wide one", "after a blank", "after a mark"],
)
def test_every_character_there_is_has_the_width_that_it_is_counted_as(before: str, chars: list[str]) -> None:
    for char in chars:
        for safe in (one_cell_each(before + char), one_line(before + char)):
            assert plain(safe), hex(ord(char))
            assert cells(safe) == wcswidth(safe) == columns(safe) == cell_len(safe), hex(ord(char))


def test_every_character_is_one_cell_of_the_board_or_several_stand_ins() -> None:
    for char in ALL:
        safe = one_cell_each(char)
        assert len(safe) == cell_len(safe) == wcswidth(safe), hex(ord(char))
        assert len(safe) == 1 or "?" in safe, hex(ord(char))


@each
@pytest.mark.parametrize("way", [one_cell_each, one_line, printable, on_paper, quoted])
def test_a_payload_is_plain_afterwards_and_stays_so(payload: str, way: Callable[[str], str]) -> None:
    safe = way(payload)
    assert plain(safe)
    assert "\n" not in safe
    assert cells(safe) == columns(safe)
    if way is not quoted:
        assert way(safe) == safe


@each
def test_a_payload_is_cut_to_its_room(payload: str) -> None:
    for room in (0, 1, 7, 20):
        assert columns(fitted(payload, room)) <= room
    assert fitted(LONG, 20)[-1] == CUT
    assert columns(padded(one_line(payload)[:30], 80)) == 80


@each
def test_a_payload_in_a_page_is_text(payload: str) -> None:
    for found in (clean(payload), str(text(payload)), laid_out(payload)):
        assert all(char.isprintable() or char == "\N{NARROW NO-BREAK SPACE}" for char in found)
        assert not re.search("[\u0300-\u036f]{3}", found)
    assert "<" not in text(f"<{payload}>")
    assert STRANGE in clean("\x1b")


def test_letters_of_all_kinds_that_have_a_settled_width_are_kept() -> None:
    kept = "Kötåre Ελλη Жук 世界 ｶﾅ 가 ภู Tiếng 4×3 °±−"
    assert one_line(kept) == kept
    assert one_line("cafe\u0301") == "café"
    assert one_line("a\u00a0b\u3000c") == "a b c"


def test_a_message_quotes_the_beginning() -> None:
    assert quoted("\x1b[2J" + "x" * 60) == f"“?[2J{'x' * 36}...”"
    assert quoted("short") == "“short”"


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "koi8-r", "utf-8"])
def test_what_a_terminal_has_not_is_spelled(encoding: str) -> None:
    for payload in (*PAYLOADS.values(), "47.5° ±3 “so” 7′ 8″ 世"):
        one_line(payload).encode("utf-8")
        spelled(one_line(payload), encoding).encode(encoding)
    assert spelled("47.5° “so”", "ascii") == '47.5 deg "so"'
    assert spelled("47.5° “so”", "latin-1") == '47.5° "so"'
    assert as_ascii("7′ 世") == "7' \\u4e16"


def test_on_a_screen_each_stands_for_as_many_cells() -> None:
    for char in ("°", "╭", "│", "▁", "█", "★", "世", "é", "→", "ᄀ", "⠿"):
        assert stand_in(char).isascii()
        assert len(stand_in(char)) == columns(char)


# That there is no second one


def sources() -> Iterator[tuple[Path, ast.AST]]:
    for folder in ("core", "tui"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            yield path, ast.parse(path.read_text("utf-8"))


def calls(tree: ast.AST) -> Iterator[tuple[str, ast.Call]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            yield name, node


ASKS_FOR_ITSELF = {
    "core/safe_text.py": "the one place",
    "core/nmea/write.py": "a sentence is ASCII",
    "core/feeding/address.py": "refuses a name, shows none",
    "core/memory.py": "asks whether a line of its own file was written by it",
    "core/settings/keys.py": "refuses a character that no key writes, shows none",
}


def test_nobody_else_decides_what_may_be_shown() -> None:
    found = {
        path.relative_to(ROOT).as_posix()
        for path, tree in sources()
        for name, _ in calls(tree)
        if name in {"isprintable", "east_asian_width", "bidirectional"}
    }
    assert found <= set(ASKS_FOR_ITSELF), "use core.safe_text"


WIDGETS = {"Static", "Label", "notify", "OptionList"}


def test_no_widget_reads_markup_in_what_it_is_given() -> None:
    """Constants may; whatever else is shown says that it is none, or is a Text, which has no markup in it."""
    for path, tree in sources():
        for name, call in calls(tree):
            if name not in WIDGETS or not call.args or isinstance(call.args[0], ast.Constant):
                continue
            first = call.args[0]
            is_text = isinstance(first, ast.Call) and "ext" in ast.dump(first.func)
            says = any(
                word.arg == "markup" and isinstance(word.value, ast.Constant) and word.value.value is False
                for word in call.keywords
            )
            assert says or is_text, f"{path.name}:{call.lineno}: {name} without markup=False"


def test_only_tell_and_complain_print() -> None:
    found = [path.name for path, tree in sources() for name, _ in calls(tree) if name == "print"]
    assert set(found) <= {"speaking.py"}

"""What the board remembers: any names come back as they were, and a damaged file is as good as none."""

from __future__ import annotations

import stat
import tomllib
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError
from core.memory import Memory, recall, remember

SCALARS = st.text(st.characters(exclude_categories=["Cs"]))
"""Any text that UTF-8 can carry."""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("memory") / "board.toml"


@given(target=SCALARS, notation=SCALARS, theme=SCALARS)
def test_any_text_comes_back(file: Path, target: str, notation: str, theme: str) -> None:
    kept = Memory(route=target, notation=notation, theme=theme)
    remember(file, kept)
    assert recall(file) == kept


LINES = st.sampled_from(
    [
        'theme = "night"',
        'theme = "',
        "theme",
        'route = "a \\u0041 b"',
        'route = "a" # b',
        'alert = "on"',
        'other = "x"',
        "",
    ]
)


@given(lines=st.lists(LINES, max_size=4), end=st.sampled_from(["\n", "\r\n", "\u2028", "\t"]))
def test_what_is_read_in_the_short_way_is_what_toml_says(file: Path, lines: list[str], end: str) -> None:
    file.write_text("".join(f"{line}{end}" for line in lines), "utf-8", newline="")
    try:
        said = tomllib.loads(file.read_bytes().decode())
    except tomllib.TOMLDecodeError:
        said = {}
    assert recall(file) == Memory(**{name: text for name, text in said.items() if name != "other"})


@pytest.mark.parametrize(
    "name",
    [
        'Camp "two"',
        "back\\slash",
        "two\nlines\r\n",
        "\x00\x01\x1b[31m\x7f\x85\x9b",
        "camp \U0001f3d5 and \U0001f1e6",
        "\u202ereversed",
        "a = 1\n[table]",
        '"""',
        "'''",
        " ",
        "x" * 10_000,
    ],
    ids=lambda name: ascii(name[:20]),
)
def test_hostile_names_come_back(file: Path, name: str) -> None:
    remember(file, Memory(route=name, theme="night"))
    assert recall(file) == Memory(route=name, theme="night")
    assert set(tomllib.loads(file.read_text("utf-8"))) == {field.name for field in fields(Memory)}


def test_half_of_a_surrogate_pair_costs_itself_and_nothing_else(file: Path) -> None:
    remember(file, Memory(route="a\ud83db", theme="night"))
    assert recall(file) == Memory(route="a?b", theme="night")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"target",
        b"target = ",
        b'target = "cut off',
        b"\xff\xfe\x00",
        b"\x00" * 100,
        b'target = "a"\ntarget = "b"',
        b"a = " + b"[" * 100_000,
        b'target = "\\ud83d\\ude00"',
    ],
    ids=lambda content: repr(content[:20]),
)
def test_a_damaged_file_counts_as_none(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "board.toml"
    path.write_bytes(content)
    assert recall(path) == Memory()
    remember(path, Memory(route="again"))
    assert recall(path) == Memory(route="again")


def test_no_file_a_folder_and_strange_values_count_as_none(tmp_path: Path) -> None:
    assert recall(tmp_path / "none") == Memory()
    assert recall(tmp_path) == Memory()
    path = tmp_path / "board.toml"
    path.write_text('target = 5\nnotation = ["DECIMAL"]\ntheme = "night"\nlater = "unknown to this release"\n', "utf-8")
    assert recall(path) == Memory(theme="night")


def test_it_is_kept_private_and_a_failure_to_save_is_said(tmp_path: Path) -> None:
    path = tmp_path / "board.toml"
    remember(path, Memory(route="Mark 1"))
    assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0
    with pytest.raises(InputError, match="could not be saved"):
        remember(path / "below a file", Memory())
    assert recall(path) == Memory(route="Mark 1")

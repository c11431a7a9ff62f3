"""Files and texts from anybody: refused in words before they cost anything, whatever is odd about them."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from core.errors import InputError
from core.formats import safe_json
from core.formats.safe_json import parse_json
from core.plain_files import open_plain, read_plain
from core.toml_text import parsed

posix = pytest.mark.skipif(os.name != "posix", reason="pipes and devices as on POSIX")
NAME = "quay.geojson"


@pytest.mark.parametrize("name", ["nul\0in it", "half \ud800 of a character"])
def test_a_name_that_no_file_can_have_is_no_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(OSError, match=r"no file can have this name|No such file|surrogates"):
        open_plain(tmp_path / name)


def test_a_folder_is_named_as_one(tmp_path: Path) -> None:
    with pytest.raises(IsADirectoryError, match="it is a folder"):
        open_plain(tmp_path)


@posix
def test_neither_a_pipe_nor_a_device_is_waited_for(tmp_path: Path) -> None:
    """Nobody writes into this one: opened as a file is, it would keep its reader for ever."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (pipe, Path(os.devnull)):
        with pytest.raises(OSError, match="it is a pipe or a device, not a file"):
            open_plain(path)


@posix
def test_a_file_that_becomes_a_pipe_meanwhile_is_refused_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the first look and the opening; and what was opened is closed again."""
    path = tmp_path / "file"
    path.write_bytes(b"whole")
    opened: list[int] = []
    real = os.open

    def swapping(name: Path, flags: int) -> int:
        path.unlink()
        os.mkfifo(path)
        opened.append(real(name, flags))
        return opened[-1]

    with monkeypatch.context() as swapped:
        swapped.setattr(os, "open", swapping)
        with pytest.raises(OSError, match="it is a pipe or a device"):
            open_plain(path)
    (handle,) = opened
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(handle)


def test_of_a_file_that_is_too_long_one_byte_more_is_read_and_no_more(tmp_path: Path) -> None:
    path = tmp_path / "long"
    path.write_bytes(b"x" * 100)
    assert [len(read_plain(path, most)) for most in (10, 99, 100, 101)] == [11, 100, 100, 100]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b'{"type": ', "is no JSON (Expecting value: line 1 column 10"),
        (b"\xff\xfe{}", "is no JSON ('utf-8' codec can't decode"),
        (b"[" * 100_000, "it nests too deeply"),
        (b"9" * 5000, "holds a number of thousands of digits"),
    ],
    ids=["cut", "no text", "deep", "digits"],
)
def test_json_that_cannot_be_read_is_refused_with_name_and_reason(data: bytes, said: str) -> None:
    with pytest.raises(InputError) as refused:
        parse_json(data, NAME)
    assert str(refused.value).startswith(NAME)
    assert said in str(refused.value)


def test_json_is_measured_before_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(safe_json, "MOST_VALUES", 5)
    assert parse_json(b"[1, 2, 3, 4, 5]", NAME) == [1, 2, 3, 4, 5]
    with pytest.raises(InputError, match="holds more than 5 values"):
        parse_json(b"[1, 2, 3, 4, 5, 6]", NAME)
    monkeypatch.setattr(safe_json, "BIGGEST_BYTES", 1024**2)
    assert parse_json(b'"' + b"x" * (1024**2 - 2) + b'"', NAME)
    with pytest.raises(InputError, match="is larger than 1 MB: split it"):
        parse_json(b'"' + b"x" * (1024**2 - 1) + b'"', NAME)


def test_a_byte_order_mark_is_no_damage() -> None:
    """Some editors of Windows write one (from memory)."""
    assert parse_json(b"\xef\xbb\xbf{}", NAME) == {}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a = 1\n" + ".".join("b" * 101) + " = 1", "a key of more than 100 names (at line 2)"),
        ("a = " + "[" * 100_000, "its values nest too deeply"),
        ("a = " + "9" * 5000, "a number in it has thousands of digits"),
        ("a = \n", "Invalid value"),
    ],
    ids=["key", "deep", "digits", "no value"],
)
def test_toml_that_cannot_be_read_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=re.escape(said)):
        parsed(text)

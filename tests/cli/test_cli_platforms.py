"""What the command line does otherwise on Windows; from memory, none of it seen there."""

from __future__ import annotations

import errno
import os
import sys

import pytest

from core.errors import InputError
from tui import cli_board, speaking


def in_a_terminal(monkeypatch: pytest.MonkeyPatch, platform: str, term: str | None) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setattr(cli_board, "is_terminal", lambda name: True)
    monkeypatch.delenv("TEXTUAL_COLOR_SYSTEM", raising=False)
    monkeypatch.delenv("TERM", raising=False)
    if term is not None:
        monkeypatch.setenv("TERM", term)


def test_a_console_of_windows_has_no_name_and_takes_a_board(monkeypatch: pytest.MonkeyPatch) -> None:
    in_a_terminal(monkeypatch, "win32", None)
    cli_board._check_terminal()


@pytest.mark.parametrize(
    ("platform", "term"), [("linux", None), ("darwin", None), ("linux", "dumb"), ("win32", "dumb")]
)
def test_elsewhere_a_terminal_without_a_name_can_only_print(
    monkeypatch: pytest.MonkeyPatch, platform: str, term: str | None
) -> None:
    in_a_terminal(monkeypatch, platform, term)
    with pytest.raises(InputError, match="can only print lines"):
        cli_board._check_terminal()


class Gone:
    """A pipe whose reader has left."""

    encoding = "utf-8"

    def __init__(self, number: int) -> None:
        self._number = number
        self._handle = os.open(os.devnull, os.O_WRONLY)

    def write(self, text: str) -> int:
        raise OSError(self._number, os.strerror(self._number))

    def flush(self) -> None:
        os.close(self._handle)

    def fileno(self) -> int:
        return self._handle


def test_a_reader_that_has_left_is_no_failure_on_windows_either(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setattr(sys, "stdout", Gone(errno.EINVAL))
    speaking.tell("a line")


@pytest.mark.parametrize(("platform", "number"), [("win32", errno.ENOSPC), ("linux", errno.EINVAL)])
def test_any_other_trouble_is_said(monkeypatch: pytest.MonkeyPatch, platform: str, number: int) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    monkeypatch.setattr(sys, "stdout", Gone(number))
    with pytest.raises(InputError, match="is there room"):
        speaking.tell("a line")

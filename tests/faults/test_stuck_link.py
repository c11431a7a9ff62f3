"""The link to a feed's pseudo-terminal after a crash: taken back where it is ours, left alone where it is another's.

The numbers of pseudo-terminals are used again at once, mostly by the terminal in which the board is started anew.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from core.errors import InputError
from tests.live.feeding import feeding

pytestmark = pytest.mark.skipif(not hasattr(os, "openpty"), reason="pseudo-terminals: POSIX only")
TAKEN = "there is something of the name"


@contextmanager
def a_terminal() -> Iterator[str]:
    """Somebody's."""
    near, far = os.openpty()
    yield os.ttyname(far)
    os.close(near)
    os.close(far)


def as_a_crash_leaves_it(link: Path, device: str) -> None:
    """The link is still there, and what it led to is another's by now."""
    with feeding(f"pty:{link}"):
        pass
    link.symlink_to(device)


def test_a_link_of_ours_that_leads_to_another_s_terminal_by_now_is_taken_back(tmp_path: Path) -> None:
    """The board would not start: remove the link, it said."""
    link = tmp_path / "ttyQ"
    with a_terminal() as other:
        as_a_crash_leaves_it(link, other)
        with feeding(f"pty:{link}"):
            assert str(link.readlink()) != other
    assert not link.is_symlink()


@pytest.mark.parametrize("times", [1, 2])
def test_a_link_that_was_never_ours_is_left_alone_however_often_one_tries(tmp_path: Path, times: int) -> None:
    link = tmp_path / "ttyQ"
    with a_terminal() as other:
        link.symlink_to(other)
        for _ in range(times):
            with pytest.raises(InputError, match=TAKEN), feeding(f"pty:{link}"):
                pass
        assert str(link.readlink()) == other
    assert [one.name for one in tmp_path.iterdir()] == ["ttyQ"]


def test_a_link_of_a_feed_that_runs_is_left_to_it(tmp_path: Path) -> None:
    link = tmp_path / "ttyQ"
    with feeding(f"pty:{link}") as feeder:
        device = link.readlink()
        with pytest.raises(InputError, match=TAKEN), feeding(f"pty:{link}"):
            pass
        assert link.readlink() == device
        assert feeder.status.where == (str(link),)


LAID: dict[str, Callable[[Path, Path], object]] = {
    "a file": lambda link, letter: link.write_bytes(letter.read_bytes()),
    "a folder": lambda link, _: link.mkdir(),
    "a link to a file": lambda link, letter: link.symlink_to(letter),
}


@pytest.mark.parametrize("what", LAID)
def test_anything_else_of_that_name_is_left_alone_though_the_name_was_ours_once(tmp_path: Path, what: str) -> None:
    link, letter = tmp_path / "ttyQ", tmp_path / "letter"
    letter.write_text("theirs", encoding="utf-8")
    with feeding(f"pty:{link}"):
        pass
    LAID[what](link, letter)
    with pytest.raises(InputError, match=TAKEN), feeding(f"pty:{link}"):
        pass
    assert link.exists()
    assert letter.read_text(encoding="utf-8") == "theirs"


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("theirs", encoding="utf-8")
    with (
        pytest.raises(InputError, match=r"the folder for .* is not there"),
        feeding(f"pty:{tmp_path / 'mistyped/ttyQ'}"),
    ):
        pass
    with pytest.raises(InputError, match=r"the folder for .* is not one"), feeding(f"pty:{tmp_path / 'letter/ttyQ'}"):
        pass
    assert [one.name for one in tmp_path.iterdir()] == ["letter"]

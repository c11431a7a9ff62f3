"""Files under a passing name: swept when their writer is dead, left while it lives, and made again when lost."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

from core import part_files
from core.part_files import PART, part_beside, sweep_parts

pytestmark = pytest.mark.skipif(os.name != "posix", reason="flock, as on POSIX")


def refusing(number: int) -> Callable[..., NoReturn]:
    def refuse(*_: object) -> NoReturn:
        raise OSError(number, os.strerror(number))

    return refuse


def test_what_is_given_a_name_stays_and_all_else_goes(tmp_path: Path) -> None:
    with part_beside(tmp_path / "page") as (handle, fresh):
        os.write(handle, b"whole")
        os.close(handle)
        assert fresh.parent == tmp_path
        assert fresh.name.endswith(PART)
        fresh.rename(tmp_path / "page")
    assert [path.name for path in tmp_path.iterdir()] == ["page"]
    with pytest.raises(ValueError, match="broken off"), part_beside(tmp_path / "page") as (handle, fresh):
        os.close(handle)
        raise ValueError("broken off")
    assert [path.name for path in tmp_path.iterdir()] == ["page"]


def test_where_there_are_no_locks_nothing_is_ever_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on some network's file systems: nobody knows there whether a writer lives."""
    monkeypatch.setattr("fcntl.flock", refusing(errno.ENOLCK))
    of_somebody = tmp_path / f".page.x{PART}"
    of_somebody.write_bytes(b"half")
    with part_beside(tmp_path / "page") as (handle, fresh):
        os.close(handle)
        assert fresh.exists()
    assert of_somebody.exists()


def test_a_part_that_others_take_for_a_dead_ones_every_time_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fcntl.flock", refusing(errno.EWOULDBLOCK))
    with pytest.raises(BlockingIOError, match="others remove our new files"), part_beside(tmp_path / "page"):
        pytest.fail("there is no part")


def test_a_part_that_was_removed_before_it_was_held_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []
    real = part_files.hold

    def late(handle: int) -> bool:
        if not seen:
            for one in tmp_path.iterdir():
                one.unlink()
        seen.append(handle)
        return real(handle)

    monkeypatch.setattr(part_files, "hold", late)
    with part_beside(tmp_path / "page") as (handle, fresh):
        os.close(handle)
        assert fresh.exists()
    assert len(seen) == 2


def test_links_pipes_and_folders_of_that_ending_are_left(tmp_path: Path) -> None:
    """None of them is a part; a pipe would keep whoever opens it waiting."""
    kept = tmp_path / "kept"
    kept.write_bytes(b"the user's")
    (tmp_path / f".a{PART}").symlink_to(kept)
    os.mkfifo(tmp_path / f".b{PART}")
    (tmp_path / f".c{PART}").mkdir()
    (tmp_path / f".d{PART}").write_bytes(b"of a dead one")
    sweep_parts(tmp_path)
    assert kept.read_bytes() == b"the user's"
    left = {path.name for path in tmp_path.iterdir()}
    assert {f".a{PART}", f".c{PART}", "kept"} <= left
    assert f".d{PART}" not in left


def test_a_folder_that_is_not_there_has_nothing_to_sweep(tmp_path: Path) -> None:
    sweep_parts(tmp_path / "gone")


@pytest.mark.parametrize("name", ["x" * 255, "ß" * 127])
def test_the_longest_name_has_a_part_too(tmp_path: Path, name: str) -> None:
    with part_beside(tmp_path / name) as (handle, fresh):
        os.close(handle)
        assert len(os.fsencode(fresh.name)) <= 255

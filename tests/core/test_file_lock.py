"""The lock: one at a time, in a process and between processes; no lock is better than no saving."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from core import file_lock
from core.errors import InputError
from core.file_lock import PAUSE_S, TRIES, lock_file, locked

ROOT = Path(__file__).parents[2]
HOLDER = """
import sys
from pathlib import Path
from core.file_lock import locked
with locked(Path(sys.argv[1])) as held:
    print(held, flush=True)
    sys.stdin.readline()
"""

posix = pytest.mark.skipif(os.name != "posix", reason="signals and errors as on POSIX")


@contextmanager
def holder(path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another program that holds the lock until it is told a line."""
    command = [sys.executable, "-c", HOLDER, str(path)]
    with subprocess.Popen(command, cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout
        assert process.stdout.readline() == "True\n"
        yield process
        process.kill()


def test_it_is_held_and_given_back(tmp_path: Path) -> None:
    for _ in range(3):
        with locked(tmp_path / "file", tries=1) as held:
            assert held is True
    assert [one.name for one in tmp_path.iterdir()] == [".file.lock"]


def test_two_in_one_process_exclude_each_other(tmp_path: Path) -> None:
    with locked(tmp_path / "file"):
        held_already = pytest.raises(InputError, match="file is being written by another program")
        with held_already, locked(tmp_path / "file", tries=2, pause_s=0.0):
            pytest.fail("both have it")
        with locked(tmp_path / "another", tries=1) as held:
            assert held
    with locked(tmp_path / "file", tries=1) as held:
        assert held


def test_another_program_excludes_us_until_it_lets_go(tmp_path: Path) -> None:
    with holder(tmp_path / "file") as process:
        with pytest.raises(InputError, match="another program"), locked(tmp_path / "file", tries=3, pause_s=0.001):
            pytest.fail("both have it")
        assert process.stdin
        process.stdin.write("\n")
        process.stdin.flush()
        with locked(tmp_path / "file") as held:
            assert held


@posix
def test_a_killed_program_holds_nothing(tmp_path: Path) -> None:
    with holder(tmp_path / "file") as process:
        process.send_signal(signal.SIGKILL)
        process.wait()
        with locked(tmp_path / "file", tries=1) as held:
            assert held


def test_an_error_inside_gives_it_back(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), locked(tmp_path / "file"):
        raise ZeroDivisionError
    with locked(tmp_path / "file", tries=1) as held:
        assert held


def test_the_wait_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pauses: list[float] = []
    monkeypatch.setattr(time, "sleep", pauses.append)
    with locked(tmp_path / "file"), pytest.raises(InputError), locked(tmp_path / "file"):
        pytest.fail("both have it")
    assert pauses == [PAUSE_S] * (TRIES - 1)
    assert 4.0 < sum(pauses) < 6.0


@posix
@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL])
def test_where_there_are_no_locks_it_goes_on_without(
    tmp_path: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(_: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(file_lock, "_try", none)
    with locked(tmp_path / "file") as held:
        assert held is False


@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.ENOSPC])
def test_where_no_file_can_be_made_it_goes_on_without(
    tmp_path: Path, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", none)
    with locked(tmp_path / "file") as held:
        assert held is False


def test_a_folder_in_its_place_is_no_obstacle(tmp_path: Path) -> None:
    lock_file(tmp_path / "file").mkdir()
    with locked(tmp_path / "file") as held:
        assert held is False


def test_the_folder_is_made(tmp_path: Path) -> None:
    with locked(tmp_path / "new" / "file") as held:
        assert held


@posix
def test_a_link_and_what_it_leads_to_are_one(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere" / "file")
    assert lock_file(tmp_path / "link") == tmp_path / "elsewhere" / ".file.lock"
    with locked(tmp_path / "link"), pytest.raises(InputError), locked(tmp_path / "elsewhere" / "file", tries=1):
        pytest.fail("both have it")

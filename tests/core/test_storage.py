"""Saving, interrupted at every step: the old content or the new, never half of either, and never none."""

from __future__ import annotations

import errno
import os
import random
import re
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from core.errors import InputError
from core.storage import create_file, replace_file, sweep

ROOT = Path(__file__).parents[2]
OLD, NEW = b"the old content\n", b"the new content, which is longer\n"

posix = pytest.mark.skipif(os.name != "posix", reason="file modes and hard links as on POSIX")
not_root = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write everywhere: run as a user"
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "places.gpx"
    replace_file(path, OLD)
    return path


def backup(path: Path) -> Path:
    return path.with_name(path.name + ".bak")


def leftovers(path: Path) -> set[str]:
    return {one.name for one in path.parent.iterdir()} - {path.name, path.name + ".bak"}


def test_the_content_is_written_and_the_folders_made(tmp_path: Path) -> None:
    path = tmp_path / "new" / "and deeper" / "file"
    replace_file(path, NEW)
    assert path.read_bytes() == NEW
    assert not backup(path).exists()


def test_the_backup_is_the_generation_before(file: Path) -> None:
    for content in (b"2", b"3", b"4"):
        before = file.read_bytes()
        replace_file(file, content)
        assert (file.read_bytes(), backup(file).read_bytes()) == (content, before)
    assert leftovers(file) == set()


def test_empty_content_is_content(file: Path) -> None:
    replace_file(file, b"")
    assert file.read_bytes() == b""
    assert backup(file).read_bytes() == OLD


@posix
def test_only_the_user_may_read_file_backup_and_folder(tmp_path: Path) -> None:
    path = tmp_path / "data" / "file"
    for content in (OLD, NEW):
        replace_file(path, content)
    modes = {one.name: stat.S_IMODE(one.stat().st_mode) for one in (path, backup(path), path.parent)}
    assert modes == {"file": 0o600, "file.bak": 0o600, "data": 0o700}


@contextmanager
def failing(name: str, nth: int, error: BaseException) -> Iterator[list[int]]:
    """The `nth` call of that function of `os` raises; yields how often it was called."""
    real: Callable[..., Any] = getattr(os, name)
    calls = [0]

    def call(*arguments: Any, **more: Any) -> Any:
        calls[0] += 1
        if calls[0] == nth:
            raise error
        return real(*arguments, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, name, call)
        yield calls


STEPS = [("open", 1), ("fdopen", 1), ("fsync", 1), ("replace", 1), ("replace", 2)]
"""In order: the fresh file, its stream, its content on the disk, the backup's name, the file's name."""


class PowerCut(BaseException):
    """Not an error that anybody could handle."""


@posix
@pytest.mark.parametrize(("name", "nth"), STEPS)
def test_a_cut_at_any_step_leaves_the_old_content(file: Path, name: str, nth: int) -> None:
    with failing(name, nth, PowerCut()) as calls, pytest.raises(PowerCut):
        replace_file(file, NEW)
    assert calls[0] >= nth
    assert file.read_bytes() == OLD
    assert leftovers(file) <= {f".{file.name}.bak.new"}


@posix
@pytest.mark.parametrize(("name", "nth"), STEPS)
def test_after_a_cut_the_next_save_works(file: Path, name: str, nth: int) -> None:
    with failing(name, nth, PowerCut()), pytest.raises(PowerCut):
        replace_file(file, NEW)
    replace_file(file, NEW)
    assert file.read_bytes() == NEW
    assert backup(file).read_bytes() == OLD


@posix
@pytest.mark.parametrize(("name", "nth"), [("open", 1), ("fsync", 1), ("replace", 2)])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO])
def test_a_failure_is_said_with_file_and_cause_and_the_old_content_stands(
    file: Path, name: str, nth: int, number: int
) -> None:
    problem = OSError(number, os.strerror(number))
    with failing(name, nth, problem), pytest.raises(InputError) as caught:
        replace_file(file, NEW)
    assert str(file) in str(caught.value)
    assert os.strerror(number) in str(caught.value)
    assert file.read_bytes() == OLD
    assert leftovers(file) == set()


@posix
def test_a_write_that_stops_half_way_leaves_the_old_content(file: Path) -> None:
    real = os.fdopen

    class Full:
        """A disk that takes five bytes."""

        def __init__(self, handle: int) -> None:
            self.stream = real(handle, "wb")

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            self.stream.close()

        def write(self, content: bytes) -> int:
            self.stream.write(content[:5])
            raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.MonkeyPatch.context() as patch, pytest.raises(InputError, match="No space left"):
        patch.setattr(os, "fdopen", lambda handle, mode: Full(handle))
        replace_file(file, NEW)
    assert file.read_bytes() == OLD
    assert leftovers(file) == set()


@posix
def test_a_folder_that_cannot_be_synced_is_no_failure(file: Path) -> None:
    with failing("fsync", 2, OSError(errno.EINVAL, "not for folders")) as calls:
        replace_file(file, NEW)
    assert calls[0] == 2
    assert file.read_bytes() == NEW


@posix
def test_without_hard_links_there_is_a_backup_all_the_same(file: Path) -> None:
    with failing("link", 1, OSError(errno.EPERM, "no hard links here")):
        replace_file(file, NEW)
    assert (file.read_bytes(), backup(file).read_bytes()) == (NEW, OLD)
    assert stat.S_IMODE(backup(file).stat().st_mode) == 0o600
    assert leftovers(file) == set()


@posix
def test_where_the_backup_is_another_name_of_the_file_copying_does_not_cut_it(file: Path) -> None:
    backup(file).hardlink_to(file)  # as a cut between the two renames leaves it
    no_links = failing("link", 1, OSError(errno.EPERM, "no hard links here"))
    with no_links, failing("replace", 2, PowerCut()), pytest.raises(PowerCut):
        replace_file(file, NEW)
    assert (file.read_bytes(), backup(file).read_bytes()) == (OLD, OLD)
    with failing("link", 1, OSError(errno.EPERM, "no hard links here")):
        replace_file(file, NEW)
    assert (file.read_bytes(), backup(file).read_bytes()) == (NEW, OLD)


def test_a_file_in_the_place_of_the_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "data").write_bytes(b"a file")
    with pytest.raises(InputError, match="could not be saved"):
        replace_file(tmp_path / "data" / "places.gpx", NEW)
    assert (tmp_path / "data").read_bytes() == b"a file"


def test_a_folder_in_the_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "places.gpx").mkdir()
    with pytest.raises(InputError, match=re.escape("places.gpx could not be saved")):
        replace_file(tmp_path / "places.gpx", NEW)
    assert (tmp_path / "places.gpx").is_dir()


@not_root
def test_a_folder_that_may_not_be_written_is_said(file: Path) -> None:
    file.parent.chmod(0o500)
    try:
        with pytest.raises(InputError, match="may it be written"):
            replace_file(file, NEW)
    finally:
        file.parent.chmod(0o700)
    assert file.read_bytes() == OLD


WRITER = """
import sys
from pathlib import Path
from core.storage import create_file, replace_file, sweep
path, n = Path(sys.argv[1]), int(sys.argv[2])
while True:
    n += 1
    replace_file(path, f"{n}\\n".encode() * 5000 + b"end\\n")
    print(n, flush=True)
"""


def is_whole(content: bytes) -> bool:
    *numbers, end = content.splitlines()
    return end == b"end" and len(numbers) == 5000 and len(set(numbers)) == 1


@posix
def test_a_killed_writer_leaves_a_whole_file_every_time(tmp_path: Path) -> None:
    path, last, chance = tmp_path / "kept", 0, random.Random(1)
    for _ in range(30):
        command = [sys.executable, "-S", "-c", WRITER, str(path), str(last)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, cwd=ROOT) as writer:
            assert writer.stdout
            for _ in range(chance.randrange(1, 4)):
                last = int(writer.stdout.readline())
            writer.kill()
            rest = writer.stdout.read().split()
        last = int(rest[-1]) if rest else last
        content = path.read_bytes()
        assert is_whole(content)
        assert int(content.split()[0]) in {last, last + 1}
        kept = backup(path)
        assert not kept.exists() or is_whole(kept.read_bytes())
        last = int(content.split()[0])


# Links, modes, new files


@posix
def test_a_link_stays_a_link_and_what_it_leads_to_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    real, link = tmp_path / "elsewhere" / "real", tmp_path / "link"
    link.symlink_to(real)
    replace_file(link, OLD)
    replace_file(link, NEW)
    assert link.is_symlink()
    assert (real.read_bytes(), backup(real).read_bytes()) == (NEW, OLD)
    assert not backup(link).exists()


@posix
def test_a_link_that_leads_to_itself_is_said(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to("link")
    with pytest.raises(InputError, match="could not be saved"):
        replace_file(tmp_path / "link", NEW)


@posix
@pytest.mark.parametrize("mode", [0o644, 0o640, 0o600, 0o755])
def test_mode_bits_of_a_file_stay(file: Path, mode: int) -> None:
    file.chmod(mode)
    replace_file(file, NEW)
    assert (stat.S_IMODE(file.stat().st_mode), stat.S_IMODE(backup(file).stat().st_mode)) == (mode, mode)


@posix
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only the superuser gives files away")
def test_the_superuser_leaves_a_file_its_owner(file: Path) -> None:
    os.chown(file, 12345, 23456)
    replace_file(file, NEW)
    assert (file.stat().st_uid, file.stat().st_gid) == (12345, 23456)


@pytest.mark.parametrize("has_links", [True, False])
def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path, has_links: bool) -> None:
    path = tmp_path / "new"
    with failing("link", 0 if has_links else 1, OSError(errno.EPERM, "no hard links here")):
        create_file(path, NEW)
    refused = pytest.raises(InputError, match="new exists already")
    with failing("link", 0 if has_links else 1, OSError(errno.EPERM, "no hard links here")), refused:
        create_file(path, OLD)
    assert path.read_bytes() == NEW
    assert [one.name for one in tmp_path.iterdir()] == ["new"]


@posix
def test_a_new_file_is_no_way_through_a_link(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "target")
    with pytest.raises(InputError, match="exists already"):
        create_file(tmp_path / "link", NEW)
    assert not (tmp_path / "target").exists()


@posix
@pytest.mark.parametrize("name", ["open", "fsync"])
def test_a_new_file_that_cannot_be_written_is_not_there(tmp_path: Path, name: str) -> None:
    refused = pytest.raises(InputError, match=r"could not be written \(No space left")
    with failing(name, 1, OSError(errno.ENOSPC, "No space left on device")), refused:
        create_file(tmp_path / "new", NEW)
    assert list(tmp_path.iterdir()) == []


def test_sweeping_takes_the_leftovers_of_one_file(file: Path) -> None:
    left = file.with_name(f".{file.name}.x1.part")
    other = file.with_name(".other.x1.part")
    left.write_bytes(b"")
    other.write_bytes(b"")
    sweep(file)
    assert {one.name for one in file.parent.iterdir()} == {file.name, other.name}
    sweep(file.parent / "none" / "file")

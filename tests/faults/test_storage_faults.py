"""Disks that fail, fill up, or may not be written: it is said, nothing saved is lost or doubled, and it goes on after.

Every kind of write, with each call to the system failing in turn; on a file system that is really full, or read-only,
where the tests may mount one; with files that may not grow; and with signals coming all the time.
"""

from __future__ import annotations

import errno
import os
import resource
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from core.appended import append_lines
from core.errors import InputError
from core.folders import make_folder, sync_folder
from core.storage import create_file, replace_file
from tests.faults.storage_kinds import BY_NAME, KINDS, Kind, rests
from tui.text_sender import FileOutlet

CALLS = ("open", "write", "fsync", "replace", "rename", "link", "mkdir", "ftruncate")
ERRORS = (errno.EIO, errno.ENOSPC, errno.EDQUOT, errno.EROFS)
KEPT = [kind for kind in KINDS if kind.acknowledged_is_synced]
BEFORE = 3
"""Changes that are saved before anything fails."""
posix = pytest.mark.skipif(os.name != "posix", reason="errors as on POSIX")


class Failing:
    """The `nth` call of that function of `os` fails, and all after it where `for_good`."""

    def __init__(self, name: str, nth: int, number: int, *, for_good: bool) -> None:
        self._name, self._nth, self._number, self._for_good = name, nth, number, for_good
        self.calls = 0

    @contextmanager
    def __call__(self) -> Iterator[None]:
        real: Callable[..., Any] = getattr(os, self._name)

        def call(*arguments: Any, **more: Any) -> Any:
            self.calls += 1
            if self.calls == self._nth or (self._for_good and self.calls > self._nth):
                raise OSError(self._number, os.strerror(self._number))
            return real(*arguments, **more)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(os, self._name, call)
            yield


def begun(kind: Kind, folder: Path) -> None:
    """With some changes saved."""
    folder.mkdir(parents=True, exist_ok=True)
    step = kind.begin(folder, 0)
    for number in range(BEFORE):
        step(number)
    assert kind.kept(folder, BEFORE) == BEFORE


def tried(kind: Kind, folder: Path) -> bool:
    """The next program, and its next change: whether that was acknowledged. Nothing but words may come of a failure."""
    try:
        kind.begin(folder, BEFORE)(BEFORE)
    except (InputError, OSError) as error:  # OSError: of the file layer, which the recorder puts into words
        assert str(error)
        return False
    return True


def goes_on(kind: Kind, folder: Path, acknowledged: int) -> None:
    """All is there that was, and the next change is saved."""
    kept = kind.kept(folder, acknowledged)
    assert acknowledged <= kept <= BEFORE + 1
    assert len(rests(folder)) <= kind.rests
    kind.begin(folder, kept)(kept)
    assert kind.kept(folder, kept + 1) == kept + 1


@posix
@pytest.mark.parametrize("name", CALLS)
@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_any_call_may_fail(kind: Kind, name: str, tmp_path: Path) -> None:
    failed, calls = 0, 0
    for nth in range(1, 40):
        for for_good in (False, True):
            place = tmp_path / f"{nth}{for_good}"
            begun(kind, place)
            failing = Failing(name, nth, ERRORS[nth % len(ERRORS)], for_good=for_good)
            with failing():
                done = tried(kind, place)
            # Summaries are worked out again where they are not there, so that no word is made of it.
            goes_on(kind, place, BEFORE + (done and kind.name != "summaries"))
            failed, calls = failed + (not done), failing.calls
        if calls < nth:
            return
    raise AssertionError(f"{failed} failures, and no end of calls")


@posix
@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_a_disk_that_fails_to_sync_is_never_believed(kind: Kind, tmp_path: Path) -> None:
    if kind.name == "summaries":
        return
    begun(kind, tmp_path)
    with Failing("fsync", 1, errno.EIO, for_good=True)():
        assert not tried(kind, tmp_path)
    goes_on(kind, tmp_path, BEFORE)


@posix
@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_signals_at_every_moment_change_nothing(kind: Kind, tmp_path: Path) -> None:
    heard: list[int] = []
    before = signal.signal(signal.SIGALRM, lambda number, _: heard.append(number))
    signal.setitimer(signal.ITIMER_REAL, 0.001, 0.0005)
    try:
        begun(kind, tmp_path)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    assert heard


@contextmanager
def no_file_larger_than(size: int) -> Iterator[None]:
    """As a quota does it: a write goes as far as it may, and the next one fails. Python ignores SIGXFSZ."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@posix
@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_a_limit_in_the_middle_of_a_write(kind: Kind, tmp_path: Path) -> None:
    begun(kind, tmp_path / "sized")
    largest = max(path.stat().st_size for path in (tmp_path / "sized").rglob("*") if path.is_file())
    refused = 0
    for size in (1, 20, largest // 2, largest - 1, largest + 1, largest + 30):
        place = tmp_path / str(size)
        begun(kind, place)
        with no_file_larger_than(size):
            done = tried(kind, place)
        refused += not done
        goes_on(kind, place, BEFORE + (done and kind.name != "summaries"))
    assert refused or kind.name in {"summaries", "bin"}


# What was said


def test_a_failed_sync_of_the_folder_is_a_failure(tmp_path: Path) -> None:
    """The name may be lost with the power: that must not be called saved."""
    path = tmp_path / "page"
    saves: tuple[Callable[[], None], ...] = (
        lambda: replace_file(path, b"new"),
        lambda: create_file(tmp_path / "other", b"new"),
        lambda: append_lines(tmp_path / "rows.csv", "head", "row\n"),
    )
    for save in saves:
        with Failing("fsync", 2, errno.EIO, for_good=True)(), pytest.raises(InputError, match="Input/output error"):
            save()
    with Failing("fsync", 1, errno.EINVAL, for_good=True)():
        sync_folder(tmp_path)


def test_lines_that_could_not_be_written_are_not_there_twice_afterwards(tmp_path: Path) -> None:
    path = tmp_path / "rows.csv"
    append_lines(path, "head", "one\n")
    for name, nth in (("fsync", 1), ("write", 1)):
        with Failing(name, nth, errno.ENOSPC, for_good=True)(), pytest.raises(InputError, match="No space left"):
            append_lines(path, "head", "two\n")
    append_lines(path, "head", "two\n")
    assert path.read_text() == "head\none\ntwo\n"


def test_a_torn_header_is_completed_and_a_torn_line_is_no_record(tmp_path: Path) -> None:
    path = tmp_path / "rows.csv"
    for cut, whole in ((b"", "head,er\none\n"), (b"hea", "head,er\none\n"), (b"head,er", "head,er\none\n")):
        path.write_bytes(cut)
        append_lines(path, "head,er", "one\n")
        assert path.read_text() == whole
    path.write_bytes(b"head,er\n1,2.5")
    append_lines(path, "head,er", "one\n")
    assert path.read_text() == "head,er\n1,2.5,torn\none\n"
    path.write_bytes(b"x")
    append_lines(path, "head,er", "one\n")
    assert path.read_text() == "x,torn\none\n"


def test_folders_are_made_for_their_user_alone_and_a_file_in_their_place_is_said(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    assert [(tmp_path / one).stat().st_mode & 0o777 for one in ("a", "a/b")] == [0o700, 0o700]
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(NotADirectoryError):
        make_folder(tmp_path / "file" / "b")


@posix
def test_a_position_text_that_was_cut_off_is_not_called_written(tmp_path: Path) -> None:
    outlet = FileOutlet(tmp_path / "texts.txt")
    outlet.write("/092345z4903.50N/07201.75W>one")
    size = (tmp_path / "texts.txt").stat().st_size
    with no_file_larger_than(size + 10), pytest.raises(OSError, match="No space left"):
        outlet.write("/092346z4903.50N/07201.75W>two")
    outlet.write("/092347z4903.50N/07201.75W>three")
    lines = (tmp_path / "texts.txt").read_text().splitlines()
    assert lines == ["/092345z4903.50N/07201.75W>one", "/092346z49", "/092347z4903.50N/07201.75W>three"]


# Real file systems


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A quarter of a megabyte of its own."""
    place = tmp_path / "small"
    place.mkdir()
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("only root may mount a small file system")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode != 0:
        pytest.skip(f"no file system can be mounted here: {mounted.stderr.decode()}")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def fill(place: Path, spare: int) -> Path:
    """A file that leaves so many bytes."""
    ballast = place / "ballast"
    with ballast.open("wb", buffering=0) as stream, suppress(OSError):
        while stream.write(bytes(4096)):
            pass
    os.truncate(ballast, max(0, ballast.stat().st_size - spare))
    return ballast


@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_a_full_disk_costs_nothing_that_was_saved(kind: Kind, small_disk: Path) -> None:
    place = small_disk / "home"
    begun(kind, place)
    done = False
    for spare in (0, 4096):
        ballast = fill(small_disk, spare)
        done = tried(kind, place)
        ballast.unlink()
        if done:
            break
    goes_on(kind, place, BEFORE + (done and kind.name != "summaries"))


@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.name)
def test_a_disk_that_may_not_be_written_is_said_and_left(kind: Kind, small_disk: Path) -> None:
    place = small_disk / "home"
    begun(kind, place)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    try:
        assert not tried(kind, place) or kind.name == "summaries"
        if kind.name != "lock":  # it cannot even be taken there
            assert kind.kept(place, BEFORE) == BEFORE
    finally:
        subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
    goes_on(kind, place, BEFORE)


def test_the_table_has_what_is_asked_for_here_by_name() -> None:
    assert {"summaries", "bin", "lock"} <= set(BY_NAME)

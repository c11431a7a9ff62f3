"""What a reader under fire is, and what must be true of whatever it makes of its input."""

from __future__ import annotations

import atexit
import math
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from core.errors import FixboardError, InputError

T = TypeVar("T")
LONGEST_WORDS = 1200
"""Characters of a message: some lines of a terminal. One that repeats its input would have as many as that."""


class Reader(NamedTuple):
    """One of them."""

    read: Callable[[bytes], bool]
    """True: something was read and is as it should be; False: refused in the reader's own way. Raises otherwise."""
    seeds: tuple[bytes, ...]
    words: tuple[bytes, ...] = ()
    """Of its grammar, besides those of the seeds."""


class Escape(AssertionError):
    """A reader let something through that it must not."""


def typed(data: bytes) -> str:
    """Bytes as a command line hands them on: those that are no UTF-8 stand as lone surrogates."""
    return data.decode("utf-8", "surrogateescape")


def of_text(
    read: Callable[[str], Any],
    check: Callable[[Any, str], None],
    refuses: type[Exception] | tuple[type[Exception], ...] = InputError,
) -> Callable[[bytes], bool]:
    """A reader of what somebody types. None is a refusal too."""

    def once(data: bytes) -> bool:
        text = typed(data)
        found = tried(lambda: read(text), refuses)
        if found is None:
            return False
        check(found, text)
        return True

    return once


def of_bytes(read: Callable[[bytes], Any], check: Callable[[Any], None]) -> Callable[[bytes], bool]:
    """A reader of a file's bytes."""

    def once(data: bytes) -> bool:
        found = tried(lambda: read(data))
        if found is None:
            return False
        check(found)
        return True

    return once


def of_words(read: Callable[[str], Any], check: Callable[[Any], None]) -> Callable[[bytes], bool]:
    """A reader of a file's text."""
    return of_bytes(lambda data: read(typed(data)), check)


def vars_of(one: Any) -> list[Any]:
    """The values of a dataclass with slots."""
    return [getattr(one, name) for name in one.__slots__]


def tried(read: Callable[[], T], refuses: type[Exception] | tuple[type[Exception], ...] = InputError) -> T | None:
    """What is read; None where it is refused in the documented way, and in words."""
    try:
        return read()
    except refuses as error:
        must(bool(str(error)), "a refusal without words")
        if isinstance(error, FixboardError):
            must(len(str(error)) <= LONGEST_WORDS, f"a refusal of {len(str(error))} characters")
        return None


def must(holds: object, what: str) -> None:
    """Of a property. No `assert`: those go under `python -O`."""
    if not holds:
        raise Escape(what)


def number_in(value: Any, low: float, high: float, what: str) -> None:
    """A plain finite number in its range, bool excluded."""
    good = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    must(good and low <= value <= high, f"{what} is {value!r}, not from {low:g} to {high:g}")


def maybe_in(value: Any, low: float, high: float, what: str) -> None:
    """The same, or unknown."""
    if value is not None:
        number_in(value, low, high, what)


def on_globe(position: Any) -> None:
    """A position of two floats."""
    must(len(position) == 2 and all(type(one) is float for one in position), f"{position!r} is no pair of floats")
    number_in(position[0], -90.0, 90.0, "a latitude")
    number_in(position[1], -180.0, 180.0, "a longitude")


def aware(moment: Any) -> None:
    """An instant in UTC."""
    must(isinstance(moment, datetime) and moment.tzinfo is UTC, f"{moment!r} is no instant in UTC")


# Files


@cache
def folder() -> Path:
    """Of this process, in memory where there is such a place: a million files are written there."""
    shared = Path("/dev/shm")
    made = tempfile.mkdtemp(prefix="readers-", dir=shared if shared.is_dir() else None)
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    return Path(made)


def of_file(name: str, read: Callable[[Path], T | None], check: Callable[[T], None]) -> Callable[[bytes], bool]:
    """A reader of a file of that name, which must leave it, and the folder, as they were."""

    def once(data: bytes) -> bool:
        path = folder() / name
        with unwatched():
            path.write_bytes(data)
        found = tried(lambda: read(path))
        if found is None:
            return False
        check(found)
        return True

    return once


# Nothing is written by a reader

_WRITING = frozenset(
    (
        *("os.mkdir", "os.rmdir", "os.remove", "os.rename", "os.link", "os.symlink", "os.truncate", "os.chmod"),
        *("os.chown", "os.utime", "os.system", "os.exec", "os.posix_spawn", "os.kill", "subprocess.Popen"),
        *("socket.connect", "socket.bind", "socket.sendto", "shutil.copyfile", "shutil.move"),
    )
)
_FLAGS = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_APPEND | os.O_TRUNC
_watching = [False]


def _audit(event: str, arguments: tuple[Any, ...]) -> None:
    if not _watching[0]:
        return
    if event == "open":
        path, mode, flags = arguments
        if path != os.devnull and isinstance(flags, int) and flags & _FLAGS:
            raise Escape(f"a reader opened {arguments[0]!r} for writing ({mode})")
    elif event in _WRITING:
        raise Escape(f"a reader did {event} {arguments!r}")


@cache
def _hooked() -> bool:
    """Once a process: hooks cannot be taken out again, so this one looks only while it is told to."""
    sys.addaudithook(_audit)
    return True


@contextmanager
def watched() -> Iterator[None]:
    """Within, whoever writes a file, connects or starts a process raises Escape."""
    _hooked()
    _watching[0] = True
    try:
        yield
    finally:
        _watching[0] = False


@contextmanager
def unwatched() -> Iterator[None]:
    """Within `watched`, for what lays the input out."""
    before, _watching[0] = _watching[0], False
    try:
        yield
    finally:
        _watching[0] = before


def within(reader: Reader, data: bytes) -> None:
    """A target of `tests.faults.fuzzing`: raises where something is wrong."""
    with watched():
        reader.read(data)

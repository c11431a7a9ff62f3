"""What the commands print: on streams that may be full, closed or gone, and of names that may hold anything."""

from __future__ import annotations

import errno
import os
import sys

from core.errors import InputError
from core.safe_text import one_line as printable
from core.spelled import spelled

__all__ = ["complain", "flush", "is_terminal", "printable", "tell"]


def complain(text: str) -> None:
    """One line on standard error, if there is one: a closed one must not send it to standard output instead."""
    if getattr(sys, "stderr", None) is not None:
        print(f"fixboard: {spelled(printable(text), _encoding(sys.stderr))}", file=sys.stderr)


def tell(text: str) -> None:
    """Lines on standard output, each made safe, made sure to have arrived. Raises InputError where there is no room."""
    try:
        print(spelled(_safe(text), _encoding(sys.stdout)))
    except OSError as error:
        _lost(error)
    flush()


def flush() -> None:
    """Send on what has been printed. A reader that has left is no error: nobody is there to be told."""
    try:
        if getattr(sys, "stdout", None) is not None:
            sys.stdout.flush()
    except OSError as error:
        _lost(error)


def _safe(text: str) -> str:
    """Names in it were made safe before; here nothing is missed. A form feed ends a page of a printer."""
    return "\f".join("\n".join(map(printable, page.split("\n"))) for page in text.split("\f"))


def _encoding(stream: object) -> str:
    return getattr(stream, "encoding", None) or "utf-8"


def _lost(error: OSError) -> None:
    # What is left in the buffer must go somewhere, or Python complains once more at exit.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if not _reader_has_left(error):
        raise InputError(f"the output could not be written ({error.strerror or error}): is there room?") from error


def _reader_has_left(error: OSError) -> bool:
    """On Windows a pipe that nobody reads any more is an argument that will not do (the C runtime; from memory)."""
    return isinstance(error, BrokenPipeError) or (sys.platform == "win32" and error.errno == errno.EINVAL)


def is_terminal(name: str) -> bool:
    """Whether `stdin`, `stdout` or `stderr` is a terminal; a closed one is none."""
    stream = getattr(sys, name, None)
    return stream is not None and bool(stream.isatty())

"""What the commands print: on streams that may be full, closed or gone, and of names that may hold anything."""

from __future__ import annotations

import os
import sys

from core.errors import InputError


def printable(text: str) -> str:
    """One line, with `?` in the place of what a terminal might obey: escapes, controls, marks that reorder a line."""
    return "".join(char if char.isprintable() else "?" for char in text)


def complain(text: str) -> None:
    """One line on standard error, if there is one: a closed one must not send it to standard output instead."""
    if getattr(sys, "stderr", None) is not None:
        print(f"fixboard: {printable(text)}", file=sys.stderr)


def tell(text: str) -> None:
    """Lines on standard output, made sure to have arrived. Raises InputError where there is no room for them."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        print(text.encode(encoding, "backslashreplace").decode(encoding))
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


def _lost(error: OSError) -> None:
    # What is left in the buffer must go somewhere, or Python complains once more at exit.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if not isinstance(error, BrokenPipeError):
        raise InputError(f"the output could not be written ({error.strerror or error}): is there room?") from error


def is_terminal(name: str) -> bool:
    """Whether `stdin`, `stdout` or `stderr` is a terminal; a closed one is none."""
    stream = getattr(sys, name, None)
    return stream is not None and bool(stream.isatty())

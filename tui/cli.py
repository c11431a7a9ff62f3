"""The command line: checks everything before a screen exists, and turns every failure into words and an exit code."""

from __future__ import annotations

import os
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence

from core.errors import FixboardError
from tui.arguments import parsed
from tui.speaking import complain


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code of contract.md: 0 done, 1 unusable input, 2 wrong usage, 3 no fix in time."""
    log: str | None = None
    try:
        options = parsed(sys.argv[1:] if arguments is None else arguments)
        log = options.debug_log
        run: Callable[[Namespace], int] = options.run
        return run(options)
    except FixboardError as error:
        complain(str(error))
        return error.exit_code
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # the last resort: no traceback may reach the user
        return _unexpected(error, log)


def _unexpected(error: Exception, log: str | None) -> int:
    hint = _written(error, log) if log else "run it again with --debug-log FILE and report what the file says"
    complain(f"unexpected {type(error).__name__}: {error}; {hint}")
    return 1


def _written(error: Exception, log: str) -> str:
    import traceback

    try:
        handle = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)  # for its user alone: it may tell places
        with os.fdopen(handle, "a", encoding="utf-8", errors="backslashreplace") as stream:
            traceback.print_exception(error, file=stream)
    except OSError as problem:
        return f"details could not be written to {log} ({problem.strerror or problem})"
    return f"details are in {log}"

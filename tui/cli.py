"""The command line: checks everything before a screen exists, and turns every failure into words and an exit code."""

from __future__ import annotations

import os
import sys
import traceback
from argparse import Namespace
from collections.abc import Callable, Sequence
from pathlib import Path

from core.errors import FixboardError
from tui.arguments import parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code of contract.md: 0 done, 1 unusable input, 2 wrong usage, 3 no fix in time."""
    options = parser().parse_args(arguments)
    try:
        run: Callable[[Namespace], int] = options.run
        return run(options)
    except FixboardError as error:
        print(f"fixboard: {error}", file=sys.stderr)
        return error.exit_code
    except BrokenPipeError:
        # The reader of our output has left; nobody is there to be told. Python would complain once more at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # the last resort: no traceback may reach the user
        return _unexpected(error, options.debug_log)


def _unexpected(error: Exception, log: str | None) -> int:
    if log:
        with Path(log).open("a", encoding="utf-8") as stream:
            traceback.print_exception(error, file=stream)
    hint = f"details are in {log}" if log else "run it again with --debug-log FILE and report what the file says"
    print(f"fixboard: unexpected {type(error).__name__}: {error}; {hint}", file=sys.stderr)
    return 1

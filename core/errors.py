"""What can go wrong for the user, and the exit code of each.

    FixboardError
      InputError      exit 1: a file, place or device is not usable
      UsageError      exit 2: the command was given wrongly
      NoFixInTime     exit 3: the source worked, but no satellite fix came

Low-level errors (OSError, EOFError, zlib.error ...) are converted once, where the outside is touched, and the
message says what to do about it.
"""

from __future__ import annotations

from typing import ClassVar


class FixboardError(Exception):
    """A failure that the user can understand and act on; its text is shown as it stands."""

    exit_code: ClassVar[int] = 1


class InputError(FixboardError):
    """Something given to fixboard cannot be used: a file, a place, a device."""

    exit_code = 1


class UsageError(FixboardError):
    """The command line asks for something that does not exist."""

    exit_code = 2


class NoFixInTime(FixboardError):
    """No satellite fix came before the wait ran out, or the recording holds none."""

    exit_code = 3

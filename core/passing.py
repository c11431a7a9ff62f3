"""Troubles of the moment: what failed says nothing of the file, which may be read the next time."""

from __future__ import annotations

import errno

_NAMES = ("EIO", "EINTR", "EAGAIN", "EBUSY", "EMFILE", "ENFILE", "ENOMEM", "ENOSPC", "EDQUOT", "ESTALE", "ETIMEDOUT")
_PASSING = frozenset(getattr(errno, name) for name in _NAMES if hasattr(errno, name))


def is_passing(error: BaseException | None) -> bool:
    """Whether a file is not to be called damaged for this error of the system, and so must not be moved away."""
    return isinstance(error, OSError) and error.errno in _PASSING

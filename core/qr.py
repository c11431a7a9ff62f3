"""A text as a QR code (ISO/IEC 18004, made by segno): rows of modules, its quiet zone around it."""

from __future__ import annotations

from functools import lru_cache

QUIET = 4
"""Light modules on every side that a reader needs (ISO/IEC 18004)."""
Modules = tuple[tuple[bool, ...], ...]


@lru_cache(maxsize=8)
def qr_modules(text: str) -> Modules:
    """Square rows of modules, True where dark. Never the micro form, which phones do not read.

    At least 15 % of it may be damaged, more where that costs no larger code. Raises ValueError for a text that is too
    long for any code.
    """
    import segno  # only who asks for a code waits for it

    try:
        made = segno.make(text, error="m", micro=False)
    except segno.DataOverflowError as error:
        raise ValueError("the text is too long for a QR code") from error
    return tuple(tuple(bool(module) for module in row) for row in made.matrix_iter(scale=1, border=QUIET))

"""Numbers in base 91: printable characters from `!` on (APRS Protocol Reference 1.0.1, chapter 9)."""

from __future__ import annotations


def base91(value: int, width: int) -> str:
    """`width` characters, the most significant first. Raises ValueError where they do not suffice."""
    if not 0 <= value < 91**width:
        raise ValueError(f"{value} does not fit {width} characters of base 91")
    digits = (value // 91**place % 91 for place in reversed(range(width)))
    return "".join(chr(33 + digit) for digit in digits)

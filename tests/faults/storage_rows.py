"""What the rows of numbered changes have in common: files whose content tells their number and any tear."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

Step = Callable[[int], object]
"""Makes the change of that number."""
OLDEST_KEPT = 6
"""Files of a row that are left to be looked at; those before are taken away, as a user would."""


def numbered(folder: Path, pattern: str) -> list[tuple[int, Path]]:
    """Files with a number in their name, in order."""
    found = []
    for path in folder.glob(pattern):
        digits = "".join(char for char in path.name.split(".", maxsplit=1)[0] if char.isdigit())
        found.append((int(digits), path))
    return sorted(found)


def thin(paths: list[tuple[int, Path]]) -> None:
    for _, path in paths[:-OLDEST_KEPT]:
        path.unlink(missing_ok=True)


def page(number: int) -> bytes:
    """Bytes that show any tear: the number on every line, and an end."""
    return f"{number}\n".encode() * (200 + number * 37 % 300) + b"end\n"


def page_number(data: bytes, where: str = "") -> int:
    """Raises AssertionError where it is not whole."""
    *lines, end = data.splitlines() or [b""]
    assert end == b"end", f"torn: {where} {data[-20:]!r}"
    assert len(set(lines)) == 1, where
    number = int(lines[0])
    assert data == page(number), where
    return number


def next_of(numbers: Iterable[int]) -> int:
    return max(numbers, default=-1) + 1


def in_a_row(numbers: list[int]) -> int:
    """Raises AssertionError where one is missing, double or out of order."""
    assert numbers == list(range(numbers[0], numbers[0] + len(numbers))) if numbers else True, numbers[-30:]
    return numbers[-1] + 1 if numbers else 0

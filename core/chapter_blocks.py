"""The text of a chapter file cut into its chapters, so that one can be changed and all else stays as it is.

    head                whatever comes before the first chapter
    block: lead         the comment lines directly above [[chapter]]: they speak of it, and go with it
           core         from [[chapter]] to its last key
           tail         blank lines and loose comments after it: they stay

A library edits values within one core and keeps the comments there; it takes the comment above a chapter for the end
of the one before, though, so the cutting is ours. What is cut is put together again byte for byte. That a line begins a
chapter is guessed from the line alone: whoever saves an edit reads the new text and compares.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from core.chapter_file import KEYS, Entry

_HEADER = re.compile(r"""\s*\[\[\s*["']?chapter["']?\s*\]\]\s*(#.*)?""")
_LINE = re.compile(r"[^\n]*\n|[^\n]+")
"""Not `splitlines`: it ends lines at characters that are part of a text to TOML."""
BEGINNING = """# Chapters of the recording beside this file: named moments, for whoever shows it.
# at: "0:04:10" from the begin, or "14:32:10Z", a UTC time of day. Optional: words, page, mask_deg, pace.
"""


class Block(NamedTuple):
    """One chapter's text."""

    lead: str
    core: str
    tail: str

    def __str__(self) -> str:
        return self.lead + self.core + self.tail


class Parts(NamedTuple):
    """A whole text."""

    head: str
    blocks: tuple[Block, ...]

    def __str__(self) -> str:
        return self.head + "".join(map(str, self.blocks))


def cut(text: str) -> Parts:
    """The parts of a text."""
    lines = _LINE.findall(text)
    headers = [number for number, line in enumerate(lines) if _HEADER.fullmatch(line.rstrip("\r\n"))]
    begins = [_lead_of(lines, header) for header in headers]
    ends = [*begins[1:], *([len(lines)] if begins else [])]
    blocks = tuple(_block(lines, *spot) for spot in zip(begins, headers, ends, strict=True))
    return Parts("".join(lines[: begins[0]] if begins else lines), blocks)


def with_new(text: str, index: int, written: str) -> str:
    """With a chapter (lead and core) before the one of this index, or last."""
    head, blocks = cut(text)
    if not (head or blocks):
        head = BEGINNING
    before = [head, *map(str, blocks[:index])]
    after = "".join(map(str, blocks[index:]))
    ended = _ended("".join(before), _line_end(text))
    return ended + _in_lines(written, _line_end(text)) + (_line_end(text) if after else "") + after


def without(text: str, index: int) -> str:
    """Without one chapter and what speaks of it; loose comments stay."""
    head, blocks = cut(text)
    before = head + "".join(map(str, blocks[:index]))
    tail = blocks[index].tail
    if not before or before.endswith(("\n\n", "\n\r\n")):
        tail = tail.lstrip("\r\n")
    return before + tail + "".join(map(str, blocks[index + 1 :]))


def with_changed(text: str, index: int, entry: Entry) -> str:
    """With other values in one chapter; its comments, and values that stay the same, as they are written."""
    head, blocks = cut(text)
    changed = blocks[index]._replace(core=_rewritten(blocks[index].core, entry))
    return str(Parts(head, (*blocks[:index], changed, *blocks[index + 1 :])))


def written_out(entry: Entry) -> str:
    """A chapter as a text of its own."""
    return _rewritten("[[chapter]]\n", entry)


def values_of(entry: Entry) -> dict[str, Any]:
    """What the file says of a chapter; nothing of what was not given."""
    given: Sequence[Any] = (
        str(entry.when), entry.title, entry.words, entry.page, _short(entry.mask_deg), _short(entry.pace),
    )  # fmt: skip
    return {key: value for key, value in zip(KEYS, given, strict=True) if value not in (None, "")}


def _short(value: float | None) -> float | int | None:
    return int(value) if value is not None and value == int(value) else value


def _rewritten(core: str, entry: Entry) -> str:
    # Only whoever edits needs it: no start of the board waits for it.
    import tomlkit

    document: Any = tomlkit.parse(core if core.endswith("\n") else f"{core}\n")
    table = document["chapter"][0]
    wanted = values_of(entry)
    for key in KEYS:
        old = table.get(key)
        if key not in wanted:
            table.pop(key, None)
        elif _plain(old) != wanted[key]:
            table[key] = wanted[key]
    return tomlkit.dumps(document)


def _plain(value: Any) -> Any:
    """As the reader takes it: a text on several lines is one."""
    return " ".join(value.split()) if isinstance(value, str) else value


def _lead_of(lines: Sequence[str], header: int) -> int:
    first = header
    while first > 0 and lines[first - 1].lstrip().startswith("#"):
        first -= 1
    return first


def _block(lines: Sequence[str], begin: int, header: int, end: int) -> Block:
    last = end
    while last > header + 1 and _is_loose(lines[last - 1]):
        last -= 1
    return Block("".join(lines[begin:header]), "".join(lines[header:last]), "".join(lines[last:end]))


def _is_loose(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _in_lines(text: str, end: str) -> str:
    return text.replace("\r\n", "\n").replace("\n", end)


def _ended(text: str, end: str) -> str:
    """With a blank line at its end, so that what follows stands by itself."""
    if text and not text.endswith("\n"):
        text += end
    return text if not text or text.endswith(("\n\n", "\n\r\n")) else text + end

"""Text that does harm wherever it is shown as it is, and a reader of what a program sends to its terminal.

Every payload holds MARK, so that a test sees where it went. All names are invented.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import NamedTuple

from wcwidth import wcwidth

MARK = "Qz"
LONG = f"{MARK} a name that goes on and on " * 40

PAYLOADS = {
    "clears the screen": f"\x1b[2J\x1b[31m{MARK} here",
    "writes over another row": f"\x1b[5;1H{MARK}\x1b[K gone",
    "scrolls": f"\x1b[1;3r{MARK}\x1bM",
    "the other screen": f"\x1b[?1049l{MARK}",
    "the clipboard": f"\x1b]52;c;UXo=\x07{MARK}",
    "a link": f"\x1b]8;;file:///Qz\x1b\\{MARK}\x1b]8;;\x1b\\",
    "the title": f"\x1b]0;{MARK}\x07",
    "a device control string": f"\x1bP$q{MARK}\x1b\\",
    "an application's string": f"\x1b_G{MARK}\x1b\\ \x1b^{MARK}\x1b\\ \x1bX{MARK}\x1b\\",
    "a report of itself": f"{MARK}\x1b[c\x1b[6n\x05",
    "a reset": f"{MARK}\x1bc",
    "line drawing letters": f"{MARK}\x0e lqk \x0f",
    "C1 controls": f"\x9b31m{MARK}\x9d0;{MARK}\x9c\x90q{MARK}\x9c\x84\x85\x8d",
    "bell, backspace, delete": f"{MARK}\x07\x07\x08\x08\x08\x08\x7f\x7f over",
    "all controls": MARK + "".join(map(chr, (*range(1, 32), *range(127, 160)))),
    "tab": f"{MARK}\tone\ttwo",
    "lines": f"{MARK}\rone\ntwo\r\nthree\x0bfour\x0cfive",
    "lines of Unicode": f"{MARK}\x85one\u2028two\u2029three",
    "NUL": f"{MARK}\x00here",
    "Textual's markup": f"[bold red]{MARK}[/] [@click=app.quit]x[/]",
    "unbalanced": f"{MARK}[/][/red]]]",
    "an open bracket": f"{MARK}[@click=app.quit",
    "a backslash and a bracket": f"{MARK}\\[red] \\\\[/] :warning: $primary",
    "an override": f"\u202e{MARK} 12.5\u202c",
    "an override left open": f"{MARK} \u202d\u202e987",
    "embeddings and isolates": f"\u202a\u202b\u2066\u2067\u2068{MARK} 029.5\u2069",
    "direction marks": f"\u200e\u200f\u061c{MARK} 3",
    "right to left": f"{MARK} \u05d0\u05d1\u05d2 12 \u0645\u0631\u062d 34 \u0661\u0662",
    "no width": f"{MARK}\u200b\u200c\u200d\u2060\ufeff\u00ad\u2061\u180e here",
    "a pile of marks": f"{MARK}" + "Z\u0351\u036b\u0343\u036a\u0302\u036b\u033d\u0316\u0317" * 3,
    "a mark to begin with": f"\u0301\u0302{MARK}",
    "enclosing and spacing marks": f"{MARK} a\u20dd b\u20e0 \u0915\u093f \u0b95\u0bcb",
    "selectors": f"{MARK} \u2764\ufe0f \u00a9\ufe0e \u4e16\U000e0100",
    "joined emoji": f"{MARK} \U0001f468\u200d\U0001f469\u200d\U0001f467 \U0001f44d\U0001f3fd",
    "flags": f"{MARK} \U0001f1eb\U0001f1f7\U0001f3f4\U000e0067\U000e0062\U000e007f",
    "wide": f"{MARK} \u4e16\u754c\uff21\uff22 \uac00\u3000\u2329",
    "letters without width": f"{MARK} \u1100\u1161\u11a8 \u3164\uffa0",
    "symbols that became wide": f"{MARK} \u4dc0\u2630\U0001d300",
    "tags": f"{MARK}\U000e0001\U000e0041\U000e007f",
    "private and unassigned": f"{MARK} \ue000\U000f0000\U0010ffff\u0378\ufffe\ufdd0",
    "annotations and objects": f"{MARK} \ufff9a\ufffab\ufffb \ufffc",
    "lone surrogates": f"{MARK} \ud800 \udc80 \udfff",
    "formats": f"%s %n {{0}} {{{MARK}}} $HOME `id` ../../etc",
    "long": LONG,
    "long without a blank": MARK * 700,
    "blank": "   ",
    "empty": "",
}


def plain(text: str) -> bool:
    """Whether nothing in it could be obeyed, reorder a line, or be wider or narrower than its cells."""
    return all(_is_plain(char) for char in text)


def _is_plain(char: str) -> bool:
    reordering = {"R", "AL", "AN", "RLE", "LRE", "RLO", "LRO", "PDF", "RLI", "LRI", "FSI", "PDI", "BN", "B"}
    kind = unicodedata.category(char)
    return kind not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Me"} and (
        unicodedata.bidirectional(char) not in reordering
    )


def columns(text: str) -> int:
    """As a table outside fixboard has it, character by character: no two of a safe text join."""
    return sum(max(0, wcwidth(char)) for char in text)


class Sent(NamedTuple):
    """What a program has sent to its terminal."""

    escapes: tuple[str, ...]
    """Whole, in order."""
    words: str
    """Everything else."""


# ECMA-48, 5.4 and 5.6: a control sequence, a command string ended by ST (BEL as well, as xterm has it), an escape.
_ESCAPE = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]PX^_].*?(?:\x07|\x1b\\)|\x1b[ -/]*[0-~]", re.DOTALL)
_DRAWS = re.compile(r"\x1b\[[0-9;]*m|\x1b\[[0-9]*;?[0-9]*H")
_SETS_UP = re.compile(
    r"\x1b\[\?(?:7|1049|25|1000|1003|1006|1015|1016|2004|2026|2048|1004)[hl]"  # screen, cursor, mouse, paste, focus
    r"|\x1b\[\?(?:2026|2048|1016)\$p"  # asks for modes
    r"|\x1b\[[<>=?]?[0-9;]*u"  # keys
    r"|\x1b\[[0-9;?]*[JK]|\x1b\[[0-9 ]*q|\x1b\[[0-9]*[ABCDG]|\x1b\[c|\x1b\[>[0-9]*[cq]|\x1b\[6n|\x1b\[[0-9]*t"
    r"|\x1b\]22;[a-z-]*(?:\x07|\x1b\\)"  # the pointer's shape
    r"|\x1b[78=>]|\x1b\(B"
)


def sent(data: bytes, encoding: str = "utf-8") -> Sent:
    """Apart: what a terminal obeys and what it writes."""
    text = data.decode(encoding)
    return Sent(tuple(_ESCAPE.findall(text)), _ESCAPE.sub("", text))


def strangers(found: Sent) -> list[str]:
    """Escapes that neither Textual nor Rich has a use for, or that carry a payload."""
    return [one for one in found.escapes if MARK in one or not (_DRAWS.fullmatch(one) or _SETS_UP.fullmatch(one))]


def strange_letters(found: Sent, but: Iterable[str] = "\r\n\x07") -> set[str]:
    """What no terminal may be sent, apart from `but`."""
    return {char for char in found.words if not _is_plain(char)} - set(but)

"""The frame of a sentence explained: its checksum worked out, and why it was refused.

Which single change would make it right is not guessed: many would, and a wrong guess would look like a measurement.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.nmea.explain_records import Checksum, Field, escaped
from core.nmea.framing import SENTENCE_LIMIT, Reason
from core.nmea.whole_lines import checksum

STANDARD_LENGTH = 82
"""With the start character and CR LF (nmea-facts.toml [frame])."""
_HEX = frozenset("0123456789ABCDEFabcdef")
CONTROLS = {"\x00": "NUL", "\x07": "bell", "\x08": "backspace", "\t": "tab", "\x1b": "escape", "\x7f": "delete"}
"""Those that have a name people know."""


def body_of(text: str) -> str:
    """What stands between the start character and the `*`, or the end, as framing takes it."""
    star = text.find("*")
    return text[1:star] if star > 0 else text[1:].rstrip("\x00 \t")


def checksum_of(text: str) -> Checksum:
    """The checksum of a whole sentence, worked out from its bytes."""
    body, star = body_of(text), text.find("*")
    stated = text[star + 1 : star + 3] if star > 0 else ""
    return Checksum(text[:1], len(body), checksum(body.encode("latin-1")), stated)


def checksum_words(found: Checksum) -> str:
    """In one line."""
    end = "*" if found.stated else "the end"
    made = f"{found.counted} bytes between {found.start} and {end}; exclusive or {found.made:02X}"
    if not found.stated:
        return f"{made}; none is given"
    return f"{made}, as it says" if found.agrees else f"{made}, it says {escaped(found.stated)}"


Why = Callable[[str, str, Sequence[Field]], tuple[str, ...]]
"""Text, detail and fields to sentences."""


def why(reason: Reason, text: str, detail: str, fields: Sequence[Field]) -> tuple[str, ...]:
    """Why a sentence was refused, in sentences; the first is what was found."""
    return _WHY[reason](text, detail, fields)


def _bad_checksum(text: str, detail: str, _: Sequence[Field]) -> tuple[str, ...]:
    after = text[text.find("*") + 1 :]
    stated = after[:2]
    lost = "Something was lost or changed on its way: nothing of it is used."
    return (f"{_capital(escaped(detail))}.", *_odd_digits(after, stated), lost)


def _odd_digits(after: str, stated: str) -> tuple[str, ...]:
    if len(stated) < 2 or not set(stated) <= _HEX:
        return (f"Two hexadecimal digits must follow the *, here it is '{escaped(stated)}'.",)
    if after[2:3] and after[2] in _HEX:
        return (f"A third digit, {after[2]}, follows the two: the end is damaged.",)
    return ()


def _no_checksum(_: str, detail: str, __: Sequence[Field]) -> tuple[str, ...]:
    allowed = "Without one damage goes unnoticed: taken only where a source has none at all (--checksums allow)."
    return (f"{_capital(detail)}.", allowed)


def _too_long(_: str, detail: str, __: Sequence[Field]) -> tuple[str, ...]:
    limits = f"The standard allows {STANDARD_LENGTH} with $ and line end; fixboard takes {SENTENCE_LIMIT}, no more."
    return (f"{_capital(detail)} between start and checksum.", limits)


def _illegal(text: str, detail: str, _: Sequence[Field]) -> tuple[str, ...]:
    """Columns count from 1, the start character's."""
    at = next((n for n, char in enumerate(text[1:], 2) if char < " " or char == "\x7f"), None)
    if at is None:
        return (f"{_capital(detail)}.",)
    char = text[at - 1]
    named = f", {CONTROLS[char]}" if char in CONTROLS else ""
    return (f"{_capital(detail)}.", f"Column {at} is {escaped(char)}{named}; a sentence is printable characters alone.")


def _malformed(_: str, detail: str, fields: Sequence[Field]) -> tuple[str, ...]:
    wrong = [f"field {field.number} ({field.name})" for field in fields if field.told.is_wrong]
    where = (f"It is {' and '.join(wrong)} that cannot be read.",) if wrong else ()
    return (f"{_capital(escaped(detail))}.", *where, "Its frame is whole, so it was most likely sent like this.")


_WHY: dict[Reason, Why] = {
    Reason.BAD_CHECKSUM: _bad_checksum,
    Reason.NO_CHECKSUM: _no_checksum,
    Reason.TOO_LONG: _too_long,
    Reason.ILLEGAL_CHARACTER: _illegal,
    Reason.MALFORMED: _malformed,
}


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

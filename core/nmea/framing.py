"""Bytes in, sentences out: finds NMEA 0183 sentences in whatever a line, a file or a network delivers.

What the stream may hold besides sentences: banners, host time prefixes, NUL and space padding, TAG blocks, binary
protocols, halves of sentences, two sentences run together. The rules, which never depend on how the bytes
are cut into pieces:

* a line ends at CR or LF; a run of bytes without either is cut after `LINE_LIMIT` bytes, before a sentence that
  has just begun if there is one, so the buffer is bounded;
* a sentence starts at `$` or `!`. `$` is reserved in NMEA 0183, so a `$` inside a sentence always starts the next one
  (this rescues the good half of two sentences that lost bytes between them);
* the checksum is the exclusive or of all bytes between the start and `*` (NMEA 0183; nmea-facts.toml [frame]),
  in hexadecimal of either case; what follows its two digits on the line is ignored unless it continues the number;
* 82 characters is the standard's limit, but receivers exceed it (83 and 84 seen in real recordings), so only
  sentences beyond `SENTENCE_LIMIT` are refused.
"""

from __future__ import annotations

import re
from enum import StrEnum
from itertools import repeat
from typing import NamedTuple

from core.nmea.stamps import Tag, host_stamp
from core.nmea.whole_lines import Row, checksum, checksums, find_lines

LINE_LIMIT = 4096
SENTENCE_LIMIT = 1024
"""Twelve times the standard's length: room for the longest proprietary sentences seen, little for an attacker."""


class Reason(StrEnum):
    """Why bytes that looked like a sentence were refused."""

    BAD_CHECKSUM = "bad checksum"
    NO_CHECKSUM = "no checksum"
    TOO_LONG = "too long"
    ILLEGAL_CHARACTER = "illegal character"
    MALFORMED = "malformed"
    """Framed well, checksum right, and still not a sentence of its type; found while decoding."""


class Sentence(NamedTuple):
    """One sentence whose checksum was verified, or allowed to be missing."""

    address: str
    """Talker and formatter, `GNGGA`, or a maker's address, `PUBX`."""
    body: str
    """What stands between the start character and the `*`, the address included. Splitting it is left to whoever
    needs fields: for the commonest types most of them are never looked at."""
    text: str
    """As received, from the start character to the checksum, decoded as Latin-1 so that no byte is lost."""
    stamp_ms: int | None
    """When the host wrote it, Unix milliseconds, where a TAG block or a time before the sentence says so."""
    tag: Tag | None
    verified: bool
    """False where a missing checksum was allowed."""


class Rejected(NamedTuple):
    """Bytes that look like a sentence and are not one."""

    reason: Reason
    text: str
    """As received, Latin-1, cut at 200 characters."""
    detail: str
    """For people: what was expected and what was found."""


Event = Sentence | Rejected
_new = tuple.__new__

_ADDRESS = re.compile(rb"[A-Z][A-Z0-9]{2,9}[,*]")
"""What must follow a start character for it to count as an attempt at a sentence; a bare `$` in binary does not."""
_ILLEGAL = re.compile(rb"[\x00-\x1f\x7f]")
_is_tag = re.compile(rb"\\[^\\*]{1,200}\*[0-9A-Fa-f]{2}\\").fullmatch
_DIGITS = frozenset(b"0123456789ABCDEFabcdef")
_HEX = {bytes((high, low)): int(bytes((high, low)), 16) for high in _DIGITS for low in _DIGITS}
"""Both cases of both digits: some receivers write checksums in lower case."""
_VALUES = {pair.decode(): value for pair, value in _HEX.items()}
_NO_STAMP = None, None
_SENTENCE, _NONE, _TRUE = repeat(Sentence), repeat(None), repeat(True)


class Framer:
    """Collects bytes and gives back what they hold, in order."""

    def __init__(self, require_checksum: bool = True) -> None:
        """`require_checksum`: refuse sentences without one (contract.md, Checksums)."""
        self.require_checksum = require_checksum
        self._rest = b""

    def feed(self, data: bytes) -> list[Event]:
        """All sentences and rejections completed by `data`; never raises."""
        buffer = self._rest + data
        end = max(buffer.rfind(b"\n"), buffer.rfind(b"\r")) + 1
        self._rest = buffer[end:]
        events = self._whole_lines(buffer[:end]) if end else []
        if len(self._rest) >= LINE_LIMIT:
            self._rest = self._cut(self._rest, events)
        return events

    def _whole_lines(self, block: bytes) -> list[Event]:
        """The quick way. A block whose lines are all sentences to be believed, as nearly all are, is made whole."""
        rows = find_lines(block.decode("latin-1"))
        if not rows:
            return []
        befores, texts, bodies, addresses, stated, _, _ = zip(*rows, strict=True)
        sums = checksums(bodies)
        if list(map(_VALUES.get, stated)) != list(sums):
            return self._line_by_line(rows, sums)
        if any(befores):
            stamps, tags = zip(*[host_stamp(before) if before else _NO_STAMP for before in befores], strict=True)
            fields = zip(addresses, bodies, texts, stamps, tags, _TRUE, strict=False)
        else:
            fields = zip(addresses, bodies, texts, _NONE, _NONE, _TRUE, strict=False)
        # tuple.__new__ itself: the class would only pass the fields on to it, a million times an hour.
        return list(map(_new, _SENTENCE, fields))

    def _line_by_line(self, rows: list[Row], sums: bytes) -> list[Event]:
        """The same where something is amiss; it leaves to `_line` whatever is not one sentence to be believed."""
        events: list[Event] = []
        for (before, text, body, address, stated, after, other), total in zip(rows, sums, strict=True):
            if _VALUES.get(stated) == total:
                stamp, tag = host_stamp(before) if before else _NO_STAMP
                events.append(Sentence(address, body, text, stamp, tag, True))
            elif self.require_checksum or other or stated or "," not in body or len(body) >= SENTENCE_LIMIT:
                self._line((before + text + after + other).encode("latin-1"), events)
            else:
                events.append(_sentence(text.rstrip(" "), before)._replace(verified=False))
        return events

    def finish(self) -> list[Event]:
        """What the unterminated rest holds, at the end of a recording or connection."""
        events: list[Event] = []
        if self._rest:
            self._line(self._rest, events)
        self._rest = b""
        return events

    def _line(self, line: bytes, events: list[Event]) -> None:
        if len(line) >= LINE_LIMIT:
            line = self._cut(line, events)
        if line.rfind(b"$") == 0:
            self._candidate(line, b"", events)
        elif b"$" in line or b"!" in line:
            self._crowded_line(line, events)

    def _cut(self, line: bytes, events: list[Event]) -> bytes:
        """Work through an endless line piece by piece; the piece after the last cut remains."""
        start, end = 0, LINE_LIMIT
        while len(line) >= end:
            room = max(start, end - SENTENCE_LIMIT) + 1
            at = line.rfind(b"$", room, end)  # before `!`, which may be a character of the sentence itself
            cut = at if at > 0 else max(line.rfind(b"!", room, end), 0) or end
            self._crowded_line(line[start:cut], events)
            start, end = cut, cut + LINE_LIMIT
        return line[start:]

    def _crowded_line(self, line: bytes, events: list[Event]) -> None:
        """A line with something before its sentence, or with several of them."""
        at = _first_start(line)
        prefix = line[: max(at, 0)]
        while at >= 0:
            after = line.find(b"$", at + 1)
            piece = line[at:after] if after >= 0 else line[at:]
            tags = b""
            if piece.endswith(b"\\"):
                piece, tags = _without_tags(piece)
            self._candidate(piece, prefix, events)
            at, prefix = after, tags

    def _candidate(self, piece: bytes, prefix: bytes, events: list[Event]) -> None:
        star = piece.find(b"*")
        sentence = _verified(piece, star, prefix) if star > 0 else None
        if sentence:
            events.append(sentence)
        elif _ADDRESS.match(piece, 1):
            self._doubtful(piece, star, prefix, events)

    def _doubtful(self, piece: bytes, star: int, prefix: bytes, events: list[Event]) -> None:
        body = piece[1:star] if star > 0 else piece[1:].rstrip(b"\x00 \t")
        reason, detail = _fault(piece, body, star)
        if reason is Reason.NO_CHECKSUM and not self.require_checksum:
            bare = _sentence((piece[:1] + body).decode("latin-1"), prefix.decode("latin-1"))
            events.append(bare._replace(verified=False))
        else:
            events.append(Rejected(reason, piece[:200].decode("latin-1").rstrip(), detail))


def _without_tags(piece: bytes) -> tuple[bytes, bytes]:
    """The piece, and the TAG blocks at its end: they belong to what follows, never to half a sentence before them.

    Otherwise the `*` of a block could make up a checksum for it. Steps back from block to block, so it is linear.
    """
    end = len(piece)
    while piece.endswith(b"\\", 0, end):
        start = piece.rfind(b"\\", 0, end - 1)
        if start < 0 or not _is_tag(piece, start, end):
            break
        end = start
    return piece[:end], piece[end:]


def _first_start(line: bytes) -> int:
    """Where the first sentence starts, -1 if none does. `!` counts only before an address: it occurs in plain text."""
    dollar = line.find(b"$")
    bang = line.find(b"!")
    while bang >= 0 and (dollar < 0 or bang < dollar):
        if _ADDRESS.match(line, bang + 1):
            return bang
        bang = line.find(b"!", bang + 1)
    return dollar


def _verified(piece: bytes, star: int, prefix: bytes) -> Sentence | None:
    """The sentence, if its checksum is right and nothing else speaks against it."""
    if _HEX.get(piece[star + 1 : star + 3]) != checksum(piece[1:star]) or star > SENTENCE_LIMIT:
        return None
    if _ILLEGAL.search(piece, 0, star) or not _ADDRESS.match(piece, 1):
        return None
    if len(piece) > star + 3 and piece[star + 3] in _DIGITS:
        return None
    return _sentence(piece[: star + 3].decode("latin-1"), prefix.decode("latin-1"))


def _sentence(text: str, prefix: str) -> Sentence:
    """Of a sentence found good, with its checksum or without one."""
    body = text[1:].partition("*")[0]
    stamp, tag = host_stamp(prefix) if prefix else _NO_STAMP
    return Sentence(body.partition(",")[0], body, text, stamp, tag, True)


def _fault(piece: bytes, body: bytes, star: int) -> tuple[Reason, str]:
    if len(body) >= SENTENCE_LIMIT:
        return Reason.TOO_LONG, f"{len(body)} characters, {SENTENCE_LIMIT} at most"
    illegal = _ILLEGAL.search(body)
    if illegal:
        return Reason.ILLEGAL_CHARACTER, f"byte {illegal.group()[0]:#04x} at character {illegal.start() + 2}"
    if star < 0:
        return Reason.NO_CHECKSUM, f"the bytes make {checksum(body):02X}, none is given"
    stated = piece[star + 1 : star + 3].decode("latin-1")
    return Reason.BAD_CHECKSUM, f"checksum says {stated or 'nothing'}, the bytes make {checksum(body):02X}"

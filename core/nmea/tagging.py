"""Writing the time of arrival into a stream: a TAG block before each sentence, every other byte as it was.

TAG blocks: NMEA 0183 v4.10 (nmea-facts.toml [tag_block]); `c:` with 13 digits is Unix milliseconds. What the stream
already has of them stays; ours stands nearest to the sentence and so is the one that counts on replay. Taking out all
blocks that this module wrote gives the received bytes again.
"""

from __future__ import annotations

import re

from core.nmea.whole_lines import checksum

_TOKEN = re.compile(rb"[\r\n]+|([$!])[A-Z][A-Z0-9]{2,9}[,*]")
"""A line end, or what framing takes for the start of a sentence."""
_UNFINISHED = re.compile(rb"[$!](?:[A-Z][A-Z0-9]{0,9})?\Z")


def tag_block(unix_ms: int) -> bytes:
    """The block for a time, 0 to 9,999,999,999,999 ms."""
    body = b"c:%013d" % unix_ms
    return b"\\%s*%02X\\" % (body, checksum(body))


class Tagger:
    """Inserts TAG blocks into a stream that comes in pieces."""

    def __init__(self) -> None:
        self._held = b""
        self._held_ms = 0
        self._in_sentence = False

    def feed(self, data: bytes, unix_ms: int) -> bytes:
        """The tagged bytes. A start of a sentence cut in two is held back until its other half comes."""
        held, self._held = self._held, b""
        buffer = held + data
        unfinished = _UNFINISHED.search(buffer)
        end = unfinished.start() if unfinished else len(buffer)
        out = self._tagged(buffer[:end], (len(held), self._held_ms, unix_ms))
        self._held = buffer[end:]
        if self._held and end >= len(held):
            self._held_ms = unix_ms
        return out

    def finish(self) -> bytes:
        """What is held back, as it came."""
        held, self._held = self._held, b""
        return held

    def _tagged(self, buffer: bytes, times: tuple[int, int, int]) -> bytes:
        """`times`: how many bytes came before, their time, the time of the others."""
        held, held_ms, unix_ms = times
        parts: list[bytes] = []
        done = 0
        for found in _TOKEN.finditer(buffer):
            if self._begins(found.group(1)):
                at = found.start()
                parts += [buffer[done:at], tag_block(held_ms if at < held else unix_ms)]
                done = at
        return b"".join([*parts, buffer[done:]])

    def _begins(self, start: bytes | None) -> bool:
        """`!` begins a sentence only where none has begun on its line: it is an ordinary character inside one."""
        if start is None:
            self._in_sentence = False
            return False
        begins = start == b"$" or not self._in_sentence
        self._in_sentence = True
        return begins

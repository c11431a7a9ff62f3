"""Recordings: files of NMEA 0183, plain or gzip, cut into the pieces that arrived together.

A piece is what belongs to one time: the host's (TAG block or a time before the sentence) where the file has them, else
the time of day in the sentences. A file may have no times at all for its first minutes (a receiver that does not
know the time yet); then each round of the receiver's sentences is a piece, and counts as one second.
"""

from __future__ import annotations

import gzip
import os
import re
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from stat import S_ISDIR, S_ISREG
from typing import BinaryIO, NamedTuple

from core.errors import InputError
from core.fix import MS_PER_DAY, ms_to
from core.nmea.fields import BadField, time_of_day
from core.nmea.framing import Event, Framer, Reason, Sentence
from core.nmea.stamps import line_stamp_ms, split_tag

BLOCK = 65_536
LONGEST_LINE = 16_384
"""Longer runs without a line end are binary; they are passed on in pieces."""
LOOKED_AT = 64 * 1024 * 1024
"""Bytes without a sentence after which a file is taken for no recording: sixteen hours of the busiest receiver."""
SENTENCES_LOOKED_AT = 50
"""contract.md, Checksums: a file whose first 50 sentences carry none is read without."""
USUAL_STEP_S = 1.0
LONGEST_STEP_MS = MS_PER_DAY // 2
"""A step forward of half a day or more is taken for one back over midnight, or a clock being set."""
LONGEST_LIVED_MS, LONGEST_STALL_MS = 10_000, 900_000
"""A host that steps back, or on by more than the second, while satellite fixes say that less than the first has passed,
had its clock set. A shorter step on is a line that stood still and then delivered what it held: times of arrival are
told as they were. (Without a fix nobody vouches for the receiver's time: it may have been off, and have gone on from
what it had kept.)"""

_WITHOUT_TIME = frozenset({b"GSV", b"GSA", b"VTG"})
"""Of most receivers three sentences of four, and looked at a million times."""
_ANCHOR = re.compile(rb"[$!]([A-Z]{2}(?:RMC|GGA|GNS|ZDA|GST|GBS|(GLL))),(?:(?(2)(?:[^,*]*,){4}))(\d{6}(?:\.\d{1,9})?)?")
_FIXED = re.compile(rb"[$!][A-Z]{2}(?=RMC,[^,]*,A|GGA,(?:[^,]*,){5}[1-5],)...,(\d{6}(?:\.\d{1,9})?),")
"""A sentence that says that there is a satellite fix, and when."""


class Piece(NamedTuple):
    """Bytes that arrived together, and when."""

    data: bytes
    at_s: float
    """Seconds since the first piece, on the recording's own clock."""


class Mark(NamedTuple):
    """Where a piece begins, and all that is needed to go on from there as if everything before it had been read."""

    offset: int
    """Bytes of the unpacked recording before it; of a track, points."""
    state: object = None
    """The recording's own affair."""


BEGIN = Mark(0)
_CannotRead = (OSError, EOFError, zlib.error)


class Recording:
    """An open recording. Not for two threads at once."""

    reopen: Callable[[], Recording] | None = None
    """Opens the same once more."""

    def __init__(self, path: Path, stream: BinaryIO, raw: BinaryIO, size: int) -> None:
        """Use `open_recording`."""
        self.path = path
        self._stream = stream
        self._raw = raw
        self._size = size
        self._begin = raw.tell() if stream is raw and raw.seekable() else 0
        self._given = 0
        self._clock = _PieceClock()
        self._opened = False
        """Whether the clock has looked at the first line of the next piece already."""

    def again(self) -> Recording | None:
        """The same, opened independently, from its beginning; None where it cannot be. Raises InputError."""
        return self.reopen() if self.reopen else None

    def mark(self) -> Mark:
        """Where the next piece begins."""
        return Mark(self._given, (self._clock.state(), self._opened))

    def go_to(self, mark: Mark) -> None:
        """`pieces`, called anew, goes on from here. Raises InputError as `blocks`."""
        try:
            self._stream.seek(self._begin + mark.offset)
        except _CannotRead as error:
            raise self._damage(error) from error
        self._given = mark.offset
        state, self._opened = mark.state if isinstance(mark.state, tuple) else (None, False)
        self._clock = _PieceClock(state)

    def stamp(self) -> object:
        """What changes when the file is written to: size and time of change of the open file; None where unknown."""
        try:
            found = os.fstat(self._raw.fileno())
        except (OSError, ValueError):
            return None
        return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns

    @property
    def fraction(self) -> float:
        """How much of the file has been given out, 0 to 1."""
        return min(1.0, self._given / self._size) if self._size else 1.0

    def blocks(self) -> Iterator[bytes]:
        """The rest of the file in blocks. Raises InputError where it cannot be read on."""
        for block in self._blocks():
            self._given += len(block)
            yield block

    def _blocks(self) -> Iterator[bytes]:
        try:
            while block := self._stream.read(BLOCK):
                yield block
        except _CannotRead as error:
            raise self._damage(error) from error

    def _damage(self, error: Exception) -> InputError:
        return InputError(f"{self.path} cannot be read beyond this point ({error}): is the file damaged?")

    def pieces(self) -> Iterator[Piece]:
        """The rest of the file in pieces, oldest first, their times never going back. Raises InputError as `blocks`."""
        for piece in self._pieces():
            self._given += len(piece.data)
            yield piece

    def _pieces(self) -> Iterator[Piece]:
        clock = self._clock
        held: list[bytes] = []
        at_s, size = clock.at_s, 0
        for line in _lines(self._blocks()):
            if self._opened:  # gone to: the first line has been looked at, and the clock stands there
                self._opened = False
            elif clock.opens_a_piece(line):
                if held:
                    self._opened = True
                    yield Piece(b"".join(held), at_s)
                    self._opened = False
                held, at_s, size = [], clock.at_s, 0
            held.append(line)
            size += len(line)
            if size >= BLOCK:  # no time in a long while, perhaps in the whole file: the memory must not fill
                yield Piece(b"".join(held), at_s)
                held, size = [], 0
        if held:
            yield Piece(b"".join(held), at_s)

    def close(self) -> None:
        """Close the file."""
        self._stream.close()
        self._raw.close()


def open_recording(path: Path) -> Recording:
    """Open a plain or gzip recording, told apart by its first bytes. Raises InputError saying what to do."""
    try:
        size = _size_of_file(path)
        recording = recording_of(path.open("rb"), path, size)
    except (OSError, ValueError) as error:
        raise InputError(_why_not(path, error)) from error
    recording.reopen = lambda: open_recording(path)
    return recording


def recording_of(raw: BinaryIO, path: Path, size: int) -> Recording:
    """A file of `size` bytes that is open already, from where it stands. `path` is its name. Raises OSError."""
    begin = raw.tell()
    is_gzip = raw.read(2) == b"\x1f\x8b"
    raw.seek(begin)
    stream: BinaryIO = gzip.GzipFile(fileobj=raw, mode="rb") if is_gzip else raw  # type: ignore[assignment]
    return Recording(path, stream, raw, _unpacked_size(raw, size) if is_gzip else size)


def _unpacked_size(raw: BinaryIO, size: int) -> int:
    """As the last four bytes of a gzip file tell it (RFC 1952, ISIZE): for the progress line, so a guess will do.

    Modulo 4 GiB, and of the last part alone where a file is several joined together.
    """
    begin = raw.tell()
    raw.seek(max(begin, begin + size - 4))
    told = int.from_bytes(raw.read(4), "little")
    raw.seek(begin)
    return max(told, size)


def _size_of_file(path: Path) -> int:
    found = path.stat()
    if not (S_ISREG(found.st_mode) or S_ISDIR(found.st_mode)):  # a pipe would wait for ever, a device never end
        raise InputError(f"{path} is a pipe or device, not a file: copy what it delivers into a file first")
    return found.st_size


def has_checksums(path: Path) -> bool:
    """False where none of the first 50 sentences carries a checksum.

    Raises InputError where the file cannot be read, or begins with `LOOKED_AT` bytes without a sentence.
    """
    recording = open_recording(path)
    try:
        return carry_checksums(recording.blocks(), str(path))
    finally:
        recording.close()


def carry_checksums(blocks: Iterator[bytes], name: str) -> bool:
    """False where none of the first 50 sentences of a file's blocks carries a checksum. Raises as `has_checksums`."""
    framer = Framer(require_checksum=False)
    seen = looked_at = 0
    for block in blocks:
        looked_at += len(block)
        if looked_at > LOOKED_AT and not seen:  # a few kB may unpack to more than anybody waits for
            raise InputError(f"{name} begins with {LOOKED_AT // 1024**2} MB without a sentence: it is no recording")
        for event in framer.feed(block):
            if _carries_checksum(event):
                return True
            seen += isinstance(event, Sentence)
            if seen >= SENTENCES_LOOKED_AT:
                return False
    last = framer.finish()
    return any(map(_carries_checksum, last)) or not (seen or any(isinstance(event, Sentence) for event in last))


def _carries_checksum(event: Event) -> bool:
    """A wrong one is one too. What was refused for another reason says nothing of the rest of the file."""
    return event.verified if isinstance(event, Sentence) else event.reason is Reason.BAD_CHECKSUM


def _why_not(path: Path, error: Exception) -> str:
    if isinstance(error, FileNotFoundError):
        return f"there is no file {path}: check the name and the folder"
    if isinstance(error, IsADirectoryError):
        return f"{path} is a folder: name one recording in it"
    if isinstance(error, PermissionError):
        return f"{path} may not be read by this user: change its permissions, or copy it"
    return f"{path} cannot be opened: {error}"


def _lines(blocks: Iterator[bytes]) -> Iterator[bytes]:
    """Lines with their ends, byte for byte; what is too long for a line comes in pieces.

    A CR LF that two blocks cut through makes an empty line of its own: harmless.
    """
    rest = b""
    for block in blocks:
        lines = (rest + block).splitlines(keepends=True)
        rest = b"" if lines[-1].endswith((b"\n", b"\r")) else lines.pop()
        yield from lines
        if len(rest) > LONGEST_LINE:
            yield rest
            rest = b""
    if rest:
        yield rest


class _ClockState(NamedTuple):
    at_s: float = 0.0
    has_host_times: bool = False
    host_ms: int | None = None
    day_ms: int | None = None
    timeless: frozenset[bytes] = frozenset()
    fixed_ms: int | None = None


class _PieceClock:
    """Watches lines for times, and says when a new piece begins."""

    def __init__(self, state: _ClockState | None = None) -> None:
        """`state`: what to go on from."""
        found = state or _ClockState()
        self.at_s = found.at_s
        self._has_host_times = found.has_host_times
        self._host_ms = found.host_ms
        self._day_ms = found.day_ms
        self._timeless = set(found.timeless)
        self._fixed_ms = found.fixed_ms

    def state(self) -> _ClockState:
        """All of it, for another to go on from."""
        timeless = frozenset(self._timeless)
        return _ClockState(self.at_s, self._has_host_times, self._host_ms, self._day_ms, timeless, self._fixed_ms)

    def opens_a_piece(self, line: bytes) -> bool:
        if line[3:6] in _WITHOUT_TIME and line.startswith(b"$") and b"!" not in line:
            return False
        start = max(line.find(b"$"), line.find(b"!"))
        if start < 0:
            return False
        host_ms = _host_ms(line[:start]) if start > 0 else None
        if host_ms is not None:
            self._has_host_times = True
            return self._host_time(host_ms, self._step_of_fixes(_FIXED.match(line, start)))
        anchor = None if self._has_host_times else _ANCHOR.match(line, start)
        return self._sentence_time(anchor) if anchor else False

    def _step_of_fixes(self, fixed: re.Match[bytes] | None) -> int | None:
        """Milliseconds since the fix before, by the satellites; None where this line tells none."""
        now_ms = _day_ms(fixed.group(1)) if fixed else None
        if now_ms is None:
            return None
        before, self._fixed_ms = self._fixed_ms, now_ms
        return None if before is None else ms_to(before, now_ms)

    def _host_time(self, host_ms: int, lived_ms: int | None) -> bool:
        """`lived_ms`: by the satellites."""
        before, self._host_ms = self._host_ms, host_ms
        if before is None or host_ms == before:
            return False
        step_ms = host_ms - before
        if lived_ms is not None and _was_set(step_ms, lived_ms):
            self.at_s += lived_ms / 1000
        else:
            self.at_s += step_ms / 1000 if step_ms > 0 else USUAL_STEP_S
        return True

    def _sentence_time(self, anchor: re.Match[bytes]) -> bool:
        day_ms = _day_ms(anchor.group(3))
        if day_ms is None:
            return self._without_time(anchor.group(1))
        self._timeless.clear()
        before, self._day_ms = self._day_ms, day_ms
        if before is None or day_ms == before:
            return False
        step = ms_to(before, day_ms)
        self.at_s += step / 1000 if step < LONGEST_STEP_MS else USUAL_STEP_S
        return True

    def _without_time(self, address: bytes) -> bool:
        """A sentence that should have a time and has none: when it comes again, a second has passed."""
        new_round = address in self._timeless
        if new_round:
            self._timeless.clear()
            self.at_s += USUAL_STEP_S
        self._timeless.add(address)
        return new_round


def _was_set(step_ms: int, lived_ms: int) -> bool:
    """Whether the host's clock was, between two fixes. One that agrees but for whole days has been away for days."""
    if lived_ms > LONGEST_LIVED_MS or 0 < step_ms <= LONGEST_STALL_MS:
        return False
    apart_ms = (step_ms - lived_ms) % MS_PER_DAY
    return step_ms < 0 or min(apart_ms, MS_PER_DAY - apart_ms) > LONGEST_LIVED_MS


def _host_ms(prefix: bytes) -> int | None:
    tag = split_tag(prefix)
    return tag.unix_ms if tag and tag.unix_ms is not None else line_stamp_ms(prefix)


def _day_ms(text: bytes | None) -> int | None:
    try:
        return time_of_day(text.decode("ascii")) if text else None
    except BadField:
        return None

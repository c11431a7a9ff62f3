"""Damage of the kinds that lines, radios, disks, loggers and hostile people do, decided by dice that have a seed.

Two sorts: `mutations` works on any bytes (for `tests.faults.fuzzing`), `Damager` on sentences of a receiver, of which
half keep or get a right checksum, so that the damage comes through framing to where fields are believed.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence

EXTREMES: tuple[bytes, ...] = (
    b"", b"0", b"-0", b"-0.0", b"00", b"1", b"-1", b"+1", b"nan", b"NaN", b"-nan", b"inf", b"-inf", b"Infinity",
    b"1e308", b"-1e308", b"1e-400", b"1_0", b"0x10", b"1.7976931348623157e308", b"999999999999", b"1000000000000",
    b"9" * 20, b"9" * 308, b"9" * 400, b"0." + b"0" * 300 + b"1", b".", b"..", b"1.2.3", b"--1", b" 1", b"1 ",
    b"90", b"90.0000001", b"9000.0000", b"9000.0001", b"8959.99999", b"8960.0", b"18000.0000", b"18000.0001",
    b"17959.999999", b"360", b"360.0", b"359.9999999", b"-90", b"99.9", b"99.89", b"100000", b"100000.1", b"-12000.1",
    b"65535", b"65536", b"2147483648", b"18446744073709551616", b"1000", b"515", b"1001.1",
    "٣٤".encode(), "１２".encode(), b"\xb2\xb3", b"\xb9", b"\xb2.\xb9", b"\xff", b"\x80", b"\xa0", b"\x7f", b"\x00",
    b"A", b"V", b"N", b"S", b"E", b"W", b"D", b"R", b"F", b"M", b"P", b"NNNN", b"AAAAAAAAAAAAAAAA", b"T", b"K", b"Z",
    b"2", b"3", b"4", b"5", b"6", b"7", b"8", b"9", b"*", b"*00", b"!", b"\\", b"^21", b"~", b"%s%n", b"\x1b[2J", b"'",
)  # fmt: skip
"""Texts put in the place of a field, whatever the field is."""

TIMES: tuple[bytes, ...] = (
    b"235959", b"235959.999", b"235959.9999999", b"235960", b"235960.0", b"235960.999", b"235961", b"236000",
    b"240000", b"240000.00", b"999999", b"995999", b"000000", b"000000.000", b"000060", b"125960", b"1200", b"12000",
    b"1200000", b"-10000", b"120000.", b"12:00:00", b"120000,00", b"120000.00.00", b"120000Z", b"",
)  # fmt: skip
DATES: tuple[bytes, ...] = (
    b"310299", b"310226", b"290228", b"290227", b"290200", b"290231", b"000000", b"000001", b"010100", b"311299",
    b"311225", b"010126", b"060180", b"050180", b"220899", b"210899", b"060419", b"070419", b"201138", b"211138",
    b"311279", b"010180", b"320126", b"001326", b"999999", b"0101", b"01012026", b"040531", b"120411", b"",
)  # fmt: skip
"""ddmmyy: days that no calendar has, leap days, year ends, rollovers of the week (tests/data/gps_time.json)."""
ZDA_DATES: tuple[tuple[bytes, ...], ...] = (
    (b"00", b"29", b"31", b"32", b"1"),
    (b"00", b"02", b"12", b"13", b"2"),
    (b"0000", b"1980", b"1999", b"2000", b"2038", b"2100", b"9999", b"99", b"10000", b"-001"),
)
"""Day, month, year."""
LONG_NUMBER = b"7" * 1_000_000

Wound = Callable[[random.Random, bytes], bytes]


def checksum(body: bytes) -> int:
    """Exclusive or of all bytes, in the plainest way: not the one that is tested."""
    total = 0
    for byte in body:
        total ^= byte
    return total


def checksummed(body: bytes) -> bytes:
    """The body as a line."""
    return b"$%s*%02X\r\n" % (body, checksum(body))


# Damage to bytes


def _flip(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << dice.randrange(8)]) + data[at + 1 :]


def _drop(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + data[at + 1 :]


def _double(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + data[at : at + 1] + data[at:]


def _insert(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data) + 1)
    return data[:at] + bytes([dice.randrange(256)]) + data[at:]


def _insert_mark(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data) + 1)
    return data[:at] + dice.choice(MARKS) + data[at:]


def _cut_out(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    return data[:at] + data[at + dice.randrange(1, 40) :]


def _repeat(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    end = at + dice.randrange(1, 60)
    return data[:end] + data[at:]


def _end_early(dice: random.Random, data: bytes) -> bytes:
    return data[: dice.randrange(len(data))]


def _overwrite(dice: random.Random, data: bytes) -> bytes:
    at = dice.randrange(len(data))
    run = dice.randbytes(dice.randrange(1, 16))
    return data[:at] + run + data[at + len(run) :]


MARKS = (
    b"\r", b"\n", b"\r\n", b"$", b"$$$$", b"!", b"*", b",", b",,", b"\\", b"\x00", b"\x00" * 20, b"\xff" * 8, b" ",
    b"\\c:1*5A\\", b"\\s:x,c:1700000000*2E\\", b"\\c:99999999999999*00\\", b"$GPGGA,", b"*00\r\n",
    b"2026-02-31 25:61:61 ", b"2026-11-26T09:45:00.123Z ", b"\xb5b\x01\x07\x5c\x00", b"\xd3\x00\x13", b"<", b"&",
)  # fmt: skip
"""What means something to a reader."""
BYTE_WOUNDS: tuple[Wound, ...] = (
    _flip, _drop, _double, _insert, _insert_mark, _cut_out, _repeat, _end_early, _overwrite,
)  # fmt: skip


def wounded(dice: random.Random, data: bytes, wounds: int) -> bytes:
    """Bytes with so many wounds; nothing that is left of them stays nothing."""
    for _ in range(wounds):
        if data:
            data = dice.choice(BYTE_WOUNDS)(dice, data)
    return data


def mutations(seeds: Sequence[bytes], count: int, seed: int) -> Iterator[bytes]:
    """`count` damaged seeds, halves of two of them spliced among these; the same ones for the same number."""
    dice = random.Random(seed)
    for _ in range(count):
        data = dice.choice(seeds) if seeds else b""
        if seeds and dice.random() < 0.1:
            other = dice.choice(seeds)
            data = data[: dice.randrange(len(data) + 1)] + other[dice.randrange(len(other) + 1) :]
        yield wounded(dice, data, dice.choice((1, 1, 2, 3, 5, 9)))


# Damage to fields, under a right checksum


def _extreme_field(dice: random.Random, fields: list[bytes]) -> None:
    fields[dice.randrange(len(fields))] = dice.choice(EXTREMES)


def _swapped_fields(dice: random.Random, fields: list[bytes]) -> None:
    a, b = dice.randrange(len(fields)), dice.randrange(len(fields))
    fields[a], fields[b] = fields[b], fields[a]


def _lost_field(dice: random.Random, fields: list[bytes]) -> None:
    del fields[dice.randrange(len(fields))]


def _added_fields(dice: random.Random, fields: list[bytes]) -> None:
    at = dice.randrange(len(fields))
    fields[at:at] = [dice.choice(EXTREMES)] * dice.choice((1, 1, 2, 4, 30))


def _few_fields(dice: random.Random, fields: list[bytes]) -> None:
    del fields[dice.randrange(1, len(fields) + 1) :]


def _other_time(dice: random.Random, fields: list[bytes]) -> None:
    fields[5 if fields[0].endswith(b"GLL") and len(fields) > 5 else 1 % len(fields)] = dice.choice(TIMES)


def _other_date(dice: random.Random, fields: list[bytes]) -> None:
    if fields[0].endswith(b"ZDA") and len(fields) > 4:
        fields[2:5] = [dice.choice(one) for one in ZDA_DATES]
    else:
        fields[9 % len(fields)] = dice.choice(DATES)


def _other_numbers(dice: random.Random, fields: list[bytes]) -> None:
    """Of pages, satellites, whatever the first three say: out of order, none, hundreds."""
    for at in range(1, min(4, len(fields))):
        fields[at] = dice.choice((b"0", b"1", b"2", b"3", b"9", b"09", b"10", b"99", b"100", b"999999", b"-1", b""))


def _other_address(dice: random.Random, fields: list[bytes]) -> None:
    fields[0] = dice.choice(ADDRESSES)


ADDRESSES = (
    b"GPGGA", b"GNRMC", b"GLGSV", b"GAGSV", b"PQGSV", b"GBGSA", b"GNGSA", b"GNGNS", b"GNZDA", b"GNGST", b"GNGBS",
    b"GNVTG", b"HEHDT", b"HCHDG", b"GNDTM", b"GNTXT", b"GNGLL", b"HETHS", b"PUBX", b"PQQQ001", b"AIVDM", b"GNGRS",
    b"GNRLM", b"RMC", b"GN", b"GNGGAGNGGA", b"gngga", b"ZZZZZ", b"QQQQQ", b"IIXDR", b"GPRTE", b"GPQ", b"CCGPQ",
)  # fmt: skip
FieldWound = Callable[[random.Random, list[bytes]], None]
FIELD_WOUNDS: tuple[FieldWound, ...] = (
    _extreme_field, _extreme_field, _extreme_field, _swapped_fields, _lost_field, _added_fields, _few_fields,
    _other_time, _other_date, _other_numbers, _other_address,
)  # fmt: skip


def _in_fields(dice: random.Random, line: bytes) -> bytes:
    fields = line[1:-5].split(b",")
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        if fields:
            dice.choice(FIELD_WOUNDS)(dice, fields)
    return checksummed(b",".join(fields))


# Damage to lines


def _in_bytes(dice: random.Random, line: bytes) -> bytes:
    return wounded(dice, line, dice.choice((1, 1, 2, 5)))


def _wrong_checksum(dice: random.Random, line: bytes) -> bytes:
    return line[:-4] + b"%02X\r\n" % dice.randrange(256)


def _no_checksum(dice: random.Random, line: bytes) -> bytes:
    return line[:-5] + b"\r\n"


def _glued(dice: random.Random, line: bytes) -> bytes:
    return line[:-2]


def _cut_line(dice: random.Random, line: bytes) -> bytes:
    return line[: dice.randrange(len(line))] + dice.choice((b"", b"\r\n"))


def _repeated_line(dice: random.Random, line: bytes) -> bytes:
    return line * dice.choice((2, 2, 3, 20))


def _prefixed(dice: random.Random, line: bytes) -> bytes:
    return dice.choice(MARKS) + line


def _padded(dice: random.Random, line: bytes) -> bytes:
    return line[:-2] + dice.choice((b" " * 40, b"\x00" * 64, b"\t", b"*00", b"FF")) + line[-2:]


LINE_WOUNDS: tuple[Wound, ...] = (
    *[_in_fields] * 8, *[_in_bytes] * 4, _wrong_checksum, _no_checksum, _glued, _cut_line, _repeated_line, _prefixed,
    _padded,
)  # fmt: skip
ONE_IN_LONG = 200_000
"""Lines with a number of a million digits: a megabyte each, so few."""


class Damager:
    """Gives damaged lines without end, made of sound ones in their order, from a number."""

    def __init__(self, lines: Sequence[bytes], seed: int, sound: float = 0.25) -> None:
        """`lines`: each a sentence with its checksum and CR LF; `sound`: how many of all stay as they are, 0 to 1."""
        self._lines, self._sound = lines, sound
        self._dice = random.Random(seed)
        self._next = 0
        self.damaged = 0
        """Lines that came out other than they went in."""

    def block(self, count: int) -> bytes:
        """The next so many lines, as one piece."""
        dice, parts = self._dice, []
        for _ in range(count):
            line = self._lines[self._next]
            self._next = (self._next + 1) % len(self._lines)
            if dice.random() >= self._sound:
                line = self._wounded(line)
                self.damaged += 1
            parts.append(line)
        return b"".join(parts)

    def _wounded(self, line: bytes) -> bytes:
        dice = self._dice
        if dice.randrange(ONE_IN_LONG) == 0:
            return line.replace(b",", b"," + LONG_NUMBER, 1)
        return dice.choice(LINE_WOUNDS)(dice, line)


_STATED = re.compile(rb"([$!])([^$!*\r\n]*)\*(?:[0-9A-Fa-f]{2})?")


def repaired(data: bytes) -> bytes:
    """The same with every stated checksum put right: what a fuzzer needs to come past the first gate."""
    return _STATED.sub(lambda found: b"%s%s*%02X" % (found[1], found[2], checksum(found[2])), data)

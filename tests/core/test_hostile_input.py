"""Damaged, shuffled, cut off and endless input: nothing raises and nothing grows for ever."""

from __future__ import annotations

import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.intake import OTHER_TYPES, TEXTS_KEPT, TYPES_COUNTED, WIRE_LINES
from core.model import FixModel
from core.nmea.framing import Reason
from core.sky import MOST_GROUPS
from tests.build import PLACE, gga, gll, gsa, gst, gsv, lines, rmc, vtg, zda
from tests.played import NOON, play


def entries(model: FixModel) -> int:
    """Everything that could grow, counted."""
    assembler, book = model._assembler, model._sky
    epochs = [epoch for epoch in (assembler.previous, assembler.current, assembler._lead) if epoch]
    held = sum(len(epoch.gsa) + len(epoch.gsv) for epoch in epochs)
    intake = model._intake
    return held + len(book._groups) + len(book._pages) + len(intake._types) + len(intake.wire) + len(intake.texts)


ENDLESS = {
    "gsa in a row": lambda n: gsa(n % 32 + 1),
    "gsv without anchors": lambda n: gsv(n // 16 % 99 + 1, 99, 5, signal=f"{n % 16:X}"),
    "gsv of made-up signals": lambda n: (
        rmc(n) if n % 2 else gsv(1, 1, 5, talker=f"{chr(65 + n // 2 % 26)}{n // 52 % 10}")
    ),
    "made-up addresses": lambda n: f"Z{n:06d},1",
    "texts": lambda n: f"GNTXT,01,01,02,{n}",
    "headings": lambda n: f"HEHDT,{n % 360}.0,T",
}


@pytest.mark.parametrize("kind", ENDLESS)
def test_a_stream_without_end_fills_no_memory(kind: str) -> None:
    model = FixModel()
    for start in range(0, 6000, 1000):
        play(model, [ENDLESS[kind](n) for n in range(start, start + 1000)], float(start))
    assert entries(model) < 2 * (32 + 256) + 2 * MOST_GROUPS + TYPES_COUNTED + WIRE_LINES + TEXTS_KEPT + 10
    assert sum(model.snapshot().counts.types.values()) == 6000


def test_addresses_beyond_the_limit_are_counted_together() -> None:
    model = FixModel()
    play(model, [f"Z{n:06d},1" for n in range(TYPES_COUNTED + 10)], 0.0)
    play(model, ["Z000000,1"], 0.0)
    types = model.snapshot().counts.types
    assert (types[OTHER_TYPES], types["Z000000"]) == (10, 2)
    assert len(types) == TYPES_COUNTED + 1


def recording(seconds: int) -> bytes:
    """An invented receiver that sends all that fixboard reads."""
    bodies = []
    for second in range(seconds):
        at = NOON + second
        bodies += [rmc(at), gga(at), gll(at), gst(at), vtg(), zda(at), gsa(5, 6, system="1"), gsa(5, system="3")]
        bodies += [gsv(1, 2, 1, 2, 3, 4, signal="1"), gsv(2, 2, 5, signal="1"), gsv(1, 1, 5, talker="GA", signal="7")]
        bodies += ["HEHDT,90.0,T", "GNTXT,01,01,02,hello", f"GNGNS,,{PLACE},AAN,08,1.1,12.5,30.0,,,V"]
    return lines(*bodies)


SOUND = recording(4)


def damaged(seed: int, wounds: int) -> bytes:
    """The recording with bytes flipped, dropped, inserted, pieces cut out, doubled and moved."""
    dice, data = random.Random(seed), bytearray(SOUND)
    for _ in range(wounds):
        at, size = dice.randrange(len(data)), dice.randrange(1, 60)
        match dice.randrange(6):
            case 0:
                data[at] ^= 1 << dice.randrange(8)
            case 1:
                del data[at]
            case 2:
                data[at:at] = bytes([dice.randrange(256)])
            case 3:
                del data[at : at + size]
            case 4:
                data[at:at] = data[at : at + size]
            case _:
                data[at:at] = dice.choice([b"\r", b"\n", b"$", b"!", b"*", b",", b"\x00" * size, b"\\c:1*5A\\"])
    return bytes(data)


@given(st.integers(0, 1 << 32), st.integers(0, 60), st.booleans())
def test_damage_never_raises(seed: int, wounds: int, require_checksum: bool) -> None:
    model, data = FixModel(require_checksum), damaged(seed, wounds)
    finished = []
    for start in range(0, len(data), 700):
        finished += model.feed(data[start : start + 700], start / 700)
        assert model.snapshot().counts.epochs >= len(finished)
    finished += model.finish()
    counts = model.snapshot().counts
    assert counts.epochs == len(finished)
    assert counts.verified + counts.unverified == sum(counts.types.values())
    assert counts.rejected.get(Reason.NO_CHECKSUM, 0) == 0 or require_checksum


@given(st.integers(0, 1 << 32))
def test_shuffled_lines_never_raise(seed: int) -> None:
    rows = SOUND.splitlines(keepends=True)
    random.Random(seed).shuffle(rows)
    model = FixModel()
    finished = model.feed(b"".join(rows), 0.0) + model.finish()
    assert model.snapshot().counts.verified == len(rows)
    assert len(finished) >= 4


@given(st.integers(0, len(SOUND)))
def test_cut_off_anywhere_what_came_whole_counts(length: int) -> None:
    model = FixModel()
    model.feed(SOUND[:length], 0.0)
    model.finish()
    assert model.snapshot().counts.verified == len(re.findall(rb"\*[0-9A-F]{2}", SOUND[:length]))


@given(st.binary(max_size=2000), st.booleans())
def test_no_bytes_raise(data: bytes, require_checksum: bool) -> None:
    model = FixModel(require_checksum)
    finished = model.feed(data, 0.0) + model.finish()
    assert model.snapshot().counts.epochs == len(finished)

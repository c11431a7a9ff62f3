"""Writing times of arrival into a stream loses nothing, changes no fix, and a replay gives the times back."""

from __future__ import annotations

import random
import re
import tempfile
from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import pairwise
from operator import xor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.fix import Fix
from core.model import FixModel
from core.nmea.framing import Framer, Sentence
from core.nmea.stamps import split_tag
from core.nmea.tagging import Tagger, tag_block
from core.sources.recording import open_recording
from tests.wire import burst, sentence

START_MS = 1_935_662_400_123
"""4 May 2031, noon and a bit."""
_OURS = re.compile(rb"\\c:\d{13}\*[0-9A-F]{2}\\(?=[$!][A-Z][A-Z0-9]{2,9}[,*])")
"""One of our blocks: right before a sentence. Where the stream had one there already, ours is the nearer."""

address = st.sampled_from([b"GNRMC", b"GNGGA", b"GPGSV", b"AIVDM", b"PQXX", b"GN", b"G"])
start = st.sampled_from([b"$", b"!", b"$$", b"!!"])
pieces = st.one_of(
    st.binary(max_size=12),
    st.sampled_from([burst(0), burst(1, fix=False), sentence("PQXX,a,b"), tag_block(START_MS), tag_block(0)]),
    st.builds(lambda s, a, end: s + a + end, start, address, st.sampled_from([b",", b"*", b"", b",1*22"])),
    st.sampled_from([b"\r\n", b"\r", b"\n", b"\\", b"\\s:Q,c:1935748800*0F\\", b"\xb5\x62\x01\x07", b"!", b"$"]),
)
streams = st.lists(pieces, max_size=30).map(b"".join)
cuts = st.lists(st.integers(0, 2000), max_size=20)


def chunks(data: bytes, at: Sequence[int]) -> Iterator[bytes]:
    """`data` in pieces."""
    places = [0, *sorted(place for place in at if place < len(data)), len(data)]
    return (data[a:b] for a, b in pairwise(places))


def tagged(parts: Iterator[bytes]) -> bytes:
    """With a block before each sentence, one second between the parts."""
    tagger = Tagger()
    return b"".join(tagger.feed(part, START_MS + 1000 * n) for n, part in enumerate(parts)) + tagger.finish()


def untagged(data: bytes) -> bytes:
    """Without our blocks."""
    return _OURS.sub(b"", data)


def begun(data: bytes) -> int:
    """How many sentences begin in a stream, as the tagger sees it: worked out the long way round."""
    count, inside = 0, False
    for found in re.finditer(rb"[\r\n]|([$!])[A-Z][A-Z0-9]{2,9}[,*]", data):
        if found[1] is None:
            inside = False
        elif found[1] == b"$" or not inside:
            count, inside = count + 1, True
    return count


@given(streams, cuts)
def test_taking_the_blocks_out_gives_the_received_bytes(data: bytes, at: list[int]) -> None:
    out = tagged(chunks(data, at))
    assert len(out) == len(data) + begun(data) * len(tag_block(0))
    rest, taken = out, b""
    inside = False
    while found := re.search(rb"[\r\n]|([$!])[A-Z][A-Z0-9]{2,9}[,*]", rest):
        before = rest[: found.start()]
        if found[1] and (found[1] == b"$" or not inside):
            assert re.search(rb"\\c:\d{13}\*[0-9A-F]{2}\\\Z", before), "each sentence that begins has its block"
            before = before[: -len(tag_block(0))]
        inside = found[1] is not None
        taken += before + found.group()
        rest = rest[found.end() :]
    assert taken + rest == data


@given(streams, cuts)
def test_the_cuts_change_the_times_alone(data: bytes, at: list[int]) -> None:
    times = re.compile(rb"(?<=\\c:)\d{13}\*[0-9A-F]{2}")
    assert times.sub(b"", tagged(chunks(data, at))) == times.sub(b"", tagged(chunks(data, [])))


@given(st.binary(max_size=3000), cuts)
def test_any_bytes_come_back(data: bytes, at: list[int]) -> None:
    assert untagged(tagged(chunks(data, at))) == data


@given(st.integers(0, 9_999_999_999_999))
def test_a_block_says_its_time(unix_ms: int) -> None:
    tag = split_tag(tag_block(unix_ms))
    assert tag and tag.source is None
    assert tag.unix_ms == unix_ms  # thirteen digits, so never taken for seconds


def test_a_sentence_cut_in_two_has_the_time_of_its_first_byte() -> None:
    tagger = Tagger()
    out = tagger.feed(b"\r\n$G", 1000) + tagger.feed(b"NGGA,1*00\r\n$GNRMC,", 2000) + tagger.finish()
    assert out == b"\r\n" + tag_block(1000) + b"$GNGGA,1*00\r\n" + tag_block(2000) + b"$GNRMC,"


def test_ours_stands_nearest_and_counts() -> None:
    """What the stream had of its own stays."""
    body = b"s:Q,c:1900000000"
    block = b"\\%s*%02X\\" % (body, reduce(xor, body))
    tagger = Tagger()
    out = tagger.feed(block + burst(0), START_MS)
    (first, *_) = Framer().feed(out)
    assert out.startswith(block)
    assert isinstance(first, Sentence) and first.stamp_ms == START_MS


class Damage:
    """What lines do to a session: lost and changed bytes, noise, binary between the sentences."""

    def __init__(self, seed: int) -> None:
        self._dice = random.Random(seed)

    def session(self, epochs: int = 25) -> bytes:
        """A damaged walk."""
        whole = b"".join(burst(n, fix=n > 3) + self._between() for n in range(epochs))
        damaged = bytearray(whole)
        for _ in range(self._dice.randrange(1, 40)):
            self._hurt(damaged, self._dice.randrange(len(damaged)))
        return bytes(damaged)

    def cuts(self, length: int) -> list[int]:
        """Where the reads end."""
        return [self._dice.randrange(length) for _ in range(self._dice.randrange(60))]

    def _between(self) -> bytes:
        kinds = (b"", b"\xb5\x62" + self._dice.randbytes(60), sentence("PQXX,a"), tag_block(START_MS - 5), b"\x00\x00")
        return self._dice.choice(kinds)

    def _hurt(self, data: bytearray, at: int) -> None:
        kind = self._dice.randrange(4)
        if kind == 0:
            del data[at : at + self._dice.randrange(1, 90)]
        elif kind == 1 and at < len(data):
            data[at] ^= 1 << self._dice.randrange(8)
        elif kind == 2:
            data[at:at] = self._dice.choice([b"$", b"!", b"\r\n", b"*", b"\\", b"\xff\xfe"])
        else:
            data[at:at] = self._dice.randbytes(self._dice.randrange(1, 50))


def fixes(data: bytes, require: bool) -> list[Fix]:
    """What a stream says."""
    model = FixModel(require)
    return model.feed(data, 0.0) + model.finish()


def accepted(data: bytes, require: bool) -> list[str]:
    """The sentences of a stream."""
    framer = Framer(require)
    events = framer.feed(data) + framer.finish()
    return [event.text for event in events if isinstance(event, Sentence)]


@pytest.mark.parametrize("require", [True, False])
@pytest.mark.parametrize("seed", range(60))
def test_the_fixes_of_a_damaged_session_are_the_same_with_times(seed: int, require: bool) -> None:
    damage = Damage(seed)
    data = damage.session()
    out = tagged(chunks(data, damage.cuts(len(data))))
    assert accepted(out, require) == accepted(data, require)
    found = fixes(data, require)
    assert fixes(out, require) == found
    assert any(fix.is_satellite_fix for fix in found), "the damage left something to compare"


@given(streams, cuts, st.booleans())
def test_the_sentences_of_anything_are_the_same_with_times(data: bytes, at: list[int], require: bool) -> None:
    assert accepted(tagged(chunks(data, at)), require) == accepted(data, require)


def test_the_sentences_in_an_endless_line_are_the_same_with_times() -> None:
    """No line end in 50 kB: the framer cuts, and the blocks shift where."""
    data = b"".join(sentence(f"PQXX,wow!,{n},{'x' * (n % 90)}").rstrip() + b"\x00" * (n % 7) for n in range(600))
    assert len(accepted(data, True)) == 600
    assert accepted(tagged(chunks(data, [])), True) == accepted(data, True)


def arrivals(seed: int) -> list[tuple[bytes, int]]:
    """Bursts with the milliseconds of their arrival, uneven as life; no fix and no time in the first minute."""
    dice = random.Random(seed)
    at_ms, out = START_MS, []
    for n in range(90):
        no_time = sentence("GNRMC,,V,,,,,,,,,,N") + sentence("GNGGA,,,,,,0,00,,,M,,M,,")
        out.append((no_time if n < 60 else burst(n), at_ms))
        at_ms += dice.choice([1000, 999, 1003, 250, 40, 61_234])
    return out


@pytest.mark.parametrize("seed", range(5))
def test_a_replay_gives_the_times_of_arrival_to_the_millisecond(seed: int, tmp_path: Path) -> None:
    """The time before the first fix included, in which the sentences themselves have no time at all."""
    tagger = Tagger()
    session = arrivals(seed)
    file = tmp_path / "walk.nmea"
    file.write_bytes(b"".join(tagger.feed(data, at_ms) for data, at_ms in session) + tagger.finish())
    recording = open_recording(file)
    pieces = list(recording.pieces())
    recording.close()
    assert [round(piece.at_s * 1000) for piece in pieces] == [at_ms - START_MS for _, at_ms in session]
    assert [untagged(piece.data) for piece in pieces] == [data for data, _ in session]
    assert [piece.at_s for piece in pieces] == sorted(piece.at_s for piece in pieces)


@given(streams, cuts)
def test_the_times_of_a_replay_never_go_back(data: bytes, at: list[int]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "any.nmea"
        file.write_bytes(tagged(chunks(data, at)))
        recording = open_recording(file)
        pieces = list(recording.pieces())
        recording.close()
        assert b"".join(piece.data for piece in pieces) == file.read_bytes()
        assert [piece.at_s for piece in pieces] == sorted(piece.at_s for piece in pieces)

"""What is fuzzed of the way from bytes to what is shown: the table `TARGETS` for `tests.faults.fuzzing`.

The first byte of an input holds knobs: whether checksums are put right (or nothing would come past them), whether they
are required, and how the rest is cut into pieces.
"""

from __future__ import annotations

import gzip
import io
import itertools
import math
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

from core.accuracy import ErrorModel
from core.clock import ClockMeter, Clocks, ClockSetup
from core.digest import Digest
from core.epochs import EpochReader
from core.errors import InputError
from core.feeding.plan import FeedPlan, Origin
from core.feeding.raw import RawWriter
from core.feeding.rebuilt import RebuiltWriter
from core.fix import Fix, Position
from core.going import Goal, Route
from core.judgement import Judgement
from core.model import FixModel
from core.nmea.decode import Malformed, decode
from core.nmea.epoch import EpochAssembler
from core.nmea.explain import explain_all
from core.nmea.framing import Event, Framer, Reason, Rejected, Sentence
from core.nmea.merge import DayCarry, merge
from core.nmea.readings import Gsv, Text
from core.nmea.stamps import line_stamp_ms, split_tag
from core.nmea.tagging import Tagger, tag_block
from core.nmea.write import TYPES
from core.outing import Outing
from core.session_clock import SessionClock, iso
from core.sky_memory import SkyMemory
from core.sources.recording import Recording, recording_of
from core.sources.source import SourceKind
from tests.build import gga, gll, gsa, gst, gsv, line, lines, rmc, vtg, zda
from tests.faults.damage import EXTREMES, TIMES, checksum, checksummed, repaired
from tests.faults.fuzz_sentences_checks import MOST_HELD, check_counts, check_cuts, check_drawn, check_fix, finite, held
from tests.faults.fuzzing import Target
from tests.recordings import FOLDER
from tests.tables import DATA

REPLAYS = DATA.parents[1] / "replays"
STAMPED = b"2026-11-26T09:45:00.123Z "
OCEAN = Position(10.5, -20.25)


class Given(NamedTuple):
    """An input taken apart."""

    data: bytes
    required: bool
    cuts: list[int]


def given(data: bytes) -> Given:
    """By the knobs in its first byte."""
    knobs, rest = (data[0], data[1:]) if data else (0, b"")
    rest = repaired(rest) if knobs & 1 else rest
    return Given(rest, not knobs & 2, [*range(1 + (knobs >> 2), len(rest), 1 + (knobs >> 2))])


def framing(data: bytes) -> None:
    """Sentences are what stands in the bytes, their checksums are right, and cuts change nothing."""
    one = given(data)
    framer = Framer(one.required)
    for event in framer.feed(one.data) + framer.finish():
        _check_event(event, one)
    check_cuts(one.data, one.cuts, one.required)


def _check_event(event: Event, one: Given) -> None:
    raw = event.text.encode("latin-1")
    assert raw in one.data
    if isinstance(event, Rejected):
        assert len(event.text) <= 200
        assert event.reason is not Reason.NO_CHECKSUM or one.required
    elif event.verified:
        assert int(raw[-2:], 16) == checksum(raw[1:-3]), raw
        assert event.address == event.body.partition(",")[0]
    else:
        assert not one.required


def decoding(data: bytes) -> None:
    """Whatever stands in a sentence with a right checksum, what it says is finite, and satellites can be read."""
    body = data.replace(b"\r", b"").replace(b"\n", b"").replace(b"$", b"").replace(b"*", b"")
    for event in Framer().feed(checksummed(body)):
        reading = decode(event) if isinstance(event, Sentence) else None
        assert finite(tuple(reading or ())), reading
        if isinstance(reading, Gsv):
            assert finite(reading.satellites)
            assert len(reading.numbers) <= len(body)


def epochs(data: bytes) -> None:
    """Sorting and merging without a model around it: each epoch makes a sound Fix, none comes out twice."""
    one = given(data)
    framer, assembler, carry = Framer(one.required), EpochAssembler(), DayCarry()
    seen: set[int] = set()
    kept = []  # so that no two of them have the same id
    for event in framer.feed(one.data) + framer.finish():
        reading = decode(event) if isinstance(event, Sentence) else None
        if reading is None or isinstance(reading, Malformed | Text):
            continue
        assert isinstance(event, Sentence)
        finished = assembler.add(event.address, reading, 0.0)
        kept += [finished] if finished else []
    for epoch in [*kept, *assembler.finish()]:
        assert id(epoch) not in seen
        seen.add(id(epoch))
        fix = merge(epoch, carry)
        carry.remember(fix.utc)
        check_fix(fix)


def furnished(observer: Digest | None = None, required: bool = True) -> FixModel:
    """A model with everything on: judged, guided, averaged, totalled, its clock compared."""
    model = FixModel(required, observer.add if observer else None, Judgement(ErrorModel(), date(2031, 5, 4)), Outing())
    model.sky_memory = SkyMemory()
    model.navigator.route = Route((Goal("a", OCEAN), Goal("b", Position(10.51, -20.26), 5.0)))
    ticks = itertools.count()
    model.clock = ClockMeter(ClockSetup(clocks=lambda: Clocks(2e9 + next(ticks) * 0.1, next(ticks) * 0.1)))
    if model.site:
        model.site.start()
    return model


def whole_model(data: bytes) -> None:
    """The model with everything on, looked at after each piece."""
    one = given(data)
    digest = Digest()
    model = furnished(digest, one.required)
    finished: list[Fix] = []
    for number, (begin, end) in enumerate(itertools.pairwise([0, *one.cuts[:: 1 + len(one.cuts) // 4], len(one.data)])):
        finished += model.feed(one.data[begin:end], number * 0.7)
        check_counts(model.snapshot(), len(finished))
        check_drawn(model)
    finished += model.finish()
    for fix in finished:
        check_fix(fix)
    check_counts(model.snapshot(), len(finished))
    check_drawn(model, digest)
    assert held(model) <= MOST_HELD


def stamps(data: bytes) -> None:
    """Times before sentences are of the calendar; tagging adds blocks and nothing else, wherever the input is cut."""
    one = given(data)
    tag = split_tag(one.data)
    for stamp_ms in (tag.unix_ms if tag else None, line_stamp_ms(one.data)):
        assert stamp_ms is None or type(stamp_ms) is int
    tagger, block = Tagger(), tag_block(1_700_000_000_000)
    pieces = itertools.pairwise([0, *one.cuts, len(one.data)])
    tagged = b"".join([tagger.feed(one.data[a:b], 1_700_000_000_000) for a, b in pieces]) + tagger.finish()
    if block not in one.data:
        assert tagged.replace(block, b"") == one.data
    again = Tagger()
    assert again.feed(one.data, 1_700_000_000_000) + again.finish() == tagged


def explaining(data: bytes) -> None:
    """Taken and refused exactly as framing and decoding do it, in their order, with words for each field."""
    one = given(data)
    framer = Framer(one.required)
    events = framer.feed(one.data) + framer.finish()
    told = explain_all(one.data, one.required)
    assert [found.text for found in told] == [event.text for event in events]
    for found, event in zip(told, events, strict=True):
        taken = isinstance(event, Sentence) and not isinstance(decode(event), Malformed)
        assert found.accepted == taken
        assert taken or found.why
        assert all(field.name and finite(field.told.value) for field in found.fields)


def in_pieces(data: bytes) -> None:
    """As a recording: its pieces make up its bytes, its time never goes back, and whenever it was can be shown."""
    one = given(data)
    found = _recording(one.data)
    try:
        pieces = [*found.pieces()]
    except InputError:  # what begins like gzip and is none
        return
    assert b"".join(piece.data for piece in pieces) == one.data or one.data[:2] == b"\x1f\x8b"
    at_s = [piece.at_s for piece in pieces]
    assert at_s == sorted(at_s)
    assert all(map(math.isfinite, at_s))
    clock, before_s = SessionClock(), 0.0
    for epoch in EpochReader(_recording(one.data), one.required).epochs():
        assert before_s <= epoch.at_s
        before_s = epoch.at_s
        unix_ms = clock.unix_ms(epoch)
        assert unix_ms is None or iso(unix_ms, clock.dates)


def _recording(data: bytes) -> Recording:
    return recording_of(io.BytesIO(data), Path("made"), len(data))


KINDS = tuple(kind for kind in SourceKind if kind not in {SourceKind.HELD, SourceKind.NOTHING})


def rebuilding(data: bytes) -> None:
    """What is written anew is read back as sound sentences; of a recording nothing looks like a live fix."""
    one = given(data)
    kind = KINDS[len(one.data) % len(KINDS)]
    writer = RebuiltWriter(FeedPlan((), types=TYPES), Origin(kind, require_checksum=one.required))
    raw = RawWriter(FeedPlan(()), require_checksum=one.required)
    written: list[bytes] = []
    at_s = 0.0
    for begin, end in itertools.pairwise([0, *one.cuts, len(one.data)]):
        at_s += 0.3
        written += writer.take(one.data[begin:end], at_s) + writer.tick(at_s + 0.29)
        for passed in raw.take(one.data[begin:end], at_s):
            assert passed.strip() in one.data
    written += writer.tick(at_s + 10.0)
    model = FixModel()
    for fix in model.feed(b"".join(written), 0.0) + model.finish():
        check_fix(fix)
        assert not (kind.is_recorded and fix.is_satellite_fix), fix
    counts = model.snapshot().counts
    assert not counts.rejected, written
    assert counts.verified == len(written)


# Sound inputs


def _receiver() -> bytes:
    """Everything that fixboard reads, over midnight of a year's end."""
    made = []
    for second, day in ((86_398, "311226"), (86_399, "311226"), (0, "010127"), (1, "010127")):
        made += [rmc(second, day), gga(second), gll(second), gst(second), vtg(), gsa(5, 6, system="1")]
        made += [gsv(1, 2, 1, 2, 3, 4, signal="1"), gsv(2, 2, 5, signal="1"), zda(second, "31,12,2026")]
        made += ["HEHDT,90.0,T", "HCHDG,90.0,1.0,E,2.0,W", "GNDTM,W84,,0,N,0,E,0,W84", "GNTXT,01,01,02,hello"]
        made += [f"GNGBS,{second // 3600:02d}5959.00,1.0,2.0,3.0,05,,,", "GNGNS,,,,,,NN,00,,,,,,V"]
    return lines(*made)


def _files() -> Iterator[bytes]:
    """Pieces of the bundled replays, of the made recordings, and of real ones where they are."""
    for path in sorted(REPLAYS.glob("*.nmea.gz")):
        data = gzip.decompress(path.read_bytes())
        yield from (data[at : at + 2000] for at in (0, len(data) // 2, len(data) - 2000))
    for folder in (DATA / "synthetic", FOLDER):
        for path in sorted([*folder.glob("*.nmea"), *folder.glob("*.bin"), *folder.glob("*.txt")]):
            data = path.read_bytes()
            yield from (data[at : at + 2000] for at in (0, max(0, len(data) // 2)))


def streams() -> Iterator[bytes]:
    """Whole streams, with knobs before them."""
    sound = (_receiver(), STAMPED + line(rmc(1)), tag_block(1_700_000_000_000) + line(gga(1)), *_files())
    for number, data in enumerate(sound):
        yield bytes([(number % 2) | 4 * (number * 7 % 64)]) + data


def bodies() -> Iterator[bytes]:
    """Bodies of single sentences, extreme ones among them."""
    for one in _receiver().splitlines():
        fields = one[1:-3].split(b",")
        yield b",".join(fields)
        for at in range(1, min(len(fields), 10)):
            extreme = (*EXTREMES, *TIMES)[len(one) * at % (len(EXTREMES) + len(TIMES))]
            yield b",".join([*fields[:at], extreme, *fields[at + 1 :]])


_Run = Callable[[bytes], None]
_OF_STREAMS: dict[str, _Run] = {
    "framing": framing,
    "epochs": epochs,
    "model": whole_model,
    "stamps": stamps,
    "explain": explaining,
    "pieces": in_pieces,
    "rebuilt": rebuilding,
}
TARGETS = {
    "decode": Target(decoding, bodies),
    **{name: Target(run, streams) for name, run in _OF_STREAMS.items()},
}

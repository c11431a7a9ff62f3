"""Properties of whatever comes, over examples that hypothesis makes: numbers in range, cuts that change nothing."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.digest import Digest
from core.fix import Fix
from core.model import FixModel
from core.nmea.decode import Malformed, decode
from core.nmea.framing import Framer, Sentence
from core.nmea.stamps import line_stamp_ms, split_tag
from core.nmea.tagging import Tagger, tag_block
from core.now import now_json
from tests.build import gga, line, lines, rmc, zda
from tests.faults.damage import DATES, EXTREMES, TIMES, checksum, checksummed
from tests.faults.fuzz_sentences_checks import check_counts, check_cuts, check_drawn, check_fix, finite
from tests.faults.fuzz_sentences_targets import TARGETS, furnished, rebuilding

TYPES = ("RMC", "GGA", "GNS", "GLL", "ZDA", "GST", "GBS", "VTG", "GSA", "GSV", "HDT", "THS", "HDG", "DTM", "TXT")
PLAIN = st.one_of(
    st.sampled_from([*EXTREMES, *TIMES, *DATES]),
    st.floats().map(lambda value: repr(value).encode()),
    st.integers().map(lambda value: str(value).encode()),
    st.decimals(-400, 400, places=4).map(lambda value: str(value).encode()),
    st.binary(max_size=12),
    st.text(st.characters(categories=["Nd", "No", "Nl"]), max_size=6).map(str.encode),
)
FIELD = PLAIN.map(lambda field: bytes(one for one in field if one not in b"\r\n$*,\x00"))
BODY = st.builds(
    lambda talker, name, fields: b",".join([talker + name.encode(), *fields]),
    st.sampled_from([b"GP", b"GN", b"GL", b"GA", b"GB", b"PQ", b"HE", b"XX"]),
    st.sampled_from(TYPES),
    st.lists(FIELD, max_size=24),
)
NEARLY = st.builds(
    lambda body, at, field: b",".join([*body.split(b",")[: at + 1], field, *body.split(b",")[at + 2 :]]),
    st.sampled_from([one.encode() for one in (rmc(1), gga(2), zda(3), rmc(86_400), gga(86_399.99), zda(0))]),
    st.integers(0, 16),
    FIELD,
)
STREAM = st.lists(st.one_of(NEARLY, NEARLY, BODY), max_size=40).map(lambda bodies: b"".join(map(checksummed, bodies)))


@given(st.one_of(BODY, NEARLY))
def test_what_a_sentence_says_is_finite_whatever_stands_in_its_fields(body: bytes) -> None:
    for event in Framer().feed(checksummed(body)):
        reading = decode(event) if isinstance(event, Sentence) else None
        assert finite(tuple(reading or ()))
        assert isinstance(reading, Malformed) is (type(reading) is Malformed)


@given(STREAM, st.booleans())
def test_every_fix_is_in_range_and_everything_can_be_drawn_at_any_time(data: bytes, required: bool) -> None:
    digest = Digest()
    model = furnished(digest, required)
    finished: list[Fix] = []
    for at in range(0, len(data), 300):
        finished += model.feed(data[at : at + 300], at / 300)
        check_counts(model.snapshot(), len(finished))
    finished += model.finish()
    for fix in finished:
        check_fix(fix)
    check_counts(model.snapshot(), len(finished))
    check_drawn(model, digest)


@given(STREAM, st.data())
def test_extreme_streams_give_the_same_fixes_wherever_they_are_cut(data: bytes, dice: st.DataObject) -> None:
    cuts = dice.draw(st.lists(st.integers(0, len(data)), max_size=12).map(sorted))
    check_cuts(data, cuts)


@given(STREAM, st.integers(0, 255))
def test_what_is_rebuilt_of_extreme_streams_is_sound(data: bytes, knobs: int) -> None:
    rebuilding(bytes([knobs & ~1]) + data)


@pytest.mark.parametrize("name", [name for name in TARGETS if name not in {"decode", "model"}])
@given(data=st.binary(max_size=600))
def test_no_bytes_break_a_target(name: str, data: bytes) -> None:
    TARGETS[name].run(data)


@given(st.lists(st.sampled_from([*TIMES]), min_size=1, max_size=20))
def test_no_order_of_impossible_times_is_taken_for_a_time_of_day(times: list[bytes]) -> None:
    bodies = [b"GNGGA," + one + b",1030.0,N,02015.0,W,1,08,1.1,1.0,M,1.0,M,," for one in times]
    model = FixModel()
    fixes = model.feed(b"".join(map(checksummed, bodies)), 0.0) + model.finish()
    for fix in fixes:
        check_fix(fix)
    told = {one.partition(b".")[0][:6] for one in times} - {b""}
    clocks = {fix.utc.clock().replace(":", "").encode() for fix in fixes if fix.utc}
    assert clocks <= told
    assert not clocks & {b"235961", b"236000", b"240000", b"999999", b"995999", b"125960", b"000060"}


@pytest.mark.parametrize("text", [one for one in DATES if one])
def test_a_date_is_one_of_the_calendar_or_none(text: bytes) -> None:
    model = FixModel()
    fixes = model.feed(line(rmc(1, text.decode())), 0.0) + model.finish()
    for fix in fixes:
        check_fix(fix)
        assert fix.utc is not None
        assert fix.utc.day is None or fix.utc.day.strftime("%d%m%y").encode() == text


@given(st.binary(max_size=80), st.integers(0, 10**16), st.text(max_size=20))
def test_a_stamp_is_a_whole_number_or_none(junk: bytes, number: int, source: str) -> None:
    body = f"s:{source},c:{number}".encode().replace(b"\\", b"").replace(b"*", b"")
    tag = split_tag(junk + b"\\%s*%02X\\" % (body, checksum(body)))
    assert tag is None or tag.unix_ms is None or 0 <= tag.unix_ms <= 253_402_300_799_999
    stamp_ms = line_stamp_ms(junk)
    assert stamp_ms is None or type(stamp_ms) is int


@given(st.datetimes().map(str), st.sampled_from(["", "Z", "+23:59", "-23:59", "+00:00", "-12:00", "+14:00"]))
def test_any_time_of_the_calendar_before_a_sentence_can_be_shown(moment: str, zone: str) -> None:
    """The ends of the calendar too, with a zone that moves them beyond it."""
    model = furnished()
    model.feed((moment + zone + " ").encode() + line(rmc(1)), 0.0)
    json.dumps(now_json(model.snapshot(), 1.0, "made"), allow_nan=False)
    check_drawn(model)
    TARGETS["explain"].run(b"\x00" + (moment + zone + " ").encode() + line(rmc(1)))


@given(
    st.lists(st.sampled_from([lines(rmc(1)), b"$", b"!", b"$GN", b"$GNRMC", b"\r", b"x$GNRMC,1", b"!AI"]), max_size=12)
)
def test_tagging_adds_blocks_and_nothing_else(pieces: list[bytes]) -> None:
    tagger = Tagger()
    out = b"".join([tagger.feed(piece, 1_700_000_000_000) for piece in pieces]) + tagger.finish()
    assert out.replace(tag_block(1_700_000_000_000), b"") == b"".join(pieces)

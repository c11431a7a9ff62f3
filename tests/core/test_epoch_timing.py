"""Timing and pieces play no part in what an epoch is; they decide only when it is shown."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from core.fix import Fix, FixMode
from core.model import FixModel
from tests.build import gga, gll, gsa, gst, gsv, line, lines, rmc, vtg, zda
from tests.played import NOON, cycle

_AT = st.integers(0, 4).map(lambda second: NOON + second)
_BODIES = st.one_of(
    st.builds(rmc, _AT, status=st.sampled_from("AV")),
    st.builds(rmc, st.none(), st.just(""), status=st.just("V"), more=st.just("N")),
    st.builds(gga, st.one_of(_AT, st.none()), st.sampled_from(["0", "1", "2", "6", ""])),
    st.builds(gll, _AT),
    st.builds(gst, _AT),
    st.builds(zda, _AT),
    st.builds(gsa, st.integers(1, 40), system=st.sampled_from(["", "1", "3"])),
    st.builds(gsv, st.integers(1, 2), st.just(2), st.integers(1, 9), signal=st.sampled_from(["", "1"])),
    st.builds(vtg, st.sampled_from([1.0, 2.0])),
    st.sampled_from(["HEHDT,100.0,T", "GPDTM,W84", "GNTXT,01,01,02,hello", "GNRMC,1", "PABC,1"]),
)
_STREAMS = st.lists(_BODIES, max_size=40).map(lambda bodies: lines(*bodies))


@given(_STREAMS, st.lists(st.tuples(st.integers(0, 4000), st.booleans()), max_size=30))
def test_the_fixes_are_the_same_however_cut_and_whenever_looked_at(data: bytes, cuts: list[tuple[int, bool]]) -> None:
    whole, model = FixModel(), FixModel()
    expected = whole.feed(data, 0.0) + whole.finish()
    found: list[Fix] = []
    edges = [(0, False), *sorted((cut % (len(data) + 1), look) for cut, look in cuts), (len(data), True)]
    for (start, _), (end, look) in pairwise(edges):
        found += model.feed(data[start:end], 0.0)
        if look:
            model.snapshot()
            assert model.epoch_complete in {True, False}
    found += model.finish()
    assert found == expected
    assert model.snapshot() == whole.snapshot()


@given(_STREAMS)
def test_each_epoch_is_counted_once_and_shown_before_it_is_finished(data: bytes) -> None:
    model, finished = FixModel(), []
    for start in range(0, len(data), 50):
        finished += model.feed(data[start : start + 50], 0.0)
        counts = model.snapshot().counts
        assert counts.epochs - len(finished) in {0, 1, 2}
        assert counts.epochs_with_fix >= sum(fix.is_satellite_fix for fix in finished)
    finished += model.finish()
    assert model.snapshot().counts.epochs == len(finished)
    assert model.snapshot().counts.epochs_with_fix == sum(fix.is_satellite_fix for fix in finished)


@given(_STREAMS)
def test_a_fix_has_no_place_without_a_mode_and_no_motion_without_a_place(data: bytes) -> None:
    model = FixModel()
    for fix in model.feed(data, 0.0) + model.finish():
        assert (fix.position is None) == (fix.mode is FixMode.NONE)
        if fix.position is None:
            assert (fix.speed_mps, fix.course_deg, fix.altitude_m, fix.hdop) == (None, None, None, None)


# When to show


def shown(model: FixModel, bodies: list[str]) -> list[bool]:
    complete = []
    for body in bodies:
        model.feed(line(body), 0.0)
        complete.append(model.epoch_complete)
        model.snapshot()
    return complete


def test_the_end_of_a_cycle_is_learned() -> None:
    model = FixModel()
    for second in range(3):
        shown(model, cycle(second, "RMC GGA GSA GSV"))
    for second in range(3, 6):
        assert shown(model, cycle(second, "RMC GGA GSA GSV")) == [False, False, False, False, True]


def test_a_cycle_that_begins_with_what_has_no_time_is_learned_too() -> None:
    model = FixModel()
    for second in range(3):
        shown(model, cycle(second, "GSV GSA RMC GGA"))
    assert shown(model, cycle(3, "GSV GSA RMC GGA")) == [False, False, False, False, True]


def test_a_sky_every_fifth_second_is_shown_when_it_comes_and_the_others_do_not_wait_for_it() -> None:
    model = FixModel()
    for second in range(10):
        shown(model, cycle(second, "RMC GGA GSV" if second % 5 == 0 else "RMC GGA"))
    assert shown(model, cycle(10, "RMC GGA GSV")) == [False, True, False, True]
    assert shown(model, cycle(11, "RMC GGA")) == [False, True]


def test_a_partial_epoch_is_shown_and_then_amended() -> None:
    model = FixModel()
    model.feed(lines(*cycle(0, "RMC GGA GST"), rmc(NOON + 1)), 0.0)
    first = model.snapshot()
    assert first.fix.utc is not None
    assert (first.fix.utc.clock(), first.fix.altitude_m, first.counts.epochs) == ("12:00:01", None, 2)
    model.feed(line(gga(NOON + 1, altitude="1.0")), 0.0)
    second = model.snapshot()
    assert (second.fix.altitude_m, second.counts.epochs) == (1.0, 2)
    assert first.fix.altitude_m is None


def test_a_late_sentence_is_reason_to_show_the_epoch_before_once_more() -> None:
    model = FixModel()
    model.feed(lines(rmc(NOON), gga(NOON), rmc(NOON + 1)), 0.0)
    assert not model.epoch_complete
    model.feed(line(gst(NOON)), 0.0)
    assert model.epoch_complete
    before = model.snapshot()
    assert before.counts.epochs == 2
    assert before.values.noise is not None
    assert not model.epoch_complete

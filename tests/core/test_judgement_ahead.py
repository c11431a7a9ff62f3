"""Looking ahead leaves no trace in the verdict: whoever looks, however the bytes are cut, it is the same."""

from __future__ import annotations

from datetime import date
from itertools import accumulate, pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.accuracy import ErrorModel
from core.fix import Fix, FixMode
from core.judgement import Judgement
from core.model import Finished, FixModel
from core.trust import Verdict
from tests.build import clock, gga, gst, gsv, lines, rmc
from tests.evidence import fix, good, sky, utc
from tests.played import NOON

NO_FIX, DOUBTFUL, USABLE, FIRM = Verdict


FIXES = st.builds(
    fix,
    north_m=st.sampled_from([0.0, 1.0, 900.0]),
    hdop=st.sampled_from([None, 0.9, 2.2, 3.9, 4.2]),
    stated_in_fix=st.sampled_from([None, 3, 5, 9]),
    speed_mps=st.sampled_from([None, 0.0, 20.0]),
    mode=st.sampled_from([FixMode.AUTONOMOUS, FixMode.RTK_FIXED, FixMode.ESTIMATED]),
    heard=st.sampled_from([None, sky(44, 43, 42, 41, 40), sky(30, 29, 28, 27, 26)]),
    utc=st.sampled_from([None, utc(0), utc(30), utc(-30), utc(3, date(1980, 1, 6))]),
) | st.just(Fix())
MOMENTS = st.lists(st.tuples(FIXES, st.sampled_from([0.0, 0.1, 1.0, 5.0, 70.0])), max_size=20)
"""Fixes, and how long after the one before they arrive."""


def timed(moments: list[tuple[Fix, float]]) -> list[tuple[Fix, float]]:
    at_s, found = 0.0, []
    for one, step_s in moments:
        at_s += step_s
        found.append((one, at_s))
    return found


@given(MOMENTS, st.lists(st.tuples(st.integers(0, 19), MOMENTS), max_size=6))
def test_looking_ahead_leaves_no_trace(
    moments: list[tuple[Fix, float]], looks: list[tuple[int, list[tuple[Fix, float]]]]
) -> None:
    plain, curious = Judgement(ErrorModel()), Judgement(ErrorModel())
    for number, (one, at_s) in enumerate(timed(moments)):
        for where, ahead in looks:
            if where == number:
                curious.look_ahead([(other, at_s + step_s) for other, step_s in ahead])
        assert plain.take(one, at_s) == curious.take(one, at_s)


@pytest.mark.parametrize("every_s", [0.1, 1.0, 4.0, 10.0])
@pytest.mark.parametrize("ahead", [good(0), Fix(), good(0, dimensions=2)])
def test_a_rise_comes_as_soon_whether_somebody_looks_or_not(every_s: float, ahead: Fix) -> None:
    plain, curious = Judgement(ErrorModel()), Judgement(ErrorModel())
    for number in range(120):
        one, at_s = good(number), number * every_s
        assert curious.take(one, at_s) == plain.take(one, at_s)
        curious.look_ahead([(ahead, at_s + every_s)])


@given(MOMENTS.filter(bool), st.integers(0, 19))
def test_looking_ahead_sees_what_will_be_said(moments: list[tuple[Fix, float]], taken: int) -> None:
    judgement, other = Judgement(ErrorModel()), Judgement(ErrorModel())
    all_of_them = timed(moments)
    taken = min(taken, len(moments) - 1)
    for one, at_s in all_of_them[:taken]:
        judgement.take(one, at_s)
    said = [other.take(one, at_s) for one, at_s in all_of_them]
    assert judgement.look_ahead(all_of_them[taken:]) == said[-1]
    assert judgement.look_ahead([]) is None


SECONDS = 40
LOST = range(20, 26)


def moving(second: int) -> list[str]:
    """5 knots to the north: 0.0014 minutes of latitude a second; a jump of three minutes after the loss."""
    minutes = 30 + 0.0014 * second + (3 if second >= 32 else 0)
    where = f"10{minutes:07.4f},N,02015.0000,W"
    count, hdop = (5, 2.6) if second >= LOST.stop else (9, 0.9)
    bodies = [
        f"GNRMC,{clock(NOON + second)},A,{where},5.0,0.0,040531,,,A",
        f"GNGGA,{clock(NOON + second)},{where},1,{count:02d},{hdop},12.5,M,30.0,M,,",
        gsv(1, 2, 1, 2, 3, 4, cno=40),
        gsv(2, 2, 5, 6, 7, 8, cno=42),
    ]
    return bodies if second % 5 else [*bodies, gst(NOON + second)]


def void(second: int) -> list[str]:
    return [rmc(NOON + second, status="V", more="N"), gga(NOON + second, "0"), gsv(1, 1, 1, 2, cno=30)]


def stream() -> list[tuple[float, bytes]]:
    """One piece a second: a fix that comes and gets firm, is lost, comes back weaker, and jumps."""
    return [(float(n), lines(*(void(n) if n in LOST else moving(n)))) for n in range(SECONDS)]


def told(pieces: list[tuple[float, bytes]], look_after: frozenset[int] = frozenset()) -> list[tuple[Verdict, Any]]:
    """The verdict and reasons of every finished epoch; snapshots after the pieces of these numbers."""
    found: list[Finished] = []
    model = FixModel(True, found.append, Judgement(ErrorModel()))
    for number, (at_s, data) in enumerate(pieces):
        model.feed(data, at_s)
        if number in look_after:
            model.snapshot()
    model.finish()
    return [(one.trust.verdict, one.trust.reasons) for one in found]


def cut_up(sizes: list[int]) -> list[tuple[float, bytes]]:
    """Each second's bytes cut into pieces of these sizes and the rest."""
    cut: list[tuple[float, bytes]] = []
    for at_s, data in stream():
        edges = [0, *accumulate(sizes), len(data)]
        cut += [(at_s, data[start:end]) for start, end in pairwise(edges)]
    return cut


EXPECTED = told(stream())


def test_the_stream_has_every_verdict() -> None:
    assert {verdict for verdict, _ in EXPECTED} == {NO_FIX, DOUBTFUL, FIRM}
    assert any("the position jumped" in reasons for _, reasons in EXPECTED)


@settings(max_examples=15)
@given(st.lists(st.integers(1, 150), max_size=8), st.sets(st.integers(0, 300), max_size=60))
def test_how_the_bytes_are_cut_and_who_looks_makes_no_difference(sizes: list[int], looks: set[int]) -> None:
    assert told(cut_up(sizes), frozenset(looks)) == EXPECTED


@pytest.mark.parametrize("size", [1, 13, 1000, 1_000_000])
def test_read_without_any_time_it_is_the_same(size: int) -> None:
    data = b"".join(piece for _, piece in stream())
    assert told([(0.0, data[n : n + size]) for n in range(0, len(data), size)]) == EXPECTED


def test_snapshots_show_the_verdict_of_the_newest_epoch_finished_or_not() -> None:
    model = FixModel(judgement=Judgement(ErrorModel()))
    model.feed(lines(rmc(NOON), gga(NOON)), 0.0)
    assert model.snapshot().trust.verdict is DOUBTFUL
    model.feed(lines(rmc(NOON + 1, status="V", more="N"), gga(NOON + 1, "0")), 1.0)
    assert model.snapshot().trust.verdict is NO_FIX

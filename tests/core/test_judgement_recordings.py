"""The verdict on real recordings: steady, and as a practitioner would expect."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import groupby, pairwise
from typing import NamedTuple

import pytest

from core.accuracy import ErrorModel
from core.fix import Fix, FixMode
from core.judgement import Judgement
from core.model import FixModel
from core.trust import BETTER_AFTER_S, Trust, Verdict
from tests.recordings import FOLDER, needs_recordings

NO_FIX, DOUBTFUL, USABLE, FIRM = Verdict
WAIT = round(BETTER_AFTER_S)


CHANGES_IN_A_MINUTE = 8
"""The word gets better at most every eight seconds: 7 times in a minute, and falls as often or, through more steps, a
little oftener; a fix that comes and goes adds to it. Measured: 6 at most, in the first minutes of a phone's walk."""
CHANGES_PER_EPOCH = 1 / 25
"""On average: a person must be able to read the word and its reason. Measured: one in 65 (a drive through a town)."""
LONG = (
    "car-2005-void-with-old-position-then-fix.nmea",
    "drive-2012-space-padded-dead-reckoning.nmea",
    "phone-2022-walk-cold-start.nmea",
    "roof-2017-cold-starts-host-prefix.nmea",
    "rtk-2024-static-under-cover.nmea",
    "rtk-2024-walking-float.nmea",
    "ship-2014-no-checksums-time-prefix.nmea",
    "walk-2022-long-cold-start-damaged-lines.nmea",
    "walk-2022-sparse-gga-lf.nmea",
    "weak-signal-2017-never-fixes.nmea",
)


class Told(NamedTuple):
    """One epoch of a recording."""

    fix: Fix
    trust: Trust

    @property
    def at_s(self) -> float:
        return self.trust.evidence.at_s if self.trust.evidence else 0.0


@cache
def history(name: str) -> list[Told]:
    found: list[Told] = []
    model = FixModel(
        name != "ship-2014-no-checksums-time-prefix.nmea",
        lambda finished: found.append(Told(finished.fix, finished.trust)),
        Judgement(ErrorModel()),
    )
    model.feed((FOLDER / name).read_bytes(), 0.0)
    model.finish()
    return found


def words(name: str) -> Counter[Verdict]:
    return Counter(one.trust.verdict for one in history(name))


@needs_recordings
@pytest.mark.parametrize("name", LONG)
def test_no_position_is_no_fix_and_a_position_never_is(name: str) -> None:
    assert all((one.fix.position is None) == (one.trust.verdict is NO_FIX) for one in history(name))


@needs_recordings
@pytest.mark.parametrize("name", LONG)
def test_less_than_firm_always_says_why(name: str) -> None:
    for one in history(name):
        assert bool(one.trust.reasons) == (one.trust.verdict < FIRM)


@needs_recordings
@pytest.mark.parametrize("name", LONG)
def test_the_word_does_not_flicker(name: str) -> None:
    changes = [b.at_s for a, b in pairwise(history(name)) if a.trust.verdict is not b.trust.verdict]
    assert len(changes) <= max(2, CHANGES_PER_EPOCH * len(history(name)))
    assert max((sum(t <= other < t + 60 for other in changes) for t in changes), default=0) <= CHANGES_IN_A_MINUTE


@needs_recordings
@pytest.mark.parametrize("name", LONG)
def test_the_word_rises_by_a_lasting_reason_only(name: str) -> None:
    rises = [b.at_s for a, b in pairwise(history(name)) if NO_FIX < a.trust.verdict < b.trust.verdict]
    assert all(later - earlier >= BETTER_AFTER_S for earlier, later in pairwise(rises))


@needs_recordings
def test_the_file_that_never_fixes_is_no_fix_throughout_and_says_what_is_heard() -> None:
    told_of = history("weak-signal-2017-never-fixes.nmea")
    assert {one.trust.verdict for one in told_of} == {NO_FIX}
    heard = Counter(one.trust.reasons[0] for one in told_of)
    assert heard["3 satellites heard, 0 strongly"] > 100
    assert heard["no satellite is heard"] > 100
    assert not [reason for reason in heard if "cold start" in reason]
    assert {one.trust.advice for one in told_of} == {
        "go where more of the sky is open",
        "check the antenna and its view of the sky",
    }


@needs_recordings
def test_void_with_an_old_position_is_no_fix_while_void() -> None:
    told_of = history("car-2005-void-with-old-position-then-fix.nmea")
    runs = [(verdict, len(list(run))) for verdict, run in groupby(one.trust.verdict for one in told_of)]
    assert [length for verdict, length in runs if verdict is NO_FIX] == [45, 30]
    assert words("car-2005-void-with-old-position-then-fix.nmea")[FIRM] == 0
    # One GSV page a second, put together: a practitioner reads three or four satellites, not one.
    assert {one.trust.evidence.heard for one in told_of[10:40] if one.trust.evidence} <= {3, 4, 5}


@needs_recordings
@pytest.mark.parametrize("name", ["weak-signal-2017-never-fixes.nmea", "roof-2017-cold-starts-host-prefix.nmea"])
def test_dates_of_1980_are_named_as_impossible_and_others_are_not(name: str) -> None:
    for one in history(name):
        day = one.fix.utc.day if one.fix.utc else None
        said = [reason for reason in one.trust.reasons if "cannot be right" in reason]
        expected = [f"the date {day.isoformat()} cannot be right"] if day and day.year == 1980 else []
        assert said == expected


@needs_recordings
@pytest.mark.parametrize(
    "name",
    [
        "roof-2017-cold-starts-host-prefix.nmea",
        "phone-2022-walk-cold-start.nmea",
        "walk-2022-long-cold-start-damaged-lines.nmea",
    ],
)
def test_a_cold_start_is_no_fix_then_doubtful_then_better(name: str) -> None:
    order = list(dict.fromkeys(one.trust.verdict for one in history(name)))
    assert order[:3] == [NO_FIX, DOUBTFUL, USABLE]


@needs_recordings
def test_a_receiver_that_is_switched_off_and_on_is_said_to_have_gone_back_in_time() -> None:
    for name in ("weak-signal-2017-never-fixes.nmea", "roof-2017-cold-starts-host-prefix.nmea"):
        assert sum("the receiver's time went back" in one.trust.reasons for one in history(name)) == 10


@needs_recordings
def test_dead_reckoning_is_doubtful_at_most_and_says_so_first() -> None:
    guessed = [
        one for one in history("drive-2012-space-padded-dead-reckoning.nmea") if one.fix.mode is FixMode.ESTIMATED
    ]
    assert len(guessed) == 28
    assert {one.trust.verdict for one in guessed} == {DOUBTFUL}
    assert {one.trust.reasons[0] for one in guessed} == {"dead reckoning: no satellites in the fix"}
    assert {one.trust.error.horizontal_m for one in guessed} == {None}


@needs_recordings
def test_rtk_that_comes_and_goes_is_firm_most_of_the_time() -> None:
    found = words("rtk-2024-static-under-cover.nmea")
    assert found[FIRM] > 0.85 * found.total()
    last = history("rtk-2024-static-under-cover.nmea")[-12:]
    assert not [one for one in last if one.trust.verdict is FIRM]  # thick cover: five satellites, one, none
    assert words("rtk-2024-walking-float.nmea")[FIRM] > 60


@needs_recordings
def test_positions_that_go_on_with_no_satellite_are_doubtful() -> None:
    """Receivers repeat the last one, still called valid; seen under cover and in a town."""
    for name in ("rtk-2024-static-under-cover.nmea", "car-2005-void-with-old-position-then-fix.nmea"):
        without = [one for one in history(name) if one.fix.position and one.fix.satellites_in_fix == 0]
        assert without
        assert {one.trust.verdict for one in without} == {DOUBTFUL}


@needs_recordings
def test_bare_positions_are_usable_at_best() -> None:
    """GLL and ZDA alone: nothing is told of their quality."""
    found = history("ship-2014-no-checksums-time-prefix.nmea")
    assert {one.trust.verdict for one in found[WAIT:]} == {USABLE}
    assert {one.trust.reasons for one in found[WAIT:]} == {("the receiver tells nothing of its quality",)}


@needs_recordings
def test_a_pause_in_a_recording_is_no_jump() -> None:
    """Two minutes are missing at 11:27:18 of a walk, and the walker went on."""
    jumped = [one for one in history("phone-2022-walk-cold-start.nmea") if "the position jumped" in one.trust.reasons]
    assert jumped == []


@needs_recordings
def test_the_error_is_that_of_the_receivers_and_their_modes() -> None:
    """Phone with corrections metres, RTK float decimetres, fixed centimetres."""
    phone = [
        one.trust.error.horizontal_m for one in history("phone-2022-walk-cold-start.nmea") if one.trust.verdict is FIRM
    ]
    assert all(error is not None and 0.5 < error < 10.0 for error in phone)
    static = history("rtk-2024-static-under-cover.nmea")
    fixed = [one.trust.error.horizontal_m for one in static if one.fix.mode is FixMode.RTK_FIXED]
    assert all(error is not None and error < 0.2 for error in fixed)

"""The sky across epochs: pages, groups, signals, and when they are gone."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from core.fix import Satellite
from core.model import FixModel
from tests.build import gsa, gsv, rmc
from tests.played import NOON, play, sparse


def sky(model: FixModel) -> dict[str, int | None]:
    aged = model.snapshot().sky
    assert aged is not None
    return {one.name: one.cno_dbhz for one in aged.value}


def test_the_sky_is_put_together_from_pages_seconds_apart() -> None:
    """A receiver that sends one page a second: the sky is complete every third second, and never half old, half new."""
    model, seen = FixModel(), []
    for second in range(9):
        page, turn = second % 3 + 1, second // 3
        first = 4 * page - 3
        play(model, [rmc(NOON + second), gsv(page, 3, *range(first, first + 4), cno=30 + turn)], float(second))
        aged = model.snapshot().sky
        seen.append({one.cno_dbhz for one in aged.value} if aged else None)
    assert seen == [None, None, {30}, {30}, {30}, {31}, {31}, {31}, {32}]
    aged = model.snapshot().sky
    assert aged is not None
    assert len(aged.value) == 12
    assert (aged.at_s, aged.period_s) == (8.0, 3.0)


def full_set(second: int, pages: Iterable[int] = (1, 2, 3)) -> list[str]:
    return [gsv(page, 3, 2 * page - 1, 2 * page, cno=10 + second) for page in pages]


@pytest.mark.parametrize("lost", [{1}, {2}, {3}, {1, 2}, {1, 3}, {2, 3}, {1, 2, 3}])
def test_after_lost_pages_the_next_set_is_whole_again(lost: set[int]) -> None:
    """Also what happens when the stream is joined in the middle of a set."""
    model = FixModel()
    for second in range(8):
        pages = {1, 2, 3} - (lost if second in {0, 4} else set())
        play(model, [rmc(NOON + second), *full_set(second, sorted(pages))], float(second))
        if second not in {0, 4}:
            assert set(sky(model).values()) == {10 + second}
        if second > 0:
            assert len(sky(model)) == 6  # lost is not gone


def test_a_set_that_grows_or_shrinks_is_replaced_as_a_whole() -> None:
    model = FixModel()
    play(model, [rmc(NOON), *full_set(0)], 0.0)
    play(model, [rmc(NOON + 1), gsv(1, 2, 1, 2, 3, 4), gsv(2, 2, 5)], 1.0)
    assert sorted(sky(model)) == ["G01", "G02", "G03", "G04", "G05"]
    play(model, [rmc(NOON + 2), gsv(1, 1, 9)], 2.0)
    assert sorted(sky(model)) == ["G09"]


def test_a_group_of_none_clears() -> None:
    model = FixModel()
    play(model, [rmc(NOON), gsv(1, 1, 5), gsv(1, 1, 70, talker="GL")], 0.0)
    play(model, [rmc(NOON + 1), "GPGSV,1,1,00", gsv(1, 1, 70, talker="GL")], 1.0)
    assert sky(model) == {"R06": 40}
    assert model.in_view is None  # as of the newest finished epoch, and there is none yet
    play(model, [rmc(NOON + 2)], 2.0)
    assert model.in_view == 2
    model.finish()
    assert model.in_view == 1


def test_a_sky_known_to_be_empty_is_not_an_unknown_one() -> None:
    model = FixModel()
    play(model, [rmc(NOON), "GPGSV,1,1,00"], 0.0)
    aged = model.snapshot().sky
    assert aged is not None
    assert aged.value == ()


def test_two_signals_of_one_satellite_are_merged_to_the_stronger() -> None:
    model = FixModel()
    first = "GPGSV,1,1,02,05,,,30,06,50,100,40,1"
    play(model, [rmc(NOON), first, "GPGSV,1,1,02,05,45,090,20,06,,,44,8"], 0.0)
    aged = model.snapshot().sky
    assert aged is not None
    assert aged.value == (Satellite("G06", 50, 100, 44, False), Satellite("G05", 45, 90, 30, False))


def test_a_group_that_comes_no_more_expires() -> None:
    model = FixModel()
    play(model, [rmc(NOON), gsv(1, 1, 5), gsv(1, 1, 70, talker="GL")], 0.0)
    names = []
    for second in range(1, 14):
        play(model, [rmc(NOON + second), gsv(1, 1, 5)], float(second))
        names.append(sorted(sky(model)))
    assert names == [["G05", "R06"]] * 10 + [["G05"]] * 3


def test_in_view_counts_by_epochs_not_by_time() -> None:
    """A recording is read far faster than it was made."""
    model = FixModel()
    play(model, [rmc(NOON), gsv(1, 1, 5), gsv(1, 1, 70, talker="GL")], 0.0)
    counts = []
    for second in range(1, 16):
        play(model, [rmc(NOON + second), gsv(1, 1, 5)], 0.0)
        counts.append(model.in_view)
    assert (counts[1], counts[-1]) == (2, 1)


def test_those_in_the_fix_are_marked_and_the_unheard_added() -> None:
    model = FixModel()
    play(model, [rmc(NOON), gsa(5, 9, system="1"), gsv(1, 1, 5, 6)], 0.0)
    aged = model.snapshot().sky
    assert aged is not None
    assert [(one.name, one.in_fix, one.cno_dbhz) for one in aged.value] == [
        ("G05", True, 40),
        ("G06", False, 40),
        ("G09", True, None),
    ]


def test_those_in_the_fix_may_be_listed_less_often_than_epochs_come() -> None:
    model = FixModel()
    sparse(model, 8)
    aged = model.snapshot().sky
    assert aged is not None
    assert [(one.name, one.in_fix) for one in aged.value] == [("G05", True), ("G06", True)]
    play(model, [rmc(NOON + 8, status="V", more="N"), gsv(1, 1, 5, 6)], 108.0)
    assert not any(one.in_fix for one in (model.snapshot().sky or aged).value)


def test_the_strongest_come_first() -> None:
    model = FixModel()
    play(model, [rmc(NOON), "GPGSV,1,1,04,01,,,20,02,,,40,03,,,,04,,,40"], 0.0)
    assert list(sky(model)) == ["G02", "G04", "G01", "G03"]


def test_a_group_sent_seldom_stays_in_view_for_three_of_its_turns() -> None:
    model, counts = FixModel(), []
    for second in range(60):
        bodies = [rmc(NOON + second), gsv(1, 1, 5)]
        play(model, bodies + ([gsv(1, 1, 70, talker="GL")] if second % 6 == 0 and second <= 30 else []), float(second))
        counts.append(model.in_view)
    # Two epochs are open: what came with second 30 is known at 32, and is gone after another 18.
    assert counts[2:] == [2] * 49 + [1] * 9

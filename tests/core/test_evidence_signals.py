"""What the signals of earlier epochs say about one: strong, weak, alike, gone."""

from __future__ import annotations

import pytest

from core.evidence import (
    HOLD_S,
    MOST_PAGES,
    NO_PAST,
    STRONG_DBHZ,
    gather,
)
from core.fix import Fix
from core.nmea.readings import Gsv
from tests.evidence import MODEL, Epoch, fix, page, seen, sky

# Signals


def test_counts_of_one_sky() -> None:
    (found,) = seen([(0.0, fix(heard=sky(44, STRONG_DBHZ, STRONG_DBHZ - 1, 20, None)))])
    assert (found.heard, found.strong) == (4, 2)
    assert found.best_four_dbhz == pytest.approx((STRONG_DBHZ + STRONG_DBHZ - 1) / 2)


def test_the_best_four_is_a_median_so_that_one_does_not_make_it() -> None:
    assert seen([(0.0, fix(heard=sky(20, 50, 22, 24, 18, 10)))])[0].best_four_dbhz == 23.0
    assert seen([(0.0, fix(heard=sky(50, 50, 50)))])[0].best_four_dbhz is None


def test_a_satellite_on_two_signals_counts_once_with_the_stronger() -> None:
    pages = (*sky(30, 31, 32, 33, signal="1"), *sky(40, 41, 42, 43, signal="7"), *sky(20, system="E"))
    (found,) = seen([(0.0, fix(heard=pages))])
    assert (found.heard, found.best_four_dbhz) == (5, 41.5)


def test_no_sky_is_not_an_empty_sky() -> None:
    assert seen([(0.0, fix())])[0].heard is None
    assert seen([(0.0, fix(heard=sky(None, None)))])[0].heard == 0


@pytest.mark.parametrize("garbage", ["", ",,,", "01", "01,45,090", "x,y,z,w", "01,45,090,999", "01,45,090,-5", ",,,40"])
def test_damaged_groups_are_no_signals(garbage: str) -> None:
    (found,) = seen([(0.0, fix(heard=(Gsv(1, 1, "G", "", garbage),)))])
    assert (found.heard, found.best_four_dbhz) == (0, None)


def heard_and_best(*epochs: Epoch) -> list[tuple[int | None, float | None]]:
    return [(one.heard, one.best_four_dbhz) for one in seen(epochs)]


def test_a_sky_that_comes_a_page_a_second_is_put_together() -> None:
    pages = [page(1, 3, 44, 43, None, None), page(2, 3, 42, 20, 20, None), page(3, 3, 41)]
    found = heard_and_best(*((1.0 * n, fix(heard=(pages[n % 3],))) for n in range(9)))
    assert found == [(2, None), (5, 42.5), *[(6, 42.5)] * 7]


def test_pages_that_a_smaller_sky_has_no_more_are_forgotten() -> None:
    full = (page(1, 2, 44, 43, 42, 41), page(2, 2, 50, 50, 50, 50))
    assert heard_and_best((0.0, fix(heard=full)), (1.0, fix(heard=sky(30, 30, 30, 30))))[-1] == (4, 30.0)
    assert heard_and_best((0.0, fix(heard=full)), (1.0, fix(heard=sky())))[-1] == (0, None)


def test_a_system_that_is_not_sent_any_more_grows_old() -> None:
    both = (*sky(44, 43), *sky(42, 41, system="R"))
    epochs = [(0.0, fix(heard=both)), *((1.0 * n, fix(heard=sky(44, 43))) for n in range(1, 15))]
    assert [heard for heard, _ in heard_and_best(*epochs)] == [4] * 13 + [2] * 2


def test_pages_are_kept_in_bounds_whatever_is_made_up() -> None:
    past = NO_PAST
    for n in range(2000):
        past = gather(past, fix(heard=sky(40, signal=str(n))), n / 1000, MODEL)
        assert len(past.pages) <= MOST_PAGES + 1


@pytest.mark.parametrize("system", ["G", ""])
def test_six_equal_signals_are_too_equal(system: str) -> None:
    def equal(*strengths: int | None) -> bool:
        return seen([(0.0, fix(heard=sky(*strengths, system=system)))])[0].signals_equal

    assert equal(*[42] * 6)
    assert equal(*[42] * 6, None)
    assert not equal(*[42] * 5)
    assert not equal(*[42] * 5, 43)


def fallen(*skies: tuple[Gsv, ...] | None, every_s: float = 1.0) -> list[bool]:
    return [one.signals_fell for one in seen((every_s * n, fix(heard=pages)) for n, pages in enumerate(skies))]


def test_all_falling_together_is_on_record_for_a_while() -> None:
    before, after = sky(40, 42, 44, 38, 36), sky(32, 34, 36, 30, 28)
    assert fallen(before, after) == [False, True]
    still_within, on_record = 15, round(HOLD_S)
    found = fallen(before, *[after] * 40)
    assert found == [False, *[True] * (still_within + on_record - 1), *[False] * (41 - still_within - on_record)]


@pytest.mark.parametrize(
    ("after", "fell"),
    [
        (sky(32, 34, 36, 30, 28), True),
        (sky(32, 34, 36, 30, 31), True),
        (sky(32, 34, 36, 30, 32), False),  # one by 4 dB only
        (sky(32, 34, 37, 31, 29), False),  # 7 dB in the middle
        (sky(32, 34, 36, 30, 28, 45), True),  # a newcomer says nothing
        (sky(32, 34, 36, 30), False),  # four: too few to call it all
        (sky(40, 42, 44, 38), False),  # one set below the horizon
        (sky(40, 42, 44, 38, None), False),
        (sky(20, 42, 44, 38, 36), False),  # one behind a tree
    ],
)
def test_all_falling_together_and_what_is_not(after: tuple[Gsv, ...], fell: bool) -> None:
    assert fallen(sky(40, 42, 44, 38, 36), after)[-1] is fell


def test_a_slow_fall_is_dusk_in_a_wood_not_a_fall() -> None:
    slow = [sky(*(strength - n // 3 for strength in (44, 45, 46, 47, 48))) for n in range(30)]
    assert not any(fallen(*slow))
    fast = [sky(*(strength - n for strength in (44, 45, 46, 47, 48))) for n in range(30)]
    assert any(fallen(*fast))


def test_a_fall_is_seen_in_a_sky_that_comes_every_fifth_second() -> None:
    before, after = sky(40, 42, 44, 38, 36), sky(30, 32, 34, 28, 26)
    assert fallen(before, None, None, None, None, after)[-1]


def test_skies_are_kept_in_bounds_however_fast_they_come() -> None:
    past = NO_PAST
    for n in range(3000):
        past = gather(past, fix(heard=sky(40, 41)), n / 100, MODEL)
    assert len(past.skies) <= 17
    for _ in range(1000):
        past = gather(past, Fix(heard=sky(40, 41)), 30.0, MODEL)
    assert len(past.skies) <= 17

"""Reading something large beside the screen: the collector rests, turns are shorter, and all comes back."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from contextlib import suppress

import pytest

from tui.reading_aside import MANY, SWITCH_S, undisturbed


@pytest.fixture(autouse=True)
def _thawed() -> Iterator[None]:
    yield
    gc.enable()
    gc.unfreeze()


def test_nothing_is_collected_meanwhile_and_the_turns_are_short() -> None:
    before_s = sys.getswitchinterval()
    with undisturbed():
        assert not gc.isenabled()
        assert sys.getswitchinterval() == pytest.approx(SWITCH_S)
    assert gc.isenabled()
    assert sys.getswitchinterval() == before_s


def test_all_comes_back_after_an_error_too() -> None:
    before_s = sys.getswitchinterval()
    with suppress(ValueError), undisturbed():
        raise ValueError
    assert gc.isenabled()
    assert sys.getswitchinterval() == before_s


def test_a_collector_that_was_off_stays_off() -> None:
    gc.disable()
    with undisturbed():
        pass
    assert not gc.isenabled()


@pytest.mark.parametrize(("count", "is_frozen"), [(10, False), (2 * MANY, True)])
def test_what_much_was_read_is_never_looked_through_and_little_is_left_to_the_collector(
    count: int, is_frozen: bool
) -> None:
    gc.collect()
    before = gc.get_freeze_count()
    with undisturbed():
        made = [[number] for number in range(count)]
    assert (gc.get_freeze_count() - before >= count) == is_frozen
    assert len(made) == count

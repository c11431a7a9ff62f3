"""A log that is never longer than it may be, and tells of its beginning as finely as of its end."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from core.thinned_log import ThinnedLog

Group = tuple[int, int]
"""First and last of those that it stands for."""


def joined(a: Group, b: Group) -> Group:
    return a[0], b[1]


@given(st.integers(2, 30), st.integers(0, 2000))
def test_groups_of_one_size_follow_one_another_without_a_gap(most: int, count: int) -> None:
    log = ThinnedLog(most, joined)
    log.extend((n, n) for n in range(count))
    found = log.all()
    assert len(found) <= most
    assert [b[0] - a[1] for a, b in pairwise(found)] == [1] * max(0, len(found) - 1)
    assert (found[0][0], found[-1][1]) == (0, count - 1) if count else found == ()
    sizes = {last - first + 1 for first, last in found[:-1]}
    assert len(sizes) <= 1


@given(st.integers(2, 30))
def test_until_it_is_full_nothing_is_joined(most: int) -> None:
    log = ThinnedLog(most, joined)
    log.extend((n, n) for n in range(most - 1))
    assert log.all() == tuple((n, n) for n in range(most - 1))

"""A log packed block by block, beside a list of everything."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from core.packed_log import PackedLog


@given(st.lists(st.lists(st.integers(), max_size=6), max_size=8), st.integers(1, 12))
def test_the_newest_at_the_end_of_every_block_are_those_of_a_list(blocks: list[list[int]], most: int) -> None:
    log: PackedLog[int] = PackedLog()
    every: list[int] = []
    ends = [0]
    for block in blocks:
        log.add(block)
        every += block
        ends.append(log.count)
    assert log.count == len(every)
    for end in ends:
        found = log.newest(end, most)
        assert [*found] == every[:end][-most:]
        assert found.maxlen == most
